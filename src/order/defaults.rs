//! What an order may leave out, and the bounds of what a shop can sensibly be asked for, in one place.
//!
//! Common practice, no source, unless a value says otherwise.

use std::ops::RangeInclusive;

use crate::trade::length::{Length, Units};

/// The shop's least lap. Public texts ask for 3 in (UFGS 07 60 00) to 4 in (UFGS 07 41 13); the trade laps 6.
pub const LEAST_LAP: Length = Length::inches(6);

/// The lap of a run that names none: the least, or in a metric shop the next 5 mm above it, which a tape shows.
pub fn lap(units: Units) -> Length {
    match units {
        Units::In => LEAST_LAP,
        Units::Mm => Length::millimetres(155),
    }
}

/// The longest blank. Public texts ask for pieces of 8 to 10 ft (UFGS 07 60 00).
pub const LONGEST: Length = Length::inches(10 * 12);
/// What a shop can set as its longest blank.
pub const LONGEST_RANGE: RangeInclusive<Length> = Length::inches(12)..=Length::inches(40 * 12);

/// End wall: the leg against the wall. Public texts ask for 4 in (IRC 2018 R905.2.8.3, side walls).
pub const END_WALL_WALL_LEG: Length = Length::inches(4);
/// End wall: the leg out over the roof.
pub const END_WALL_ROOF_LEG: Length = Length::inches(5);
/// Reglet: the leg against the wall.
pub const REGLET_WALL_LEG: Length = Length::sixty_fourths(96);
/// Reglet: out over the end wall.
pub const REGLET_DEPTH: Length = Length::sixty_fourths(40);
/// Reglet: down over the end wall.
pub const REGLET_FACE: Length = Length::inches(3);
/// The closed hem at the lower edge: about ½ in (Copper Flashings: A Manual).
pub const HEM: Length = Length::sixty_fourths(32);

/// No leg is wider than the coil it is slit from.
pub const WIDEST_LEG: Length = Length::inches(48);
/// A larger radius is rolled, not bent on a brake.
pub const LARGEST_INSIDE_RADIUS: Length = Length::inches(1);

/// More is a slip of the measurer's, and would hold the bench up.
pub const MOST_RUNS: usize = 10_000;
pub const MOST_PIECES: usize = 50_000;
