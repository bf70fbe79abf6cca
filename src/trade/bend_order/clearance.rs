//! Whether a fold can be made as the strip lies: flange, grip, throat and angle, and nothing in the way of the swing.
//!
//! The swing is followed by conservative advancement: how far a part of the strip is from the tools, and how fast it
//! can close on them, give how far the leaf can swing without a touch; and from there again. Nothing is jumped, however
//! thin. Touching is no hit: sheet gives. A hit is an eighth of the thickness deep.

use super::handling::Lie;
use super::impossible::{Tool, Why};
use super::setup::Setup;
use super::tools::Tools;
use crate::trade::brake::Brake;
use crate::trade::length::Length;
use crate::trade::plane::{Point, along, cross, dot, length, less};
use crate::trade::section::Fold;
use crate::trade::shape::{Course, Made, Part, Sheet};

/// In parts of the thickness: what is deeper in a tool has hit it.
const HIT: f64 = 0.125;
/// In parts of the thickness: the swing is never followed in steps that could go deeper than this.
const DEEPEST: f64 = 0.25;
/// Short of a bound by less than this many mm is not short: no text tells it, and no tape.
const ROUNDING: f64 = 1e-3;
/// A chord of an arc lies no farther from it, in mm.
const SAGITTA: f64 = 0.05;

/// A sheet on a brake.
pub struct Bench<'a> {
    pub sheet: &'a Sheet,
    pub brake: &'a Brake,
    /// Degrees the leaf is set to for each degree the metal keeps.
    pub set_per_kept: f64,
    /// As far as nothing of the strip reaches, in mm.
    pub reach: f64,
}

impl<'a> Bench<'a> {
    pub fn new(sheet: &'a Sheet, brake: &'a Brake, set_per_kept: Option<f64>, girth: Length) -> Self {
        let set_per_kept = set_per_kept.filter(|ratio| ratio.is_finite()).map_or(1.0, |ratio| ratio.max(1.0));
        Self { sheet, brake, set_per_kept, reach: 10.0 * (girth.mm().abs() + brake.throat.mm()) }
    }

    /// What the leaf is set to. A hem is turned as far as the brake goes, and then flattened.
    pub fn set_deg(&self, fold: Fold) -> f64 {
        match fold {
            Fold::Hem(_) => self.brake.most_through_deg(),
            Fold::Bend(index) => self.sheet.bends.get(index).map_or(0.0, |bend| bend.through_deg * self.set_per_kept),
        }
    }

    /// Whether the held part goes in and is gripped. `made` need only tell of the folds on its side.
    pub fn held(&self, made: Made, fold: Fold, lie: Lie) -> Option<Why> {
        let setup = Setup::of(self.sheet, made, fold, lie)?;
        let limb = Limb::of(&setup, &setup.held, made);
        let [flat, least] = [limb.flat, self.brake.least_flange.mm()].map(Length::from_mm);
        if limb.flat < self.brake.least_flange.mm() - ROUNDING {
            return Some(Why::TooLittleToClamp { flat, least });
        }
        let depth = setup.depth();
        if depth > self.brake.throat.mm() + ROUNDING {
            return Some(Why::TooDeep { needs: Length::from_mm(depth), throat: self.brake.throat });
        }
        let tools = Tools::of(self.brake, setup.thickness, setup.metal, self.reach);
        let [jaw, bed, _] = around(&tools);
        limb.resting_in(&[jaw, bed], setup.thickness)
    }

    /// Whether the leaf has a flange to swing, and can swing it all the way. `made` need only tell of the folds in front.
    pub fn front(&self, made: Made, fold: Fold, lie: Lie) -> Option<Why> {
        let setup = Setup::of(self.sheet, made, fold, lie)?;
        let (set_deg, most_deg) = (self.set_deg(fold), self.brake.most_through_deg());
        // A flap that does not lean over its leg is crushed, not folded.
        let set_deg = if matches!(fold, Fold::Hem(_)) { set_deg.max(LEAST_FLAP_DEG) } else { set_deg };
        if set_deg > most_deg + 1e-9 {
            return Some(Why::TooFar { set_deg, most_deg });
        }
        let limb = Limb::of(&setup, &setup.front, made);
        // A hem is said by its finished width.
        let width = match fold {
            Fold::Hem(edge) => self.sheet.hem(edge)?.width,
            Fold::Bend(_) => limb.flat,
        };
        if width < self.brake.least_flange.mm() - ROUNDING {
            return Some(Why::FlangeTooNarrow { flat: Length::from_mm(width), least: self.brake.least_flange });
        }
        let tools = Tools::of(self.brake, setup.thickness, setup.metal, self.reach);
        // The leaf swings a flattened hem as part of its flange.
        let on_leaf = !limb.ends_in_closed_hem(self.sheet);
        if on_leaf && let Some(hit) = limb.resting_in(&[(Tool::Leaf, &tools.leaf)], setup.thickness) {
            return Some(hit);
        }
        limb.swinging(&setup, &around(&tools), set_deg.to_radians())
    }
}

/// A hem's flap must be turned past square before it can be flattened.
const LEAST_FLAP_DEG: f64 = 90.0;

fn around(tools: &Tools) -> [(Tool, &[Point]); 3] {
    [(Tool::Jaw, &tools.jaw[..]), (Tool::Bed, &tools.bed[..]), (Tool::Frame, &tools.frame[..])]
}

/// What goes out from the bend to one side: a flat, and all that follows the first fold made.
struct Limb {
    /// From the bend line to the first fold made, or to the edge.
    flat: f64,
    rest: Vec<Segment>,
    ends_at: Option<Fold>,
}

/// A straight piece of the strip: all within `half` of the line between its ends. Where `half` is 0 it is a corner of the
/// raw edge, and the ends are one.
struct Segment {
    part: Part,
    ends: [Point; 2],
    half: f64,
}

impl Limb {
    fn of(setup: &Setup, courses: &[Course], made: Made) -> Self {
        let first = courses.iter().position(|course| matches!(course.part, Part::Fold(fold) if made.has(fold)));
        let (flat, rest) = courses.split_at(first.unwrap_or(courses.len()));
        let end = |course: &Course| course.stations.last().map_or(setup.line, |station| station.y);
        let flat_end = flat.last().map_or(setup.line, end);
        let (ends_at, ends) = match rest.first() {
            Some(course) => match course.part {
                Part::Fold(fold @ Fold::Hem(_)) => (Some(fold), f64::midpoint(flat_end, end(course))),
                Part::Fold(fold) => (Some(fold), flat_end),
                Part::Leg(_) | Part::Hem(_) => (None, flat_end),
            },
            None => (None, flat_end),
        };
        Self { flat: (ends - setup.line).abs(), rest: segments(rest, setup.thickness / 2.0), ends_at }
    }

    fn ends_in_closed_hem(&self, sheet: &Sheet) -> bool {
        matches!(self.ends_at, Some(Fold::Hem(edge)) if sheet.hem(edge).is_some_and(|hem| hem.gap == 0.0))
    }

    /// What of it is in a tool as the strip is laid down.
    fn resting_in(&self, tools: &[(Tool, &[Point])], thickness: f64) -> Option<Why> {
        for segment in &self.rest {
            for &(tool, polygon) in tools {
                let apart = segment.apart(segment.ends, polygon);
                if apart < -HIT * thickness || segment.half > 0.0 && overlaps(segment.ends, polygon) {
                    return Some(Why::Hits { part: segment.part, tool, at_deg: 0.0 });
                }
            }
        }
        None
    }

    /// What of it hits a tool on the way to `set`.
    fn swinging(&self, setup: &Setup, tools: &[(Tool, &[Point])], set: f64) -> Option<Why> {
        if let Some(hit) = self.resting_in(tools, setup.thickness) {
            return Some(hit);
        }
        let mut hit: Option<(f64, Why)> = None;
        for segment in &self.rest {
            let until = hit.map_or(set, |(angle, _)| angle);
            if let Some((angle, tool)) = segment.swinging(setup, tools, until) {
                hit = Some((angle, Why::Hits { part: segment.part, tool, at_deg: angle.to_degrees() }));
            }
        }
        hit.map(|(_, why)| why)
    }
}

impl Segment {
    /// Between the piece, its ends moved to `ends`, and a polygon; below 0 by how deep it is in it. Deeper than `half`
    /// only a corner can be told.
    fn apart(&self, ends: [Point; 2], polygon: &[Point]) -> f64 {
        let apart = distance(ends, polygon);
        let is_in = self.half == 0.0 && contains(polygon, ends[0]);
        if is_in { -apart } else { apart - self.half }
    }

    /// At which angle up to `until` it first hits what.
    fn swinging(&self, setup: &Setup, tools: &[(Tool, &[Point])], until: f64) -> Option<(f64, Tool)> {
        let thickness = setup.thickness;
        let radius = self.ends.map(|end| length(less(end, setup.pivot()))).into_iter().fold(0.0, f64::max);
        let speed = radius + setup.drift();
        let mut angle: f64 = 0.0;
        loop {
            let pose = setup.swung(angle);
            let ends = self.ends.map(|end| pose.point(end));
            let mut nearest = f64::INFINITY;
            for &(tool, polygon) in tools {
                let apart = self.apart(ends, polygon);
                if apart < -HIT * thickness {
                    return Some((angle, tool));
                }
                nearest = nearest.min(apart);
            }
            if angle >= until {
                return None;
            }
            angle = (angle + (nearest + DEEPEST * thickness) / speed).min(until);
        }
    }
}

/// Courses as straight pieces, and their raw edge.
fn segments(courses: &[Course], half: f64) -> Vec<Segment> {
    let mut segments: Vec<Segment> = courses
        .iter()
        .flat_map(|course| {
            let points = chords(course);
            let segment = |pair: &[Point]| Segment { part: course.part, ends: [pair[0], pair[1]], half };
            points.windows(2).map(segment).collect::<Vec<_>>()
        })
        .collect();
    // The edge is sheared square, not round.
    let edge = courses.last().and_then(|course| Some((course.part, course.stations.last()?)));
    if let (Some(last), Some((part, edge))) = (segments.last_mut(), edge) {
        let back = less(last.ends[0], last.ends[1]);
        last.ends[1] = along(last.ends[1], back, (half / length(back)).min(1.0));
        segments.extend([half, -half].map(|height| Segment { part, ends: [edge.off(height); 2], half: 0.0 }));
    }
    segments
}

/// Points of a course's centre line, close enough together that chords will do.
fn chords(course: &Course) -> Vec<Point> {
    let stations = &course.stations;
    let [Some(first), Some(last)] = [stations.first(), stations.last()] else { return Vec::new() };
    // Along an arc the middle lies farthest from the chord, and n chords lie n² times closer.
    let off = to_segment(stations[stations.len() / 2].at, [first.at, last.at]);
    let chords = if stations.len() > 2 { (off / SAGITTA).sqrt().ceil().max(1.0) as usize } else { 1 };
    let steps = stations.len() - 1;
    let stride = steps.div_ceil(chords).max(1);
    let mut points: Vec<Point> = stations.iter().step_by(stride).map(|station| station.at).collect();
    if !steps.is_multiple_of(stride) {
        points.push(last.at);
    }
    points
}

fn to_segment(point: Point, segment: [Point; 2]) -> f64 {
    square_to_segment(point, segment).sqrt()
}

fn square_to_segment(point: Point, [from, to]: [Point; 2]) -> f64 {
    let (whole, off) = (less(to, from), less(point, from));
    let square = dot(whole, whole);
    let part = if square > 0.0 { (dot(off, whole) / square).clamp(0.0, 1.0) } else { 0.0 };
    let across = along(off, whole, -part);
    dot(across, across)
}

fn edges(polygon: &[Point]) -> impl Iterator<Item = [Point; 2]> {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1)).map(|(a, b)| [a, b])
}

/// Between a segment and a polygon's outline that do not cross: there the nearest is an end of one of them.
fn distance(segment: [Point; 2], polygon: &[Point]) -> f64 {
    let [from, to] = segment;
    let squares = edges(polygon).map(|edge| {
        let ends = square_to_segment(from, edge).min(square_to_segment(to, edge));
        ends.min(square_to_segment(edge[0], segment))
    });
    squares.fold(f64::INFINITY, f64::min).sqrt()
}

/// Whether any of the segment lies within the polygon.
fn overlaps(segment: [Point; 2], polygon: &[Point]) -> bool {
    edges(polygon).any(|edge| cross_each_other(segment, edge)) || contains(polygon, segment[0])
}

fn cross_each_other([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let sides = |from: Point, to: Point, p: Point, q: Point| {
        cross(less(to, from), less(p, from)) * cross(less(to, from), less(q, from)) < 0.0
    };
    sides(a, b, c, d) && sides(c, d, a, b)
}

/// By the parity of the outline's crossings to the right of `point`.
fn contains(polygon: &[Point], [x, y]: Point) -> bool {
    let crossings = edges(polygon)
        .filter(|[a, b]| (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
    !crossings.count().is_multiple_of(2)
}
