//! The one picture for the step at hand.

use super::{Look, blank, section};
use crate::order::plan::{Action, Piece, Step};

/// What `step` works on: the cross-section where metal is folded, the blank everywhere else.
pub fn svg(piece: &Piece, step: &Step, width: f64, height: f64, look: Look) -> String {
    match step.action {
        Action::Hem | Action::Bend => section::svg(piece, Some(step), width, height, look),
        Action::TakeBlank
        | Action::Shear
        | Action::Mark
        | Action::NotchLap
        | Action::CutEnd
        | Action::FoldTab
        | Action::OpenHem
        | Action::CheckLength
        | Action::Label => blank::svg(piece, Some(step), width, height, look),
    }
}

#[cfg(test)]
mod tests {
    use resvg::tiny_skia::PremultipliedColorU8;
    use resvg::usvg::{Group, Node, Rect};

    use std::collections::BTreeSet;
    use std::sync::Arc;

    use super::*;
    use crate::drawing::{Theme, raster};
    use crate::order::plan::PieceEnd;
    use crate::order::{Side, parse, planner};
    use crate::trade::bend_order::{Face, Lie};
    use crate::trade::section::Edge;
    use crate::words::Language;

    /// The bench's card, lying and upright, larger ones and a phone's.
    const SIZES: [[f64; 2]; 5] = [[600.0, 330.0], [600.0, 700.0], [1100.0, 520.0], [580.0, 395.0], [360.0, 200.0]];

    /// The bench's alone, down to a small one.
    const CARDS: [[f64; 2]; 4] = [SIZES[0], SIZES[1], SIZES[3], [420.0, 300.0]];

    const ENGLISH: Look = Theme::LIGHT.in_english();
    const SPANISH: Look = Look { theme: Theme::LIGHT, language: Language::Spanish, em: None };

    /// Every trim and kind of end on either side, hems of every kind at either edge, steep and flat roofs, short pieces, many
    /// legs, finer lengths than the bench reads.
    const RUNS: &str = r#"[
        { "wall": "A", "trim": "end-wall", "length": "42' 7-1/4\"", "pitch": "2:12", "lap": "6 in",
          "left": { "end": "gable", "width": "4 in" }, "right": { "end": "gable", "width": "3-1/64 in" } },
        { "wall": "B", "trim": "end-wall", "length": "30' 0-1/64\"", "pitch": "24:12", "lap": "12 in", "lay_from": "right",
          "profile": { "hem": { "width": "3/4 in", "gap": "1/8 in" }, "datum_hem": "1/2 in" },
          "left": { "end": "corner", "side": "outside" }, "right": { "end": "dam", "height": "2 in" } },
        { "wall": "C", "trim": "end-wall", "length": "1' 2\"", "pitch": "0:12", "profile": { "hem": "none" },
          "left": { "end": "gable", "width": "4 in" }, "right": { "end": "gable", "width": "4 in" } },
        { "wall": "D", "trim": "reglet", "length": "22' 7-1/64\"",
          "left": { "end": "return", "depth": "1-1/2 in" }, "right": { "end": "return", "depth": "1-33/64 in" } },
        { "wall": "E", "trim": "reglet", "length": "2'",
          "profile": { "wall_leg": "1 in", "depth": "1/2 in", "face": "2 in", "hem": "3/8 in" },
          "left": { "end": "corner", "side": "inside", "turn": 45 }, "right": { "end": "corner", "side": "outside", "turn": 135 } },
        { "wall": "F", "trim": "side-wall", "length": "24'", "pitch": "6:12", "low": "right",
          "left": { "end": "dam", "height": "2 in" }, "right": { "end": "transition", "to": "3:12" } },
        { "wall": "G", "trim": "gable", "length": "24'", "pitch": "6:12", "low": "left",
          "profile": { "datum_hem": { "width": "3/4 in", "gap": "1/8 in" } },
          "right": { "end": "transition", "to": "6:12", "falls": "back" } },
        { "wall": "H", "trim": "eave", "length": "24'", "pitch": "5:12",
          "left": { "end": "corner", "side": "outside" }, "right": { "end": "corner", "side": "inside" } },
        { "wall": "I", "trim": "ridge", "length": "24'", "pitch": "5:12", "far_pitch": "8:12",
          "right": { "end": "corner", "side": "inside" } },
        { "wall": "J", "trim": "ridge", "length": "4'", "pitch": "1:12" },
        { "wall": "K", "trim": "custom", "length": "12'", "left": { "end": "corner", "side": "outside" },
          "profile": { "hem": "1/2 in", "datum_hem": { "width": "3/4 in", "gap": "1/8 in" }, "legs": [ { "width": "2 in" },
            { "width": "1 in", "turn": "up" }, { "width": "3 in", "turn": "down" },
            { "width": "1 in", "bend": 45, "turn": "up" }, { "width": "1-1/2 in", "bend": 45, "turn": "down" } ] } },
        { "wall": "L", "trim": "custom", "length": "4'", "profile": { "legs": [ { "width": "1 in" },
            { "width": "1-1/2 in", "turn": "up" }, { "width": "2 in", "turn": "down" },
            { "width": "1-1/4 in", "bend": 45, "turn": "up" }, { "width": "1-1/2 in", "bend": 45, "turn": "down" },
            { "width": "1 in", "bend": 60, "turn": "up" }, { "width": "2 in", "bend": 60, "turn": "down" },
            { "width": "1-1/4 in", "bend": 30, "turn": "down" }, { "width": "1-1/2 in", "bend": 30, "turn": "up" },
            { "width": "1 in", "turn": "up" }, { "width": "1-1/2 in", "turn": "down" },
            { "width": "3/4 in", "bend": 45, "turn": "up" } ] } },
        { "wall": "M", "trim": "custom", "length": "4'",
          "profile": { "legs": [ { "width": "6 in" } ], "hem": { "width": "3/4 in", "gap": "1/8 in" }, "datum_hem": "1/2 in" } }
    ]"#;

    fn pieces(units: &str, painted: &str) -> Vec<Piece> {
        let order = format!(
            r#"{{ "format": "brakeside-order/1", "order": "1", "job": {{ "name": "Shed" }}, "units": "{units}",
                 "metal": {{ "kind": "galvanized-steel", "gauge": 24, "painted": "{painted}" }}, "runs": {RUNS} }}"#
        );
        let (order, _) = parse::parse(order.as_bytes(), &Arc::default()).unwrap();
        planner::plan(&order).unwrap().pieces
    }

    fn first_of_each_run(pieces: Vec<Piece>) -> Vec<Piece> {
        pieces.into_iter().filter(|piece| piece.place == 1).collect()
    }

    fn is_mitre(end: &PieceEnd) -> bool {
        matches!(end, PieceEnd::Corner { .. } | PieceEnd::Transition { .. })
    }

    /// The same pieces as they were stored before steps told how the strip lies: seen side up, from the datum edge. There
    /// were no mitres then.
    fn stored(mut pieces: Vec<Piece>) -> Vec<Piece> {
        pieces.retain(|piece| !is_mitre(&piece.left) && !is_mitre(&piece.right));
        for piece in &mut pieces {
            let (bends, hem) = (piece.bends.clone(), piece.hem.clone());
            piece.datum_hem = None;
            piece.steps.retain(|step| step.edge != Some(Edge::Datum));
            for step in &mut piece.steps {
                (step.lie, step.stop, step.edge, step.marks, step.cut_away) = (None, None, None, vec![], vec![]);
                let at = step.bend.map(|bend| bends[bend].at.clone());
                match step.action {
                    Action::Bend => step.number = at,
                    Action::Hem => step.number = hem.as_ref().map(|hem| hem.at.clone()),
                    _ => {}
                }
            }
        }
        pieces
    }

    /// Every orientation a strip can lie in, for each fold, made as its own piece.
    fn turned_every_way(pieces: Vec<Piece>) -> Vec<Piece> {
        let lies = [Face::Seen, Face::Hidden]
            .into_iter()
            .flat_map(|face| [Edge::Datum, Edge::Lower].map(|in_throat| Lie { face, in_throat }));
        let turned = |lie: Lie| {
            pieces.iter().cloned().map(move |mut piece| {
                piece.steps.retain(|step| step.action == Action::Bend);
                piece.steps.iter_mut().for_each(|step| step.lie = Some(lie));
                piece
            })
        };
        lies.flat_map(turned).collect()
    }

    struct Drawn {
        name: String,
        svg: String,
        size: [f64; 2],
        /// The least size of words.
        least: f64,
    }

    /// The bench's cards on a screen of 1280 × 800, lying and upright, and what its body text is there: capitals of 4.1 mm.
    const KIOSK: [[f64; 2]; 4] = [[560.0, 240.0], [575.0, 330.0], [752.0, 300.0], [430.0, 330.0]];
    const BODY: Option<f64> = Some(36.8);

    /// Each drawing of `pieces`, with a name to find it by.
    fn drawings(pieces: &[Piece], sizes: &[[f64; 2]], look: Look) -> Vec<Drawn> {
        let mut drawings = Vec::new();
        for piece in pieces {
            for &[width, height] in sizes {
                let at_arms_length = (height / 9.0_f64).min(width / 16.0);
                let mut add = |name: String, svg, least| {
                    let name = format!("{} {name} at {width} × {height}", piece.mark);
                    drawings.push(Drawn { name, svg, size: [width, height], least });
                };
                for step in &piece.steps {
                    // Many marks are told smaller, so that all of them are.
                    let least = if step.marks.len() > 6 { at_arms_length / 2.0 } else { at_arms_length };
                    let name = format!("{:?} {:?} {:?}", step.action, step.bend, step.side);
                    add(name, svg(piece, step, width, height, look), least);
                }
                add("whole blank".into(), blank::svg(piece, None, width, height, look), at_arms_length / 2.0);
                // On paper alone, which speaks English.
                if look.language == Language::English {
                    let finished = section::svg(piece, None, width, height, look);
                    add("finished section".into(), finished, at_arms_length / 2.0);
                }
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

    /// The words alone.
    fn texts_of(svg: &str) -> Vec<String> {
        texts(raster::tree(svg).unwrap().root()).into_iter().map(|(text, ..)| text).collect()
    }

    fn apart(a: &Rect, b: &Rect) -> bool {
        a.right() < b.left() || b.right() < a.left() || a.bottom() < b.top() || b.bottom() < a.top()
    }

    #[test]
    fn words_are_large_inside_the_drawing_and_clear_of_each_other() {
        let (inches, metric) = (pieces("in", "out"), first_of_each_run(pieces("mm", "none")));
        let first = first_of_each_run(inches.clone());
        let card_and_phone = [SIZES[0], SIZES[4]];
        let drawings = [
            drawings(&inches, &SIZES, ENGLISH),
            drawings(&metric, &card_and_phone, ENGLISH),
            drawings(&stored(first.clone()), &card_and_phone, ENGLISH),
            drawings(&turned_every_way(first.clone()), &card_and_phone, ENGLISH),
            drawings(&inches, &CARDS, SPANISH),
            drawings(&metric, &CARDS, SPANISH),
            drawings(&stored(first.clone()), &CARDS, SPANISH),
            drawings(&turned_every_way(first), &CARDS, SPANISH),
        ];
        let faults = faults(drawings.into_iter().flatten());
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }

    #[test]
    fn words_are_clear_of_each_other_on_the_kiosks_cards() {
        let first = first_of_each_run(pieces("in", "out"));
        let looks = [None, BODY].into_iter().flat_map(|em| [Look { em, ..ENGLISH }, Look { em, ..SPANISH }]);
        let faults = faults(looks.flat_map(|look| drawings(&first, &KIOSK, look)));
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }

    /// Words that are small, run out of their drawing or into others.
    fn faults(drawings: impl Iterator<Item = Drawn>) -> Vec<String> {
        let mut faults = Vec::new();
        for Drawn { name, svg, size: [width, height], least } in drawings {
            let tree = raster::tree(&svg).unwrap();
            let texts = texts(tree.root());
            assert!(!texts.is_empty(), "{name}");
            for (index, (text, size, ink)) in texts.iter().enumerate() {
                if *size < least - 0.001 {
                    faults.push(format!("{name}: {text:?} is {size} high"));
                }
                let inside = ink.left() >= 0.0
                    && ink.top() >= 0.0
                    && f64::from(ink.right()) <= width
                    && f64::from(ink.bottom()) <= height;
                if !inside {
                    faults.push(format!("{name}: {text:?} runs out at {ink:?}"));
                }
                let others = texts[index + 1..].iter().filter(|(.., other)| !apart(ink, other));
                faults.extend(others.map(|(other, ..)| format!("{name}: {text:?} runs into {other:?}")));
            }
        }
        faults
    }

    /// No word of the English drawings is left in the Spanish ones, and no number is lost or changed on the way.
    #[test]
    fn drawings_speak_spanish() {
        let word_of = |text: &str| text.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase).collect::<Vec<_>>();
        let words = |texts: &[String]| texts.iter().flat_map(|text| word_of(text)).collect::<BTreeSet<String>>();
        let figures = |texts: &[String]| {
            let apart = texts.iter().flat_map(|text| text.split(|c: char| !c.is_numeric() && c != '.'));
            let mut figures: Vec<String> = apart.filter(|part| !part.is_empty()).map(str::to_owned).collect();
            figures.sort_unstable();
            figures
        };
        let (mut english, mut spanish) = (BTreeSet::new(), BTreeSet::new());
        for (units, painted) in [("in", "out"), ("mm", "in"), ("in", "both"), ("mm", "none")] {
            let pieces = first_of_each_run(pieces(units, painted));
            let said = |look| drawings(&pieces, &CARDS[2..3], look);
            let english_ones = said(ENGLISH).into_iter().filter(|drawn| !drawn.name.contains("finished section"));
            for (of, other) in english_ones.zip(&said(SPANISH)) {
                let [of_texts, texts] = [&of, other].map(|drawn| texts_of(&drawn.svg));
                assert_eq!(figures(&of_texts), figures(&texts), "{}: {of_texts:?}, {texts:?}", of.name);
                english.extend(words(&of_texts));
                spanish.extend(words(&texts));
            }
        }
        let unit = ["", "mm"].map(str::to_owned).into();
        assert_eq!(&english & &spanish, unit);
        assert!(english.len() > 40, "{english:?}");
    }

    /// Which hand is which: a gable's corner is missing at the end that has it.
    #[test]
    fn the_gables_corner_is_missing_at_its_own_end() {
        let pieces = pieces("in", "out");
        let run: Vec<&Piece> = pieces.iter().filter(|piece| piece.wall == "A").collect();
        let metal = |piece: &Piece| {
            let svg = blank::svg(piece, None, 1100.0, 520.0, ENGLISH);
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
            for Drawn { name, svg, .. } in
                drawings(&first_of_each_run(pieces("mm", painted)), &SIZES[..1], Theme::PRINT.in_english())
            {
                for (text, ..) in texts(raster::tree(&svg).unwrap().root()) {
                    assert!(raster::measure(&text, crate::drawing::svg::Weight::Bold).complete, "{name}: {text:?}");
                }
            }
        }
    }

    /// The one number of the card is the one number of the picture.
    #[test]
    fn a_steps_number_stands_in_its_drawing() {
        let of = first_of_each_run(pieces("in", "out"));
        for piece in of.iter().chain(&stored(of.clone())) {
            for step in piece.steps.iter().filter(|step| step.number.is_some()) {
                let number = crate::drawing::pen::big(step.number.as_ref().unwrap());
                let texts = texts_of(&svg(piece, step, 1100.0, 520.0, Theme::DARK.in_english()));
                assert!(texts.contains(&number), "{} {:?}: no {number} among {texts:?}", piece.mark, step.action);
                let tolerance = step.tolerance.iter().map(|most| format!("± {}", crate::drawing::pen::big(most)));
                assert!(tolerance.into_iter().all(|tolerance| texts.contains(&tolerance)), "{}: {texts:?}", piece.mark);
            }
        }
    }

    /// Point by point, from the end it is measured from and from the datum edge.
    #[test]
    fn every_mark_is_told_in_order() {
        let pieces = pieces("mm", "out");
        let steps = pieces.iter().flat_map(|piece| piece.steps.iter().map(move |step| (piece, step)));
        let mut seen = 0;
        for (piece, step) in steps.filter(|(_, step)| !step.marks.is_empty()) {
            let texts = texts_of(&svg(piece, step, 600.0, 330.0, ENGLISH));
            let head = texts.iter().position(|text| text == "down").unwrap();
            for (index, (mark, told)) in step.marks.iter().zip(texts[head + 1..].chunks(3)).enumerate() {
                let length = piece.blank.length.mm;
                let inset = if step.side == Some(Side::Right) { length - mark.x.mm } else { mark.x.mm };
                let exact = |text: &str| text.trim_end_matches(" mm").parse::<f64>().unwrap();
                assert_eq!(told[0], (index + 1).to_string(), "{}", piece.mark);
                assert!((exact(&told[1]) - inset).abs() <= 0.5 + 1e-6, "{}: {told:?} for {inset}", piece.mark);
                assert!((exact(&told[2]) - mark.y.mm).abs() <= 0.5 + 1e-6, "{}: {told:?}", piece.mark);
                seen += 1;
            }
        }
        assert!(seen > 50);
    }

    /// The stop is drawn as far from the bend line as the card says, but for what the neutral line in the middle of the sheet
    /// makes of up to eleven bends.
    #[test]
    fn the_held_part_reaches_from_the_bend_line_to_the_stop() {
        for piece in first_of_each_run(pieces("mm", "out")) {
            for step in piece.steps.iter().filter(|step| step.action == Action::Bend) {
                let making = section::fold::Making::of(&piece, step).unwrap();
                let gauge = making.depth(&section::bent::sheet(&piece)).unwrap();
                assert!(
                    (gauge - step.number.as_ref().unwrap().mm).abs() < 2.0,
                    "{} {:?}: {gauge}",
                    piece.mark,
                    step.bend
                );
            }
        }
    }

    /// The drawing says what the hands do with the strip, as the card's text does, however low it is.
    #[test]
    fn every_flip_and_turn_is_told() {
        let mut told = [0; 3];
        for piece in first_of_each_run(pieces("in", "out")) {
            for step in piece.steps.iter().filter(|step| !step.handling.is_empty()) {
                let signs = ["flip it, front to back", "turn it end for end", "flip it end for end"];
                let wanted = ["Flip it, front edge to the back", "Turn it end for end", "Flip it end for end"];
                let which = wanted.iter().position(|words| step.text.starts_with(words)).unwrap();
                for ([width, height], em) in KIOSK.iter().flat_map(|&size| [(size, None), (size, BODY)]) {
                    let texts = texts_of(&svg(&piece, step, width, height, Look { em, ..ENGLISH }));
                    let told: Vec<_> = texts.iter().filter(|text| signs.contains(&text.as_str())).collect();
                    assert_eq!(told, [signs[which]], "{} at {width} × {height}", piece.mark);
                }
                told[which] += 1;
            }
        }
        assert!(told.iter().all(|count| *count > 0), "{told:?}");
    }

    #[test]
    fn two_tones_are_enough_for_print() {
        let print = Theme::PRINT.in_english();
        for Drawn { name, svg, .. } in drawings(&first_of_each_run(pieces("in", "out")), &SIZES, print) {
            let colours = svg.match_indices('#').map(|(at, _)| &svg[at..at + 7]);
            assert!(colours.into_iter().all(|colour| ["#ffffff", "#000000"].contains(&colour)), "{name}");
        }
    }
}
