//! Twins: the pieces of an order that are cut alike in every step, so that the bench can take them through each step
//! together. Only mark, place and neighbours tell them apart.
//!
//! Whatever a step is made of is compared: the section, the roof it is bent to, the length, both ends. All else a step knows is
//! the whole order's. So nothing needs planning to find them.

use std::collections::HashMap;
use std::hash::Hash;

use crate::order::layout::Layout;
use crate::order::plan::Goes;
use crate::order::{End, Run, Side, Trim, cutting};
use crate::trade::length::Length;
use crate::trade::profile::Roof;
use crate::trade::section::Section;

/// What the pieces of a run share.
#[derive(PartialEq, Eq, Hash)]
struct Bent<'a> {
    trim: Trim,
    section: &'a Section,
    roof: &'a Roof,
    low: Option<Side>,
}

/// What makes one piece's work.
#[derive(PartialEq, Eq, Hash)]
struct Work {
    /// Which of the [`Bent`].
    bent: usize,
    length: Length,
    ends: [Finish; 2],
}

#[derive(PartialEq, Eq, Hash)]
enum Finish {
    End(End),
    Lap { lap: Length, goes: Goes, joint: bool },
}

/// The batch of each piece, in the order they are planned, for [`Piece::batch`](crate::order::plan::Piece::batch).
pub fn batches<'a>(runs: impl Iterator<Item = (&'a Run, &'a Layout)>) -> Vec<usize> {
    let (mut bent, mut works) = (Numbers::new(), Numbers::new());
    let mut work_of = Vec::new();
    for (run, layout) in runs {
        let low = run.trim.is_sloped().then_some(run.lay_from);
        let bent = number(&mut bent, Bent { trim: run.trim, section: &layout.section, roof: &run.roof, low });
        work_of.extend(layout.lengths.iter().enumerate().map(|(index, &length)| {
            let ends = [Side::Left, Side::Right].map(|side| finish(run, layout, index, side));
            number(&mut works, Work { bent, length, ends })
        }));
    }

    let mut pieces = vec![0_usize; works.len()];
    for &work in &work_of {
        pieces[work] += 1;
    }
    let mut batch = 0;
    let batch_of: Vec<usize> = pieces
        .into_iter()
        .map(|pieces| {
            let several = pieces > 1;
            batch += usize::from(several);
            if several { batch } else { 0 }
        })
        .collect();
    work_of.into_iter().map(|work| batch_of[work]).collect()
}

fn finish(run: &Run, layout: &Layout, index: usize, side: Side) -> Finish {
    match cutting::outer_end(run, layout, index, side) {
        Some(end) => Finish::End(end),
        None => Finish::Lap {
            lap: run.lap,
            goes: cutting::goes(run, side),
            joint: cutting::lap(layout, index, side).is_some_and(|lap| lap.joint),
        },
    }
}

/// Things that differ, numbered as they first came.
type Numbers<T> = HashMap<T, usize>;

fn number<T: Eq + Hash>(numbers: &mut Numbers<T>, of: T) -> usize {
    let next = numbers.len();
    *numbers.entry(of).or_insert(next)
}
