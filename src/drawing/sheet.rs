//! A piece on paper: its finished section over its whole blank, and each fold on a page of its own.

use super::svg::{Anchor, Paint, Svg, Type, Weight};
use super::{Theme, blank, section, step};
use crate::drawing::pen::big;
use crate::order::plan::{Action, Piece};

/// Of a page, in user units. Its shape is that of a sheet of paper standing.
const WIDTH: f64 = 1100.0;
const HEIGHT: f64 = 1400.0;
/// Of the head's line.
const HEAD: f64 = 90.0;
const MARGIN: f64 = 30.0;

/// A drawing's name, and the drawing as SVG.
pub type File = (String, String);

/// The finished section and the whole blank of `piece` on one page.
pub fn svg(piece: &Piece, theme: Theme) -> String {
    let mut page = Svg::new(WIDTH, HEIGHT);
    page.rect(0.0, 0.0, WIDTH, HEIGHT, Paint::fill(theme.paper));
    let set = |size, weight, anchor| Type { size, weight, anchor, colour: theme.ink };
    page.text([MARGIN, 58.0], &piece.mark, set(44.0, Weight::Bold, Anchor::Start));
    let rest = format!("{} · {} · {}", piece.trim.name(), big(&piece.length), piece.metal);
    page.text([WIDTH - MARGIN, 56.0], &rest, set(26.0, Weight::Regular, Anchor::End));
    page.line([MARGIN, HEAD - 8.0], [WIDTH - MARGIN, HEAD - 8.0], Paint::stroke(theme.ink, 2.0));
    let each = (HEIGHT - HEAD) / 2.0;
    let look = theme.in_english();
    page.inset(&section::svg(piece, None, WIDTH, each, look), [0.0, HEAD]);
    page.inset(&blank::svg(piece, None, WIDTH, each, look), [0.0, HEAD + each]);
    page.finish()
}

/// The page of `piece`, and each fold in the order they are made.
pub fn files(piece: &Piece, theme: Theme) -> Vec<File> {
    const FOLD_HEIGHT: f64 = 620.0;
    let mut files = vec![("sheet".to_owned(), svg(piece, theme))];
    for (index, of_piece) in piece.steps.iter().enumerate() {
        let what = match of_piece.action {
            Action::Hem => "hem",
            Action::Bend => "bend",
            _ => continue,
        };
        // Counted as the cards are.
        let name = format!("step-{:02}-{what}", index + 1);
        files.push((name, step::svg(piece, of_piece, WIDTH, FOLD_HEIGHT, theme.in_english())));
    }
    files
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::drawing::raster;
    use crate::order::{parse, planner};

    /// Two hems and one bend, whichever comes first; each drawing whole, and the page holding its two parts.
    #[test]
    fn each_fold_has_its_own_drawing() {
        let order = r#"{ "format": "brakeside-order/1", "order": "1", "job": { "name": "Shed" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [
            { "wall": "A", "trim": "ridge", "length": "8'", "pitch": "6:12" } ] }"#;
        let (order, _) = parse::parse(order.as_bytes(), &Arc::default()).unwrap();
        let piece = planner::plan(&order).unwrap().pieces.remove(0);
        let files = files(&piece, Theme::LIGHT);
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names[0], "sheet");
        assert_eq!(names.iter().filter(|name| name.ends_with("-hem")).count(), 2);
        assert_eq!(names.iter().filter(|name| name.ends_with("-bend")).count(), 1);
        for (name, svg) in &files {
            assert!(raster::draw(svg, 0.5).is_ok(), "{name}");
        }
        assert!([">A-RD-1<", ">near leg<", ">LEFT<"].iter().all(|word| files[0].1.contains(word)));
    }
}
