//! A run divided into pieces that lap: how many, how long each is, and where the laps lie.
//!
//! With run R, lap ℓ and longest blank Lmax, n is the least whole number with n·Lmax − (n − 1)·ℓ ≥ R, and the finished
//! lengths sum to R + (n − 1)·ℓ exactly. What a return, an end dam or a mitre adds beyond that is taken from the blank of its
//! own piece. More pieces than that only where laps could not keep their distance otherwise.
//!
//! Everything said and answered here runs from the run's left end; only [`Split::laid_from`] knows which way it is laid.

mod place;
mod share;
mod spans;

use super::expansion;
use super::length::Length;
use place::Chain;
use spans::Blocked;
pub use spans::Span;

/// What a run gives the split.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Split {
    pub run: Length,
    pub lap: Length,
    pub longest: Length,
    /// No finished piece is shorter, unless the run itself is. Zero where the shop has none.
    pub least: Length,
    /// What the left and the right end add to a blank beyond its finished length: a return, a dam, a mitre.
    pub beyond: [Length; 2],
    pub laid_from: LaidFrom,
    pub kind: Kind,
    /// What the bench can set: lengths are whole multiples of it wherever the run allows. Positive.
    pub step: Length,
}

/// The end of the run where the first piece lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LaidFrom {
    Left,
    Right,
}

/// How a run is shared out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// All pieces alike, as near as the step allows.
    Even,
    /// Pieces as long as can be from the start of laying; the last is the rest. Where that would be a stub, the piece
    /// before it gives up what it needs.
    LongestFirst,
}

/// What the laps heed. None of it by default.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rules {
    /// Never broken.
    pub stagger: Option<Stagger>,
    /// Kept where there is a way.
    pub seams: Option<Seams>,
    /// The longest stretch without an expansion joint; no joints without it.
    pub interval: Option<Length>,
}

/// Laps kept apart from the laps of the other trims on the wall.
///
/// The distance is clear metal: from the nearest end of one lap to the nearest end of the other. Whether a crew measures
/// between edges or between middles, it finds at least this much.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stagger {
    pub distance: Length,
    pub laps: Vec<Span>,
}

/// Positions no lap should cover, such as panel seams: the first, and one at every further `every` to the run's right end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seams {
    pub first: Length,
    /// Positive.
    pub every: Length,
    /// How far a lap's ends stay from a seam.
    pub clear: Length,
}

/// A run divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Division {
    /// Finished lengths, left to right.
    pub lengths: Vec<Length>,
    /// One less than the pieces, left to right.
    pub laps: Vec<Lap>,
}

/// Where one piece covers the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lap {
    pub span: Span,
    /// An expansion joint: sealed but not fastened, so that it can slide.
    pub joint: bool,
    /// It could not be kept off a seam.
    pub on_seam: bool,
}

/// Why a run cannot be divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SplitError {
    /// The lap is as long as the longest blank: another piece would gain nothing.
    LapTooLong,
    /// What an end adds leaves nothing of the longest blank.
    EndTooLong,
    /// Some piece must be shorter than the shop's least, in a run or, with joints, in the first stretch at fault: its shortest
    /// can be `would_do`.
    LeastTooLong { would_do: Length },
    /// The laps cannot keep their distance, not even with a few more pieces than needed. `would_do` is the largest
    /// distance in whole steps that they can keep; none where another trim's lap cannot even be missed.
    NoStagger { would_do: Option<Length> },
    /// A stretch between joints would be hardly more than laps: the interval must be longer than `more_than`.
    IntervalTooShort { more_than: Length },
}

/// How many more pieces than needed a run may take to keep its laps apart.
const MORE_PIECES: usize = 3;

impl Split {
    /// How many pieces the run takes, joints and other trims aside.
    ///
    /// # Errors
    /// [`SplitError::LapTooLong`] or [`SplitError::EndTooLong`] when no number of pieces would do.
    pub fn count(&self) -> Result<usize, SplitError> {
        let [left, right] = self.beyond;
        if left.max(right) >= self.longest {
            return Err(SplitError::EndTooLong);
        }
        let blanks = self.run + left + right;
        if blanks <= self.longest {
            return Ok(1);
        }
        if self.lap >= self.longest {
            return Err(SplitError::LapTooLong);
        }
        let each_gains = (self.longest - self.lap).nm();
        // Both are positive by the checks above.
        Ok((blanks - self.lap).nm().unsigned_abs().div_ceil(each_gains.unsigned_abs()) as usize)
    }

    /// Divides the run.
    ///
    /// A run with expansion joints is divided in equal stretches first, then each stretch into pieces by the same rules. A
    /// joint moves from its even place by the least that keeps it apart from other laps and, where there is a way, off
    /// seams; the laps between joints follow likewise.
    ///
    /// # Errors
    /// [`SplitError`], with what would be right.
    pub fn divide(&self, rules: &Rules) -> Result<Division, SplitError> {
        let distance = rules.stagger.as_ref().map_or(Length::ZERO, |stagger| stagger.distance);
        match self.divide_apart(rules, distance) {
            Err(SplitError::NoStagger { .. }) => {
                Err(SplitError::NoStagger { would_do: self.widest_stagger(rules, distance) })
            }
            divided => divided,
        }
    }

    /// The largest distance below `asked`, in whole steps, that the laps can keep.
    fn widest_stagger(&self, rules: &Rules, asked: Length) -> Option<Length> {
        let keeps = |steps: i64| self.divide_apart(rules, self.step * steps).is_ok();
        if !keeps(0) {
            return None;
        }
        // Kept with `kept` steps, not with `broken`.
        let (mut kept, mut broken) = (0, (asked.nm() - 1) / self.step.nm() + 1);
        while broken - kept > 1 {
            let middle = kept + (broken - kept) / 2;
            if keeps(middle) { kept = middle } else { broken = middle }
        }
        Some(self.step * kept)
    }

    fn divide_apart(&self, rules: &Rules, distance: Length) -> Result<Division, SplitError> {
        let avoid = self.avoid(rules, distance);
        let joints = match rules.interval {
            Some(interval) => self.joints(interval, &avoid)?,
            None => Vec::new(),
        };
        let mut starts = Vec::new();
        let last = self.run - self.lap;
        let mut from = Length::ZERO;
        for (i, &to) in joints.iter().chain([&last]).enumerate() {
            let mut beyond = self.in_order_laid(self.beyond);
            if i > 0 {
                beyond[0] = Length::ZERO;
            }
            if i < joints.len() {
                beyond[1] = Length::ZERO;
            }
            let stretch = Stretch { ends: Span { start: from, end: to }, beyond, split: self };
            let between = stretch.lay(&avoid)?;
            starts.extend(between.into_iter().map(|start| (start, false)));
            if i < joints.len() {
                starts.push((to, true));
            }
            from = to;
        }
        Ok(self.division(&starts, &avoid.seams))
    }

    /// Starts of the laps that are expansion joints, in the order laid.
    fn joints(&self, interval: Length, avoid: &Avoid) -> Result<Vec<Length>, SplitError> {
        // Then an even stretch is at least two laps long, whatever the run.
        if interval <= self.lap * 3 {
            return Err(SplitError::IntervalTooShort { more_than: self.lap * 3 });
        }
        let count = expansion::joints(self.run, interval);
        if count == 0 {
            return Ok(Vec::new());
        }
        let total = self.run + self.lap * count as i64;
        let stretches = share::even(total, &vec![total; count + 1], self.least, self.step);
        let shortest = stretches.iter().copied().fold(total, Length::min);
        if shortest < self.least {
            return Err(SplitError::LeastTooLong { would_do: shortest });
        }
        let wishes = starts(Length::ZERO, &stretches, self.lap);
        if avoid.lets(&wishes) {
            return Ok(wishes);
        }
        let stride = Span { start: self.lap.max(self.least - self.lap), end: interval };
        let chain = Chain {
            ends: Span { start: Length::ZERO, end: self.run - self.lap },
            strides: &vec![stride; count + 1],
            wishes: &wishes,
            lap: self.lap,
            step: self.step,
        };
        chain.place(&avoid.stagger, &avoid.seams).ok_or(SplitError::NoStagger { would_do: None })
    }

    /// What lap starts keep out of, in the order laid.
    fn avoid(&self, rules: &Rules, distance: Length) -> Avoid {
        let around = |span: Span, clear: Length| {
            let span = self.turned(span);
            Span { start: span.start - clear - self.lap, end: span.end + clear }
        };
        let laps = rules.stagger.iter().flat_map(|stagger| &stagger.laps);
        let stagger = Blocked::new(laps.map(|&lap| around(lap, distance)));
        let seams = rules.seams.map_or_else(Vec::new, |seams| {
            let count = (self.run - seams.first).nm().div_euclid(seams.every.nm()) + 1;
            (0..count).map(|i| around(Span::at(seams.first + seams.every * i), seams.clear)).collect()
        });
        Avoid { stagger, seams: Blocked::new(seams) }
    }

    /// From the left end to the order laid, or back.
    fn turned(&self, span: Span) -> Span {
        match self.laid_from {
            LaidFrom::Left => span,
            LaidFrom::Right => Span { start: self.run - span.end, end: self.run - span.start },
        }
    }

    fn in_order_laid<T>(&self, [left, right]: [T; 2]) -> [T; 2] {
        match self.laid_from {
            LaidFrom::Left => [left, right],
            LaidFrom::Right => [right, left],
        }
    }

    /// From lap starts in the order laid, and which are joints.
    fn division(&self, starts: &[(Length, bool)], seams: &Blocked) -> Division {
        let mut from = Length::ZERO;
        let ends = starts.iter().map(|&(start, _)| start).chain([self.run - self.lap]);
        let lengths = ends.map(|to| to + self.lap - std::mem::replace(&mut from, to));
        let mut lengths: Vec<Length> = lengths.collect();
        let laps = starts.iter().map(|&(start, joint)| Lap {
            span: self.turned(Span { start, end: start + self.lap }),
            joint,
            on_seam: seams.blocks(start),
        });
        let mut laps: Vec<Lap> = laps.collect();
        if self.laid_from == LaidFrom::Right {
            lengths.reverse();
            laps.reverse();
        }
        Division { lengths, laps }
    }
}

/// What lap starts keep out of, in the order laid.
struct Avoid {
    stagger: Blocked,
    seams: Blocked,
}

impl Avoid {
    fn lets(&self, starts: &[Length]) -> bool {
        starts.iter().all(|&start| !self.stagger.blocks(start) && !self.seams.blocks(start))
    }
}

/// The pieces between two expansion joints, or all of the run: in the order laid.
struct Stretch<'a> {
    /// Starts of the joints before and after it, or of a lap that would begin and end the run.
    ends: Span,
    beyond: [Length; 2],
    split: &'a Split,
}

impl Stretch<'_> {
    /// Lap starts between its ends.
    fn lay(&self, avoid: &Avoid) -> Result<Vec<Length>, SplitError> {
        let Split { lap, step, .. } = *self.split;
        let fewest = Split { run: self.length(), beyond: self.beyond, ..*self.split }.count()?;
        let plain = starts(self.ends.start, &self.share(fewest)?, lap);
        if avoid.lets(&plain) {
            return Ok(plain);
        }

        for n in fewest..=fewest + MORE_PIECES {
            // Only a piece shorter than the least keeps more pieces from being shared out.
            let Ok(lengths) = self.share(n) else { break };
            let wishes = starts(self.ends.start, &lengths, lap);
            let chain = Chain { ends: self.ends, strides: &self.strides(n), wishes: &wishes, lap, step };
            if let Some(placed) = chain.place(&avoid.stagger, &avoid.seams) {
                return Ok(placed);
            }
        }
        // Seams never stand in the way of a run.
        if avoid.stagger.is_empty() { Ok(plain) } else { Err(SplitError::NoStagger { would_do: None }) }
    }

    fn length(&self) -> Length {
        self.ends.end - self.ends.start + self.split.lap
    }

    /// The least of its pieces: none where it is shorter itself.
    fn least(&self) -> Length {
        if self.length() < self.split.least { Length::ZERO } else { self.split.least }
    }

    fn caps(&self, n: usize) -> Vec<Length> {
        let mut caps = vec![self.split.longest; n];
        caps[0] -= self.beyond[0];
        caps[n - 1] -= self.beyond[1];
        caps
    }

    /// What each of `n` pieces may add: no shorter than the least nor than its laps, so that no three layers lie together.
    fn strides(&self, n: usize) -> Vec<Span> {
        let lap = self.split.lap;
        let strides = self.caps(n).into_iter().enumerate().map(|(i, cap)| {
            let laps = i64::from(i > 0) + i64::from(i + 1 < n);
            Span { start: self.least().max(lap * laps) - lap, end: cap - lap }
        });
        strides.collect()
    }

    /// The lengths of `n` pieces, other trims and seams aside.
    fn share(&self, n: usize) -> Result<Vec<Length>, SplitError> {
        let Split { lap, step, kind, .. } = *self.split;
        let total = self.length() + lap * (n as i64 - 1);
        let (caps, least) = (self.caps(n), self.least());
        // Shared evenly, the shortest is as long as it can be.
        let even = share::even(total, &caps, least, step);
        let shortest = even.iter().copied().fold(total, Length::min);
        if shortest < least {
            return Err(SplitError::LeastTooLong { would_do: shortest });
        }
        Ok(match kind {
            Kind::Even => even,
            // The rest is no shorter than its lap, where it need not be.
            Kind::LongestFirst => share::longest_first(total, &caps, least.max(lap).min(shortest), step),
        })
    }
}

/// Lap starts of pieces of these lengths, the first laid from `from`.
fn starts(from: Length, lengths: &[Length], lap: Length) -> Vec<Length> {
    let mut at = from;
    let ends = lengths[..lengths.len() - 1].iter().map(|&length| {
        at += length - lap;
        at
    });
    ends.collect()
}

#[cfg(test)]
mod tests;
