//! What is cut away at an end of a blank.
//!
//! A cut is a line across the blank: how far inside the piece's finished end it lies at each distance from the datum edge,
//! from 0 to the girth, with a step where two points share a distance. Where metal goes on past the finished end, as a tab
//! to be folded or the sloped leg of an outside corner, the line lies outside: its inset is below 0. Two such lines and the
//! finished length make a blank, one simple polygon, with no polygon clipping needed.

mod blank;

use super::length::Length;
use super::section::{Edge, Flat, Hem, Section};

pub use blank::{Blank, Mark, area};

/// An end's cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// From the datum edge to the lower edge.
    points: Vec<Point>,
}

/// A point of a cut's line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Point {
    /// From the datum edge.
    pub y: Length,
    /// From the piece's finished end inward.
    pub inset: Length,
    /// Whether it is marked out by hand; the others only follow the curve a straight cut takes over a bend.
    pub marked: bool,
}

/// What is cut past the fold along with the hem, so that a lapped hem slides home (common practice, no source).
pub const HEM_RELIEF: Length = Length::sixty_fourths(8);

impl Cut {
    /// Nothing is cut.
    pub fn square(flat: &Flat) -> Self {
        Self::straight([[Length::ZERO; 2], [flat.girth, Length::ZERO]])
    }

    /// On the under piece: each hem and ⅛ in past its fold, over the lap.
    pub fn lap_notch(section: &Section, flat: &Flat, lap: Length) -> Self {
        let shoulder = |edge| section.hem(edge).map(|hem| lap_notch_line(flat, edge, hem));
        let over = |hem: Option<Length>| hem.map_or(Length::ZERO, |_| lap);
        let (datum, lower) = (shoulder(Edge::Datum), shoulder(Edge::Lower));
        let upper_end = datum.unwrap_or_default();
        // Between two hems with less than their reliefs' width there is nothing left to lap.
        let lower_end = lower.unwrap_or(flat.girth).max(upper_end);
        Self::straight([
            [Length::ZERO, over(datum)],
            [upper_end, over(datum)],
            [upper_end, Length::ZERO],
            [lower_end, Length::ZERO],
            [lower_end, over(lower)],
            [flat.girth, over(lower)],
        ])
    }

    /// On an end wall's roof leg: from `width` at its foot to the bend line at the very end. Over the hem the cut runs on
    /// as the mirror image over the fold, so that the folded hem lies inside it.
    pub fn gable(flat: &Flat, width: Length) -> Self {
        let [bend, foot] = last_leg(flat);
        let past_fold = (flat.girth - foot).mm() / (foot - bend).mm();
        let at_edge = Length::from_mm(width.mm() * (1.0 - past_fold));
        Self::straight([[Length::ZERO; 2], [bend, Length::ZERO], [foot, width], [flat.girth, at_edge]])
    }

    /// On a reglet: its face goes on by `depth` as a tab, to be folded back to the wall.
    pub fn return_tab(flat: &Flat, depth: Length) -> Self {
        Self::tongue(flat, depth)
    }

    /// The roof leg goes on by `height`, to be turned up at the wall that the trim runs into.
    pub fn dam(flat: &Flat, height: Length) -> Self {
        Self::tongue(flat, height)
    }

    /// The last leg goes on by `beyond`; the legs above it and the hems end where the piece does.
    fn tongue(flat: &Flat, beyond: Length) -> Self {
        let [bend, foot] = last_leg(flat);
        let (end, past) = (Length::ZERO, -beyond);
        Self::straight([[end, end], [bend, end], [bend, past], [foot, past], [foot, end], [flat.girth, end]])
    }

    /// Straight from each point to the next.
    fn straight(points: impl IntoIterator<Item = [Length; 2]>) -> Self {
        Self::along(points.into_iter().map(|[y, inset]| Point { y, inset, marked: true }))
    }

    /// A step along an edge itself, where a strip has no hem to be cut, is left out.
    pub(super) fn along(points: impl IntoIterator<Item = Point>) -> Self {
        let mut points: Vec<Point> = points.into_iter().collect();
        points.dedup_by_key(|point| (point.y, point.inset));
        if points.get(1).is_some_and(|second| second.y == points[0].y) {
            points.remove(0);
        }
        if let [.., before, last] = points[..]
            && before.y == last.y
        {
            points.pop();
        }
        Self { points }
    }

    /// How far the blank goes on past the finished end.
    pub fn beyond(&self) -> Length {
        self.insets().map(|inset| -inset).fold(Length::ZERO, Length::max)
    }

    /// How far the cut reaches into the finished piece. Where a piece is longer than its two ends' reaches, they do not meet.
    pub fn reach(&self) -> Length {
        self.insets().fold(Length::ZERO, Length::max)
    }

    /// How far in it is at the blank's lower edge.
    pub fn at_lower_edge(&self) -> Length {
        self.insets().last().unwrap_or_default()
    }

    /// How far in it is at `y` from the datum edge; at a step, on the deeper side of it; off an edge, as on it.
    pub fn inset_at(&self, y: Length) -> Length {
        let y = self.points.last().map_or(y, |last| y.clamp(Length::ZERO, last.y));
        let beside = self.points.windows(2).filter(|pair| (pair[0].y..=pair[1].y).contains(&y));
        let on = |pair: &[Point]| match (pair[1].y - pair[0].y, pair[1].inset - pair[0].inset) {
            (Length::ZERO, _) => pair[0].inset.max(pair[1].inset),
            (along, across) => pair[0].inset + Length::from_mm(across.mm() * ((y - pair[0].y).mm() / along.mm())),
        };
        beside.map(on).max().unwrap_or_default()
    }

    fn insets(&self) -> impl Iterator<Item = Length> + '_ {
        self.points.iter().map(|point| point.inset)
    }
}

/// Where the last leg begins and ends: its bend line, or where the strip has none its first fold or edge, and its foot.
fn last_leg(flat: &Flat) -> [Length; 2] {
    [flat.bend_lines.last().copied().unwrap_or(flat.head()), flat.foot()]
}

/// Where a lap notch over `hem` ends, from the datum edge.
pub fn lap_notch_line(flat: &Flat, edge: Edge, hem: Hem) -> Length {
    let from_edge = hem.width + HEM_RELIEF;
    match edge {
        Edge::Datum => from_edge,
        Edge::Lower => flat.girth - from_edge,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::section::{Bend, Leg, LegName, Turn};

    const MM: fn(i64) -> Length = Length::millimetres;

    /// Two legs; a bend line at 100 mm.
    fn flat(datum_fold: Option<i64>, lower_fold: Option<i64>) -> Flat {
        let [datum_fold, lower_fold] = [datum_fold, lower_fold].map(|at| at.map(MM));
        Flat { girth: MM(240), datum_fold, bend_lines: vec![MM(100)], lower_fold, shortenings: vec![] }
    }

    /// Of a cut at the left end, in mm².
    fn waste(cut: Cut) -> f64 {
        let blank = Blank { finished: MM(1000), right: Cut::square(&flat(None, None)), left: cut };
        240.0 * blank.length().mm() - area(&blank.outline())
    }

    fn hemmed(datum_hem: Option<Hem>, lower_hem: Option<Hem>) -> Section {
        let leg = Leg { name: LegName::WallLeg, width: MM(120) };
        let bends = vec![Bend { through_deg: 90.0, turn: Turn::Up }];
        Section { legs: vec![leg, leg], bends, datum_hem, lower_hem, thickness: MM(1), inside_radius: MM(1) }
    }

    /// DEVELOPERS.md, the geometry: the lap notch takes ℓ·(h + ⅛ in) of each hem, and nothing of an edge without one.
    #[test]
    fn lap_notch_takes_a_rectangle_of_each_hem() {
        let hem = |sixty_fourths| Some(Hem::closed(Length::sixty_fourths(sixty_fourths)));
        let taken = |datum, lower| waste(Cut::lap_notch(&hemmed(datum, lower), &flat(None, None), Length::inches(6)));
        let [half, three_quarters] = [0.625, 0.875].map(|up| 6.0 * 25.4 * up * 25.4);
        assert!(taken(None, None).abs() < 1e-6);
        assert!((taken(None, hem(32)) - half).abs() < 1e-6);
        assert!((taken(hem(32), None) - half).abs() < 1e-6);
        assert!((taken(hem(48), hem(32)) - three_quarters - half).abs() < 1e-6);
        // Hems so wide that their reliefs overlap take the whole end, once.
        let wide = Some(Hem::closed(MM(120)));
        assert!((taken(wide, wide) - 6.0 * 25.4 * 240.0).abs() < 1e-6);
    }

    #[test]
    fn gable_takes_a_triangle_and_its_mirror_over_the_fold() {
        let (leg, hem) = (128.0, 12.0);
        let mirrored = 64.0 * (hem - hem * hem / (2.0 * leg));
        assert!((waste(Cut::gable(&flat(None, Some(228)), MM(64))) - (64.0 * leg / 2.0 + mirrored)).abs() < 1e-6);
        assert!((waste(Cut::gable(&flat(Some(12), None), MM(64))) - 64.0 * 140.0 / 2.0).abs() < 1e-6);
    }

    /// What a tab leaves is its own: everything else over its depth is cut, whichever edges are hemmed.
    #[test]
    fn a_return_or_a_dam_adds_its_depth_and_leaves_the_last_leg() {
        for (datum, lower, rest) in [(None, None, 100.0), (Some(12), None, 100.0), (Some(12), Some(228), 112.0)] {
            let flat = flat(datum, lower);
            for cut in [Cut::return_tab(&flat, MM(30)), Cut::dam(&flat, MM(30))] {
                assert_eq!((cut.beyond(), cut.reach()), (MM(30), Length::ZERO));
                assert!((waste(cut) - 30.0 * rest).abs() < 1e-6);
            }
        }
    }

    /// A strip with no bend is all tab; without hems nothing is cut, and there is nothing to mark.
    #[test]
    fn a_flat_strip_goes_on_whole_between_its_hems() {
        let [hemmed, plain] =
            [flat(Some(12), Some(228)), flat(None, None)].map(|flat| Flat { bend_lines: vec![], ..flat });
        assert!((waste(Cut::dam(&hemmed, MM(30))) - 30.0 * 24.0).abs() < 1e-6);
        let blank = Blank { finished: MM(1000), left: Cut::dam(&plain, MM(30)), right: Cut::square(&plain) };
        assert_eq!(blank.outline(), [[0.0, 0.0], [0.0, 240.0], [1030.0, 240.0], [1030.0, 0.0]]);
        assert_eq!(blank.marks(), [vec![], vec![]]);
    }

    #[test]
    fn an_end_reaches_in_as_far_as_it_is_cut() {
        let flat = flat(None, Some(228));
        let lap = Cut::lap_notch(&hemmed(None, Some(Hem::closed(MM(12)))), &flat, MM(150));
        assert_eq!((lap.reach(), lap.beyond()), (MM(150), Length::ZERO));
        let gable = Cut::gable(&flat, MM(64));
        assert_eq!((gable.reach(), gable.at_lower_edge()), (MM(64), MM(58)));
        assert_eq!(Cut::square(&flat).reach(), Length::ZERO);
    }

    #[test]
    fn an_inset_is_known_at_every_distance_from_the_datum_edge() {
        let flat = flat(Some(12), Some(228));
        let along = |cut: Cut| [0, 12, 50, 100, 164, 228, 240].map(|y| cut.inset_at(MM(y)).mm().round() as i64);
        assert_eq!(along(Cut::gable(&flat, MM(64))), [0, 0, 0, 0, 32, 64, 58]);
        assert_eq!(along(Cut::dam(&flat, MM(30))), [0, 0, 0, 0, -30, 0, 0]);
        assert_eq!(along(Cut::square(&flat)), [0; 7]);
        let lap = Cut::lap_notch(&hemmed(None, Some(Hem::closed(MM(12)))), &flat, MM(150));
        assert_eq!(along(lap), [0, 0, 0, 0, 0, 150, 150]);
    }
}
