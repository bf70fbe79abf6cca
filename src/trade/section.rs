//! A cross-section and the flat strip it unfolds to.
//!
//! Legs are given by outside (mould-line) widths from the datum edge to the lower edge, one bend between each two, a
//! hem at either edge. Unfolding shortens the sum of the legs at every bend and adds what the hems take; the same sums
//! place each bend line and fold on the blank.

use std::borrow::Cow;
use std::hash::{Hash, Hasher};

use serde::{Deserialize, Serialize};

use super::bending::{self, Rule};
use super::length::{Length, Units};

/// A hem shorter than this many thicknesses cannot be gripped and folded (from memory).
const LEAST_HEM_IN_THICKNESSES: i64 = 4;

/// The cross-section of a trim, as it will stand on the wall.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Section {
    /// At least one.
    pub legs: Vec<Leg>,
    /// One fewer than the legs.
    pub bends: Vec<Bend>,
    pub datum_hem: Option<Hem>,
    pub lower_hem: Option<Hem>,
    pub thickness: Length,
    pub inside_radius: Length,
}

/// A flat part of the cross-section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Leg {
    pub name: LegName,
    pub width: Length,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LegName {
    WallLeg,
    RoofLeg,
    Depth,
    Face,
    Kick,
    /// A ridge's leg over the slope beyond it, and over the one before it.
    FarLeg,
    NearLeg,
    /// Of a custom section, counted from the datum edge, 0 first.
    Nth(usize),
}

impl LegName {
    /// The words on cards and drawings.
    pub fn name(self) -> Cow<'static, str> {
        match self {
            Self::WallLeg => "wall leg".into(),
            Self::RoofLeg => "roof leg".into(),
            Self::Depth => "depth".into(),
            Self::Face => "face".into(),
            Self::Kick => "kick".into(),
            Self::FarLeg => "far leg".into(),
            Self::NearLeg => "near leg".into(),
            Self::Nth(index) => format!("leg {}", index + 1).into(),
        }
    }

    /// The key that sets its width in an order's `profile`, as a JSON pointer from there.
    pub fn key(self) -> Cow<'static, str> {
        match self {
            Self::WallLeg => "wall_leg".into(),
            Self::RoofLeg => "roof_leg".into(),
            Self::Depth => "depth".into(),
            Self::Face => "face".into(),
            Self::Kick => "kick".into(),
            Self::FarLeg => "far_leg".into(),
            Self::NearLeg => "near_leg".into(),
            Self::Nth(index) => format!("legs/{index}/width").into(),
        }
    }
}

/// A bend between two legs. Its angle is a number, so a bend equals itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bend {
    /// Degrees the metal is bent through: 180 less the opening angle.
    pub through_deg: f64,
    pub turn: Turn,
}

impl Eq for Bend {}

impl Hash for Bend {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (self.through_deg.to_bits(), self.turn).hash(state);
    }
}

/// With the side that will be seen facing up on the bench: the flange is bent up, or down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
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

/// An edge folded back to the hidden side, so that the side that will be seen stays in view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Hem {
    /// Finished width, to the outside of the fold.
    pub width: Length,
    /// Left open inside the fold; 0 in a closed hem, which is flattened.
    pub gap: Length,
}

impl Hem {
    pub fn closed(width: Length) -> Self {
        Self { width, gap: Length::ZERO }
    }

    pub fn is_open(self) -> bool {
        self.gap > Length::ZERO
    }
}

/// The two long edges of a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Edge {
    /// The wall side of most trims, from which distances across the blank are counted.
    Datum,
    Lower,
}

impl Edge {
    /// The words on cards.
    pub fn name(self) -> &'static str {
        match self {
            Self::Datum => "datum edge",
            Self::Lower => "lower edge",
        }
    }
}

/// One place where a strip is folded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fold {
    Hem(Edge),
    /// Between legs `i` and `i + 1`.
    Bend(usize),
}

/// An angle to a tenth of a degree, finer than a brake's scale: `80.5°`, `90°`.
pub fn degrees(angle: f64) -> String {
    format!("{}°", format!("{angle:.1}").trim_end_matches(".0"))
}

/// The strip a section unfolds to; all distances from the datum edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    pub girth: Length,
    /// The middle of the datum hem's fold.
    pub datum_fold: Option<Length>,
    /// The middle of each bend.
    pub bend_lines: Vec<Length>,
    /// The middle of the lower hem's fold.
    pub lower_fold: Option<Length>,
    /// What each bend takes off the sum of the legs.
    pub shortenings: Vec<Length>,
}

impl Flat {
    /// Where the first leg begins: the datum hem's fold, or the edge itself.
    pub fn head(&self) -> Length {
        self.datum_fold.unwrap_or(Length::ZERO)
    }

    /// Where the last leg ends: the lower hem's fold, or the edge itself.
    pub fn foot(&self) -> Length {
        self.lower_fold.unwrap_or(self.girth)
    }

    /// The line of `fold`; `None` where there is no such fold.
    pub fn line(&self, fold: Fold) -> Option<Length> {
        match fold {
            Fold::Hem(Edge::Datum) => self.datum_fold,
            Fold::Bend(index) => self.bend_lines.get(index).copied(),
            Fold::Hem(Edge::Lower) => self.lower_fold,
        }
    }
}

/// Why a section cannot be bent.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SectionError {
    #[error("the {} leaves no flat between its bends: make it more than {least}", leg.name())]
    LegTooNarrow { leg: LegName, least: String },
    #[error("a hem this narrow cannot be folded: make it {least} or more")]
    HemTooNarrow { edge: Edge, least: String },
    #[error("the hem does not fit behind the {}: make the hem less than {most}", leg.name())]
    HemTooWide { edge: Edge, leg: LegName, most: String },
    #[error("bend {} bends the metal through less than 1°: there is nothing to bend", bend + 1)]
    BendTooSlight { bend: usize },
}

/// A brake's scale tells no less.
const LEAST_BEND_DEG: f64 = 1.0;

impl Section {
    /// Every fold of the strip, from the datum edge to the lower edge.
    pub fn folds(&self) -> impl Iterator<Item = Fold> + use<> {
        let datum = self.datum_hem.map(|_| Fold::Hem(Edge::Datum));
        let lower = self.lower_hem.map(|_| Fold::Hem(Edge::Lower));
        datum.into_iter().chain((0..self.bends.len()).map(Fold::Bend)).chain(lower)
    }

    pub fn hem(&self, edge: Edge) -> Option<Hem> {
        match edge {
            Edge::Datum => self.datum_hem,
            Edge::Lower => self.lower_hem,
        }
    }

    /// Every reason the section cannot be bent; empty when it can, as far as can be told without trying it on the brake,
    /// whose leaf turns no less than `least_flange`. Widths in the messages are said in `units`.
    pub fn faults(&self, least_flange: Length, units: Units) -> Vec<SectionError> {
        let slight = |(bend, of): (usize, &Bend)| {
            (of.through_deg < LEAST_BEND_DEG).then_some(SectionError::BendTooSlight { bend })
        };
        let mut faults: Vec<SectionError> = self.bends.iter().enumerate().filter_map(slight).collect();
        let mut flats = Vec::with_capacity(self.legs.len());
        for (i, leg) in self.legs.iter().enumerate() {
            let before = i.checked_sub(1).and_then(|j| self.bends.get(j));
            let taken = [before, self.bends.get(i)].into_iter().flatten().map(|bend| self.setback(bend)).sum();
            if leg.width <= taken {
                faults.push(SectionError::LegTooNarrow { leg: leg.name, least: no_less_than(taken, units) });
            }
            flats.push(leg.width - taken);
        }
        let behind = [(Edge::Datum, 0), (Edge::Lower, self.legs.len().saturating_sub(1))];
        for (edge, leg) in behind {
            let (Some(hem), Some(leg), Some(&flat)) = (self.hem(edge), self.legs.get(leg), flats.get(leg)) else {
                continue;
            };
            let least = (self.thickness * LEAST_HEM_IN_THICKNESSES + hem.gap).max(least_flange);
            if hem.width < least {
                faults.push(SectionError::HemTooNarrow { edge, least: no_less_than(least, units) });
            }
            // Two hems behind one leg share it.
            let other = match edge {
                Edge::Lower if self.legs.len() == 1 => self.datum_hem.map_or(Length::ZERO, |hem| hem.width),
                Edge::Datum | Edge::Lower => Length::ZERO,
            };
            let room = flat - other;
            if hem.width >= room && flat > Length::ZERO {
                let most = no_more_than(room.max(Length::ZERO), units);
                faults.push(SectionError::HemTooWide { edge, leg: leg.name, most });
            }
        }
        faults
    }

    /// From where a leg's width is measured to where the bend's arc begins.
    fn setback(&self, bend: &Bend) -> Length {
        Length::from_mm(bending::setback(bend.through_deg, self.inside_radius.mm(), self.thickness.mm()))
    }

    /// Unfolds the section. Each shortening is computed in `f64` and rounded to the nanometre once.
    pub fn unfold(&self, rule: Rule) -> Flat {
        let (radius, thickness) = (self.inside_radius.mm(), self.thickness.mm());
        let shortenings: Vec<Length> = self
            .bends
            .iter()
            .map(|bend| Length::from_mm(bending::shortening(rule, bend.through_deg, radius, thickness)))
            .collect();
        let allowance = |hem: Option<Hem>| {
            hem.map_or(Length::ZERO, |hem| {
                Length::from_mm(bending::hem_allowance(hem.width.mm(), hem.gap.mm(), thickness))
            })
        };
        let past_leg = |hem: Hem| Length::from_mm(bending::hem_fold_past_leg(hem.gap.mm(), thickness));

        let start = allowance(self.datum_hem);
        let mut mould_line = start;
        let mut bend_lines = Vec::with_capacity(self.bends.len());
        for (leg, &shortening) in self.legs.iter().zip(&shortenings) {
            mould_line += leg.width;
            bend_lines.push(mould_line - half(shortening));
            mould_line -= shortening;
        }
        let end = mould_line + self.legs.last().map_or(Length::ZERO, |leg| leg.width);
        Flat {
            girth: end + allowance(self.lower_hem),
            datum_fold: self.datum_hem.map(|hem| start - past_leg(hem)),
            bend_lines,
            lower_fold: self.lower_hem.map(|hem| end + past_leg(hem)),
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
            datum_hem: None,
            lower_hem: Some(Hem::closed(Length::from_inches(0.5))),
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
        assert!((flat.foot().mm() - (legs - 1.9187 - 0.36)).abs() < 1e-4);
    }

    /// A strip does not care which of its edges is called the datum edge.
    #[test]
    fn turned_end_for_end_it_is_the_same_strip() {
        let mut section = end_wall(Length::millimetres(1));
        section.datum_hem = Some(Hem { width: Length::millimetres(20), gap: Length::millimetres(3) });
        let flat = section.unfold(Rule::Din6935);
        section.legs.reverse();
        std::mem::swap(&mut section.datum_hem, &mut section.lower_hem);
        let turned = section.unfold(Rule::Din6935);
        assert_eq!(flat.girth, turned.girth);
        let lines = [(flat.datum_fold, turned.lower_fold), (flat.lower_fold, turned.datum_fold)];
        for (line, turned) in lines.map(|(a, b)| (a.unwrap(), b.unwrap())) {
            assert_eq!(line, flat.girth - turned);
        }
        // Half a nanometre may fall either way.
        assert!((flat.bend_lines[0] + turned.bend_lines[0] - flat.girth).nm().abs() <= 1);
    }

    #[test]
    fn a_leg_with_no_flat_a_thin_hem_a_wide_one_and_no_bend_are_all_told() {
        let mut section = end_wall(Length::millimetres(1));
        assert_eq!(section.faults(Length::ZERO, Units::Mm), []);
        section.legs[0].width = Length::millimetres(2);
        section.lower_hem = Some(Hem::closed(Length::millimetres(3)));
        let faults = section.faults(Length::ZERO, Units::Mm);
        assert!(matches!(faults[0], SectionError::LegTooNarrow { leg: LegName::WallLeg, .. }));
        assert!(matches!(faults[1], SectionError::HemTooNarrow { edge: Edge::Lower, .. }));
        section.lower_hem = Some(Hem::closed(Length::inches(6)));
        assert!(matches!(
            section.faults(Length::ZERO, Units::Mm)[1],
            SectionError::HemTooWide { leg: LegName::RoofLeg, .. }
        ));
        section.bends[0].through_deg = 0.0;
        assert_eq!(section.faults(Length::ZERO, Units::Mm)[0], SectionError::BendTooSlight { bend: 0 });
    }

    /// 4 T of 24 ga galvanized is 0.1104 in, just over 7/64: whoever follows the advice must then pass.
    #[test]
    fn the_advice_is_rounded_to_the_safe_side() {
        let mut section = end_wall(Length::from_inches(0.0276));
        section.lower_hem = Some(Hem::closed(Length::sixty_fourths(7)));
        assert_eq!(
            section.faults(Length::ZERO, Units::In),
            [SectionError::HemTooNarrow { edge: Edge::Lower, least: "1/8\"".into() }]
        );
    }
}
