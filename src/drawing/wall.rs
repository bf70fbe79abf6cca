//! The wall seen from the roof: its run as a row of pieces, left on the left, one of them picked out.
//!
//! It answers "which one is this, and which end goes under?" at a glance: the piece above in a lap is drawn over the
//! piece below, whose hidden end is dashed. Lengths are to scale; laps and end cuts are widened where to scale they
//! would vanish. On a long run numbers are thinned out, never the picked one's.

mod bars;

use crate::drawing::Theme;
use crate::drawing::pen::HALF_CAPITAL;
use crate::drawing::raster::measure;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::order::plan::{Goes, Piece, PieceEnd};
use crate::order::{Corner, Side};
use bars::Bars;

/// A run's pieces from left to right, and which of them is picked out.
#[derive(Debug, Clone, PartialEq)]
pub struct WallView {
    pub pieces: Vec<Span>,
    /// An index into `pieces`.
    pub picked: usize,
    /// On a sloped run, the end it was laid from.
    pub low: Option<Side>,
}

/// One piece on the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Counted from the run's left end, 1 first.
    pub place: usize,
    pub from_left_mm: f64,
    pub length_mm: f64,
    pub left: EndShape,
    pub right: EndShape,
}

/// What an end looks like from the roof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EndShape {
    Square,
    Gable { width_mm: f64 },
    Return,
    Dam,
    Corner(Corner),
    Transition,
    Lap { lap_mm: f64, goes: Goes, joint: bool },
}

impl EndShape {
    fn is_joint(self) -> bool {
        matches!(self, Self::Lap { joint: true, .. })
    }

    fn goes(self) -> Option<Goes> {
        if let Self::Lap { goes, .. } = self { Some(goes) } else { None }
    }
}

impl WallView {
    /// The run of `piece`, with its other pieces from `pieces`, which may hold other runs too.
    pub fn of(piece: &Piece, pieces: &[Piece]) -> Self {
        let others = pieces.iter().filter(|other| other.run == piece.run && other.place != piece.place);
        let mut run: Vec<Span> = others.chain([piece]).map(Span::from).collect();
        run.sort_by_key(|span| span.place);
        let picked = run.iter().filter(|span| span.place < piece.place).count();
        Self { pieces: run, picked, low: piece.low }
    }
}

impl From<&Piece> for Span {
    fn from(piece: &Piece) -> Self {
        Self {
            place: piece.place,
            from_left_mm: piece.from_left.mm,
            length_mm: piece.length.mm,
            left: EndShape::from(&piece.left),
            right: EndShape::from(&piece.right),
        }
    }
}

impl From<&PieceEnd> for EndShape {
    fn from(end: &PieceEnd) -> Self {
        match end {
            PieceEnd::Square => Self::Square,
            PieceEnd::Gable { width } => Self::Gable { width_mm: width.mm },
            PieceEnd::Return { .. } => Self::Return,
            PieceEnd::Dam { .. } => Self::Dam,
            PieceEnd::Corner { side, .. } => Self::Corner(*side),
            PieceEnd::Transition { .. } => Self::Transition,
            PieceEnd::Lap { lap, goes, joint, .. } => Self::Lap { lap_mm: lap.mm, goes: *goes, joint: *joint },
        }
    }
}

/// The run above, LEFT and RIGHT below it, and on a sloped run which of them is low.
pub fn svg(view: &WallView, width: f64, height: f64, theme: Theme) -> String {
    let mut svg = Svg::new(width, height);
    svg.rect(0.0, 0.0, width, height, Paint::fill(theme.paper));
    let (run, tag) = (height * 0.62, height * 0.28);
    draw_run(&mut svg, view, [0.0, 0.0], [width, run], theme);
    let [left, right] = [(Side::Left, 0.0), (Side::Right, width)]
        .map(|(side, x)| draw_tag(&mut svg, side, [x, height - tag], tag, theme));
    if let Some(low) = view.low {
        let word = |side| if side == low { "LOW end" } else { "HIGH end" };
        let (gap, baseline) = (tag * 0.3, height - tag / 2.0 + tag * 0.6 * HALF_CAPITAL);
        let set = |anchor| Type { size: tag * 0.6, weight: Weight::SemiBold, anchor, colour: theme.ink };
        svg.text([left + gap, baseline], word(Side::Left), set(Anchor::Start));
        svg.text([width - right - gap, baseline], word(Side::Right), set(Anchor::End));
    }
    svg.finish()
}

/// Draws the row of pieces into the box whose upper left corner is `at`.
pub fn draw_run(svg: &mut Svg, view: &WallView, at: [f64; 2], size: [f64; 2], theme: Theme) {
    let Some(bars) = Bars::new(view, at, size) else { return };
    for index in bars.laying_order(view) {
        bars.draw_piece(svg, view, index, theme);
    }
    bars.draw_hidden_ends(svg, view, theme);
    bars.draw_joints(svg, view, theme);
    bars.draw_numbers(svg, view, theme);
}

/// Draws LEFT or RIGHT as an arrow-shaped tag, its point outward at `at` (the upper corner of the drawing's own left or
/// right edge), and returns its width. LEFT is the filled one: the end that everything is counted from.
pub fn draw_tag(svg: &mut Svg, side: Side, at: [f64; 2], height: f64, theme: Theme) -> f64 {
    let (word, outward, ink, ground) = match side {
        Side::Left => ("LEFT", -1.0, theme.paper, theme.ink),
        Side::Right => ("RIGHT", 1.0, theme.ink, theme.paper),
    };
    let size = height * 0.68;
    let text = measure(word, Weight::Bold).ems * size;
    let (point, pad) = (height * 0.42, height * 0.22);
    let width = point + text + pad;
    let line = (height * 0.06).max(1.0);
    // From the point inward, kept inside by half the line.
    let x = |inward: f64| at[0] - outward * inward;
    let (near, far, top, bottom) = (line / 2.0, width - line / 2.0, at[1] + line / 2.0, at[1] + height - line / 2.0);
    let outline =
        [[x(near), at[1] + height / 2.0], [x(point), top], [x(far), top], [x(far), bottom], [x(point), bottom]];
    svg.polygon(&outline, Paint::fill(ground).outlined(theme.ink, line));
    let set = Type { size, weight: Weight::Bold, anchor: Anchor::Middle, colour: ink };
    svg.text([x(point + text / 2.0), at[1] + height / 2.0 + size * HALF_CAPITAL], word, set);
    width
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::drawing::raster;
    use crate::order::{parse, planner};

    const LAP: f64 = 150.0;
    const PIECE: f64 = 3000.0;

    /// A run of `count` pieces, gable to return, laid from one end.
    fn run(count: usize, lay_from: Side, picked: usize) -> WallView {
        let lap = |goes| EndShape::Lap { lap_mm: LAP, goes, joint: false };
        let (on_right, on_left) = match lay_from {
            Side::Left => (lap(Goes::Under), lap(Goes::Over)),
            Side::Right => (lap(Goes::Over), lap(Goes::Under)),
        };
        let span = |index: usize| Span {
            place: index + 1,
            from_left_mm: index as f64 * (PIECE - LAP),
            length_mm: PIECE,
            left: if index == 0 { EndShape::Gable { width_mm: 100.0 } } else { on_left },
            right: if index + 1 == count { EndShape::Return } else { on_right },
        };
        WallView { pieces: (0..count).map(span).collect(), picked, low: None }
    }

    /// The picked piece's filled columns along the middle of the bars, in a drawing 800 wide.
    fn filled(view: &WallView) -> [f64; 2] {
        let drawing = svg(view, 800.0, 100.0, Theme::LIGHT);
        let pixels = raster::draw(&drawing, 1.0).unwrap();
        // Near the bars' lower edge, under any number.
        let now = (0..800).filter(|&x| {
            let pixel = pixels.pixel(x, 56).unwrap();
            (pixel.red(), pixel.green(), pixel.blue()) == (0x0b, 0x4f, 0x9e)
        });
        let now: Vec<u32> = now.collect();
        [f64::from(now[0]), f64::from(now[now.len() - 1] + 1)]
    }

    #[test]
    fn the_picked_piece_is_filled_where_it_stands() {
        for (count, picked) in [(1, 0), (3, 1), (3, 2), (12, 6), (40, 0), (40, 20), (40, 39)] {
            let view = run(count, Side::Left, picked);
            let scale = 800.0 / (count as f64 * (PIECE - LAP) + LAP);
            let [from, to] = filled(&view);
            // Laps and a gable's cut are widened, by no more than this.
            let slack = 28.0_f64.min(PIECE * scale * 0.6);
            let expected = [view.pieces[picked].from_left_mm, view.pieces[picked].from_left_mm + PIECE];
            assert!((from - expected[0] * scale).abs() < slack, "{picked} of {count}: {from}");
            assert!((to - expected[1] * scale).abs() < slack, "{picked} of {count}: {to}");
        }
    }

    /// Laid from the left, a piece covers its left neighbour and is covered by its right one; from the right, the other
    /// way about: what is seen of the same middle piece moves by a lap.
    #[test]
    fn the_piece_over_hides_the_one_under() {
        let [from_left, from_right] = [Side::Left, Side::Right].map(|side| filled(&run(3, side, 1)));
        let lap = LAP * 800.0 / (3.0 * (PIECE - LAP) + LAP);
        for (left, right) in from_left.into_iter().zip(from_right) {
            assert!(right - left >= lap - 4.0, "{from_left:?} {from_right:?}");
        }
    }

    #[test]
    fn the_picked_number_and_the_ends_are_always_there() {
        for count in [1, 2, 5, 12, 40, 120] {
            for picked in 0..count {
                let view = run(count, Side::Left, picked);
                let drawing = svg(&view, 320.0, 80.0, Theme::PRINT);
                assert!(drawing.contains(&format!(">{}</text>", picked + 1)), "{picked} of {count}");
                assert!(drawing.contains(">LEFT<") && drawing.contains(">RIGHT<"));
            }
        }
    }

    /// A sloped run is laid from its low end, so its laps tell which end that is; a level run has none.
    #[test]
    fn a_sloped_runs_low_end_is_told() {
        let order = r#"{ "format": "brakeside-order/1", "order": "1", "job": { "name": "Shed" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": [
            { "wall": "A", "trim": "side-wall", "length": "24'", "pitch": "6:12", "low": "right" },
            { "wall": "B", "trim": "gable", "length": "24'", "pitch": "6:12", "low": "left" },
            { "wall": "C", "trim": "eave", "length": "24'", "pitch": "6:12" } ] }"#;
        let (order, _) = parse::parse(order.as_bytes(), &Arc::default()).unwrap();
        let pieces = planner::plan(&order).unwrap().pieces;
        for (wall, low) in [("A", Some(Side::Right)), ("B", Some(Side::Left)), ("C", None)] {
            for piece in pieces.iter().filter(|piece| piece.wall == wall) {
                let view = WallView::of(piece, &pieces);
                assert_eq!(view.low, low, "{}", piece.mark);
                let drawing = svg(&view, 800.0, 100.0, Theme::LIGHT);
                let [left, right] = [">LOW end<", ">HIGH end<"].map(|word| drawing.find(word));
                assert_eq!(left.zip(right).map(|(low, high)| low < high), low.map(|low| low == Side::Left));
            }
        }
    }

    #[test]
    fn an_expansion_joint_looks_unlike_a_lap() {
        let mut view = run(3, Side::Left, 0);
        let laps = svg(&view, 800.0, 100.0, Theme::LIGHT);
        view.pieces[1].right = EndShape::Lap { lap_mm: LAP, goes: Goes::Under, joint: true };
        let joint = svg(&view, 800.0, 100.0, Theme::LIGHT);
        let arrows = |drawing: &str| drawing.matches("<polygon").count();
        assert_eq!(arrows(&joint), arrows(&laps) + 2);
    }

    #[test]
    fn nothing_to_draw_draws_nothing() {
        let view = WallView { pieces: Vec::new(), picked: 0, low: None };
        assert!(svg(&view, 300.0, 80.0, Theme::LIGHT).contains(">LEFT<"));
        assert!(svg(&run(3, Side::Left, 0), 1.0, 1.0, Theme::LIGHT).starts_with("<svg"));
    }
}
