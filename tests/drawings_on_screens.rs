//! Every step's drawing of every kind of trim, in both languages, as large as the bench shows it on a small kiosk, lying and
//! upright: each word large enough to read, whole, and clear of all lines.
//!
//! Sizes are read by usvg, and what lies under a word is looked for in the pixels that resvg makes of the rest: neither knows
//! how the drawing was laid out. The least size is the design's: capitals of 20 arc minutes at 700 mm, 4.1 mm (MIL-STD-1472's
//! preferred character height, from memory); Source Sans 3 has capitals of 0.66 em (its own OS/2 table).

use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

use brakeside::drawing::{Look, Theme, raster, step};
use brakeside::order::plan::{Action, Piece, Step};
use brakeside::order::{parse, planner};
use brakeside::words::Language;
use resvg::tiny_skia::Pixmap;
use resvg::usvg::{Group, Node, Options, Rect, Tree, fontdb};

/// A screen: how many pixels its millimetre has, and the least size of words that the bench asks for there.
struct Screen {
    px_per_mm: f64,
    em: f64,
    canvases: fn(Action) -> &'static [[f64; 2]],
}

/// 1280 × 800 on 10.1 in, lying and upright, and 1920 × 1080 on 15.6 in and on 21.5 in.
const SCREENS: [Screen; 3] = [
    Screen { px_per_mm: 5.884, em: 37.0, canvases: on_the_small },
    Screen { px_per_mm: 5.559, em: 44.0, canvases: |_| &[[889.0, 601.0]] },
    Screen { px_per_mm: 4.034, em: 44.0, canvases: |_| &[[898.0, 627.0]] },
];

impl Screen {
    /// Capitals of 4.1 mm, as an em.
    fn least(&self) -> f64 {
        4.1 * self.px_per_mm / 0.66
    }
}

/// What the bench gives a drawing of `action` on the small screen, lying and upright: the least widths and heights it was
/// seen to ask for, over every card of the order in both languages.
const fn on_the_small(action: Action) -> &'static [[f64; 2]] {
    match action {
        Action::TakeBlank => &[[580.0, 395.0], [752.0, 339.0]],
        Action::Shear => &[[580.0, 310.0], [752.0, 423.0]],
        Action::Mark => &[[580.0, 395.0], [752.0, 585.0]],
        Action::NotchLap => &[[435.0, 352.0], [580.0, 395.0], [752.0, 382.0]],
        Action::CutEnd => &[[580.0, 395.0], [752.0, 339.0]],
        Action::Hem => &[[435.0, 267.0], [580.0, 310.0], [752.0, 254.0]],
        Action::Bend => &[[580.0, 310.0], [752.0, 339.0]],
        Action::FoldTab => &[[580.0, 395.0], [752.0, 424.0]],
        Action::OpenHem => &[[580.0, 395.0], [752.0, 467.0]],
        Action::CheckLength => &[[580.0, 395.0], [752.0, 186.0]],
        Action::Label => &[[580.0, 395.0], [752.0, 465.0]],
    }
}

fn pieces() -> Vec<Piece> {
    let order = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/orders/every-kind.json")).unwrap();
    let (order, _) = parse::parse(&order, &Arc::default()).unwrap();
    planner::plan(&order).unwrap().pieces
}

/// Draws every step as the bench would, and hands each to `look` with its name and screen.
fn each(mut look: impl FnMut(&str, &Screen, &Step, &str)) {
    for piece in pieces() {
        for (index, step) in piece.steps.iter().enumerate() {
            for screen in &SCREENS {
                for &[width, height] in (screen.canvases)(step.action) {
                    for language in Language::ALL {
                        let asked = Look { theme: Theme::LIGHT, language, em: Some(screen.em) };
                        let svg = step::svg(&piece, step, width, height, asked);
                        let (mark, code) = (&piece.mark, language.code());
                        look(&format!("{mark} step {} in {code} at {width} × {height}", index + 1), screen, step, &svg);
                    }
                }
            }
        }
    }
}

/// Every line of text with its size and the box of its ink.
fn texts(group: &Group) -> Vec<(String, f64, Rect)> {
    let of = |node: &Node| match node {
        Node::Group(group) => texts(group),
        Node::Text(text) => {
            let words = text.chunks().iter().map(|chunk| chunk.text()).collect();
            let size = f64::from(text.chunks()[0].spans()[0].font_size().get());
            vec![(words, size, text.flattened().abs_bounding_box())]
        }
        _ => vec![],
    };
    group.children().iter().flat_map(of).collect()
}

fn tree(svg: &str) -> Tree {
    static FONTS: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
        let mut fonts = fontdb::Database::new();
        for entry in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/ui/fonts")).unwrap() {
            fonts.load_font_data(std::fs::read(entry.unwrap().path()).unwrap());
        }
        Arc::new(fonts)
    });
    Tree::from_str(svg, &Options { fontdb: FONTS.clone(), ..Options::default() }).unwrap()
}

fn texts_of(svg: &str) -> Vec<(String, f64, Rect)> {
    texts(tree(svg).root())
}

#[test]
fn no_word_is_too_small() {
    let mut faults = Vec::new();
    each(|name, screen, _, svg| {
        let least = screen.least();
        let small = texts_of(svg).into_iter().filter(|(_, size, _)| *size < least);
        faults.extend(small.map(|(text, size, _)| format!("{name}: ‘{text}’ is {size} of {least}")));
    });
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn no_word_leaves_the_drawing_or_meets_another() {
    let mut faults = Vec::new();
    each(|name, _, _, svg| {
        let size = tree(svg).size();
        let texts = texts_of(svg);
        for (index, (text, _, ink)) in texts.iter().enumerate() {
            if ink.left() < 0.0 || ink.top() < 0.0 || ink.right() > size.width() || ink.bottom() > size.height() {
                faults.push(format!("{name}: ‘{text}’ runs out"));
            }
            let meets = |other: &Rect| {
                ink.left() < other.right()
                    && other.left() < ink.right()
                    && ink.top() < other.bottom()
                    && other.top() < ink.bottom()
            };
            let met = texts[index + 1..].iter().filter(|(.., other)| meets(other));
            faults.extend(met.map(|(other, ..)| format!("{name}: ‘{text}’ meets ‘{other}’")));
        }
    });
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

/// The drawing's pixels with only its words, or without them.
fn pixels(svg: &str, words: bool) -> Pixmap {
    // One element stands on each line; the first two are the document's head and its paper.
    let kept = svg.lines().enumerate().filter(|(index, line)| {
        let is_text = line.starts_with("<text");
        let is_shape = line.starts_with('<') && !line.starts_with("</") && *index > 1;
        !is_shape || is_text == words
    });
    raster::draw(&kept.map(|(_, line)| line).collect::<Vec<_>>().join("\n"), 1.0).unwrap()
}

/// Words stand on bare paper or bare metal: no edge, break, tape or dimension runs through them.
#[test]
fn no_line_runs_through_a_word() {
    let mut faults = Vec::new();
    each(|name, _, _, svg| {
        let (ink, rest) = (pixels(svg, true), pixels(svg, false));
        let paper = ink.pixels()[0];
        for (text, _, bounds) in texts_of(svg) {
            let across = |from: f32, to: f32, most: u32| from.max(0.0) as u32..(to.ceil().max(0.0) as u32).min(most);
            let mut under = HashMap::new();
            for y in across(bounds.top(), bounds.bottom(), ink.height()) {
                for x in across(bounds.left(), bounds.right(), ink.width()) {
                    if ink.pixel(x, y) != Some(paper) {
                        *under
                            .entry(rest.pixel(x, y).map(|colour| (colour.red(), colour.green(), colour.blue())))
                            .or_insert(0) += 1;
                    }
                }
            }
            let all: usize = under.values().sum();
            let bare = under.values().max().copied().unwrap_or(0);
            if bare < all {
                faults.push(format!("{name}: of ‘{text}’ {} of {all} pixels lie on lines", all - bare));
            }
        }
    });
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

/// A hem's drawing says what it is and that it is turned to be flattened, however narrow it is.
#[test]
fn no_hem_goes_without_its_words() {
    let mut faults = Vec::new();
    each(|name, _, step, svg| {
        let texts = texts_of(svg);
        let says = |either: [&str; 2]| texts.iter().any(|(text, ..)| either.contains(&text.as_str()));
        let told = says(["hem", "dobladillo"]) && says(["then turn and flatten", "luego girar y aplastar"]);
        if step.action == Action::Hem && !told {
            faults.push(format!("{name}: {texts:?}"));
        }
    });
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}
