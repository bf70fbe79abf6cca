//! The row of pieces: where each bar, cut, lap and number stands, and how it is drawn.

use super::{EndShape, WallView};
use crate::drawing::Theme;
use crate::drawing::pen::HALF_CAPITAL;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::order::Corner;
use crate::order::plan::Goes;

/// The widest digit (the typeface's bold), in ems.
const DIGIT: f64 = 0.528;

/// Where everything stands, in the drawing's units.
pub struct Bars {
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
    pub fn new(view: &WallView, [left, top]: [f64; 2], [width, height]: [f64; 2]) -> Option<Self> {
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
    pub fn laying_order(&self, view: &WallView) -> Vec<usize> {
        let leftward = view.pieces.iter().any(|span| matches!(span.left, EndShape::Lap { goes: Goes::Under, .. }));
        let order = 0..self.edges.len();
        if leftward { order.rev().collect() } else { order.collect() }
    }

    pub fn draw_piece(&self, svg: &mut Svg, view: &WallView, index: usize, theme: Theme) {
        let (span, [left, right]) = (&view.pieces[index], self.edges[index]);
        let fill = if index == view.picked { theme.now } else { theme.metal };
        let (top, bottom) = (self.top, self.top + self.height);
        let width = right - left;
        // Each end's line down from the wall, as inset and height.
        let line = |end| {
            let slant = self.slant(width);
            let [upper, bend, middle, lower] = match end {
                // Of the roof leg only: the wall leg above the bend runs on.
                EndShape::Gable { .. } => [0.0, 0.0, 0.0, self.gable_cut(end, width)],
                EndShape::Corner(Corner::Outside) => [slant, slant * 0.65, slant * 0.5, 0.0],
                EndShape::Corner(Corner::Inside) => [0.0, slant * 0.35, slant * 0.5, slant],
                // The slope changes: the end is not square, whichever way.
                EndShape::Transition => [0.0, slant * 0.35, slant * 0.5, 0.0],
                EndShape::Square | EndShape::Return | EndShape::Dam | EndShape::Lap { .. } => [0.0; 4],
            };
            let tall = self.height;
            let at = [[upper, top], [bend, top + tall * 0.35], [middle, top + tall * 0.5], [lower, bottom]];
            if matches!(end, EndShape::Gable { .. }) { [at[0], at[1], at[3], at[3]] } else { at }
        };
        let left_line = line(span.left).map(|[inset, y]| [left + inset, y]);
        let right_line = line(span.right).map(|[inset, y]| [right - inset, y]);
        let mut outline: Vec<[f64; 2]> = right_line.into_iter().chain(left_line.into_iter().rev()).collect();
        outline.dedup();
        svg.polygon(&outline, Paint::fill(fill).outlined(theme.ink, self.line));
        // A return's tab, folded back to the wall: a second line close to the end. A dam's, turned up: a solid band.
        let tab = (self.height * 0.16).min(width * 0.25);
        let fold = if index == view.picked { theme.paper } else { theme.ink };
        for (end, x, inner) in [(span.left, left, left + tab), (span.right, right, right - tab)] {
            match end {
                EndShape::Return => {
                    svg.line([inner, top + self.line], [inner, bottom - self.line], Paint::stroke(fold, self.line));
                }
                EndShape::Dam => {
                    let (from, to) = (x.min(inner) + self.line, x.max(inner) - self.line);
                    let tall = self.height - 2.0 * self.line;
                    svg.rect(from, top + self.line, (to - from).max(self.line), tall, Paint::fill(fold));
                }
                _ => {}
            }
        }
    }

    /// How far a mitred end leans, on a piece this wide.
    fn slant(&self, width: f64) -> f64 {
        (self.height * 0.4).min(width * 0.3)
    }

    /// How far the lower edge is cut back at an end of a piece this wide.
    fn gable_cut(&self, end: EndShape, width: f64) -> f64 {
        match end {
            EndShape::Gable { width_mm } => (width_mm * self.scale).max(self.height * 0.35).min(width * 0.4),
            _ => 0.0,
        }
    }

    /// The end of each under piece, dashed through the piece that covers it; on a crowded run the dashes would drown the pieces.
    pub fn draw_hidden_ends(&self, svg: &mut Svg, view: &WallView, theme: Theme) {
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

    /// On each lap that is an expansion joint an arrow both ways: sealed, never fastened, it slides.
    pub fn draw_joints(&self, svg: &mut Svg, view: &WallView, theme: Theme) {
        let y = self.top + self.height * 0.8;
        let head = self.height * 0.1;
        for (index, pair) in view.pieces.windows(2).enumerate() {
            let [from, to] = [self.edges[index + 1][0], self.edges[index][1]];
            if !pair[0].right.is_joint() && !pair[1].left.is_joint() {
                continue;
            }
            let over = if pair[0].right.goes() == Some(Goes::Over) { index } else { index + 1 };
            let colour = if over == view.picked { theme.paper } else { theme.ink };
            let (inset, line) = (self.line * 1.5, self.line.max(head * 0.25));
            let (from, to) = (from + inset, to - inset);
            let head = head.min((to - from) * 0.4);
            svg.line([from + head, y], [to - head, y], Paint::stroke(colour, line));
            for (tip, back) in [(from, from + head), (to, to - head)] {
                svg.polygon(&[[tip, y], [back, y - head * 0.8], [back, y + head * 0.8]], Paint::fill(colour));
            }
        }
    }

    pub fn draw_numbers(&self, svg: &mut Svg, view: &WallView, theme: Theme) {
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
                    let cut = |end| match end {
                        EndShape::Gable { .. } => self.gable_cut(end, to - from) / 2.0,
                        EndShape::Corner(_) | EndShape::Transition => self.slant(to - from) / 2.0,
                        _ => 0.0,
                    };
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
