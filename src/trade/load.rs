//! The van: in which order the bundle is stacked, what it weighs, how it is held, and what hangs out behind.
//!
//! The bundle is stacked by the reverse of the installing order: what goes up last is loaded first and lies lowest, so
//! that the crew never digs. Pieces installed at the same stage, a run, come off together: among them the longest lies
//! lowest and carries the rest. Common practice, no source.

use std::cmp::Reverse;

use super::length::{Length, Units};
use super::mass::KG_PER_LB;
use super::tie_downs::{TieDowns, tie_downs};
use super::working::{COMMON_PRACTICE, Working};

/// One piece to be loaded. Pieces are given in the order they are installed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cargo {
    pub length: Length,
    pub mass_kg: f64,
    /// When its run is installed: 0 first.
    pub stage: usize,
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
    /// Indices of the pieces, the lowest first.
    pub bottom_up: Vec<usize>,
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

/// How many numbers of the stacking order its working says.
const SAID: usize = 40;

/// The order of stacking, the lowest first, as indices of `pieces`.
pub fn bottom_up(pieces: &[Cargo]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|&index| Reverse((pieces[index].stage, pieces[index].length, index)));
    order
}

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
        let bottom_up = bottom_up(pieces);
        let numbers: Vec<String> = bottom_up.iter().take(SAID).map(|index| (index + 1).to_string()).collect();
        let more = if bottom_up.len() > SAID { ", and so on" } else { "" };
        let mut workings = vec![
            Working::new(
                "stacking order",
                "the last installed lowest; within a run the longest lowest",
                [("pieces, numbered as installed", pieces.len().to_string())],
                format!("{}{more}", numbers.join(", ")),
                COMMON_PRACTICE,
            ),
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
                [("L, longest piece", longest.text(units)), ("mass", mass)],
                format!("{} ({} if blocked in front)", tie_downs.unblocked, tie_downs.blocked),
                "49 CFR 393.110",
            ),
        ];
        workings.extend(overhang.map(|overhang| overhang.working(longest, bed, units)));
        Some(Self { bottom_up, mass_kg, longest, tie_downs, overhang, workings })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const IN: fn(i64) -> Length = Length::inches;

    fn piece(stage: usize, inches: i64) -> Cargo {
        Cargo { length: IN(inches), mass_kg: 2.5, stage }
    }

    fn bed(feet: i64, width: i64) -> Bed {
        Bed { length: IN(feet * 12), bundle_width: IN(width) }
    }

    /// Common practice, no source.
    #[test]
    fn the_last_installed_lies_lowest_and_long_carries_short() {
        let pieces = [piece(0, 120), piece(0, 90), piece(1, 60), piece(1, 110), piece(1, 60)];
        assert_eq!(bottom_up(&pieces), [3, 4, 2, 0, 1]);
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
        let pieces = [piece(0, 120), piece(1, 145)];
        let load = Load::of(&pieces, bed(8, 12), COMMON_PRACTICE, Units::In).unwrap();
        assert_eq!((load.longest, load.mass_kg, load.tie_downs.unblocked), (IN(145), 5.0, 3));
        assert!(load.overhang.unwrap().notice(Units::In).contains("4' 1\""));
        assert_eq!(Load::of(&[], bed(8, 12), COMMON_PRACTICE, Units::In), None);
    }

    proptest! {
        /// Every piece once; nothing lies on what is installed before it, nor longer on shorter within a stage.
        #[test]
        fn nobody_digs(pieces in prop::collection::vec((0usize..4, 1i64..200), 0..30)) {
            let pieces: Vec<Cargo> = pieces.into_iter().map(|(stage, inches)| piece(stage, inches)).collect();
            let order = bottom_up(&pieces);
            let mut seen = order.clone();
            seen.sort_unstable();
            prop_assert_eq!(seen, (0..pieces.len()).collect::<Vec<_>>());
            for pair in order.windows(2) {
                let (low, high) = (pieces[pair[0]], pieces[pair[1]]);
                prop_assert!(low.stage > high.stage || low.stage == high.stage && low.length >= high.length);
            }
        }
    }
}
