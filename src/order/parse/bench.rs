//! What a run is checked against: the order's tape and sheet, and the shop's habits.

use super::tape::Tape;
use crate::order::shop::Shop;
use crate::trade::length::Length;

pub(super) struct Bench<'a> {
    pub(super) tape: Tape,
    pub(super) shop: &'a Shop,
    /// As far as the metal could be read.
    pub(super) sheet: Option<Sheet>,
}

/// The order's sheet, and the inside radius the shop bends it to.
#[derive(Clone, Copy)]
pub(super) struct Sheet {
    pub(super) thickness: Length,
    pub(super) inside_radius: Length,
}
