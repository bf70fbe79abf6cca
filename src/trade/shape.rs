//! A section as far as it is folded: where each point of the strip lies in the plane across it.
//!
//! The walk runs along the sheet's centre line. The first leg starts at the origin and heads right with the side that
//! will be seen upward, as the strip lies on the bench; `y` is up. A fold not yet made is its metal rolled out flat. End
//! cuts, the brake's clearances and the pictures all read the shape from here. In millimetres and radians.

use std::f64::consts::PI;

use super::bending::{self, Rule};
use super::plane::{along, less, turned};
use super::section::{Bend, Edge, Fold, Section, Turn};

/// A strip of sheet and its folds.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Outside widths from the datum edge.
    pub legs: Vec<f64>,
    /// One fewer than the legs.
    pub bends: Vec<Bend>,
    pub datum_hem: Option<HemSize>,
    pub lower_hem: Option<HemSize>,
    pub thickness: f64,
    pub inside_radius: f64,
    /// How much metal a bend takes.
    pub rule: Rule,
}

/// A hem's finished width and inside gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HemSize {
    pub width: f64,
    pub gap: f64,
}

/// One part of the strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Leg(usize),
    /// The arc of a bend or of a hem's fold.
    Fold(Fold),
    /// The flat of a hem.
    Hem(Edge),
}

/// A part where it lies. Along a flat two stations are enough; along an arc they are close together.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    pub part: Part,
    pub stations: Vec<Station>,
}

/// A point of the sheet's centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// On the flat strip, from the datum edge.
    pub y: f64,
    pub at: [f64; 2],
    /// The unit normal toward the side that will be seen.
    pub normal: [f64; 2],
}

impl Station {
    /// The point at `height` from the centre line, toward the side that will be seen.
    pub fn off(self, height: f64) -> [f64; 2] {
        along(self.at, self.normal, height)
    }

    /// The unit vector away from the datum edge.
    pub fn heading(self) -> [f64; 2] {
        [self.normal[1], -self.normal[0]]
    }
}

/// Which folds have been made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub struct Made(u32);

impl Made {
    pub const NONE: Self = Self(0);
    pub const ALL: Self = Self(u32::MAX);

    const fn bit(fold: Fold) -> u32 {
        match fold {
            Fold::Hem(Edge::Datum) => 1,
            Fold::Hem(Edge::Lower) => 2,
            Fold::Bend(index) => 4 << index,
        }
    }

    #[must_use]
    pub const fn with(self, fold: Fold) -> Self {
        Self(self.0 | Self::bit(fold))
    }

    pub const fn has(self, fold: Fold) -> bool {
        self.0 & Self::bit(fold) != 0
    }
}

impl FromIterator<Fold> for Made {
    fn from_iter<I: IntoIterator<Item = Fold>>(folds: I) -> Self {
        folds.into_iter().fold(Self::NONE, Self::with)
    }
}

impl Sheet {
    pub fn of(section: &Section, rule: Rule) -> Self {
        let size = |edge| section.hem(edge).map(|hem| HemSize { width: hem.width.mm(), gap: hem.gap.mm() });
        Self {
            legs: section.legs.iter().map(|leg| leg.width.mm()).collect(),
            bends: section.bends.clone(),
            datum_hem: size(Edge::Datum),
            lower_hem: size(Edge::Lower),
            thickness: section.thickness.mm(),
            inside_radius: section.inside_radius.mm(),
            rule,
        }
    }

    pub fn hem(&self, edge: Edge) -> Option<HemSize> {
        match edge {
            Edge::Datum => self.datum_hem,
            Edge::Lower => self.lower_hem,
        }
    }

    /// Where the metal lies once `made` is made: the strip's parts from the datum edge to the lower edge.
    pub fn shape(&self, made: Made) -> Vec<Course> {
        let mut walk = Walk::default();
        if let Some(hem) = self.datum_hem {
            walk.straight(Part::Hem(Edge::Datum), self.hem_flat(hem));
            self.fold_hem(&mut walk, Edge::Datum, hem, made);
        }
        let first_leg = walk.courses.len();
        for (i, width) in self.legs.iter().enumerate() {
            let [before, after] = self.past_flat(i);
            walk.straight(Part::Leg(i), width - before - after);
            if let Some(bend) = self.bends.get(i) {
                let part = Part::Fold(Fold::Bend(i));
                walk.turn(part, signed(bend), self.centre_radius(), self.arc(bend), made.has(Fold::Bend(i)));
            }
        }
        if let Some(hem) = self.lower_hem {
            self.fold_hem(&mut walk, Edge::Lower, hem, made);
            walk.straight(Part::Hem(Edge::Lower), self.hem_flat(hem));
        }
        walk.starting_with(first_leg)
    }

    fn fold_hem(&self, walk: &mut Walk, edge: Edge, hem: HemSize, made: Made) {
        let fold = Fold::Hem(edge);
        let radius = f64::midpoint(hem.gap, self.thickness);
        let metal = bending::fold_length(hem.gap, self.thickness);
        walk.turn(Part::Fold(fold), -PI, radius, metal, made.has(fold));
    }

    /// The radius of a bend's centre line.
    pub fn centre_radius(&self) -> f64 {
        self.inside_radius + self.thickness / 2.0
    }

    /// The metal in a bend.
    fn arc(&self, bend: &Bend) -> f64 {
        let (radius, thickness) = (self.inside_radius, self.thickness);
        2.0 * bending::setback(bend.through_deg, radius, thickness)
            - bending::shortening(self.rule, bend.through_deg, radius, thickness)
    }

    fn hem_flat(&self, hem: HemSize) -> f64 {
        hem.width - bending::hem_setback(hem.gap, self.thickness)
    }

    /// What a leg's width counts beyond its flat, on either side: to where its bend's width is measured, or to the outside of a
    /// hem's fold.
    pub fn past_flat(&self, leg: usize) -> [f64; 2] {
        let at_bend = |bend: &Bend| bending::setback(bend.through_deg, self.inside_radius, self.thickness);
        let at_hem = |hem: Option<HemSize>| hem.map_or(0.0, |hem| bending::hem_setback(hem.gap, self.thickness));
        let before = leg.checked_sub(1).and_then(|bend| self.bends.get(bend));
        [
            before.map_or_else(|| at_hem(self.datum_hem), at_bend),
            self.bends.get(leg).map_or_else(|| at_hem(self.lower_hem), at_bend),
        ]
    }
}

/// Radians bent through, up positive.
fn signed(bend: &Bend) -> f64 {
    let angle = bend.through_deg.to_radians();
    match bend.turn {
        Turn::Up => angle,
        Turn::Down => -angle,
    }
}

/// Steps in an arc: a tenth of a millimetre off the true line at an inch's radius, and finer than a line's width in
/// any picture.
const ARC_STEPS: usize = 24;

#[derive(Default)]
struct Walk {
    y: f64,
    at: [f64; 2],
    /// From the x axis, counter-clockwise.
    heading: f64,
    courses: Vec<Course>,
}

impl Walk {
    fn straight(&mut self, part: Part, length: f64) {
        let start = self.station();
        self.at = along(self.at, start.heading(), length);
        self.y += length;
        self.courses.push(Course { part, stations: vec![start, self.station()] });
    }

    /// Turns through `angle` on a centre line of `radius`; unmade, it is `metal` rolled out flat.
    fn turn(&mut self, part: Part, angle: f64, radius: f64, metal: f64, made: bool) {
        if !made {
            return self.straight(part, metal);
        }
        let toward_centre = radius * angle.signum();
        let centre = self.station().off(toward_centre);
        let (from, start) = (self.heading, self.y);
        let stations = (0..=ARC_STEPS)
            .map(|step| {
                let part = step as f64 / ARC_STEPS as f64;
                self.heading = from + angle * part;
                self.y = start + metal * part;
                self.at = along(centre, normal(self.heading), -toward_centre);
                self.station()
            })
            .collect();
        self.courses.push(Course { part, stations });
    }

    fn station(&self) -> Station {
        Station { y: self.y, at: self.at, normal: normal(self.heading) }
    }

    /// The courses moved so that course `first` starts at the origin and heads right.
    fn starting_with(mut self, first: usize) -> Vec<Course> {
        let Some(&start) = self.courses.get(first).and_then(|course| course.stations.first()) else {
            return self.courses;
        };
        let [cos, sin] = start.heading();
        let back = [cos, -sin];
        for station in self.courses.iter_mut().flat_map(|course| &mut course.stations) {
            station.at = turned(less(station.at, start.at), back);
            station.normal = turned(station.normal, back);
        }
        self.courses
    }
}

fn normal(heading: f64) -> [f64; 2] {
    [-heading.sin(), heading.cos()]
}

/// The sheet's two faces as one closed polygon.
pub fn faces(courses: &[Course], thickness: f64) -> Vec<[f64; 2]> {
    let stations = || courses.iter().flat_map(|course| &course.stations);
    let seen = stations().map(|station| station.off(thickness / 2.0));
    let hidden = stations().rev().map(|station| station.off(-thickness / 2.0));
    seen.chain(hidden).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::length::Length;
    use crate::trade::pitch::Pitch;
    use crate::trade::plane::{dot, length};
    use crate::trade::profile::{Profile, Roof, Shape};
    use crate::trade::section::Hem;

    fn sheet(shape: Shape, pitch: Option<&str>) -> Sheet {
        let hem = Some(Hem::closed(Length::from_inches(0.5)));
        let profile = Profile { shape, datum_hem: hem, lower_hem: hem, inside_radius: None };
        let roof = Roof { pitch: pitch.map(|text| Pitch::parse(text).unwrap()), far_pitch: None };
        Sheet::of(&profile.section(&roof, Length::from_mm(0.701), Length::from_mm(0.701)), Rule::Din6935)
    }

    fn end_wall(pitch: &str) -> Sheet {
        sheet(Shape::EndWall { wall_leg: Length::inches(4), roof_leg: Length::inches(5) }, Some(pitch))
    }

    fn reglet() -> Sheet {
        let [wall_leg, depth, face] = [1.5, 0.625, 3.0].map(Length::from_inches);
        sheet(Shape::Reglet { wall_leg, depth, face }, None)
    }

    /// Its datum hem is open.
    fn gable() -> Sheet {
        let [roof_leg, face] = [4.0, 3.0].map(Length::from_inches);
        let mut sheet = sheet(Shape::Gable { roof_leg, face }, None);
        sheet.datum_hem = Some(HemSize { width: 15.0, gap: 3.0 });
        sheet
    }

    fn finished(sheet: &Sheet) -> Vec<Course> {
        sheet.shape(Made::ALL)
    }

    fn leg(courses: &[Course], index: usize) -> &[Station] {
        &courses.iter().find(|course| course.part == Part::Leg(index)).unwrap().stations
    }

    /// DEVELOPERS.md, the geometry: between wall and roof the opening angle is 90° + φ. Measured from the drawn points, by cosine.
    #[test]
    fn wall_and_roof_legs_enclose_the_roofs_angle() {
        for rise in [0, 2, 7, 24] {
            let courses = finished(&end_wall(&format!("{rise}:12")));
            let [wall, roof] = [0, 1].map(|i| leg(&courses, i));
            let up_the_wall = less(wall[0].at, wall[1].at);
            let down_the_roof = less(roof[1].at, roof[0].at);
            let lengths = length(up_the_wall) * length(down_the_roof);
            let opening = (dot(up_the_wall, down_the_roof) / lengths).acos().to_degrees();
            let expected = 90.0 + f64::from(rise).atan2(12.0).to_degrees();
            assert!((opening - expected).abs() < 1e-9, "{rise}:12: {opening} is not {expected}");
        }
    }

    /// The mould line is where the outside faces of two legs meet: the legs' widths are measured back between them.
    #[test]
    fn outside_widths_are_the_sections_at_any_thickness() {
        for sheet in [end_wall("2:12"), end_wall("24:12"), reglet(), gable()] {
            let courses = finished(&sheet);
            let half = sheet.thickness / 2.0;
            let least = faces(&courses, sheet.thickness).iter().map(|p| p[0]).fold(f64::MAX, f64::min);
            let mut corners = vec![[least, 0.0]];
            for (i, bend) in sheet.bends.iter().enumerate() {
                let outside = -half * signed(bend).signum();
                let (before, after) = (leg(&courses, i)[1], leg(&courses, i + 1)[0]);
                // Along the outside face of the leg before, until the outside face of the leg after is met.
                let (from, toward) = (before.off(outside), before.heading());
                let reach = dot(less(after.off(outside), from), after.normal) / dot(toward, after.normal);
                corners.push(along(from, toward, reach));
            }
            for (i, width) in sheet.legs.iter().enumerate() {
                let heading = leg(&courses, i)[0].heading();
                let far = match corners.get(i + 1) {
                    Some(&corner) => dot(corner, heading),
                    None => faces(&courses, sheet.thickness).iter().map(|&p| dot(p, heading)).fold(f64::MIN, f64::max),
                };
                assert!((far - dot(corners[i], heading) - width).abs() < 1e-9, "leg {i} of {sheet:?}");
            }
        }
    }

    #[test]
    fn the_hems_lie_behind_their_legs_and_are_as_wide_as_asked() {
        let sheet = end_wall("2:12");
        let courses = finished(&sheet);
        let last = leg(&courses, 1)[0];
        let hem = courses.last().unwrap();
        let tip = hem.stations[1];
        let fold = faces(&courses, sheet.thickness).iter().map(|&p| dot(p, last.heading())).fold(f64::MIN, f64::max);
        assert!((fold - dot(tip.at, last.heading()) - 12.7).abs() < 1e-9);
        for station in &hem.stations {
            assert!((dot(less(station.at, last.at), last.normal) + sheet.thickness).abs() < 1e-9);
        }
        let gable = gable();
        let courses = finished(&gable);
        let raw_edge = courses[0].stations[0];
        let fold = faces(&courses, gable.thickness).iter().map(|p| p[0]).fold(f64::MAX, f64::min);
        assert!((raw_edge.at[0] - fold - 15.0).abs() < 1e-9);
        assert!((raw_edge.at[1] + gable.thickness + 3.0).abs() < 1e-9);
    }

    /// The strip is as long as the section unfolds to, and every fold's middle lies on its line.
    #[test]
    fn folds_lie_on_the_lines_of_the_flat() {
        let hem = |width, gap| Some(Hem { width: Length::millimetres(width), gap: Length::millimetres(gap) });
        let shape = Shape::Reglet { wall_leg: Length::inches(2), depth: Length::inches(1), face: Length::inches(3) };
        let profile = Profile { shape, datum_hem: hem(12, 0), lower_hem: hem(15, 4), inside_radius: None };
        let section = profile.section(&Roof::default(), Length::millimetres(1), Length::millimetres(2));
        let flat = section.unfold(Rule::Din6935);
        for made in [Made::NONE, Made::ALL] {
            let courses = Sheet::of(&section, Rule::Din6935).shape(made);
            let ends = |course: &Course| [course.stations[0].y, course.stations.last().unwrap().y];
            assert!((ends(courses.last().unwrap())[1] - flat.girth.mm()).abs() < 1e-5);
            for course in &courses {
                let Part::Fold(fold) = course.part else { continue };
                let [from, to] = ends(course);
                assert!((f64::midpoint(from, to) - flat.line(fold).unwrap().mm()).abs() < 1e-5, "{fold:?}");
            }
        }
    }

    /// On the bench the roof leg of an end wall is bent up; a reglet's depth is bent up and its face down again.
    #[test]
    fn up_goes_up_and_down_goes_down() {
        let courses = end_wall("2:12").shape(Made::ALL);
        assert!(leg(&courses, 1)[1].at[1] > 100.0);
        let courses = reglet().shape(Made::NONE.with(Fold::Bend(0)));
        assert!(leg(&courses, 2)[1].at[1] > 60.0);
        let [depth, face] = [1, 2].map(|i| leg(&finished(&reglet()), i)[0].heading());
        assert!(depth[1] > 0.999 && face[0] > 0.999);
    }

    #[test]
    fn nothing_made_is_a_flat_strip() {
        let courses = reglet().shape(Made::NONE);
        assert!(courses.iter().flat_map(|course| &course.stations).all(|station| station.at[1] == 0.0));
    }
}
