//! Whether two mitred ends that say they meet will: one cut wrong wastes both pieces.

use super::end::MEETS;
use super::reader::Spot;
use crate::order::{End, Falls, Run, Side};

/// Notes every mitred end that says which wall's trim it meets and would not.
pub(super) fn check(spots: &[Spot], runs: &[Option<Run>]) {
    for (spot, run) in spots.iter().zip(runs).filter_map(|(spot, run)| Some((spot, run.as_ref()?))) {
        for (side, end, meets) in [(Side::Left, run.left, &run.meets[0]), (Side::Right, run.right, &run.meets[1])] {
            let Some(wall) = meets else { continue };
            let others = runs.iter().flatten();
            let other =
                others.filter(|other| other.trim == run.trim).find(|other| other.wall.eq_ignore_ascii_case(wall));
            let fault = match other {
                None => Some(format!("wall {wall} has no {} in this order", run.trim.name())),
                Some(other) => apart(run, end, other, side.other()),
            };
            if let Some(fault) = fault {
                spot.fault_below::<()>(&format!("/{}/{MEETS}", side.name()), fault);
            }
        }
    }
}

/// Why the end of `run` and that of `other` on `side` do not meet; none where they do.
fn apart(run: &Run, end: End, other: &Run, side: Side) -> Option<String> {
    let wall = &other.wall;
    let other_end = if side == Side::Left { other.left } else { other.right };
    let there = format!("the {} end of wall {wall}'s {}", side.name(), other.trim.name());
    match (end, other_end) {
        (End::Corner { .. }, End::Corner { .. }) if end != other_end => {
            Some(format!("{there} is another corner; give both the same `side` and `turn`"))
        }
        (End::Transition { to, falls }, End::Transition { to: back, falls: falls_back }) => {
            let pitches = [(Some(to), other.roof.pitch), (run.roof.pitch, Some(back))];
            let agree = falls == falls_back && pitches.iter().all(|(a, b)| a == b);
            let way = match falls {
                Falls::On => "on",
                Falls::Back => "back",
            };
            (!agree).then(|| {
                format!(
                    "{there} is another transition; give each the other's pitch as `to`, and both `falls` \"{way}\""
                )
            })
        }
        (End::Corner { .. }, End::Corner { .. }) => {
            (run.roof != other.roof || run.profile != other.profile).then(|| {
                format!("wall {wall}'s {} has another section; give both the same pitch and profile", other.trim.name())
            })
        }
        _ => Some(format!("{there} is no such mitre; make it one")),
    }
}
