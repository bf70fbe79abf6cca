//! How an order's sections are folded, worked out once for each.
//!
//! An order may have ten thousand runs, but few sections.

use std::collections::HashMap;
use std::sync::Arc;

use crate::order::Order;
use crate::order::shop::Bending;
use crate::trade::bend_order::{self, BendOrder, Impossible};
use crate::trade::brake::Brake;
use crate::trade::section::{Flat, Hem, Section};

pub(super) struct Folding<'a> {
    brake: &'a Brake,
    bending: Arc<Bending>,
    found: HashMap<Key, Arc<Found>>,
    /// States of strips that may still be looked at.
    states_left: usize,
}

/// A strip of n folds has at most 2ⁿ states. Together an order's sections may have this many: eight of twelve legs with
/// both hems, a hundred of eight legs, ten thousand of two. Looking at all of them takes seconds.
const MOST_STATES: usize = 1 << 16;

type Found = Result<Arc<BendOrder>, Impossible>;

/// What tells one section of an order from another: widths in nanometres, bends in millionths of a degree.
type Key = Vec<i64>;

impl<'a> Folding<'a> {
    pub(super) fn new(order: &'a Order) -> Self {
        Self {
            brake: &order.shop.brake,
            bending: Arc::new(order.shop.bending(&order.metal)),
            found: HashMap::new(),
            states_left: MOST_STATES,
        }
    }

    pub(super) fn bending(&self) -> Arc<Bending> {
        Arc::clone(&self.bending)
    }

    /// How `section` is folded on the shop's brake; `None` where the order's sections are more than can be looked at.
    pub(super) fn order(&mut self, section: &Section, flat: &Flat) -> Option<Arc<Found>> {
        let key = key(section);
        if let Some(found) = self.found.get(&key) {
            return Some(Arc::clone(found));
        }
        self.states_left = self.states_left.checked_sub(1 << section.folds().count())?;
        let Bending { rule, springback, .. } = *self.bending;
        // What the leaf must be set to, for each degree the metal keeps.
        let set = springback.map(f64::recip);
        let found = Arc::new(bend_order::search(section, flat, rule, self.brake, set).map(Arc::new));
        self.found.insert(key, Arc::clone(&found));
        Some(found)
    }
}

fn key(section: &Section) -> Key {
    let hem = |hem: Option<Hem>| hem.map_or([-1, 0], |hem| [hem.width.nm(), hem.gap.nm()]);
    let legs = section.legs.iter().map(|leg| leg.width.nm());
    let bends = section.bends.iter().flat_map(|bend| [(bend.through_deg * 1e6).round() as i64, bend.turn as i64]);
    let rest = [section.thickness.nm(), section.inside_radius.nm()];
    hem(section.datum_hem).into_iter().chain(hem(section.lower_hem)).chain(rest).chain(legs).chain(bends).collect()
}
