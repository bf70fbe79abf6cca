//! What would be right: how wide a leg that is in the way may be.

use super::{Impossible, Search};
use crate::trade::bending::Rule;
use crate::trade::brake::Brake;
use crate::trade::length::{Length, Units};
use crate::trade::section::Section;
use crate::trade::shape::Sheet;

/// How near the widest is found.
const NEAR: Length = Length::from_nm(100_000);

/// A section with more states than this is not looked at again and again: nobody waits for it, and such a section has
/// more wrong with it than one leg.
const MOST_STATES: usize = 256;

/// The first leg in the way that, made narrower alone, lets the section be folded, and how wide it may be.
///
/// What is found has been folded by the same search. A narrower leg may be in the way again where a wider one
/// passes over the jaw: the widest is looked for from the given width down in eighths.
pub fn find(
    impossible: &Impossible,
    section: &Section,
    rule: Rule,
    brake: &Brake,
    set_per_kept: Option<f64>,
) -> Option<(usize, Length)> {
    if impossible.states > MOST_STATES {
        return None;
    }
    let folds = |leg: usize, width: Length| {
        let mut narrower = section.clone();
        narrower.legs[leg].width = width;
        narrower.faults(brake.least_flange, Units::Mm).is_empty() && {
            let flat = narrower.unfold(rule);
            let sheet = Sheet::of(&narrower, rule);
            let mut search = Search::new(&narrower, &flat, &sheet, brake, set_per_kept);
            search.finds_any()
        }
    };
    impossible.legs_in_the_way().into_iter().find_map(|leg| {
        let given = section.legs.get(leg)?.width;
        let eighths = |count: i64| Length::from_nm(given.nm() / 8 * count);
        let fits = (1..8).rev().find(|&count| folds(leg, eighths(count)))?;
        let (mut good, mut bad) = (eighths(fits), eighths(fits + 1));
        while bad - good > NEAR {
            let middle = good + Length::from_nm((bad - good).nm() / 2);
            if folds(leg, middle) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Some((leg, good))
    })
}
