//! The trims' cross-sections as a shop sets them: a few outside widths each, the rest follows from the roof.

use super::length::Length;
use super::pitch::Pitch;
use super::section::{Bend, Hem, Leg, LegName, Section, Turn};

/// A trim's widths and hems.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    pub shape: Shape,
    pub datum_hem: Option<Hem>,
    pub lower_hem: Option<Hem>,
    /// The shop's own for the metal, or the sheet's thickness, where the order sets none.
    pub inside_radius: Option<Length>,
}

/// Outside (mould-line) widths, from the datum edge on.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Up the wall, and out over a roof that falls away from it.
    EndWall { wall_leg: Length, roof_leg: Length },
    /// A Z: against the wall, out over the end wall, down over it.
    Reglet { wall_leg: Length, depth: Length, face: Length },
    /// Up the wall, and out over a roof that slopes along it.
    SideWall { wall_leg: Length, roof_leg: Length },
    /// In from the roof's sloped edge, and down over the gable.
    Gable { roof_leg: Length, face: Length },
    /// Under the panels, down over the eave, and a kick out at the foot that throws the drip clear.
    Eave { roof_leg: Length, face: Length, kick: Length, kick_deg: f64 },
    /// Over both slopes.
    Ridge { far_leg: Length, near_leg: Length },
    /// As drawn: widths, and between each two a bend.
    Custom { legs: Vec<Length>, bends: Vec<Bend> },
}

/// The roof a trim is bent to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Roof {
    /// The fall of the roof: away from the wall, along a sloped run, or before a ridge.
    pub pitch: Option<Pitch>,
    /// The fall beyond a ridge.
    pub far_pitch: Option<Pitch>,
}

impl Roof {
    fn fall(pitch: Option<Pitch>) -> f64 {
        pitch.map_or(0.0, |pitch| pitch.degrees())
    }
}

/// How a finished section stands on the building, in the plane across its run: out from the wall, and up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// Which way its first leg runs from the datum edge, in degrees up from straight out.
    pub heading_deg: f64,
    pub rests: Rests,
}

/// What of a section distances out from the wall and up from the roof are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rests {
    /// The hidden face of this leg lies on the wall, and of that, if there is one, on the roof.
    OnWall { wall: usize, roof: Option<usize> },
    /// Astride the first bend.
    Astride,
}

impl Profile {
    /// The section in a sheet of `thickness`, bent to `inside_radius` unless the profile sets its own.
    pub fn section(&self, roof: &Roof, thickness: Length, inside_radius: Length) -> Section {
        let leg = |name, width| Leg { name, width };
        let bend = |through_deg, turn| Bend { through_deg, turn };
        let fall = Roof::fall(roof.pitch);
        let (legs, bends) = match &self.shape {
            // Between the wall and a roof falling away at φ the opening angle is 90° + φ.
            &Shape::EndWall { wall_leg, roof_leg } => (
                vec![leg(LegName::WallLeg, wall_leg), leg(LegName::RoofLeg, roof_leg)],
                vec![bend(90.0 - fall, Turn::Up)],
            ),
            &Shape::Reglet { wall_leg, depth, face } => (
                vec![leg(LegName::WallLeg, wall_leg), leg(LegName::Depth, depth), leg(LegName::Face, face)],
                vec![bend(90.0, Turn::Up), bend(90.0, Turn::Down)],
            ),
            // Across a sloped run the wall stands square to the roof, whatever the slope.
            &Shape::SideWall { wall_leg, roof_leg } => {
                (vec![leg(LegName::WallLeg, wall_leg), leg(LegName::RoofLeg, roof_leg)], vec![bend(90.0, Turn::Up)])
            }
            &Shape::Gable { roof_leg, face } => {
                (vec![leg(LegName::RoofLeg, roof_leg), leg(LegName::Face, face)], vec![bend(90.0, Turn::Down)])
            }
            // The roof leg falls at φ toward a face that hangs straight down.
            &Shape::Eave { roof_leg, face, kick, kick_deg } => (
                vec![leg(LegName::RoofLeg, roof_leg), leg(LegName::Face, face), leg(LegName::Kick, kick)],
                vec![bend(90.0 - fall, Turn::Down), bend(kick_deg, Turn::Up)],
            ),
            &Shape::Ridge { far_leg, near_leg } => (
                vec![leg(LegName::FarLeg, far_leg), leg(LegName::NearLeg, near_leg)],
                vec![bend(fall + Roof::fall(roof.far_pitch), Turn::Down)],
            ),
            Shape::Custom { legs, bends } => {
                let legs = legs.iter().enumerate().map(|(index, &width)| leg(LegName::Nth(index), width));
                (legs.collect(), bends.clone())
            }
        };
        Section {
            legs,
            bends,
            datum_hem: self.datum_hem,
            lower_hem: self.lower_hem,
            thickness,
            inside_radius: self.inside_radius.unwrap_or(inside_radius),
        }
    }

    /// How the section stands; a custom one hangs its first leg on the wall.
    pub fn stance(&self, roof: &Roof) -> Stance {
        let (heading_deg, rests) = match self.shape {
            Shape::EndWall { .. } | Shape::SideWall { .. } => (-90.0, Rests::OnWall { wall: 0, roof: Some(1) }),
            Shape::Reglet { .. } | Shape::Custom { .. } => (-90.0, Rests::OnWall { wall: 0, roof: None }),
            Shape::Gable { .. } => (0.0, Rests::OnWall { wall: 1, roof: Some(0) }),
            Shape::Eave { .. } => (-Roof::fall(roof.pitch), Rests::OnWall { wall: 1, roof: None }),
            Shape::Ridge { .. } => (Roof::fall(roof.far_pitch), Rests::Astride),
        };
        Stance { heading_deg, rests }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::bending::Rule;
    use crate::trade::shape::{Made, Part, Sheet};

    const T: Length = Length::from_nm(701_040);

    fn roof(pitch: &str, far: &str) -> Roof {
        Roof { pitch: Some(Pitch::parse(pitch).unwrap()), far_pitch: Some(Pitch::parse(far).unwrap()) }
    }

    /// Which way each leg of `shape` runs on the building, in degrees up from straight out.
    fn headings(shape: Shape, roof: &Roof) -> Vec<f64> {
        let profile = Profile { shape, datum_hem: None, lower_hem: None, inside_radius: None };
        let section = profile.section(roof, T, T);
        let courses = Sheet::of(&section, Rule::Din6935).shape(Made::ALL);
        let first = profile.stance(roof).heading_deg;
        let of_leg =
            |index| courses.iter().find(|course| course.part == Part::Leg(index)).unwrap().stations[0].heading();
        (0..section.legs.len())
            .map(of_leg)
            .map(|[x, y]| {
                let heading = first + y.atan2(x).to_degrees();
                (heading * 1e6).round() / 1e6
            })
            .collect()
    }

    /// Each leg runs as the roof's and the wall's own geometry says: down walls is −90°, down a 12:12 roof −45°.
    #[test]
    fn every_leg_lies_on_its_wall_or_roof() {
        let [a, b, c] = [4, 3, 1].map(Length::inches);
        let roof = roof("12:12", "6:12");
        let far = 6f64.atan2(12.0).to_degrees();
        let far = (far * 1e6).round() / 1e6;
        assert_eq!(headings(Shape::EndWall { wall_leg: a, roof_leg: b }, &roof), [-90.0, -45.0]);
        assert_eq!(headings(Shape::Reglet { wall_leg: a, depth: c, face: b }, &roof), [-90.0, 0.0, -90.0]);
        assert_eq!(headings(Shape::SideWall { wall_leg: a, roof_leg: b }, &roof), [-90.0, 0.0]);
        assert_eq!(headings(Shape::Gable { roof_leg: a, face: b }, &roof), [0.0, -90.0]);
        let eave = Shape::Eave { roof_leg: a, face: b, kick: c, kick_deg: 30.0 };
        assert_eq!(headings(eave, &roof), [-45.0, -90.0, -60.0]);
        assert_eq!(headings(Shape::Ridge { far_leg: a, near_leg: b }, &roof), [far, -45.0]);
    }
}
