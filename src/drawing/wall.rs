//! The wall seen from the roof: its run as a row of pieces, left on the left, one of them picked out.
//!
//! It answers "which one is this, and which end goes under?" at a glance: the piece above in a lap is drawn over the
//! piece below, whose hidden end is dashed. Lengths are to scale; laps and end cuts are widened where to scale they
//! would vanish. On a long run numbers are thinned out, never the picked one's.

use crate::drawing::Theme;
use crate::drawing::pen::HALF_CAPITAL;
use crate::drawing::raster::measure;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::order::Side;
use crate::order::plan::{Goes, Piece, PieceEnd};

/// A run's pieces from left to right, and which of them is picked out.
#[derive(Debug, Clone, PartialEq)]
pub struct WallView {
    pub pieces: Vec<Span>,
    /// An index into `pieces`.
    pub picked: usize,
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
    Lap { lap_mm: f64, goes: Goes },
}

impl WallView {
    /// The run of `piece`, with its other pieces from `pieces`, which may hold other runs too.
    pub fn of(piece: &Piece, pieces: &[Piece]) -> Self {
        let others = pieces.iter().filter(|other| other.run == piece.run && other.place != piece.place);
        let mut run: Vec<Span> = others.chain([piece]).map(Span::from).collect();
        run.sort_by_key(|span| span.place);
        let picked = run.iter().filter(|span| span.place < piece.place).count();
        Self { pieces: run, picked }
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
            PieceEnd::Lap { lap, goes, .. } => Self::Lap { lap_mm: lap.mm, goes: *goes },
        }
    }
}

/// The run above, LEFT and RIGHT below it.
pub fn svg(view: &WallView, width: f64, height: f64, theme: Theme) -> String {
    let mut svg = Svg::new(width, height);
    svg.rect(0.0, 0.0, width, height, Paint::fill(theme.paper));
    let (run, tag) = (height * 0.62, height * 0.28);
    draw_run(&mut svg, view, [0.0, 0.0], [width, run], theme);
    draw_tag(&mut svg, Side::Left, [0.0, height - tag], tag, theme);
    draw_tag(&mut svg, Side::Right, [width, height - tag], tag, theme);
    svg.finish()
}

/// Draws the row of pieces into the box whose upper left corner is `at`.
pub fn draw_run(svg: &mut Svg, view: &WallView, at: [f64; 2], size: [f64; 2], theme: Theme) {
    let Some(bars) = Bars::new(view, at, size) else { return };
    for index in bars.laying_order(view) {
        bars.draw_piece(svg, view, index, theme);
    }
    bars.draw_hidden_ends(svg, view, theme);
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

/// The widest digit (the typeface's bold), in ems.
const DIGIT: f64 = 0.528;

/// Where everything stands, in the drawing's units.
struct Bars {
    top: f64,
    height: f64,
    line: f64,
    /// Left and right edge of each piece.
    edges: Vec<[f64; 2]>,
    /// Units per mm.
    scale: f64,
    numbers: Numbers,
}

enum Numbers {
    Inside {
        size: f64,
    },
    /// Thinned out, above the bars; `baseline` is theirs.
    Above {
        size: f64,
        baseline: f64,
    },
}

impl Bars {
    /// `None` when there is nothing to draw or no room for it.
    fn new(view: &WallView, [left, top]: [f64; 2], [width, height]: [f64; 2]) -> Option<Self> {
        let run_mm = view.pieces.iter().map(|span| span.from_left_mm + span.length_mm).fold(0.0, f64::max);
        let line = (height * 0.04).round().max(1.0);
        if run_mm <= 0.0 || width <= 2.0 * line || height <= 2.0 * line {
            return None;
        }
        let (left, width) = (left + line / 2.0, width - line);
        // Lines cover whole dots, so that on a label none is thicker where two pieces meet.
        let snap = |at: f64| (at - line / 2.0).round() + line / 2.0;
        let scale = width / run_mm;
        let mut edges: Vec<[f64; 2]> = view
            .pieces
            .iter()
            .map(|span| [span.from_left_mm, span.from_left_mm + span.length_mm].map(|mm| left + mm * scale))
            .collect();
        for right in 1..edges.len() {
            let ([from, under], [over, to]) = (edges[right - 1], edges[right]);
            let least = (height * 0.2).min(0.3 * (under - from).min(to - over));
            let (middle, half) = (f64::midpoint(under, over), (under - over).max(least) / 2.0);
            edges[right - 1][1] = middle + half;
            edges[right][0] = middle - half;
        }
        let edges: Vec<[f64; 2]> = edges.into_iter().map(|ends| ends.map(snap)).collect();

        let digits = view.pieces.iter().map(|span| span.place.to_string().len()).max().unwrap_or(1) as f64;
        let room = (0..edges.len()).map(|index| seen(&edges, index)).map(|[from, to]| to - from).fold(width, f64::min);
        let inside = ((room - 4.0 * line) / (digits * DIGIT)).min(height * 0.62);
        let crowded = inside < height * 0.4;
        let band = if crowded { height * 0.44 } else { 0.0 };
        let numbers = if crowded {
            Numbers::Above { size: height * 0.5, baseline: top + height * 0.36 }
        } else {
            Numbers::Inside { size: inside }
        };
        let (top, bottom) = (snap(top + band + line / 2.0), snap(top + height - line / 2.0));
        let height = bottom - top;
        Some(Self { top, height, line, edges, scale, numbers })
    }

    /// Under pieces first, so that the over ones cover them.
    fn laying_order(&self, view: &WallView) -> Vec<usize> {
        let leftward = view.pieces.iter().any(|span| matches!(span.left, EndShape::Lap { goes: Goes::Under, .. }));
        let order = 0..self.edges.len();
        if leftward { order.rev().collect() } else { order.collect() }
    }

    fn draw_piece(&self, svg: &mut Svg, view: &WallView, index: usize, theme: Theme) {
        let (span, [left, right]) = (&view.pieces[index], self.edges[index]);
        let fill = if index == view.picked { theme.now } else { theme.metal };
        let (top, bottom) = (self.top, self.top + self.height);
        let cut = |end| self.gable_cut(end, right - left);
        // Of the roof leg only: the wall leg above the bend runs on.
        let bend = top + self.height * 0.35;
        let outline = [
            [left, top],
            [right, top],
            [right, bend],
            [right - cut(span.right), bottom],
            [left + cut(span.left), bottom],
            [left, bend],
        ];
        svg.polygon(&outline, Paint::fill(fill).outlined(theme.ink, self.line));
        // A return's tab, folded back to the wall: a second line close to the end.
        let tab = (self.height * 0.16).min((right - left) * 0.25);
        let fold = if index == view.picked { theme.paper } else { theme.ink };
        for (end, x) in [(span.left, left + tab), (span.right, right - tab)] {
            if end == EndShape::Return {
                svg.line([x, top + self.line], [x, bottom - self.line], Paint::stroke(fold, self.line));
            }
        }
    }

    /// How far the lower edge is cut back at an end of a piece this wide.
    fn gable_cut(&self, end: EndShape, width: f64) -> f64 {
        match end {
            EndShape::Gable { width_mm } => (width_mm * self.scale).max(self.height * 0.35).min(width * 0.4),
            _ => 0.0,
        }
    }

    /// The end of each under piece, dashed through the piece that covers it; on a crowded run the dashes would drown the pieces.
    fn draw_hidden_ends(&self, svg: &mut Svg, view: &WallView, theme: Theme) {
        if matches!(self.numbers, Numbers::Above { .. }) {
            return;
        }
        let under = |end| matches!(end, EndShape::Lap { goes: Goes::Under, .. });
        for (index, span) in view.pieces.iter().enumerate() {
            let [left, right] = self.edges[index];
            for (hidden, x, cover) in
                [(under(span.left), left, index.checked_sub(1)), (under(span.right), right, Some(index + 1))]
            {
                if hidden {
                    let colour = if cover == Some(view.picked) { theme.paper } else { theme.ink };
                    let paint = Paint::stroke(colour, self.line).dashed();
                    svg.line([x, self.top + self.line], [x, self.top + self.height - self.line], paint);
                }
            }
        }
    }

    fn draw_numbers(&self, svg: &mut Svg, view: &WallView, theme: Theme) {
        let set = |index: usize, size: f64, picked_colour| {
            let (weight, colour) =
                if index == view.picked { (Weight::Bold, picked_colour) } else { (Weight::Regular, theme.ink) };
            Type { size, weight, anchor: Anchor::Middle, colour }
        };
        match self.numbers {
            Numbers::Inside { size } => {
                let baseline = self.top + self.height / 2.0 + size * HALF_CAPITAL;
                for (index, span) in view.pieces.iter().enumerate() {
                    let [from, to] = seen(&self.edges, index);
                    // Half way down the cut is about where a figure's foot would meet it.
                    let cut = |end| self.gable_cut(end, to - from) / 2.0;
                    let at = [f64::midpoint(from + cut(span.left), to - cut(span.right)), baseline];
                    svg.text(at, &span.place.to_string(), set(index, size, theme.paper));
                }
            }
            Numbers::Above { size, baseline } => {
                for (index, x) in self.thinned(view, size) {
                    svg.text([x, baseline], &view.pieces[index].place.to_string(), set(index, size, theme.now));
                }
            }
        }
    }

    /// The numbers there is room for, each with its middle: the picked one, the ends, then tens and fives.
    fn thinned(&self, view: &WallView, size: f64) -> Vec<(usize, f64)> {
        let count = view.pieces.len();
        let every = |n: usize| (0..count).filter(move |&index| view.pieces[index].place.is_multiple_of(n));
        let wanted = [view.picked, 0, count - 1].into_iter().chain(every(10)).chain(every(5));
        let (first, last) = (self.edges[0][0], self.edges[count - 1][1]);
        let mut placed: Vec<(usize, f64, f64)> = Vec::new();
        for index in wanted {
            let half = view.pieces[index].place.to_string().len() as f64 * DIGIT * size / 2.0;
            let [from, to] = seen(&self.edges, index);
            let x = f64::midpoint(from, to).min(last - half).max(first + half);
            if placed.iter().all(|&(_, other, other_half)| (x - other).abs() > half + other_half + size * 0.4) {
                placed.push((index, x, half));
            }
        }
        placed.into_iter().map(|(index, x, _)| (index, x)).collect()
    }
}

/// The part of a piece that no lap shares.
fn seen(edges: &[[f64; 2]], index: usize) -> [f64; 2] {
    let [mut from, mut to] = edges[index];
    if let Some(left) = index.checked_sub(1) {
        from = from.max(edges[left][1]);
    }
    if let Some(right) = edges.get(index + 1) {
        to = to.min(right[0]);
    }
    [from, to]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::raster;

    const LAP: f64 = 150.0;
    const PIECE: f64 = 3000.0;

    /// A run of `count` pieces, gable to return, laid from one end.
    fn run(count: usize, lay_from: Side, picked: usize) -> WallView {
        let lap = |goes| EndShape::Lap { lap_mm: LAP, goes };
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
        WallView { pieces: (0..count).map(span).collect(), picked }
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

    #[test]
    fn nothing_to_draw_draws_nothing() {
        let view = WallView { pieces: Vec::new(), picked: 0 };
        assert!(svg(&view, 300.0, 80.0, Theme::LIGHT).contains(">LEFT<"));
        assert!(svg(&run(3, Side::Left, 0), 1.0, 1.0, Theme::LIGHT).starts_with("<svg"));
    }
}
