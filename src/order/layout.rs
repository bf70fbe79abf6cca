//! A run laid out: its section unfolded, its pieces' lengths, and every reason it cannot be made.
//!
//! Both the checks of an incoming order and the planner work on this one layout, so nothing that passes the checks can
//! fail to plan.

use crate::order::{End, Measured, Order, Run, Side, defaults};
use crate::trade::bending::Rule;
use crate::trade::length::{Length, Units};
use crate::trade::section::{Flat, Section, SectionError};
use crate::trade::split::{Split, SplitError};

/// A run ready to be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    pub section: Section,
    pub flat: Flat,
    /// The run's finished length: measured, plus the gables where it was measured between them.
    pub run: Length,
    /// Finished lengths from the run's left end to its right.
    pub lengths: Vec<Length>,
}

/// Why a run cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LayoutFault {
    #[error("{0}")]
    Section(SectionError),
    #[error(
        "a lap of {lap} is as long as the longest piece, {longest}: another piece would gain nothing; make the lap shorter"
    )]
    LapTooLong { lap: String, longest: String },
    #[error("a return {depth} deep leaves nothing of the longest blank, {longest}; make it shallower")]
    DepthTooLong { side: Side, depth: String, longest: String },
    #[error(
        "piece {place} of {of} is {length} long, too short for its ends: {left} at the left and {right} at the right need more than {needed}; {remedy}"
    )]
    TooShort {
        place: usize,
        of: usize,
        length: String,
        left: String,
        right: String,
        needed: String,
        remedy: &'static str,
        field: &'static str,
    },
}

impl LayoutFault {
    /// The field at fault, as a JSON pointer from the run.
    pub fn field(&self) -> String {
        match self {
            Self::Section(SectionError::LegTooNarrow { leg, .. }) => format!("/profile/{}", leg.key()),
            Self::Section(SectionError::HemTooNarrow { .. } | SectionError::HemTooWide { .. }) => "/profile/hem".into(),
            Self::LapTooLong { .. } => "/lap".into(),
            Self::DepthTooLong { side: Side::Left, .. } => "/left/depth".into(),
            Self::DepthTooLong { side: Side::Right, .. } => "/right/depth".into(),
            Self::TooShort { field, .. } => (*field).into(),
        }
    }
}

/// Lays out `run` of `order`.
///
/// # Errors
/// Every [`LayoutFault`] of the run.
pub fn lay_out(run: &Run, order: &Order) -> Result<Layout, Vec<LayoutFault>> {
    let section = run.profile.section(run.pitch.as_ref(), order.metal.thickness);
    let mut faults: Vec<LayoutFault> = section.faults(order.units).into_iter().map(LayoutFault::Section).collect();

    let split = split(run, order);
    match split.even() {
        Ok(mut lengths) => {
            if run.lay_from == Side::Right {
                lengths.reverse();
            }
            faults.extend(short_pieces(run, &lengths, order));
            if faults.is_empty() {
                let flat = section.unfold(Rule::Din6935);
                return Ok(Layout { section, flat, run: split.run, lengths });
            }
        }
        Err(error) => faults.push(split_fault(error, run, order)),
    }
    Err(faults)
}

/// How many pieces `run` takes; none when it cannot be divided.
pub fn count(run: &Run, order: &Order) -> Option<usize> {
    split(run, order).count().ok()
}

/// What the metal must reach: the measured length, plus each gable's width where it was measured between them.
fn finished_length(run: &Run) -> Length {
    let gable = |end| match (run.measured, end) {
        (Measured::Between, End::Gable { width }) => width,
        _ => Length::ZERO,
    };
    run.length + gable(run.left) + gable(run.right)
}

/// What an end adds to its piece's blank beyond the finished length.
pub fn depth(end: End) -> Length {
    match end {
        End::Return { depth } => depth,
        End::Square | End::Gable { .. } => Length::ZERO,
    }
}

fn split(run: &Run, order: &Order) -> Split {
    let (first, last) = match run.lay_from {
        Side::Left => (run.left, run.right),
        Side::Right => (run.right, run.left),
    };
    Split {
        run: finished_length(run),
        lap: run.lap,
        longest: order.longest,
        depths: [depth(first), depth(last)],
        step: order.units.reading(),
    }
}

fn split_fault(error: SplitError, run: &Run, order: &Order) -> LayoutFault {
    let say = |length: Length| length.text(order.units);
    match error {
        SplitError::LapTooLong => LayoutFault::LapTooLong { lap: say(run.lap), longest: say(order.longest) },
        SplitError::DepthTooLong => {
            let (left, right) = (depth(run.left), depth(run.right));
            let side = if left >= right { Side::Left } else { Side::Right };
            LayoutFault::DepthTooLong { side, depth: say(left.max(right)), longest: say(order.longest) }
        }
    }
}

/// Pieces whose two ends leave no square metal between them: the first for each field at fault.
fn short_pieces(run: &Run, lengths: &[Length], order: &Order) -> Vec<LayoutFault> {
    let last = lengths.len() - 1;
    let mut faults: Vec<LayoutFault> = Vec::new();
    for (i, &length) in lengths.iter().enumerate() {
        let left = if i == 0 { Reach::of(run.left) } else { Reach::lap(run.lap) };
        let right = if i == last { Reach::of(run.right) } else { Reach::lap(run.lap) };
        let needed = left.length + right.length;
        if length > needed {
            continue;
        }
        let (field, remedy) =
            remedy(run, [left, right], lengths.len(), length + left.depth + right.depth == order.longest);
        let fault = LayoutFault::TooShort {
            place: i + 1,
            of: lengths.len(),
            length: length.text(order.units),
            left: left.text(order.units),
            right: right.text(order.units),
            needed: needed.text(order.units),
            remedy,
            field,
        };
        if faults.iter().all(|told| told.field() != fault.field()) {
            faults.push(fault);
        }
    }
    faults
}

/// The field of a run of `pieces` to change, and how, where a piece with these ends is too short for them. `full` tells
/// that its blank is as long as can be.
fn remedy(run: &Run, [left, right]: [Reach; 2], pieces: usize, full: bool) -> (&'static str, &'static str) {
    const SHALLOWER: &str = "make the return shallower";
    let lap_can_shrink = run.lap > defaults::LEAST_LAP;
    let gable = match (left.name, right.name) {
        (GABLE, GABLE) if left.length < right.length => Some("/right/width"),
        (GABLE, _) => Some("/left/width"),
        (_, GABLE) => Some("/right/width"),
        _ => None,
    };
    match gable {
        None if full && left.depth > Length::ZERO => ("/left/depth", SHALLOWER),
        None if full && right.depth > Length::ZERO => ("/right/depth", SHALLOWER),
        None if pieces == 1 => ("/length", "make the run longer"),
        None if lap_can_shrink => ("/lap", "make the lap shorter or the longest piece longer"),
        None => ("/lap", "make the longest piece longer: the lap is the shop's least"),
        Some(width) if pieces == 1 => (width, "make the gable narrower or the run longer"),
        Some(width) if lap_can_shrink => {
            (width, "make the gable narrower, the lap shorter or the longest piece longer")
        }
        Some(width) => (width, "make the gable narrower or the longest piece longer"),
    }
}

/// How far an end reaches into a piece's finished length, and what it adds to the blank beyond it.
#[derive(Clone, Copy)]
struct Reach {
    name: &'static str,
    length: Length,
    depth: Length,
}

const GABLE: &str = "a gable";

impl Reach {
    fn of(end: End) -> Self {
        let (name, length) = match end {
            End::Square => ("a square end", Length::ZERO),
            End::Gable { width } => (GABLE, width),
            End::Return { .. } => ("a return", Length::ZERO),
        };
        Self { name, length, depth: depth(end) }
    }

    fn lap(length: Length) -> Self {
        Self { name: "a lap", length, depth: Length::ZERO }
    }

    fn text(self, units: Units) -> String {
        if self.length == Length::ZERO {
            self.name.to_owned()
        } else {
            format!("{} of {}", self.name, self.length.text(units))
        }
    }
}
