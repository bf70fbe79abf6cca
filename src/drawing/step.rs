//! The one picture for the step at hand.

use super::{Theme, blank, section};
use crate::order::plan::{Action, Piece, Step};

/// What `step` works on: the cross-section where metal is folded, the blank everywhere else.
pub fn svg(piece: &Piece, step: &Step, width: f64, height: f64, theme: Theme) -> String {
    match step.action {
        Action::Hem | Action::Bend => section::svg(piece, Some(step), width, height, theme),
        Action::TakeBlank
        | Action::Shear
        | Action::Mark
        | Action::NotchLap
        | Action::CutEnd
        | Action::FoldTab
        | Action::OpenHem
        | Action::CheckLength
        | Action::Label => blank::svg(piece, Some(step), width, height, theme),
    }
}

#[cfg(test)]
mod tests {
    use resvg::tiny_skia::PremultipliedColorU8;
    use resvg::usvg::{Group, Node, Rect};

    use super::*;
    use crate::drawing::raster;
    use crate::order::{parse, planner};

    /// The bench's card, lying and upright, larger ones and a phone's.
    const SIZES: [[f64; 2]; 5] = [[600.0, 330.0], [600.0, 700.0], [1100.0, 520.0], [1000.0, 560.0], [360.0, 200.0]];

    /// Both trims, every kind of end on either side, steep and flat roofs, short pieces, finer lengths than the bench
    /// reads.
    const RUNS: &str = r#"[
        { "wall": "A", "trim": "end-wall", "length": "42' 7-1/4\"", "pitch": "2:12", "lap": "6 in",
          "left": { "end": "gable", "width": "4 in" }, "right": { "end": "gable", "width": "3-1/64 in" } },
        { "wall": "B", "trim": "end-wall", "length": "30' 0-1/64\"", "pitch": "24:12", "lap": "12 in", "lay_from": "right" },
        { "wall": "C", "trim": "end-wall", "length": "1' 2\"", "pitch": "0:12",
          "left": { "end": "gable", "width": "4 in" }, "right": { "end": "gable", "width": "4 in" } },
        { "wall": "D", "trim": "reglet", "length": "22' 7-1/64\"",
          "left": { "end": "return", "depth": "1-1/2 in" }, "right": { "end": "return", "depth": "1-33/64 in" } },
        { "wall": "E", "trim": "reglet", "length": "2'", "profile": { "wall_leg": "1 in", "depth": "3/8 in", "face": "2 in", "hem": "3/8 in" } }
    ]"#;

    fn pieces(units: &str, painted: &str) -> Vec<Piece> {
        let order = format!(
            r#"{{ "format": "brakeside-order/1", "order": "1", "job": {{ "name": "Shed" }}, "units": "{units}",
                 "metal": {{ "kind": "galvanized-steel", "gauge": 24, "painted": "{painted}" }}, "runs": {RUNS} }}"#
        );
        let (order, _) = parse::parse(order.as_bytes()).unwrap();
        planner::plan(&order).unwrap().pieces
    }

    struct Drawn {
        name: String,
        svg: String,
        size: [f64; 2],
        /// The least size of words.
        least: f64,
    }

    /// Each drawing of `pieces`, with a name to find it by.
    fn drawings(pieces: &[Piece], theme: Theme) -> Vec<Drawn> {
        let mut drawings = Vec::new();
        for piece in pieces {
            for [width, height] in SIZES {
                let at_arms_length = (height / 9.0_f64).min(width / 16.0);
                let mut add = |name: String, svg, least| {
                    let name = format!("{} {name} at {width} × {height}", piece.mark);
                    drawings.push(Drawn { name, svg, size: [width, height], least });
                };
                for step in &piece.steps {
                    add(
                        format!("{:?} {:?}", step.action, step.side),
                        svg(piece, step, width, height, theme),
                        at_arms_length,
                    );
                }
                add("whole blank".into(), blank::svg(piece, None, width, height, theme), at_arms_length / 2.0);
                add("finished section".into(), section::svg(piece, None, width, height, theme), at_arms_length / 2.0);
            }
        }
        drawings
    }

    /// Every line of text with its size and the box of its ink.
    fn texts(group: &Group) -> Vec<(String, f64, Rect)> {
        group
            .children()
            .iter()
            .flat_map(|node| match node {
                Node::Group(group) => texts(group),
                Node::Text(text) => {
                    let chunks = text.chunks();
                    let words = chunks.iter().map(|chunk| chunk.text()).collect();
                    let size = f64::from(chunks[0].spans()[0].font_size().get());
                    vec![(words, size, text.flattened().abs_bounding_box())]
                }
                _ => vec![],
            })
            .collect()
    }

    fn apart(a: &Rect, b: &Rect) -> bool {
        a.right() < b.left() || b.right() < a.left() || a.bottom() < b.top() || b.bottom() < a.top()
    }

    #[test]
    fn words_are_large_inside_the_drawing_and_clear_of_each_other() {
        let pieces = [pieces("in", "out"), pieces("mm", "none")].concat();
        for Drawn { name, svg, size: [width, height], least } in drawings(&pieces, Theme::LIGHT) {
            let tree = raster::tree(&svg).unwrap();
            let texts = texts(tree.root());
            assert!(!texts.is_empty(), "{name}");
            for (index, (text, size, ink)) in texts.iter().enumerate() {
                assert!(*size >= least - 0.001, "{name}: {text:?} is {size} high");
                let inside = ink.left() >= 0.0
                    && ink.top() >= 0.0
                    && f64::from(ink.right()) <= width
                    && f64::from(ink.bottom()) <= height;
                assert!(inside, "{name}: {text:?} runs out at {ink:?}");
                for (other, _, other_ink) in &texts[index + 1..] {
                    assert!(apart(ink, other_ink), "{name}: {text:?} runs into {other:?}");
                }
            }
        }
    }

    /// Which hand is which: a gable's corner is missing at the end that has it.
    #[test]
    fn the_gables_corner_is_missing_at_its_own_end() {
        let pieces = pieces("in", "out");
        let run: Vec<&Piece> = pieces.iter().filter(|piece| piece.wall == "A").collect();
        let metal = |piece: &Piece| {
            let svg = blank::svg(piece, None, 1100.0, 520.0, Theme::LIGHT);
            let pixels = raster::draw(&svg, 1.0).unwrap();
            let rgb = [1, 3, 5].map(|at| u8::from_str_radix(&Theme::LIGHT.metal[at..at + 2], 16).unwrap());
            let is_metal = |colour: &PremultipliedColorU8| [colour.red(), colour.green(), colour.blue()] == rgb;
            let found = pixels.pixels().iter().enumerate().filter(|(_, colour)| is_metal(colour));
            let columns: Vec<u32> = found.map(|(index, _)| index as u32 % pixels.width()).collect();
            let middle = (columns.iter().min().unwrap() + columns.iter().max().unwrap()) / 2;
            [true, false].map(|left| columns.iter().filter(|&&x| (x < middle) == left).count())
        };
        let ([first, rest], [rest_of_last, last]) = (metal(run[0]), metal(run[run.len() - 1]));
        assert!(first < rest, "{first} of metal left, {rest} right");
        assert!(last < rest_of_last, "{rest_of_last} of metal left, {last} right");
    }

    /// The typeface has every sign the drawings use.
    #[test]
    fn no_sign_is_missing() {
        for painted in ["out", "in", "both", "none"] {
            for Drawn { name, svg, .. } in drawings(&pieces("mm", painted)[..1], Theme::PRINT) {
                for (text, ..) in texts(raster::tree(&svg).unwrap().root()) {
                    assert!(raster::measure(&text, crate::drawing::svg::Weight::Bold).complete, "{name}: {text:?}");
                }
            }
        }
    }

    /// The one number of the card is the one number of the picture.
    #[test]
    fn a_steps_number_stands_in_its_drawing() {
        for piece in pieces("in", "out") {
            for step in piece.steps.iter().filter(|step| step.number.is_some()) {
                let number = crate::drawing::pen::big(step.number.as_ref().unwrap());
                let svg = svg(&piece, step, 1100.0, 520.0, Theme::DARK);
                let texts = texts(raster::tree(&svg).unwrap().root());
                assert!(
                    texts.iter().any(|(text, ..)| *text == number),
                    "{} {:?}: no {number} among {texts:?}",
                    piece.mark,
                    step.action
                );
            }
        }
    }

    #[test]
    fn two_tones_are_enough_for_print() {
        for Drawn { name, svg, .. } in drawings(&pieces("in", "out"), Theme::PRINT) {
            let colours = svg.match_indices('#').map(|(at, _)| &svg[at..at + 7]);
            assert!(colours.into_iter().all(|colour| ["#ffffff", "#000000"].contains(&colour)), "{name}");
        }
    }
}
