//! Pieces too short for their ends: which, why, and what would be right.

use std::fmt;

use super::{LayoutFault, end_words};
use crate::order::{End, Order, Run};
use crate::trade::cut::Cut;
use crate::trade::length::{Length, Units};
use crate::trade::split::{Rules, Split};

/// A piece whose two ends leave no square metal between them, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Short {
    pub place: usize,
    pub of: usize,
    pub length: String,
    pub left: String,
    pub right: String,
    pub needed: String,
    pub remedy: &'static str,
    /// A JSON pointer from the run.
    pub field: &'static str,
}

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let Self { place, of, length, left, right, needed, remedy, .. } = self;
        write!(
            f,
            "piece {place} of {of} is {length} long, too short for its ends: {left} at the left and {right} at the right \
             need more than {needed}; {remedy}"
        )
    }
}

/// The first short piece for each field at fault.
pub(super) fn faults(
    run: &Run,
    lengths: &[Length],
    ends: &[Cut; 2],
    split: &Split,
    rules: &Rules,
    order: &Order,
) -> Vec<LayoutFault> {
    let mut short = pieces(run, lengths, ends).peekable();
    if short.peek().is_none() {
        return Vec::new();
    }
    let long_enough = |split: Split, rules: &Rules| {
        split.divide(rules).is_ok_and(|division| pieces(run, &division.lengths, ends).next().is_none())
    };
    // Whether it is the other trims' laps that make pieces short; seams never do.
    let apart = rules.stagger.is_some() && long_enough(*split, &Rules { interval: rules.interval, ..Rules::default() });
    let heeded = apart.then_some(("/stagger", "keep the laps less far from those of the wall's other trims"));
    // Whether no piece would be short if the ends took nothing from their blanks.
    let too_long = split.beyond != [Length::ZERO; 2]
        && long_enough(Split { beyond: [Length::ZERO; 2], ..*split }, &Rules::default());
    let mut faults: Vec<LayoutFault> = Vec::new();
    for piece in short {
        let (field, remedy) = heeded.unwrap_or_else(|| {
            piece.remedy(run, lengths.len(), too_long.then_some(split.beyond), order.shop.orders.least_lap)
        });
        if faults.iter().any(|told| told.field() == field) {
            continue;
        }
        faults.push(LayoutFault::Short(Short {
            place: piece.index + 1,
            of: lengths.len(),
            length: piece.length.text(order.units),
            left: piece.left.text(order.units),
            right: piece.right.text(order.units),
            needed: (piece.left.length + piece.right.length).text(order.units),
            remedy,
            field,
        }));
    }
    faults
}

/// Whether any piece is too short for its ends.
pub(super) fn any(run: &Run, lengths: &[Length], ends: &[Cut; 2]) -> bool {
    pieces(run, lengths, ends).next().is_some()
}

struct Piece {
    index: usize,
    length: Length,
    left: Reach,
    right: Reach,
}

/// What reaches into a piece from one side, and how far.
struct Reach {
    /// The run's own end, or a lap.
    end: Option<End>,
    length: Length,
}

fn pieces<'a>(run: &'a Run, lengths: &'a [Length], ends: &'a [Cut; 2]) -> impl Iterator<Item = Piece> + 'a {
    let lap = || Reach { end: None, length: run.lap };
    let [left_end, right_end] = [(run.left, &ends[0]), (run.right, &ends[1])];
    let reach = |(end, cut): (End, &Cut)| Reach { end: Some(end), length: cut.reach() };
    lengths.iter().enumerate().filter_map(move |(index, &length)| {
        let left = if index == 0 { reach(left_end) } else { lap() };
        let right = if index + 1 == lengths.len() { reach(right_end) } else { lap() };
        (length <= left.length + right.length).then_some(Piece { index, length, left, right })
    })
}

impl Piece {
    /// The field of its run of `pieces` to change, and how. `too_long` is what the ends add, where that is at fault.
    fn remedy(
        &self,
        run: &Run,
        pieces: usize,
        too_long: Option<[Length; 2]>,
        least_lap: Length,
    ) -> (&'static str, &'static str) {
        let lap_can_shrink = run.lap > least_lap;
        if let Some(mitre) =
            self.deeper(&["/left", "/right"], |end| matches!(end, End::Corner { .. } | End::Transition { .. }))
        {
            return (mitre, "make the run longer, or the legs that are mitred narrower");
        }
        if let Some(width) = self.deeper(&["/left/width", "/right/width"], |end| matches!(end, End::Gable { .. })) {
            let remedy = match pieces {
                1 => "make the gable narrower or the run longer",
                _ if lap_can_shrink => "make the gable narrower, the lap shorter or the longest piece longer",
                _ => "make the gable narrower or the longest piece longer",
            };
            return (width, remedy);
        }
        match (pieces, too_long) {
            (1, _) => ("/length", "make the run longer"),
            (_, Some(beyond)) => self.beyond(run, beyond),
            _ if lap_can_shrink => ("/lap", "make the lap shorter or the longest piece longer"),
            _ => ("/lap", "make the longest piece longer: the lap is the shop's least"),
        }
    }

    /// The field, left or right, of its end of a kind that reaches in deeper.
    fn deeper(&self, fields: &[&'static str; 2], of_kind: impl Fn(End) -> bool) -> Option<&'static str> {
        let is = |reach: &Reach| reach.end.is_some_and(&of_kind);
        match (is(&self.left), is(&self.right)) {
            (true, true) if self.left.length < self.right.length => Some(fields[1]),
            (true, _) => Some(fields[0]),
            (_, true) => Some(fields[1]),
            (false, false) => None,
        }
    }

    /// Its own end that takes from the blank, or the run's larger one where it has none.
    fn beyond(&self, run: &Run, [left, right]: [Length; 2]) -> (&'static str, &'static str) {
        let own = |reach: &Reach, takes: Length| reach.end.is_some() && takes > Length::ZERO;
        let at_left = match (own(&self.left, left), own(&self.right, right)) {
            (true, false) => true,
            (false, true) => false,
            _ => left >= right,
        };
        match (at_left, if at_left { run.left } else { run.right }) {
            (true, End::Dam { .. }) => ("/left/height", "make the end dam lower"),
            (true, End::Return { .. }) => ("/left/depth", "make the return shallower"),
            (false, End::Dam { .. }) => ("/right/height", "make the end dam lower"),
            (false, End::Return { .. }) => ("/right/depth", "make the return shallower"),
            (true, _) => ("/left", "make the legs that are mitred narrower"),
            (false, _) => ("/right", "make the legs that are mitred narrower"),
        }
    }
}

impl Reach {
    fn text(&self, units: Units) -> String {
        match self.end {
            None => format!("a lap of {}", self.length.text(units)),
            Some(end) => end_words(end, units),
        }
    }
}
