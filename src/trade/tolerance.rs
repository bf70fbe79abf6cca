//! How far off a finished length may be: by a class of ISO 2768-1 or as the shop sets it, and by how much the tape that
//! tells may be off itself.

use super::length::{Length, Units};

/// What a shop holds finished lengths to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tolerance {
    Class(Class),
    /// One deviation for every length, either way.
    Own(Length),
}

impl Default for Tolerance {
    fn default() -> Self {
        Self::Class(Class::Medium)
    }
}

impl Tolerance {
    /// How far off `nominal` may be, either way, as a tape can tell: in whole steps of the bench's reading, and at least
    /// one, for no hand can hold, nor eye see, less.
    pub fn of(self, nominal: Length, units: Units) -> Length {
        let allowed = match self {
            Self::Class(class) => class.deviation(nominal).allowed,
            Self::Own(allowed) => allowed,
        };
        let step = units.reading();
        step * (allowed.nm() / step.nm()).max(1)
    }
}

/// The classes of linear dimensions, ISO 2768-1 table 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    Fine,
    Medium,
    Coarse,
    VeryCoarse,
}

/// What the table allows of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deviation {
    /// Either way.
    pub allowed: Length,
    /// The sizes it is meant for: over the first, up to the second.
    pub sizes: [Length; 2],
    /// Whether the size is among them. The table ends at 4 m, and leaves it to the drawing what holds beyond; here its last
    /// value does.
    pub in_table: bool,
}

/// Where the table's columns end; the first begins at 0.5 mm.
const SIZES_MM: [i64; 8] = [3, 6, 30, 120, 400, 1000, 2000, 4000];
const SMALLEST: Length = Length::from_nm(500_000);

impl Class {
    pub const ALL: [Self; 4] = [Self::Fine, Self::Medium, Self::Coarse, Self::VeryCoarse];

    /// The standard's word and letter: `medium (m)`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fine => "fine (f)",
            Self::Medium => "medium (m)",
            Self::Coarse => "coarse (c)",
            Self::VeryCoarse => "very coarse (v)",
        }
    }

    /// What is allowed of `nominal`. A size the class has no value for takes the nearest that it has.
    pub fn deviation(self, nominal: Length) -> Deviation {
        let (first, values) = self.values();
        let column = SIZES_MM.partition_point(|&to| Length::millimetres(to) < nominal);
        let nearest = column.clamp(first, first + values.len() - 1);
        let from = nearest.checked_sub(1).map_or(SMALLEST, |before| Length::millimetres(SIZES_MM[before]));
        Deviation {
            allowed: Length::from_nm(values[nearest - first] * 10_000),
            sizes: [from, Length::millimetres(SIZES_MM[nearest])],
            in_table: nearest == column && nominal >= SMALLEST,
        }
    }

    /// The first column that has a value, and the values from there on, in hundredths of a millimetre.
    const fn values(self) -> (usize, &'static [i64]) {
        match self {
            Self::Fine => (0, &[5, 5, 10, 15, 20, 30, 50]),
            Self::Medium => (0, &[10, 10, 20, 30, 50, 80, 120, 200]),
            Self::Coarse => (0, &[20, 30, 50, 80, 120, 200, 300, 400]),
            Self::VeryCoarse => (1, &[50, 100, 150, 250, 400, 600, 800]),
        }
    }
}

/// What the hook on a tape's end may add to [`tape_error`]: EU accuracy class II.
pub const HOOK_ERROR: Length = Length::from_nm(200_000);

/// By how much a tape of EU accuracy class II may be off itself over `length`, either way: 0.3 mm and 0.2 mm for each
/// metre begun. UK SI 2016/1153, schedule 1I.
pub const fn tape_error(length: Length) -> Length {
    let metre = Length::millimetres(1000).nm();
    let metres = (length.nm() + metre - 1) / metre;
    Length::from_nm(300_000 + 200_000 * metres)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: fn(i64) -> Length = Length::millimetres;

    #[test]
    fn a_size_on_a_columns_end_is_still_of_it() {
        let medium = |nominal: Length| Class::Medium.deviation(nominal);
        assert_eq!(medium(MM(2000)).allowed, Length::from_mm(1.2));
        assert_eq!(medium(MM(2000) + Length::from_nm(1)).allowed, MM(2));
        assert_eq!(medium(MM(4000)), Deviation { allowed: MM(2), sizes: [MM(2000), MM(4000)], in_table: true });
        assert_eq!(medium(MM(4001)), Deviation { in_table: false, ..medium(MM(4000)) });
        assert_eq!(Class::Fine.deviation(MM(3000)).sizes, [MM(1000), MM(2000)]);
        assert!(!Class::VeryCoarse.deviation(MM(2)).in_table);
    }

    /// A tape read in sixteenths can tell that a piece is one or two of them off, and nothing between.
    #[test]
    fn what_is_allowed_is_in_whole_readings_and_at_least_one() {
        let sixteenths = |count: i64| Length::sixty_fourths(4 * count);
        for (tolerance, nominal, inches, metric) in [
            (Tolerance::default(), MM(300), 1, 1),
            (Tolerance::default(), MM(3000), 1, 2),
            (Tolerance::Class(Class::Coarse), MM(3000), 2, 4),
            (Tolerance::Class(Class::VeryCoarse), MM(9000), 5, 8),
            (Tolerance::Own(sixteenths(2)), MM(300), 2, 3),
            (Tolerance::Own(MM(1)), MM(3000), 1, 1),
        ] {
            assert_eq!(tolerance.of(nominal, Units::In), sixteenths(inches), "{tolerance:?} of {nominal:?}");
            assert_eq!(tolerance.of(nominal, Units::Mm), MM(metric), "{tolerance:?} of {nominal:?}");
        }
    }
}
