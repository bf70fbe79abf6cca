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
            faults.extend(short_faults(run, &lengths, order));
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

/// A piece whose two ends leave no square metal between them.
struct Short {
    index: usize,
    length: Length,
    left: Reach,
    right: Reach,
}

fn short_pieces<'a>(run: &'a Run, lengths: &'a [Length]) -> impl Iterator<Item = Short> + 'a {
    lengths.iter().enumerate().filter_map(|(index, &length)| {
        let left = if index == 0 { Reach::End(run.left) } else { Reach::Lap(run.lap) };
        let right = if index + 1 == lengths.len() { Reach::End(run.right) } else { Reach::Lap(run.lap) };
        (length <= left.length() + right.length()).then_some(Short { index, length, left, right })
    })
}

/// The first short piece for each field at fault.
fn short_faults(run: &Run, lengths: &[Length], order: &Order) -> Vec<LayoutFault> {
    let mut short = short_pieces(run, lengths).peekable();
    if short.peek().is_none() {
        return Vec::new();
    }
    let too_deep = returns_are_too_deep(run, order);
    let mut faults: Vec<LayoutFault> = Vec::new();
    for piece in short {
        let (field, remedy) = piece.remedy(run, lengths.len(), too_deep);
        if faults.iter().any(|told| told.field() == field) {
            continue;
        }
        faults.push(LayoutFault::TooShort {
            place: piece.index + 1,
            of: lengths.len(),
            length: piece.length.text(order.units),
            left: piece.left.text(order.units),
            right: piece.right.text(order.units),
            needed: (piece.left.length() + piece.right.length()).text(order.units),
            remedy,
            field,
        });
    }
    faults
}

/// Whether no piece would be short if the returns took nothing from their blanks.
fn returns_are_too_deep(run: &Run, order: &Order) -> bool {
    let lengths = Split { depths: [Length::ZERO; 2], ..split(run, order) }.even();
    lengths.is_ok_and(|lengths| short_pieces(run, &lengths).next().is_none())
}

impl Short {
    /// The field of its run of `pieces` to change, and how.
    fn remedy(&self, run: &Run, pieces: usize, returns_are_too_deep: bool) -> (&'static str, &'static str) {
        let lap_can_shrink = run.lap > defaults::LEAST_LAP;
        if let Some(width) = self.wider_gable() {
            let remedy = match pieces {
                1 => "make the gable narrower or the run longer",
                _ if lap_can_shrink => "make the gable narrower, the lap shorter or the longest piece longer",
                _ => "make the gable narrower or the longest piece longer",
            };
            return (width, remedy);
        }
        match pieces {
            1 => ("/length", "make the run longer"),
            _ if returns_are_too_deep => (self.deeper_return(run), "make the return shallower"),
            _ if lap_can_shrink => ("/lap", "make the lap shorter or the longest piece longer"),
            _ => ("/lap", "make the longest piece longer: the lap is the shop's least"),
        }
    }

    fn wider_gable(&self) -> Option<&'static str> {
        let gable = |reach: &Reach| matches!(reach, Reach::End(End::Gable { .. }));
        match (gable(&self.left), gable(&self.right)) {
            (true, true) if self.left.length() < self.right.length() => Some("/right/width"),
            (true, _) => Some("/left/width"),
            (_, true) => Some("/right/width"),
            (false, false) => None,
        }
    }

    /// Its own return, or the run's deeper one where it has none.
    fn deeper_return(&self, run: &Run) -> &'static str {
        let own = |reach: &Reach| matches!(reach, Reach::End(End::Return { .. }));
        let left = match (own(&self.left), own(&self.right)) {
            (true, false) => true,
            (false, true) => false,
            _ => depth(run.left) >= depth(run.right),
        };
        if left { "/left/depth" } else { "/right/depth" }
    }
}

/// What reaches into a piece from one side.
enum Reach {
    End(End),
    Lap(Length),
}

impl Reach {
    /// How far it reaches into the finished length.
    fn length(&self) -> Length {
        match *self {
            Self::Lap(lap) => lap,
            Self::End(End::Gable { width }) => width,
            Self::End(End::Square | End::Return { .. }) => Length::ZERO,
        }
    }

    fn text(&self, units: Units) -> String {
        match *self {
            Self::Lap(lap) => format!("a lap of {}", lap.text(units)),
            Self::End(End::Gable { width }) => format!("a gable of {}", width.text(units)),
            Self::End(End::Square) => "a square end".into(),
            Self::End(End::Return { .. }) => "a return".into(),
        }
    }
}
