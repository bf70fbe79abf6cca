//! Sets of positions along a run, as closed intervals: where a lap may start.

use crate::trade::length::Length;

/// A stretch along a run, both ends in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    pub start: Length,
    pub end: Length,
}

impl Span {
    pub const fn at(position: Length) -> Self {
        Self { start: position, end: position }
    }

    fn contains(self, position: Length) -> bool {
        self.start <= position && position <= self.end
    }
}

/// Positions on a bench's step: whole steps from `origin`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grid {
    pub origin: Length,
    pub step: Length,
}

impl Grid {
    /// The last position of the grid at or before `position`.
    pub fn floor(self, position: Length) -> Length {
        let past = (position - self.origin).nm().rem_euclid(self.step.nm());
        position - Length::from_nm(past)
    }

    /// The position of the grid in `span` nearest to `target`, which is in it too; none where it has no such position.
    fn nearest(self, target: Length, span: Span) -> Option<Length> {
        let before = self.floor(target);
        [before, before + self.step]
            .into_iter()
            .filter(|&position| span.contains(position))
            .min_by_key(|&position| (position - target).nm().abs())
    }
}

/// A set of positions: closed, disjoint, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Spans(Vec<Span>);

impl Spans {
    pub fn one(span: Span) -> Self {
        Self(if span.start <= span.end { vec![span] } else { Vec::new() })
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Everything reached from a position of the set by a shift of `by.start` to `by.end`.
    pub fn shifted(&self, by: Span) -> Self {
        let mut spans: Vec<Span> = Vec::with_capacity(self.0.len());
        for span in &self.0 {
            let (start, end) = (span.start + by.start, span.end + by.end);
            match spans.last_mut() {
                Some(last) if start <= last.end => last.end = end,
                _ => spans.push(Span { start, end }),
            }
        }
        Self(spans)
    }

    pub fn within(&self, bounds: Span) -> Self {
        self.common(&Self::one(bounds))
    }

    /// The positions in both sets.
    pub fn common(&self, other: &Self) -> Self {
        let (mut a, mut b) = (self.0.iter().peekable(), other.0.iter().peekable());
        let mut spans = Vec::new();
        while let (Some(x), Some(y)) = (a.peek(), b.peek()) {
            let (start, end) = (x.start.max(y.start), x.end.min(y.end));
            if start <= end {
                spans.push(Span { start, end });
            }
            if x.end <= y.end {
                a.next()
            } else {
                b.next()
            };
        }
        Self(spans)
    }

    /// The position nearest to `target`: itself, else the nearest on the grid, else the nearest at all. Of two as near,
    /// the first.
    pub fn nearest(&self, target: Length, grid: Grid) -> Option<Length> {
        let candidates = || self.0.iter().map(|span| (target.clamp(span.start, span.end), *span));
        let away = |&position: &Length| (position - target).nm().abs();
        if candidates().any(|(position, _)| position == target) {
            return Some(target);
        }
        let on_grid = candidates().filter_map(|(position, span)| grid.nearest(position, span)).min_by_key(away);
        on_grid.or_else(|| candidates().map(|(position, _)| position).min_by_key(away))
    }
}

/// Where a lap may not start: open intervals, disjoint, in order.
#[derive(Debug, Clone)]
pub(super) struct Blocked(Vec<Span>);

impl Blocked {
    /// From open intervals in any order.
    pub fn new(open: impl IntoIterator<Item = Span>) -> Self {
        let mut sorted: Vec<Span> = open.into_iter().filter(|span| span.start < span.end).collect();
        sorted.sort_unstable_by_key(|span| span.start);
        let mut merged: Vec<Span> = Vec::with_capacity(sorted.len());
        for span in sorted {
            match merged.last_mut() {
                // Where two only touch, the point between them is free.
                Some(last) if span.start < last.end => last.end = last.end.max(span.end),
                _ => merged.push(span),
            }
        }
        Self(merged)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub fn blocks(&self, position: Length) -> bool {
        let next = self.0.partition_point(|span| span.end <= position);
        self.0.get(next).is_some_and(|span| span.start < position)
    }

    /// What of `set` is free.
    pub fn out_of(&self, set: &Spans) -> Spans {
        let mut free = Vec::with_capacity(set.0.len());
        for window in &set.0 {
            let mut from = window.start;
            let first = self.0.partition_point(|span| span.end <= window.start);
            for span in self.0[first..].iter().take_while(|span| span.start < window.end) {
                if from <= span.start {
                    free.push(Span { start: from, end: span.start });
                }
                from = span.end;
            }
            if from <= window.end {
                free.push(Span { start: from, end: window.end });
            }
        }
        Spans(free)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const fn nm(nm: i64) -> Length {
        Length::from_nm(nm)
    }

    fn span((start, end): (i64, i64)) -> Span {
        Span { start: nm(start), end: nm(end) }
    }

    fn has(set: &Spans, position: i64) -> bool {
        set.0.iter().any(|span| span.contains(nm(position)))
    }

    fn some_spans() -> impl Strategy<Value = Vec<(i64, i64)>> {
        proptest::collection::vec((0i64..40, 0i64..8).prop_map(|(start, wide)| (start, start + wide)), 0..6)
    }

    proptest! {
        /// Against membership, position by position.
        #[test]
        fn sets_are_those_of_their_members(
            a in some_spans(), b in some_spans(), low in -5i64..5, wide in 0i64..6, target in -5i64..50, step in 1i64..5,
        ) {
            let blocked = [&a, &b].map(|open| Blocked::new(open.iter().copied().map(span)));
            let window = span((3, 37));
            let [free_a, free_b] = [0, 1].map(|i| blocked[i].out_of(&Spans::one(window)));
            let both = free_a.common(&free_b);
            let shifted = free_a.shifted(span((low, low + wide)));
            for at in -10i64..60 {
                let open = |spans: &[(i64, i64)]| spans.iter().any(|&(start, end)| start < at && at < end);
                prop_assert_eq!(blocked[0].blocks(nm(at)), open(&a));
                prop_assert_eq!(has(&free_a, at), (3..=37).contains(&at) && !open(&a), "{}", at);
                prop_assert_eq!(has(&both, at), has(&free_a, at) && has(&free_b, at));
                prop_assert_eq!(has(&shifted, at), (low..=low + wide).any(|by| has(&free_a, at - by)));
            }
            let members = || (-10i64..60).filter(|&at| has(&both, at));
            let nearest = both.nearest(nm(target), Grid { origin: nm(2), step: nm(step) }).map(Length::nm);
            let distance = |at: &i64| (at - target).abs();
            let on_grid = members().filter(|at| (at - 2) % step == 0).min_by_key(distance);
            let expected = members().find(|&at| at == target).or(on_grid).or_else(|| members().min_by_key(distance));
            prop_assert_eq!(nearest, expected);
        }
    }
}
