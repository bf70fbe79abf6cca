//! A strip laid in the brake for one fold: what is held, what swings, and where each goes as the leaf comes up.
//!
//! The search and the drawings both read from here. In mm and radians, the bend line at the origin, `y` up, the held
//! sheet on `y` = 0 at `x` < 0.

use std::f64::consts::PI;

use super::handling::{Face, Lie};
use super::tools::Tools;
use crate::trade::brake::Brake;
use crate::trade::plane::{Point, along, dot, less, turned};
use crate::trade::section::{Edge, Fold};
use crate::trade::shape::{Course, Made, Part, Sheet, Station};

/// A strip laid in the brake.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    pub fold: Fold,
    pub lie: Lie,
    /// In the throat, from the bend outward.
    pub held: Vec<Course>,
    /// In front, from the bend outward, with the leaf down.
    pub front: Vec<Course>,
    pub thickness: f64,
    /// How much of the strip the fold takes.
    pub metal: f64,
    /// The radius of the fold's centre line.
    pub centre_radius: f64,
    /// What the fold is bent through in the end: half a turn, for a hem.
    pub through: f64,
    /// On the flat strip, from the datum edge.
    pub line: f64,
}

/// Turned about the origin, then moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    cos: f64,
    sin: f64,
    to: Point,
}

impl Pose {
    fn direction(self, direction: Point) -> Point {
        turned(direction, [self.cos, self.sin])
    }

    pub fn point(self, point: Point) -> Point {
        along(self.to, self.direction(point), 1.0)
    }

    fn course(self, course: &Course) -> Course {
        let moved = |station: &Station| Station {
            at: self.point(station.at),
            normal: self.direction(station.normal),
            ..*station
        };
        Course { part: course.part, stations: course.stations.iter().map(moved).collect() }
    }
}

/// Steps in the drawn arc of the bend being made.
const ARC_STEPS: usize = 24;

impl Setup {
    /// With `made` already made. `None` where the sheet has no such fold.
    pub fn of(sheet: &Sheet, made: Made, fold: Fold, lie: Lie) -> Option<Self> {
        let (centre_radius, through) = match fold {
            Fold::Hem(edge) => (f64::midpoint(sheet.hem(edge)?.gap, sheet.thickness), PI),
            Fold::Bend(index) => (sheet.centre_radius(), sheet.bends.get(index)?.through_deg.to_radians()),
        };
        let mut courses = sheet.shape(made);
        let index = courses.iter().position(|course| course.part == Part::Fold(fold))?;
        let &[first, .., last] = &courses.get(index)?.stations[..] else { return None };

        let middle = [f64::midpoint(first.at[0], last.at[0]), f64::midpoint(first.at[1], last.at[1])];
        let out = if lie.in_throat == Edge::Datum { 1.0 } else { -1.0 };
        let up = if lie.face == Face::Seen { 1.0 } else { -1.0 };
        let (heading, normal) = (first.heading(), first.normal);
        let laid = |point: Point| [out * dot(point, heading), up * dot(point, normal)];
        for station in courses.iter_mut().flat_map(|course| &mut course.stations) {
            let [x, y] = laid(less(station.at, middle));
            station.at = [x, y + sheet.thickness / 2.0];
            station.normal = laid(station.normal);
        }

        let toward_lower = courses.split_off(index + 1);
        let toward_datum = courses.into_iter().take(index).rev().map(reversed).collect();
        let (held, front) = match lie.in_throat {
            Edge::Datum => (toward_datum, toward_lower),
            Edge::Lower => (toward_lower, toward_datum),
        };
        Some(Self {
            fold,
            lie,
            held,
            front,
            thickness: sheet.thickness,
            metal: last.y - first.y,
            centre_radius,
            through,
            line: f64::midpoint(first.y, last.y),
        })
    }

    /// How what is in front is moved when the leaf has swung through `angle`. The metal wraps around the nose from
    /// where it is gripped; what is not yet wrapped is still flat.
    pub fn swung(&self, angle: f64) -> Pose {
        let (sin, cos) = angle.sin_cos();
        let flat = self.metal * (1.0 - angle / self.through).max(0.0);
        let starts = [
            self.centre_radius * sin + flat * cos - self.metal / 2.0,
            self.centre_radius * (1.0 - cos) + flat * sin + self.thickness / 2.0,
        ];
        let pose = Pose { cos, sin, to: [0.0, 0.0] };
        Pose { to: less(starts, pose.direction(self.pivot())), ..pose }
    }

    /// Where what is in front begins with the leaf down.
    pub fn pivot(&self) -> Point {
        [self.metal / 2.0, self.thickness / 2.0]
    }

    /// More than the pivot moves for each radian of the swing.
    pub fn drift(&self) -> f64 {
        self.centre_radius + self.metal + self.metal / self.through
    }

    /// The strip from the datum edge to the lower edge with the leaf swung through `deg`. Normals are toward the side
    /// that will be seen; where the strip lies mirrored, a station's heading is toward the datum edge.
    pub fn courses(&self, deg: f64) -> Vec<Course> {
        let pose = self.swung(deg.to_radians());
        let held = self.held.iter().rev().cloned().map(reversed);
        let front = self.front.iter().map(|course| pose.course(course));
        let from_throat = held.chain([self.bend(deg.to_radians())]).chain(front);
        match self.lie.in_throat {
            Edge::Datum => from_throat.collect(),
            Edge::Lower => {
                let mut courses: Vec<Course> = from_throat.map(reversed).collect();
                courses.reverse();
                courses
            }
        }
    }

    /// The metal of the bend itself, from the throat outward.
    fn bend(&self, angle: f64) -> Course {
        let (away, up) = (
            if self.lie.in_throat == Edge::Datum { 1.0 } else { -1.0 },
            if self.lie.face == Face::Seen { 1.0 } else { -1.0 },
        );
        let wrapped = self.metal * (angle / self.through).min(1.0);
        let station = |step: usize| {
            let part = step as f64 / ARC_STEPS as f64;
            let (sin, cos) = (angle * part).sin_cos();
            Station {
                y: self.line + away * (wrapped * part - self.metal / 2.0),
                at: [
                    self.centre_radius * sin - self.metal / 2.0,
                    self.centre_radius * (1.0 - cos) + self.thickness / 2.0,
                ],
                normal: [-sin * up, cos * up],
            }
        };
        let mut stations: Vec<Station> = (0..=ARC_STEPS).map(station).collect();
        let (sin, cos) = angle.sin_cos();
        let at = self.swung(angle).point(self.pivot());
        stations.push(Station { y: self.line + away * self.metal / 2.0, at, normal: [-sin * up, cos * up] });
        Course { part: Part::Fold(self.fold), stations }
    }

    /// The brake around it with the leaf swung through `deg`, cut off at `reach` from the bend line.
    pub fn tools(&self, brake: &Brake, deg: f64, reach: f64) -> Tools {
        let pose = self.swung(deg.to_radians());
        let tools = Tools::of(brake, self.thickness, self.metal, reach);
        Tools { leaf: tools.leaf.iter().map(|&point| pose.point(point)).collect(), ..tools }
    }

    /// How deep the held part goes behind the bend line.
    pub fn depth(&self) -> f64 {
        let half = self.thickness / 2.0;
        let stations = self.held.iter().flat_map(|course| &course.stations);
        stations.flat_map(|station| [station.off(half), station.off(-half)]).map(|[x, _]| -x).fold(0.0, f64::max)
    }
}

fn reversed(mut course: Course) -> Course {
    course.stations.reverse();
    course
}
