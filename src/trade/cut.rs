//! What is cut away at an end of a blank, and the outline that is left.
//!
//! Every end cut here removes metal from the end inward, so it is told by how far in the cut runs at each distance
//! from the datum edge: a polyline of (y, inset) from y = 0 to the girth, with steps where two points share a y. Two such
//! lines and the blank's length make the outline, one simple polygon, with no polygon clipping needed.

use super::length::Length;
use super::section::Flat;

/// An end's cut. Points are millimetres: distance from the datum edge, inset from the blank's end.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    points: Vec<[f64; 2]>,
}

/// What is cut past the fold along with the hem, so that a lapped hem slides home (common practice, no source).
pub const HEM_RELIEF: Length = Length::sixty_fourths(8);

impl Cut {
    /// Nothing is cut.
    pub fn square(flat: &Flat) -> Self {
        Self { points: vec![[0.0, 0.0], [flat.girth.mm(), 0.0]] }
    }

    /// On the under piece: the hem and ⅛ in past its fold, over the lap. `hem` is the finished width.
    pub fn lap_notch(flat: &Flat, lap: Length, hem: Length) -> Self {
        let (girth, shoulder) = (flat.girth.mm(), lap_notch_line(flat, hem).mm());
        Self { points: vec![[0.0, 0.0], [shoulder, 0.0], [shoulder, lap.mm()], [girth, lap.mm()]] }
    }

    /// On an end wall's roof leg: from `width` on the fold to the bend line at the very end. Over the hem the cut runs on
    /// as the mirror image over the fold, so that the folded hem lies inside it.
    pub fn gable(flat: &Flat, width: Length) -> Self {
        let (girth, fold, width) = (flat.girth.mm(), flat.fold_line.mm(), width.mm());
        let bend = flat.bend_lines.last().map_or(0.0, |line| line.mm());
        let past_fold = width * (1.0 - (girth - fold) / (fold - bend));
        Self { points: vec![[0.0, 0.0], [bend, 0.0], [fold, width], [girth, past_fold]] }
    }

    /// How far in it is at the blank's lower edge.
    pub fn at_lower_edge(&self) -> Length {
        self.points.last().map_or(Length::ZERO, |&[_, inset]| Length::from_mm(inset))
    }

    /// On a reglet: over `depth` the legs above the face and the hem are removed; what stays is the tab.
    pub fn return_tab(flat: &Flat, depth: Length) -> Self {
        let (girth, fold, depth) = (flat.girth.mm(), flat.fold_line.mm(), depth.mm());
        let bend = flat.bend_lines.last().map_or(0.0, |line| line.mm());
        Self { points: vec![[0.0, depth], [bend, depth], [bend, 0.0], [fold, 0.0], [fold, depth], [girth, depth]] }
    }
}

/// Where a lap notch begins, from the datum edge.
pub fn lap_notch_line(flat: &Flat, hem: Length) -> Length {
    flat.girth - hem - HEM_RELIEF
}

/// The blank's outline after both cuts: one closed polygon, x from the left end, y from the datum edge, millimetres,
/// first point not repeated. The cuts must not meet; [`Flat`]s and run layouts that pass their checks see to that.
pub fn outline(length: Length, left: &Cut, right: &Cut) -> Vec<[f64; 2]> {
    let length = length.mm();
    let down = left.points.iter().map(|&[y, inset]| [inset, y]);
    let up = right.points.iter().rev().map(|&[y, inset]| [length - inset, y]);
    // Rounded to the nanometre once, like every computed length.
    let exact = |point: [f64; 2]| point.map(|mm| Length::from_mm(mm).mm());
    let mut points: Vec<[f64; 2]> = down.chain(up).map(exact).collect();
    points.dedup();
    points
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

    fn flat() -> Flat {
        Flat {
            girth: Length::millimetres(240),
            bend_lines: vec![Length::millimetres(100)],
            fold_line: Length::millimetres(228),
            shortenings: vec![],
        }
    }

    fn waste(cut: &Cut) -> f64 {
        let square = Cut::square(&flat());
        240.0 * 1000.0 - area(&outline(Length::millimetres(1000), cut, &square))
    }

    /// DEVELOPERS.md, the geometry: the lap notch takes ℓ·(h + ⅛ in).
    #[test]
    fn lap_notch_takes_its_rectangle() {
        let cut = Cut::lap_notch(&flat(), Length::inches(6), Length::sixty_fourths(32));
        assert!((waste(&cut) - 6.0 * 25.4 * 0.625 * 25.4).abs() < 1e-6);
    }

    #[test]
    fn gable_takes_a_triangle_and_its_mirror_over_the_fold() {
        let cut = Cut::gable(&flat(), Length::millimetres(64));
        let (leg, hem) = (128.0, 12.0);
        let mirrored = 64.0 * (hem - hem * hem / (2.0 * leg));
        assert!((waste(&cut) - (64.0 * leg / 2.0 + mirrored)).abs() < 1e-6);
    }

    #[test]
    fn a_return_leaves_the_face_as_a_tab() {
        let cut = Cut::return_tab(&flat(), Length::millimetres(30));
        assert!((waste(&cut) - 30.0 * (100.0 + 12.0)).abs() < 1e-6);
    }
}
