//! The cross-section as it is bent so far: where the metal runs, in mm, with true angles and rounded bends.
//!
//! The walk starts at the datum edge heading right, the side that will be seen upward, as the strip lies on the bench;
//! `y` is up. A bend not yet made is its arc rolled out flat. Pictures may thicken the sheet to be seen: the outside widths
//! and the angles stay true whatever the thickness.

use std::f64::consts::PI;

use crate::drawing::pen::along;
use crate::order::plan::{Bend, Piece};
use crate::trade::section::Turn;

/// What is folded from a flat strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Outside (mould-line) widths from the datum edge.
    legs: Vec<f64>,
    /// Radians bent through, one fewer than the legs; up is positive.
    bends: Vec<f64>,
    /// Finished width of the closed hem, folded down.
    hem: f64,
    thickness: f64,
    inside_radius: f64,
}

/// One part of the strip, from the datum edge on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Leg(usize),
    Bend(usize),
    HemFold,
    Hem,
}

/// A part where it lies. Along a leg two stations are enough; along an arc they are close together.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    pub part: Part,
    pub stations: Vec<Station>,
}

/// A point of the sheet's centre line and the unit normal toward the side that will be seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    pub at: [f64; 2],
    pub normal: [f64; 2],
}

impl Station {
    /// The point at `height` from the centre line, toward the side that will be seen.
    pub fn off(self, height: f64) -> [f64; 2] {
        along(self.at, self.normal, height)
    }

    /// The unit vector from the datum edge on.
    pub fn heading(self) -> [f64; 2] {
        [self.normal[1], -self.normal[0]]
    }
}

/// How far the work has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Made {
    pub hem: bool,
    /// Bends are made from the datum edge on.
    pub bends: usize,
}

impl Sheet {
    pub fn of(piece: &Piece) -> Self {
        let section = &piece.section;
        Self {
            legs: section.legs.iter().map(|leg| leg.width.mm).collect(),
            bends: piece.bends.iter().map(signed).collect(),
            hem: piece.hem.width.mm,
            thickness: section.thickness.mm,
            inside_radius: section.inside_radius.mm,
        }
    }

    /// The same trim in a sheet at least `thickness` thick, as far as its legs keep a flat between their bends.
    pub fn thickened(mut self, thickness: f64) -> Self {
        let setback_per_mm = |bend: Option<&f64>| bend.map_or(0.0, |angle| 2.0 * (angle.abs() / 2.0).tan());
        let most = self.legs.iter().enumerate().map(|(i, width)| {
            let before = i.checked_sub(1).and_then(|j| self.bends.get(j));
            width / (1.5 * (setback_per_mm(before) + setback_per_mm(self.bends.get(i))) + 1.0)
        });
        let thickness = most.fold(thickness.min(self.hem / 2.5), f64::min);
        self.thickness = self.thickness.max(thickness);
        self.inside_radius = self.inside_radius.max(thickness);
        self
    }

    /// Only the hem and a strip of `hems` times its width: for a picture of the hem alone.
    pub fn lower_edge(mut self, hems: f64) -> Self {
        self.legs = vec![self.hem * hems];
        self.bends.clear();
        self
    }

    pub fn thickness(&self) -> f64 {
        self.thickness
    }

    /// Finished width of the hem.
    pub fn hem(&self) -> f64 {
        self.hem
    }

    /// Where the metal lies.
    pub fn shape(&self, made: Made) -> Vec<Course> {
        let mut walk = Walk::default();
        for (i, width) in self.legs.iter().enumerate() {
            let [before, after] = self.past_flat(i);
            walk.straight(Part::Leg(i), width - before - after);
            if let Some(&bend) = self.bends.get(i) {
                walk.turn(Part::Bend(i), bend, self.inside_radius + self.thickness / 2.0, i < made.bends);
            }
        }
        walk.turn(Part::HemFold, -PI, self.thickness / 2.0, made.hem);
        walk.straight(Part::Hem, self.hem - self.thickness);
        walk.courses
    }

    /// The corner where the centre lines before and after a bend would meet: from the end of the leg before it, this far on.
    pub fn corner_past_leg(&self, bend: usize) -> f64 {
        (self.inside_radius + self.thickness / 2.0) * (self.bends[bend].abs() / 2.0).tan()
    }

    /// What a leg's width counts beyond its flat, on either side: to the mould lines, or to the outside of the hem's
    /// fold, one thickness away.
    pub fn past_flat(&self, leg: usize) -> [f64; 2] {
        let before = leg.checked_sub(1).map_or(0.0, |bend| self.setback(self.bends[bend]));
        let after = self.bends.get(leg).map_or(self.thickness, |&bend| self.setback(bend));
        [before, after]
    }

    /// From the mould line to where the bend's arc begins.
    fn setback(&self, bend: f64) -> f64 {
        (self.inside_radius + self.thickness) * (bend.abs() / 2.0).tan()
    }
}

fn signed(bend: &Bend) -> f64 {
    let angle = bend.angle_deg.to_radians();
    match bend.turn {
        Turn::Up => angle,
        Turn::Down => -angle,
    }
}

/// Steps in an arc: finer than a line's width at any size drawn.
const ARC_STEPS: usize = 24;

#[derive(Default)]
struct Walk {
    at: [f64; 2],
    /// Radians from the x axis, counter-clockwise.
    heading: f64,
    courses: Vec<Course>,
}

impl Walk {
    fn straight(&mut self, part: Part, length: f64) {
        let start = self.station();
        self.at = along(self.at, start.heading(), length);
        self.courses.push(Course { part, stations: vec![start, self.station()] });
    }

    fn turn(&mut self, part: Part, angle: f64, radius: f64, made: bool) {
        if !made {
            return self.straight(part, angle.abs() * radius);
        }
        let toward_centre = radius * angle.signum();
        let centre = self.station().off(toward_centre);
        let from = self.heading;
        let stations = (0..=ARC_STEPS)
            .map(|step| {
                self.heading = from + angle * step as f64 / ARC_STEPS as f64;
                self.at = along(centre, normal(self.heading), -toward_centre);
                self.station()
            })
            .collect();
        self.courses.push(Course { part, stations });
    }

    fn station(&self) -> Station {
        Station { at: self.at, normal: normal(self.heading) }
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
    use crate::drawing::pen::dot;
    use crate::order::plan::Measure;
    use crate::trade::length::{Length, Units};
    use crate::trade::pitch::Pitch;
    use crate::trade::profile::{Profile, Shape};
    use crate::trade::section;

    fn sheet(shape: Shape, pitch: Option<&str>) -> Sheet {
        let profile = Profile { shape, hem: Length::from_inches(0.5), inside_radius: None };
        let pitch = pitch.map(|text| Pitch::parse(text).unwrap());
        let section = profile.section(pitch.as_ref(), Length::from_mm(0.701));
        Sheet {
            legs: section.legs.iter().map(|leg| leg.width.mm()).collect(),
            bends: section.bends.iter().map(planned).collect(),
            hem: section.hem.mm(),
            thickness: section.thickness.mm(),
            inside_radius: section.inside_radius.mm(),
        }
    }

    fn planned(bend: &section::Bend) -> f64 {
        let at = Measure::exact(Length::ZERO, Units::Mm);
        signed(&Bend { at, angle_deg: bend.through_deg, turn: bend.turn })
    }

    fn end_wall(pitch: &str) -> Sheet {
        sheet(Shape::EndWall { wall_leg: Length::inches(4), roof_leg: Length::inches(5) }, Some(pitch))
    }

    fn reglet() -> Sheet {
        let [wall_leg, depth, face] = [1.5, 0.625, 3.0].map(Length::from_inches);
        sheet(Shape::Reglet { wall_leg, depth, face }, None)
    }

    fn finished(sheet: &Sheet) -> Vec<Course> {
        sheet.shape(Made { hem: true, bends: sheet.bends.len() })
    }

    fn leg(courses: &[Course], index: usize) -> &[Station] {
        &courses.iter().find(|course| course.part == Part::Leg(index)).unwrap().stations
    }

    /// From `b` to `a`.
    fn less(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
        [a[0] - b[0], a[1] - b[1]]
    }

    /// DEVELOPERS.md, the geometry: between wall and roof the opening angle is 90° + φ. Measured from the drawn points, by cosine.
    #[test]
    fn wall_and_roof_legs_enclose_the_roofs_angle() {
        for rise in [0, 2, 7, 24] {
            let courses = finished(&end_wall(&format!("{rise}:12")));
            let [wall, roof] = [0, 1].map(|i| leg(&courses, i));
            let up_the_wall = less(wall[0].at, wall[1].at);
            let down_the_roof = less(roof[1].at, roof[0].at);
            let lengths = up_the_wall[0].hypot(up_the_wall[1]) * down_the_roof[0].hypot(down_the_roof[1]);
            let opening = (dot(up_the_wall, down_the_roof) / lengths).acos().to_degrees();
            let expected = 90.0 + f64::from(rise).atan2(12.0).to_degrees();
            assert!((opening - expected).abs() < 1e-9, "{rise}:12: {opening} is not {expected}");
        }
    }

    /// The mould line is where the outside faces of two legs meet: the legs' widths are measured back between them.
    #[test]
    fn outside_widths_are_the_sections_at_any_thickness() {
        for sheet in
            [end_wall("2:12"), end_wall("24:12"), reglet(), end_wall("2:12").thickened(3.0), reglet().thickened(3.0)]
        {
            let courses = finished(&sheet);
            let half = sheet.thickness / 2.0;
            let mut corners = vec![leg(&courses, 0)[0].at];
            for (i, bend) in sheet.bends.iter().enumerate() {
                let outside = -half * bend.signum();
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
    fn the_hem_lies_flat_behind_the_last_leg_and_is_as_wide_as_asked() {
        let sheet = end_wall("2:12");
        let courses = finished(&sheet);
        let last = leg(&courses, 1)[0];
        let hem = courses.last().unwrap();
        let tip = hem.stations[1];
        let fold = faces(&courses, sheet.thickness).iter().map(|&p| dot(p, last.heading())).fold(f64::MIN, f64::max);
        assert!((fold - dot(tip.at, last.heading()) - sheet.hem).abs() < 1e-9);
        for station in &hem.stations {
            assert!((dot(less(station.at, last.at), last.normal) + sheet.thickness).abs() < 1e-9);
        }
    }

    /// On the bench the roof leg of an end wall is bent up; a reglet's depth is bent up and its face down again.
    #[test]
    fn up_goes_up_and_down_goes_down() {
        let courses = end_wall("2:12").shape(Made { hem: true, bends: 1 });
        assert!(leg(&courses, 1)[1].at[1] > 100.0);
        let courses = reglet().shape(Made { hem: true, bends: 1 });
        assert!(leg(&courses, 2)[1].at[1] > 60.0);
        let [depth, face] = [1, 2].map(|i| leg(&finished(&reglet()), i)[0].heading());
        assert!(depth[1] > 0.999 && face[0] > 0.999);
    }

    #[test]
    fn nothing_made_is_a_flat_strip() {
        let courses = reglet().shape(Made { hem: false, bends: 0 });
        assert!(courses.iter().flat_map(|course| &course.stations).all(|station| station.at[1] == 0.0));
    }
}
