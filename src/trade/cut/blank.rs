//! A piece's blank: its finished length, a cut at either end, and what follows for whoever marks it out and snips it.
//!
//! All in blank coordinates: `x` from the blank's left end, `y` from the datum edge.

use super::{Cut, Point};
use crate::trade::length::Length;

/// The flat strip one piece is bent from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blank {
    /// The piece's length on the building. More than the two cuts' reaches, so that they do not meet.
    pub finished: Length,
    pub left: Cut,
    pub right: Cut,
}

/// A point to mark on a blank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    /// From the blank's left end.
    pub x: Length,
    /// From the datum edge.
    pub y: Length,
}

/// A mark closer than this to the line between its neighbours is not one.
const OFF_THE_LINE: f64 = 0.01;

impl Blank {
    pub fn length(&self) -> Length {
        self.finished + self.left.beyond() + self.right.beyond()
    }

    /// What is left after both cuts: one closed polygon in millimetres, first point not repeated. It runs down the left end
    /// from the datum edge and up the right.
    pub fn outline(&self) -> Vec<[f64; 2]> {
        let length = self.length();
        let down = self.left.in_the_blank().map(|(x, point)| [x.mm(), point.y.mm()]);
        let up = self.right.in_the_blank().rev().map(|(x, point)| [(length - x).mm(), point.y.mm()]);
        down.chain(up).collect()
    }

    /// The points to mark at the left and the right end, each from the datum edge down: where the cut's line turns. The
    /// blank's own corners need no mark. Over a bend one mark, on its line, stands for the curve.
    pub fn marks(&self) -> [Vec<Mark>; 2] {
        let length = self.length();
        [
            self.left.corners().into_iter().map(|[x, y]| Mark { x, y }).collect(),
            self.right.corners().into_iter().map(|[x, y]| Mark { x: length - x, y }).collect(),
        ]
    }

    /// What is snipped away at the left and the right end: closed polygons in millimetres, first points not repeated. With
    /// the outline they make up the sheared strip.
    pub fn notches(&self) -> [Vec<Vec<[f64; 2]>>; 2] {
        let length = self.length();
        let of = |cut: &Cut, place: &dyn Fn(Length) -> Length| {
            cut.notches()
                .into_iter()
                .map(|notch| notch.into_iter().map(|[x, y]| [place(x).mm(), y.mm()]).collect())
                .collect()
        };
        [of(&self.left, &|x| x), of(&self.right, &|x| length - x)]
    }
}

impl Cut {
    /// Each point with how far it is from the blank's end.
    fn in_the_blank(&self) -> impl DoubleEndedIterator<Item = (Length, Point)> + '_ {
        let beyond = self.beyond();
        self.points.iter().map(move |&point| (beyond + point.inset, point))
    }

    /// Where its line turns, as distances from the blank's end and the datum edge.
    fn corners(&self) -> Vec<[Length; 2]> {
        let marked: Vec<[Length; 2]> =
            self.in_the_blank().filter(|(_, point)| point.marked).map(|(x, point)| [x, point.y]).collect();
        let turns = |i: usize| match (i.checked_sub(1).and_then(|before| marked.get(before)), marked.get(i + 1)) {
            (Some(before), Some(after)) => off_the_line(marked[i], *before, *after) > OFF_THE_LINE,
            // At the blank's edges the line begins and ends; at its corner, where it leaves that at a slant.
            (next, other) => [Some(&marked[i]), next, other].into_iter().flatten().any(|[x, _]| *x > Length::ZERO),
        };
        (0..marked.len()).filter(|&i| turns(i)).map(|i| marked[i]).collect()
    }

    /// The polygons between its line and the blank's end, as distances from that end and the datum edge.
    fn notches(&self) -> Vec<Vec<[Length; 2]>> {
        let line: Vec<[Length; 2]> = self.in_the_blank().map(|(x, point)| [x, point.y]).collect();
        let foot = |end: Option<&[Length; 2]>| end.map(|&[_, y]| [Length::ZERO, y]);
        let closed = foot(line.first()).into_iter().chain(line.iter().copied()).chain(foot(line.last()));
        let mut notches = Vec::new();
        let mut notch: Vec<[Length; 2]> = Vec::new();
        // The line comes back to the blank's end between one notch and the next, only ever at a point of its own.
        for point in closed {
            let at_end = point[0] == Length::ZERO;
            notch.push(point);
            if at_end {
                let done = std::mem::replace(&mut notch, vec![point]);
                notches.extend((done.len() > 2).then_some(done));
            }
        }
        notches
    }
}

/// How far `point` is from the line through `a` and `b`, in mm.
fn off_the_line(point: [Length; 2], a: [Length; 2], b: [Length; 2]) -> f64 {
    let [[px, py], [ax, ay], [bx, by]] = [point, a, b].map(|of| of.map(Length::mm));
    let twice_area = (bx - ax) * (py - ay) - (by - ay) * (px - ax);
    twice_area.abs() / (bx - ax).hypot(by - ay)
}

/// Area of a simple polygon, in the square of its unit (shoelace formula).
pub fn area(polygon: &[[f64; 2]]) -> f64 {
    let next = polygon.iter().cycle().skip(1);
    let twice: f64 = polygon.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum();
    twice.abs() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::section::Flat;

    const MM: fn(i64) -> Length = Length::millimetres;

    fn flat() -> Flat {
        Flat {
            girth: MM(240),
            datum_fold: None,
            bend_lines: vec![MM(100)],
            lower_fold: Some(MM(228)),
            shortenings: vec![],
        }
    }

    /// A gable cut 64 mm wide at the left, a return 30 mm deep at the right.
    fn blank() -> Blank {
        Blank { finished: MM(1000), left: Cut::gable(&flat(), MM(64)), right: Cut::return_tab(&flat(), MM(30)) }
    }

    #[test]
    fn marks_lie_where_the_line_turns_and_not_on_the_blanks_corners() {
        let [gable, tab] =
            blank().marks().map(|marks| marks.into_iter().map(|mark| [mark.x, mark.y]).collect::<Vec<_>>());
        assert_eq!(gable, [[0, 100], [64, 228], [58, 240]].map(|at| at.map(MM)));
        assert_eq!(
            tab,
            [[1000, 0], [1000, 100], [1030, 100], [1030, 228], [1000, 228], [1000, 240]].map(|at| at.map(MM))
        );
        let square = Blank { left: Cut::square(&flat()), ..blank() };
        assert_eq!(square.marks()[0], []);
    }

    #[test]
    fn notches_and_outline_make_up_the_strip() {
        let blank = blank();
        let [gable, tab] = blank.notches();
        assert_eq!(gable, [[[0.0, 100.0], [64.0, 228.0], [58.0, 240.0], [0.0, 240.0]]]);
        assert_eq!(
            tab,
            [
                [[1030.0, 0.0], [1000.0, 0.0], [1000.0, 100.0], [1030.0, 100.0]],
                [[1030.0, 228.0], [1000.0, 228.0], [1000.0, 240.0], [1030.0, 240.0]]
            ]
        );
        let parts: f64 = gable.iter().chain(&tab).map(|notch| area(notch)).sum();
        assert!((area(&blank.outline()) + parts - 1030.0 * 240.0).abs() < 1e-6);
    }
}
