//! Mitres: where two runs meet, one plane cuts every leg of both.
//!
//! The plane goes through the corner of wall and roof and halves the angle between the runs, so each piece is the other's
//! mirror image and they meet edge to edge. A point of the metal that stands `d` out from the wall and `h` up from the roof
//! lies past the run's end by e = a·d + b·h. The section's own shape says where each point of the blank will stand; the
//! cut's line is e at every distance from the datum edge. Hems and the curve of each bend follow like any other metal.

use serde::{Deserialize, Serialize};

use super::bending::Rule;
use super::cut::{Cut, Point};
use super::length::Length;
use super::plane::{along, cross, dot, length, less, turned};
use super::profile::{Rests, Stance};
use super::section::{Flat, Section};
use super::shape::{Course, Made, Part, Sheet, Station};

/// Which way a wall turns, seen from the roof: round the trim, or away from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Corner {
    Inside,
    Outside,
}

impl Corner {
    /// The word on cards.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::Outside => "outside",
        }
    }
}

/// The plane of a mitre: how much further a piece goes on for each millimetre out from the wall and up from the roof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    pub out: f64,
    pub up: f64,
}

impl Plane {
    /// Level runs along a wall that turns by `turn_deg`, 0 to less than 180: the upright plane halfway between the walls.
    ///
    /// Round an outside corner metal further out has further to go, d·tan(δ/2); in an inside corner so much less.
    pub fn corner(corner: Corner, turn_deg: f64) -> Self {
        let out = half_angle_tan(turn_deg);
        match corner {
            Corner::Outside => Self { out, up: 0.0 },
            Corner::Inside => Self { out: -out, up: 0.0 },
        }
    }

    /// Two lengths of a sloped run, climbing at `before_deg` up to where they meet and at `beyond_deg` from there on, walked in
    /// one direction; falling is below 0. The plane halfway between, square to the wall.
    ///
    /// Where the run climbs more steeply beyond, it bends upward and metal higher up has less far to go: −h·tan((φ₂ − φ₁)/2).
    /// Over a top, from a climb to a fall, it has further. Walked the other way φ₁ becomes −φ₂ and φ₂ becomes −φ₁, and the
    /// difference stays: the plane is the same for the end below and the end above.
    pub fn transition(before_deg: f64, beyond_deg: f64) -> Self {
        Self { out: 0.0, up: -half_angle_tan(beyond_deg - before_deg) }
    }
}

fn half_angle_tan(degrees: f64) -> f64 {
    (degrees / 2.0).to_radians().tan()
}

/// How far a chord may lie from the true curve over a bend, in mm: well under the width of a scribed line.
const CURVE: f64 = 0.01;

/// Less metal than this in a bend, in mm, is none.
const LEAST_METAL: f64 = 1e-5;

/// Where the middle of the metal at `y` on the blank stands on the building, in mm: out from the wall, and up from the roof.
pub fn standing(section: &Section, rule: Rule, stance: Stance, y: Length) -> [f64; 2] {
    let courses = Sheet::of(section, rule).shape(Made::ALL);
    let corner = corner(&courses, section.thickness.mm(), stance.rests);
    let stations = || courses.iter().flat_map(|course| &course.stations);
    let pairs = stations().zip(stations().skip(1));
    let between = pairs.filter(|(from, to)| to.y > from.y && (from.y..=to.y).contains(&y.mm()));
    let at = between.map(|(from, to)| {
        let part = (y.mm() - from.y) / (to.y - from.y);
        along(from.at, less(to.at, from.at), part)
    });
    let at = at.last().or(stations().last().map(|last| last.at)).unwrap_or_default();
    let (sin, cos) = stance.heading_deg.to_radians().sin_cos();
    turned(less(at, corner), [cos, sin])
}

/// The cut, at either end, of `section` standing so and cut by `plane`. The section has no faults.
pub fn mitre(section: &Section, rule: Rule, stance: Stance, plane: Plane) -> Cut {
    let courses = Sheet::of(section, rule).shape(Made::ALL);
    let mitre = Mitre {
        flat: section.unfold(rule),
        gradient: in_the_section(plane, stance.heading_deg),
        corner: corner(&courses, section.thickness.mm(), stance.rests),
    };
    let mut points: Vec<Point> = courses.iter().flat_map(|course| mitre.along(course)).collect();
    let edge = |y| move |point: &mut Point| (point.y, point.marked) = (y, true);
    points.first_mut().map(edge(Length::ZERO));
    points.last_mut().map(edge(mitre.flat.girth));
    Cut::along(points)
}

/// How `plane` grows along the axes of the section, whose first leg runs along the first of them.
fn in_the_section(plane: Plane, heading_deg: f64) -> [f64; 2] {
    let (sin, cos) = heading_deg.to_radians().sin_cos();
    turned([plane.out, plane.up], [cos, -sin])
}

/// The point of the section that lies on the building's own corner, from where out and up are counted.
fn corner(courses: &[Course], thickness: f64, rests: Rests) -> [f64; 2] {
    let hidden = |station: &Station| station.off(-thickness / 2.0);
    let foot = |leg| courses.iter().find(|course| course.part == Part::Leg(leg))?.stations.last();
    let meet = |first, second| {
        let (first, second): (&Station, &Station) = (foot(first)?, foot(second)?);
        let ([from, to], heading) = ([first, second].map(hidden), first.heading());
        let reach = dot(less(to, from), second.normal) / dot(heading, second.normal);
        Some(along(from, heading, reach))
    };
    match rests {
        Rests::OnWall { wall, roof: Some(roof) } => meet(wall, roof),
        // With no leg on the roof there is no telling how high above it the trim hangs: up counts from the leg's own foot.
        Rests::OnWall { wall, roof: None } => foot(wall).map(hidden),
        Rests::Astride => meet(0, 1),
    }
    // A stance always speaks of legs its section has.
    .unwrap_or_default()
}

struct Mitre {
    flat: Flat,
    /// Of the distance past the run's end, in the section's plane.
    gradient: [f64; 2],
    /// Where that distance is 0.
    corner: [f64; 2],
}

impl Mitre {
    /// The cut's points over one part of the strip.
    fn along(&self, course: &Course) -> Vec<Point> {
        let point = |y, at: [f64; 2], marked| {
            let past_end = dot(self.gradient, less(at, self.corner));
            Point { y: Length::from_mm(y), inset: Length::from_mm(-past_end), marked }
        };
        let Part::Fold(fold) = course.part else {
            return course.stations.iter().map(|station| point(station.y, station.at, false)).collect();
        };
        let Some(arc) = Arc::of(course) else { return Vec::new() };
        // A bend of no radius that takes no metal is a step between the flats beside it.
        if arc.ends[1] - arc.ends[0] < LEAST_METAL {
            return Vec::new();
        }
        // A chord over an angle s of it departs from the curve by no more than g·r·s²/8; even, so that the fold's line has a point.
        let steepness = length(self.gradient) * arc.radius.abs();
        let half = (arc.turn.abs() * (steepness / (8.0 * CURVE)).sqrt() / 2.0).ceil().max(1.0) as u32;
        // Its ends are those of the flats beside it.
        (1..2 * half)
            .map(|step| {
                let part = f64::from(step) / f64::from(2 * half);
                let middle = point(arc.y(part), arc.at(part), step == half);
                let line = if step == half { self.flat.line(fold) } else { None };
                Point { y: line.unwrap_or(middle.y), ..middle }
            })
            .collect()
    }
}

/// The circle that a fold's stations lie on.
struct Arc {
    ends: [f64; 2],
    centre: [f64; 2],
    /// From the circle's centre to where the arc starts.
    spoke: [f64; 2],
    /// Radians turned from start to end, and the radius: both above 0 when turned toward the side that will be seen.
    turn: f64,
    radius: f64,
}

impl Arc {
    fn of(course: &Course) -> Option<Self> {
        let [first, second, .., last] = &course.stations[..] else { return None };
        let step = cross(first.normal, second.normal).atan2(dot(first.normal, second.normal));
        let chord = length(less(second.at, first.at));
        let radius = chord / (2.0 * (step / 2.0).sin());
        let spoke = first.normal.map(|part| -part * radius);
        Some(Self {
            ends: [first.y, last.y],
            centre: less(first.at, spoke),
            spoke,
            turn: step * (course.stations.len() - 1) as f64,
            radius,
        })
    }

    fn y(&self, part: f64) -> f64 {
        self.ends[0] + (self.ends[1] - self.ends[0]) * part
    }

    fn at(&self, part: f64) -> [f64; 2] {
        let (sin, cos) = (self.turn * part).sin_cos();
        along(self.centre, turned(self.spoke, [cos, sin]), 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::cut::{Blank, area};
    use crate::trade::pitch::Pitch;
    use crate::trade::profile::{Profile, Roof, Shape};
    use crate::trade::section::Hem;

    /// At an outside corner of 90°, under a roof of 45°.
    fn end_wall(thickness: Length) -> (Flat, Blank) {
        mitred(thickness, Plane::corner(Corner::Outside, 90.0))
    }

    /// An end wall's blank with its left end mitred.
    fn mitred(thickness: Length, plane: Plane) -> (Flat, Blank) {
        let [wall_leg, roof_leg] = [4, 5].map(Length::inches);
        let hem = Some(Hem::closed(Length::from_inches(0.5)));
        let shape = Shape::EndWall { wall_leg, roof_leg };
        let profile = Profile { shape, datum_hem: None, lower_hem: hem, inside_radius: None };
        let roof = Roof { pitch: Some(Pitch::parse("12:12").unwrap()), far_pitch: None };
        let section = profile.section(&roof, thickness, thickness);
        let flat = section.unfold(Rule::Din6935);
        let left = mitre(&section, Rule::Din6935, profile.stance(&roof), plane);
        let blank = Blank { finished: Length::inches(100), left, right: Cut::square(&flat) };
        (flat, blank)
    }

    /// One on each line, and at the blank's edges unless its own corner is there.
    #[test]
    fn marks_stand_on_the_lines_already_drawn() {
        let (flat, blank) = end_wall(Length::from_mm(0.701));
        let [marks, none] = blank.marks();
        let lines = [Length::ZERO, flat.bend_lines[0], flat.foot(), flat.girth];
        assert_eq!(marks.iter().map(|mark| mark.y).collect::<Vec<_>>(), lines);
        assert_eq!(none, []);
        // The fold reaches out furthest: there, within the sheet's thickness, the blank begins.
        assert!(marks[2].x < Length::from_mm(0.701) && marks[0].x > Length::inches(3));
    }

    #[test]
    fn where_nothing_turns_nothing_is_cut() {
        let (flat, blank) = mitred(Length::from_mm(0.701), Plane::transition(18.0, 18.0));
        assert_eq!(blank.marks()[0], []);
        assert_eq!((blank.left.beyond(), blank.left.reach()), (Length::ZERO, Length::ZERO));
        let square = Blank { left: Cut::square(&flat), ..blank.clone() };
        assert!((area(&square.outline()) - area(&blank.outline())).abs() < 1e-9);
    }

    /// DEVELOPERS.md, the geometry: a hem is cut to the mirror image over its fold, once the sheet is too thin to matter.
    #[test]
    fn a_hem_is_cut_as_its_legs_mirror_image() {
        let (flat, blank) = end_wall(Length::from_mm(0.001));
        let slope = 45f64.to_radians().cos();
        let [.., fold, edge] = &blank.marks()[0][..] else { panic!() };
        assert!(((edge.x - fold.x).mm() - (flat.girth - flat.foot()).mm() * slope).abs() < 0.01);
    }

    /// The chords over each bend are no further from the curve than said, and no more of them than that takes.
    #[test]
    fn a_sharp_bend_takes_few_points() {
        let (_, blank) = end_wall(Length::from_mm(0.701));
        assert!((6..20).contains(&blank.outline().len()), "{}", blank.outline().len());
    }
}
