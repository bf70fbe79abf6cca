//! A cross-section and the flat strip it unfolds to.
//!
//! Legs are given by outside (mould-line) widths from the datum edge to the lower edge, one bend between each two, a
//! closed hem at the lower edge. Unfolding shortens the sum of the legs at every bend (by DIN 6935 wherever an order is
//! laid out; by a K-factor where a handbook's example gives one) and adds the hem's allowance; the same sums place each
//! bend line on the blank.

use serde::{Deserialize, Serialize};

use super::bending::{self, Rule};
use super::length::{Length, Units};

/// A hem shorter than this many thicknesses cannot be gripped and folded (from memory).
pub const LEAST_HEM_IN_THICKNESSES: i64 = 4;

/// The cross-section of a trim, as it will stand on the wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    pub legs: Vec<Leg>,
    /// One fewer than the legs.
    pub bends: Vec<Bend>,
    /// Finished width of the closed hem at the lower edge, folded to the hidden side.
    pub hem: Length,
    pub thickness: Length,
    pub inside_radius: Length,
}

/// A flat part of the cross-section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leg {
    pub name: LegName,
    pub width: Length,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LegName {
    WallLeg,
    RoofLeg,
    Depth,
    Face,
}

impl LegName {
    /// The words on cards and drawings.
    pub fn name(self) -> &'static str {
        match self {
            Self::WallLeg => "wall leg",
            Self::RoofLeg => "roof leg",
            Self::Depth => "depth",
            Self::Face => "face",
        }
    }

    /// The key that sets its width in an order's `profile`.
    pub fn key(self) -> &'static str {
        match self {
            Self::WallLeg => "wall_leg",
            Self::RoofLeg => "roof_leg",
            Self::Depth => "depth",
            Self::Face => "face",
        }
    }
}

/// A bend between two legs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Degrees the metal is bent through: 180 less the opening angle.
    pub through_deg: f64,
    pub turn: Turn,
}

/// With the side that will be seen facing up on the bench: the flange is bent up, or down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    Up,
    Down,
}

impl Turn {
    /// The word on cards.
    pub fn name(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
        }
    }
}

/// An angle to a tenth of a degree, finer than a brake's scale: `80.5°`, `90°`.
pub fn degrees(angle: f64) -> String {
    format!("{}°", format!("{angle:.1}").trim_end_matches(".0"))
}

/// The strip a section unfolds to; all distances from the datum edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    pub girth: Length,
    /// The middle of each bend.
    pub bend_lines: Vec<Length>,
    /// The middle of the hem's fold.
    pub fold_line: Length,
    /// What each bend takes off the sum of the legs.
    pub shortenings: Vec<Length>,
}

/// Why a section cannot be bent.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SectionError {
    #[error("the {} leaves no flat between its bends: make it more than {least}", leg.name())]
    LegTooNarrow { leg: LegName, least: String },
    #[error("a hem needs at least {LEAST_HEM_IN_THICKNESSES} thicknesses to fold: make it {least} or more")]
    HemTooNarrow { least: String },
    #[error("the hem does not fit behind the {}: make the hem less than {most}", leg.name())]
    HemTooWide { leg: LegName, most: String },
}

impl Section {
    /// Every reason the section cannot be bent; empty when it can. Widths in the messages are said in `units`.
    pub fn faults(&self, units: Units) -> Vec<SectionError> {
        let mut faults = Vec::new();
        let mut last_flat = Length::ZERO;
        for (i, leg) in self.legs.iter().enumerate() {
            let before = i.checked_sub(1).and_then(|j| self.bends.get(j));
            let taken = [before, self.bends.get(i)].into_iter().flatten().map(|bend| self.setback(bend)).sum();
            if leg.width <= taken {
                faults.push(SectionError::LegTooNarrow { leg: leg.name, least: no_less_than(taken, units) });
            }
            last_flat = leg.width - taken;
        }
        let least = self.thickness * LEAST_HEM_IN_THICKNESSES;
        if self.hem < least {
            faults.push(SectionError::HemTooNarrow { least: no_less_than(least, units) });
        }
        if let Some(leg) = self.legs.last().filter(|_| self.hem >= last_flat && last_flat > Length::ZERO) {
            faults.push(SectionError::HemTooWide { leg: leg.name, most: no_more_than(last_flat, units) });
        }
        faults
    }

    /// From the mould line to where the bend's arc begins.
    fn setback(&self, bend: &Bend) -> Length {
        let outside_radius = (self.inside_radius + self.thickness).mm();
        Length::from_mm(outside_radius * (bend.through_deg / 2.0).to_radians().tan())
    }

    /// Unfolds the section. Each shortening is computed in `f64` and rounded to the nanometre once.
    pub fn unfold(&self, rule: Rule) -> Flat {
        let (radius, thickness) = (self.inside_radius.mm(), self.thickness.mm());
        let shortenings: Vec<Length> = self
            .bends
            .iter()
            .map(|bend| Length::from_mm(bending::shortening(rule, bend.through_deg, radius, thickness)))
            .collect();

        let mut mould_line = Length::ZERO;
        let mut bend_lines = Vec::with_capacity(self.bends.len());
        for (leg, &shortening) in self.legs.iter().zip(&shortenings) {
            mould_line += leg.width;
            bend_lines.push(mould_line - half(shortening));
            mould_line -= shortening;
        }
        let outer_fold = mould_line + self.legs.last().map_or(Length::ZERO, |leg| leg.width);
        let hem_allowance = Length::from_mm(bending::hem_allowance(self.hem.mm(), thickness));
        Flat {
            girth: outer_fold + hem_allowance,
            bend_lines,
            fold_line: outer_fold + Length::from_mm(bending::hem_fold_past_leg(thickness)),
            shortenings,
        }
    }
}

/// What a text can say without loss: the steps of [`Length::text`].
fn said_step(units: Units) -> i64 {
    match units {
        Units::In => Length::sixty_fourths(1).nm(),
        Units::Mm => 1_000,
    }
}

/// A least width in words, rounded so that following them is enough.
fn no_less_than(length: Length, units: Units) -> String {
    let step = said_step(units);
    Length::from_nm((length.nm() + step - 1).div_euclid(step) * step).text(units)
}

/// A greatest width in words, rounded likewise.
fn no_more_than(length: Length, units: Units) -> String {
    let step = said_step(units);
    Length::from_nm(length.nm().div_euclid(step) * step).text(units)
}

fn half(length: Length) -> Length {
    Length::from_nm(length.nm() / 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn end_wall(thickness: Length) -> Section {
        Section {
            legs: vec![
                Leg { name: LegName::WallLeg, width: Length::inches(4) },
                Leg { name: LegName::RoofLeg, width: Length::inches(5) },
            ],
            bends: vec![Bend { through_deg: 90.0, turn: Turn::Up }],
            hem: Length::from_inches(0.5),
            thickness,
            inside_radius: thickness,
        }
    }

    /// DIN 6935 (secondary): v = 1.9187 for β 90°, r 1, s 1; the hem adds h − 0.72 T (Machinery's Handbook, eq. 33).
    #[test]
    fn one_right_angle_and_a_hem() {
        let flat = end_wall(Length::millimetres(1)).unfold(Rule::Din6935);
        let legs = 9.0 * 25.4;
        assert!((flat.girth.mm() - (legs - 1.9187 + 12.7 - 0.72)).abs() < 1e-4);
        assert!((flat.bend_lines[0].mm() - (4.0 * 25.4 - 1.9187 / 2.0)).abs() < 1e-4);
        assert!((flat.fold_line.mm() - (legs - 1.9187 - 0.36)).abs() < 1e-4);
    }

    #[test]
    fn a_leg_with_no_flat_a_thin_hem_and_a_wide_one_are_all_told() {
        let mut section = end_wall(Length::millimetres(1));
        assert_eq!(section.faults(Units::Mm), []);
        section.legs[0].width = Length::millimetres(2);
        section.hem = Length::millimetres(3);
        let faults = section.faults(Units::Mm);
        assert!(matches!(faults[0], SectionError::LegTooNarrow { leg: LegName::WallLeg, .. }));
        assert!(matches!(faults[1], SectionError::HemTooNarrow { .. }));
        section.hem = Length::inches(6);
        assert!(matches!(section.faults(Units::Mm)[1], SectionError::HemTooWide { leg: LegName::RoofLeg, .. }));
    }

    /// 4 T of 24 ga galvanized is 0.1104 in, just over 7/64: whoever follows the advice must then pass.
    #[test]
    fn the_advice_is_rounded_to_the_safe_side() {
        let mut section = end_wall(Length::from_inches(0.0276));
        section.hem = Length::sixty_fourths(7);
        assert_eq!(section.faults(Units::In), [SectionError::HemTooNarrow { least: "1/8\"".into() }]);
    }
}
