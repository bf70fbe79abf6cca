//! A blank rolled into its finished shape in space, told by the sheet's own measures alone: each flat a translation, each bend a
//! rotation about its centre. The rotations are a general library's (nalgebra); nothing of the program's own shape is used.

use brakeside::trade::bending::Rule;
use brakeside::trade::section::{Bend, Hem, Section, Turn};
use nalgebra::{Isometry3, Matrix2, Point3, Translation3, UnitQuaternion, Vector2, Vector3};

/// How a trim stands, as the trade says it: its first leg's heading in degrees up from straight out, the leg whose hidden
/// face lies on the wall, and the leg that gives the height from which up counts.
#[derive(Debug, Clone, Copy)]
pub struct Stands {
    pub heading_deg: f64,
    pub corner: Corner,
}

/// What lies on the building.
#[derive(Debug, Clone, Copy)]
pub enum Corner {
    /// The wall and the roof, by leg.
    Of(usize, usize),
    /// An upright wall only.
    Wall(usize),
}

/// A strip and where its metal goes. In space: along the run to the right, up, and out from the wall.
pub struct Rolled {
    zones: Vec<Zone>,
    placed: Isometry3<f64>,
}

/// Part of the strip, from the datum edge on: flat, or turned toward the side that will be seen (below 0, away from it).
#[derive(Debug, Clone, Copy)]
struct Zone {
    metal: f64,
    turn: f64,
    /// Of the sheet's centre line.
    radius: f64,
}

impl Zone {
    fn flat(metal: f64) -> Self {
        Self { metal, turn: 0.0, radius: 0.0 }
    }

    /// From the zone's start to the place `part` of the way along it. The strip runs down the page, its seen side to the reader.
    fn step(&self, part: f64) -> Isometry3<f64> {
        if self.turn == 0.0 {
            return Isometry3::translation(0.0, -self.metal * part, 0.0);
        }
        let centre = Translation3::new(0.0, 0.0, self.radius * self.turn.signum());
        let turned = UnitQuaternion::from_axis_angle(&Vector3::x_axis(), -self.turn * part);
        centre * turned * centre.inverse()
    }
}

/// Where the neutral line lies in a bend, in thicknesses from the inside: DIN 6935's k/2, or the rule's own.
fn neutral(rule: Rule, radius: f64, thickness: f64) -> f64 {
    match rule {
        Rule::Din6935 => (0.65 + 0.5 * (radius / thickness).log10()).clamp(0.0, 1.0) / 2.0,
        Rule::KFactor(part) => part,
    }
}

impl Rolled {
    pub fn new(section: &Section, rule: Rule, stands: Stands) -> Self {
        let (t, r) = (section.thickness.mm(), section.inside_radius.mm());
        let setback = |bend: &Bend| (r + t) * (bend.through_deg.min(90.0) / 2.0).to_radians().tan();
        let hem_setback = |hem: &Hem| t + hem.gap.mm() / 2.0;
        let hem_zones = |hem: &Hem| {
            let flat = Zone::flat(hem.width.mm() - hem_setback(hem));
            // Two quarter turns of Machinery's Handbook's 0.64 T + 1.57 R.
            let metal = 2.0 * (0.64 * t + 1.57 * hem.gap.mm() / 2.0);
            [flat, Zone { metal, turn: -std::f64::consts::PI, radius: (hem.gap.mm() + t) / 2.0 }]
        };

        let mut zones: Vec<Zone> = section.datum_hem.iter().flat_map(hem_zones).collect();
        let mut legs = Vec::new();
        for (i, leg) in section.legs.iter().enumerate() {
            let before = match i {
                0 => section.datum_hem.as_ref().map_or(0.0, hem_setback),
                _ => setback(&section.bends[i - 1]),
            };
            let after = match section.bends.get(i) {
                Some(bend) => setback(bend),
                None => section.lower_hem.as_ref().map_or(0.0, hem_setback),
            };
            legs.push(zones.len());
            zones.push(Zone::flat(leg.width.mm() - before - after));
            if let Some(bend) = section.bends.get(i) {
                let through = bend.through_deg.to_radians();
                let metal = match rule {
                    // Its v is 0 there.
                    Rule::Din6935 if bend.through_deg < 15.0 => 2.0 * setback(bend),
                    _ => through * (r + neutral(rule, r, t) * t),
                };
                let turn = if bend.turn == Turn::Up { through } else { -through };
                zones.push(Zone { metal, turn, radius: r + t / 2.0 });
            }
        }
        zones.extend(section.lower_hem.iter().flat_map(hem_zones).collect::<Vec<_>>().into_iter().rev());

        let mut rolled = Self { zones, placed: Isometry3::identity() };
        rolled.stand(&legs, t, stands);
        rolled
    }

    /// Turned so that its first leg heads as it should, and moved so that the building's corner is at the origin.
    fn stand(&mut self, legs: &[usize], thickness: f64, stands: Stands) {
        let turn = -(stands.heading_deg + 90.0).to_radians();
        let first = self.zones[..legs[0]].iter().fold(Isometry3::identity(), |at, zone| at * zone.step(1.0));
        self.placed = Isometry3::rotation(Vector3::x() * turn) * first.inverse();
        // On a leg's hidden face: where its flat begins, and which way it runs, both as (out, up).
        let hidden = |leg: usize| {
            let at = self.zones[..legs[leg]].iter().fold(self.placed, |at, zone| at * zone.step(1.0));
            let start = at * Point3::new(0.0, 0.0, -thickness / 2.0);
            let along = at * Vector3::new(0.0, -1.0, 0.0);
            (Vector2::new(start.z, start.y), Vector2::new(along.z, along.y))
        };
        let corner = match stands.corner {
            Corner::Of(wall, roof) => {
                let ((p, u), (q, v)) = (hidden(wall), hidden(roof));
                let along = Matrix2::from_columns(&[u, -v]).try_inverse().unwrap() * (q - p);
                p + u * along.x
            }
            Corner::Wall(wall) => {
                let (start, along) = hidden(wall);
                assert!(along.x.abs() < 1e-9, "the leg on the wall is upright");
                start
            }
        };
        self.placed = Isometry3::translation(0.0, -corner.y, -corner.x) * self.placed;
    }

    pub fn girth(&self) -> f64 {
        self.zones.iter().map(|zone| zone.metal).sum()
    }

    /// Where the sheet's centre line at `y` from the datum edge lies, at the run's 0.
    pub fn at(&self, y: f64) -> Point3<f64> {
        let (mut placed, mut rest) = (self.placed, y);
        for zone in &self.zones {
            let part = (rest / zone.metal).min(1.0);
            placed *= zone.step(part);
            rest -= zone.metal * part;
        }
        placed * Point3::origin()
    }
}

/// A run's own axes turned about the line up: to the right of a wall that turns away by `degrees`.
pub fn turned_away(degrees: f64) -> Isometry3<f64> {
    Isometry3::rotation(Vector3::y() * degrees.to_radians())
}

/// A run's own axes climbing to the right.
pub fn climbing(degrees: f64) -> Isometry3<f64> {
    Isometry3::rotation(Vector3::z() * degrees.to_radians())
}
