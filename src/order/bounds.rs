//! The bounds of what any shop can sensibly be asked for, in one place. Common practice, no source.

use crate::trade::length::Length;

/// The shortest blank that may be an order's longest.
pub const SHORTEST_LONGEST: Length = Length::inches(12);

/// No leg is wider than the coil it is slit from.
pub const WIDEST_LEG: Length = Length::inches(48);
/// A larger radius is rolled, not bent on a brake.
pub const LARGEST_INSIDE_RADIUS: Length = Length::inches(1);
/// A wider gap is no hem.
pub const WIDEST_GAP: Length = Length::sixty_fourths(32);

/// No tape reads a longer piece: a slip of the hand, or of the units.
pub const LONGEST_MEASURED: Length = Length::millimetres(100_000);

/// More is a slip of the measurer's, and would hold the bench up.
pub const MOST_RUNS: usize = 10_000;
pub const MOST_PIECES: usize = 50_000;
