//! The van: in which order the bundle is stacked, what it weighs, how it is held, and what hangs out behind.
//!
//! The bundle is stacked by the reverse of the installing order: what goes up last is loaded first and lies lowest, so
//! that the crew never digs. Common practice, no source.

use super::length::{Length, Units};
use super::mass::KG_PER_LB;
use super::tie_downs::{TieDowns, tie_downs};
use super::working::Working;

/// One piece to be loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cargo {
    /// As bent, with what a mitre reaches beyond its finished end.
    pub length: Length,
    pub mass_kg: f64,
}

/// The bed, and the bundle on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bed {
    pub length: Length,
    /// How wide the bundle is, which decides on its flags.
    pub bundle_width: Length,
}

/// What the driver needs to know. For no pieces, nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub mass_kg: f64,
    pub longest: Length,
    pub tie_downs: TieDowns,
    pub overhang: Option<Overhang>,
    pub workings: Vec<Working>,
}

/// What hangs out beyond the rear of the bed, the bundle's front against its head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Overhang {
    pub by: Length,
    /// Warning flags: none up to 4 ft.
    pub flags: u32,
}

/// 49 CFR 393.87: a load farther beyond the rear than this is flagged.
const UNFLAGGED: Length = Length::inches(4 * 12);
/// 49 CFR 393.87: one flag for a load no wider than this, else two.
const ONE_FLAG_WIDTH: Length = Length::inches(2 * 12);

impl Overhang {
    /// None where the longest piece fits the bed.
    pub fn of(longest: Length, bed: Bed) -> Option<Self> {
        let by = longest - bed.length;
        let flags = match () {
            () if by <= UNFLAGGED => 0,
            () if bed.bundle_width <= ONE_FLAG_WIDTH => 1,
            () => 2,
        };
        (by > Length::ZERO).then_some(Self { by, flags })
    }

    /// What the driver reads.
    pub fn notice(&self, units: Units) -> String {
        let by = self.by.text(units);
        match self.flags {
            0 => format!("The bundle sticks out {by} beyond the bed. Tie its rear. Local rules may ask for a flag."),
            1 => format!(
                "The bundle sticks out {by} beyond the bed. Tie its rear. Hang one red or orange flag, at least 18 in \
                 (457 mm) square, at its rear end (49 CFR 393.87)."
            ),
            _ => format!(
                "The bundle sticks out {by} beyond the bed. Tie its rear. Hang two red or orange flags, at least 18 in \
                 (457 mm) square, at its rear corners (49 CFR 393.87)."
            ),
        }
    }

    fn working(&self, longest: Length, bed: Bed, units: Units) -> Working {
        let say = |length: Length| length.text(units);
        Working::new(
            "overhang",
            "longest − bed; over 4 ft: one flag up to 2 ft wide, else two",
            [("longest piece", say(longest)), ("bed", say(bed.length)), ("bundle width", say(bed.bundle_width))],
            format!("{}, flags: {}", say(self.by), self.flags),
            "49 CFR 393.87",
        )
    }
}

impl Load {
    /// `mass_source` says where the pieces' masses come from.
    pub fn of(pieces: &[Cargo], bed: Bed, mass_source: &str, units: Units) -> Option<Self> {
        let longest = pieces.iter().map(|piece| piece.length).max()?;
        let mass_kg = pieces.iter().map(|piece| piece.mass_kg).sum();
        let tie_downs = tie_downs(longest, mass_kg);
        let overhang = Overhang::of(longest, bed);
        let mass = format!("{mass_kg:.1} kg ({:.0} lb)", mass_kg / KG_PER_LB);
        let mut workings = vec![
            Working::new(
                "mass of the load",
                "the sum of the pieces",
                [("pieces", pieces.len().to_string())],
                mass.clone(),
                mass_source,
            ),
            Working::new(
                "tie-downs",
                "L up to 5 ft and 1,100 lb: 1; else 1 + ⌈L / 10 ft⌉; blocked in front: ⌈L / 10 ft⌉",
                [("L, longest piece, with what a mitre reaches beyond", longest.text(units)), ("mass", mass)],
                format!("{} ({} if blocked in front)", tie_downs.unblocked, tie_downs.blocked),
                "49 CFR 393.110",
            ),
        ];
        workings.extend(overhang.map(|overhang| overhang.working(longest, bed, units)));
        Some(Self { mass_kg, longest, tie_downs, overhang, workings })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::working::COMMON_PRACTICE;

    const IN: fn(i64) -> Length = Length::inches;

    fn piece(inches: i64) -> Cargo {
        Cargo { length: IN(inches), mass_kg: 2.5 }
    }

    fn bed(feet: i64, width: i64) -> Bed {
        Bed { length: IN(feet * 12), bundle_width: IN(width) }
    }

    /// 49 CFR 393.87, read in a secondary source: over 4 ft; one flag for no more than 2 ft wide, else two.
    #[test]
    fn flags_of_49_cfr_393_87() {
        let flags = |inches, width| Overhang::of(IN(inches), bed(8, width)).map(|overhang| overhang.flags);
        assert_eq!(flags(96, 12), None);
        assert_eq!(flags(97, 12), Some(0));
        assert_eq!(flags(144, 12), Some(0));
        assert_eq!(flags(145, 24), Some(1));
        assert_eq!(flags(145, 25), Some(2));
    }

    #[test]
    fn the_load_is_one_bundle() {
        let pieces = [piece(120), piece(145)];
        let load = Load::of(&pieces, bed(8, 12), COMMON_PRACTICE, Units::In).unwrap();
        assert_eq!((load.longest, load.mass_kg, load.tie_downs.unblocked), (IN(145), 5.0, 3));
        assert!(load.overhang.unwrap().notice(Units::In).contains("4' 1\""));
        assert_eq!(Load::of(&[], bed(8, 12), COMMON_PRACTICE, Units::In), None);
    }
}
