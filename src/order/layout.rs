//! A run laid out: its section unfolded, its pieces' lengths, and every reason it cannot be made.
//!
//! Both the checks of an incoming order and the planner work on this one layout, so nothing that passes the checks can
//! fail to plan.

use crate::order::{End, Measured, Order, Run, Side};
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
            faults.extend(short_piece(run, &lengths, order.units));
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

/// The first piece whose two ends leave no square metal between them.
fn short_piece(run: &Run, lengths: &[Length], units: Units) -> Option<LayoutFault> {
    let last = lengths.len() - 1;
    lengths.iter().enumerate().find_map(|(i, &length)| {
        let end = |outer: bool, end: End| if outer { reach(end) } else { (run.lap, "a lap") };
        let (left, left_name) = end(i == 0, run.left);
        let (right, right_name) = end(i == last, run.right);
        let needed = left + right;
        if length > needed {
            return None;
        }
        let gable = |end: End| matches!(end, End::Gable { .. });
        let (field, remedy) = if i == 0 && gable(run.left) && (left >= right || !gable(run.right)) {
            ("/left/width", "make the gable narrower or the run longer")
        } else if i == last && gable(run.right) {
            ("/right/width", "make the gable narrower or the run longer")
        } else if last > 0 {
            ("/lap", "make the lap shorter or the longest piece longer")
        } else {
            ("/length", "make the run longer")
        };
        let say = |name: &str, reach: Length| {
            if reach == Length::ZERO { name.to_owned() } else { format!("{name} of {}", reach.text(units)) }
        };
        Some(LayoutFault::TooShort {
            place: i + 1,
            of: lengths.len(),
            length: length.text(units),
            left: say(left_name, left),
            right: say(right_name, right),
            needed: needed.text(units),
            remedy,
            field,
        })
    })
}

/// How far an end reaches into the finished length, and its name.
fn reach(end: End) -> (Length, &'static str) {
    match end {
        End::Square => (Length::ZERO, "a square end"),
        End::Gable { width } => (width, "a gable"),
        End::Return { .. } => (Length::ZERO, "a return"),
    }
}
