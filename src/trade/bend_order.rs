//! In which order a section is folded on a leaf brake, how the strip lies each time, and how it is turned in between.
//!
//! The part behind the bend line is held flat in the throat; the leaf swings the part in front up. What is folded
//! already must fit in the throat or clear the brake all through the swing. Which folds can be made depends on nothing
//! but which are made already: so each set of them is looked at once, by dynamic programming over the sets and the four
//! ways a strip can lie, and what comes out has the fewest flips and turns of all orders. Where it finds none, there is
//! none.
//!
//! Taken for granted: the jaw opens far enough to lay the strip in; the finished shape is slid out endwise; a hem is
//! bent over as far as the leaf goes, then turned, put under the jaw fold first from the front, and flattened (an open
//! one over a strip as thick as its gap).

mod clearance;
mod handling;
mod impossible;
mod remedy;
mod setup;
mod tools;

use std::collections::{BTreeMap, HashMap, HashSet};
use std::rc::Rc;

use serde::{Deserialize, Serialize};

use super::bending::{self, Rule};
use super::brake::Brake;
use super::length::Length;
use super::section::{Edge, Flat, Fold, Section};
use super::shape::{Made, Sheet};
use clearance::Bench;

pub use handling::{Face, Handling, Lie};
pub use impossible::{Blocked, Impossible, Stuck, Tool, Why};
pub use setup::{Pose, Setup};
pub use tools::Tools;

/// One fold made, in its place in the order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Op {
    pub fold: Fold,
    pub lie: Lie,
    /// From the bend line to what rests against the stop in the throat.
    pub gauge: Length,
    pub stop: Stop,
    /// What is done to the strip before it lies so; nothing before the first.
    pub handling: &'static [Handling],
}

/// What of the strip rests against the stop in the throat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stop {
    RawEdge,
    HemFold,
    /// Of a part already bent, whatever goes in farthest.
    Bent,
}

/// Every fold of a section, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BendOrder {
    pub ops: Vec<Op>,
    /// Flips and turns in all, the turn before each hem is flattened among them: no order has fewer.
    pub handlings: usize,
    /// How many sets of folds made were looked at.
    pub states: usize,
}

/// The order with the fewest handlings, or the proof that there is none.
///
/// Of several, hems come first, then bends from the datum edge on, and the wider part is held. `flat` is the section
/// unfolded by `rule`. `set_per_kept` is how many degrees the leaf is set to for each the metal keeps, from 1 up; `None`
/// where nobody measured it.
pub fn search(
    section: &Section,
    flat: &Flat,
    rule: Rule,
    brake: &Brake,
    set_per_kept: Option<f64>,
) -> Result<BendOrder, Impossible> {
    let sheet = Sheet::of(section, rule);
    let mut search = Search::new(section, flat, &sheet, brake, set_per_kept);
    let ways = search.explore();
    if ways.contains_key(&search.all()) {
        return Ok(search.best(&ways));
    }
    let impossible = search.impossible(&ways);
    let right = remedy::find(&impossible, section, rule, brake, set_per_kept);
    Err(Impossible { right, ..impossible })
}

/// Which folds are made: bit `i` for the `i`th from the datum edge.
type Set = u32;

/// A fold and how the strip lies for it.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// From the datum edge.
    index: usize,
    fold: Fold,
    lie: Lie,
}

/// What can be done next in every state that can be reached, in order of preference.
type Ways = BTreeMap<Set, Vec<Way>>;

struct Search<'a> {
    section: &'a Section,
    flat: &'a Flat,
    bench: Bench<'a>,
    folds: Vec<Fold>,
    /// Every fold each way it can lie, in order of preference.
    preferred: Rc<[Way]>,
    /// What blocks a fold on one side of its line, by the folds made on that side.
    blocks: HashMap<(usize, Lie, Side, Set), Option<Why>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Side {
    Held,
    Front,
}

impl<'a> Search<'a> {
    fn new(
        section: &'a Section,
        flat: &'a Flat,
        sheet: &'a Sheet,
        brake: &'a Brake,
        set_per_kept: Option<f64>,
    ) -> Self {
        let folds: Vec<Fold> = section.folds().collect();
        let ways = |(index, &fold): (usize, &Fold)| {
            Lie::all_for(section, fold).into_iter().map(move |lie| Way { index, fold, lie })
        };
        let mut preferred: Vec<Way> = folds.iter().enumerate().flat_map(ways).collect();
        let depth = |way: &Way| {
            let line = flat.line(way.fold).unwrap_or_default();
            if way.lie.in_throat == Edge::Datum { line } else { flat.girth - line }
        };
        preferred.sort_by_key(|way| (matches!(way.fold, Fold::Bend(_)), way.index, -depth(way)));
        let bench = Bench::new(sheet, brake, set_per_kept, flat.girth);
        Self { section, flat, bench, folds, preferred: preferred.into(), blocks: HashMap::new() }
    }

    fn all(&self) -> Set {
        (1 << self.folds.len()) - 1
    }

    fn made(&self, set: Set) -> Made {
        self.folds.iter().enumerate().filter(|(index, _)| set & 1 << index != 0).map(|(_, &fold)| fold).collect()
    }

    /// What blocks `way` in the state `set`.
    fn blocked(&mut self, set: Set, way: Way) -> Option<Why> {
        self.blocked_on(Side::Held, set, way).or_else(|| self.blocked_on(Side::Front, set, way))
    }

    fn blocked_on(&mut self, side: Side, set: Set, Way { index, fold, lie }: Way) -> Option<Why> {
        let before = (1 << index) - 1;
        let on_datum_side = (lie.in_throat == Edge::Datum) == (side == Side::Held);
        let set = set & if on_datum_side { before } else { !before };
        let key = (index, lie, side, set);
        if let Some(&known) = self.blocks.get(&key) {
            return known;
        }
        let made = self.made(set);
        let why = match side {
            Side::Held => self.bench.held(made, fold, lie),
            Side::Front => self.bench.front(made, fold, lie),
        };
        self.blocks.insert(key, why);
        why
    }

    /// Every state that can be reached from the flat strip.
    fn explore(&mut self) -> Ways {
        let mut ways = Ways::new();
        let mut open = vec![0];
        while let Some(set) = open.pop() {
            if ways.contains_key(&set) {
                continue;
            }
            let preferred = Rc::clone(&self.preferred);
            let left = preferred.iter().copied().filter(|way| set & 1 << way.index == 0);
            let free: Vec<Way> = left.filter(|&way| self.blocked(set, way).is_none()).collect();
            open.extend(free.iter().map(|way| set | 1 << way.index));
            ways.insert(set, free);
        }
        ways
    }

    /// Whether there is an order at all, which is sooner known.
    fn finds_any(&mut self) -> bool {
        let (mut seen, mut open) = (HashSet::new(), vec![0]);
        while let Some(set) = open.pop() {
            if set == self.all() {
                return true;
            }
            if seen.insert(set) {
                let preferred = Rc::clone(&self.preferred);
                let left = preferred.iter().copied().filter(|way| set & 1 << way.index == 0);
                open.extend(left.filter(|&way| self.blocked(set, way).is_none()).map(|way| set | 1 << way.index));
            }
        }
        false
    }

    /// The best order, where there is one.
    fn best(&self, ways: &Ways) -> BendOrder {
        let mut ahead = Ahead { ways, all: self.all(), known: HashMap::new() };
        let (mut set, mut lies) = (0, None);
        let mut ops = Vec::with_capacity(self.folds.len());
        let mut handlings = 0;
        while let Some((way, _)) = ahead.next(set, lies) {
            let handling = lies.map_or(&[][..], |lies: Lie| lies.to(way.lie));
            handlings += cost(lies, way);
            let (gauge, stop) = self.stop(set, way);
            ops.push(Op { fold: way.fold, lie: way.lie, gauge, stop, handling });
            set |= 1 << way.index;
            lies = Some(way.lie.after(way.fold));
        }
        BendOrder { ops, handlings, states: ways.len() }
    }

    /// From the bend line to what rests against the stop, exact where the held part is flat.
    fn stop(&self, set: Set, Way { fold, lie, .. }: Way) -> (Length, Stop) {
        let made = self.made(set);
        let edge = lie.in_throat;
        let hem = self.section.hem(edge).filter(|_| made.has(Fold::Hem(edge)));
        // The outside of the fold rests there, not its line.
        let past = hem.map_or(Length::ZERO, |hem| {
            Length::from_mm(bending::hem_fold_past_leg(hem.gap.mm(), self.section.thickness.mm()))
        });
        let line = self.flat.line(fold).unwrap_or_default();
        let from_edge = match (edge, hem) {
            (Edge::Datum, Some(_)) => line - self.flat.head() - past,
            (Edge::Lower, Some(_)) => self.flat.foot() - past - line,
            (Edge::Datum, None) => line,
            (Edge::Lower, None) => self.flat.girth - line,
        };
        let bent = self.folds.iter().any(|&other| {
            matches!(other, Fold::Bend(_))
                && made.has(other)
                && (self.flat.line(other) < self.flat.line(fold)) == (edge == Edge::Datum)
        });
        match Setup::of(self.bench.sheet, made, fold, lie) {
            Some(setup) if bent => (Length::from_mm(setup.depth()), Stop::Bent),
            _ => (from_edge, if hem.is_some() { Stop::HemFold } else { Stop::RawEdge }),
        }
    }

    /// What blocks the states that go deepest, and what can be made in none.
    fn impossible(&mut self, ways: &Ways) -> Impossible {
        let most = ways.keys().map(|set| set.count_ones()).max().unwrap_or(0);
        let some_time = ways.keys().fold(0, |all, set| all | set);
        let never = (some_time != self.all()).then(|| self.stuck(0, some_time));
        let deepest = ways.keys().filter(|set| set.count_ones() == most).map(|&set| self.stuck(set, set));
        Impossible { states: ways.len(), deepest: never.into_iter().chain(deepest).collect(), right: None }
    }

    /// What blocks every fold but `others` in the state `set`.
    fn stuck(&mut self, set: Set, others: Set) -> Stuck {
        let preferred = Rc::clone(&self.preferred);
        let left = preferred.iter().copied().filter(|way| others & 1 << way.index == 0);
        let blocked =
            left.filter_map(|way| Some(Blocked { fold: way.fold, lie: way.lie, why: self.blocked(set, way)? }));
        let blocked = blocked.collect();
        let made = self.folds.iter().enumerate().filter(|(index, _)| set & 1 << index != 0);
        Stuck { made: made.map(|(_, &fold)| fold).collect(), blocked }
    }
}

/// Flips and turns to make a fold so, the turn that flattens a hem among them.
fn cost(lies: Option<Lie>, way: Way) -> usize {
    lies.map_or(0, |lies| lies.to(way.lie).len()) + way.lie.to(way.lie.after(way.fold)).len()
}

/// The least that is still ahead.
struct Ahead<'a> {
    ways: &'a Ways,
    all: Set,
    known: HashMap<(Set, Option<Lie>), Option<usize>>,
}

impl Ahead<'_> {
    /// Handlings until all is folded; `None` where that cannot be.
    fn least(&mut self, set: Set, lies: Option<Lie>) -> Option<usize> {
        if set == self.all {
            return Some(0);
        }
        if let Some(&known) = self.known.get(&(set, lies)) {
            return known;
        }
        let least = self.next(set, lies).map(|(_, least)| least);
        self.known.insert((set, lies), least);
        least
    }

    /// The first of the ways with the fewest handlings ahead, and how many.
    fn next(&mut self, set: Set, lies: Option<Lie>) -> Option<(Way, usize)> {
        let ways = self.ways.get(&set)?;
        ways.iter()
            .filter_map(|&way| {
                let after = self.least(set | 1 << way.index, Some(way.lie.after(way.fold)))?;
                Some((way, cost(lies, way) + after))
            })
            .min_by_key(|&(_, handlings)| handlings)
    }
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;
