//! What the runs of an order owe each other: two mitred ends that say they meet must be one mitre, and the trims of one
//! wall must agree on where it turns and which way it falls. One cut wrong wastes both pieces.

use std::collections::HashMap;

use super::end::MEETS;
use super::reader::Spot;
use crate::order::{End, Falls, Run, Side, Trim};

/// Each run by its wall and trim, and where in the order it stands.
type Places<'a> = HashMap<(String, Trim), (usize, &'a Run)>;

/// Notes every run that does not go with the others.
pub(super) fn check(spots: &[Spot], runs: &[Option<Run>]) {
    let of_order = || runs.iter().enumerate().filter_map(|(index, run)| Some((index, run.as_ref()?)));
    let places: Places = of_order().map(|(index, run)| (key(&run.wall, run.trim), (index, run))).collect();
    for (index, run) in of_order() {
        meet(&spots[index], run, &places);
        go_together(&spots[index], index, run, &places);
    }
}

fn key(wall: &str, trim: Trim) -> (String, Trim) {
    (wall.to_ascii_uppercase(), trim)
}

/// Notes each mitred end that says which wall's trim it meets and would not.
fn meet(spot: &Spot, run: &Run, places: &Places) {
    for (side, end, meets) in [(Side::Left, run.left, &run.meets[0]), (Side::Right, run.right, &run.meets[1])] {
        let Some(wall) = meets else { continue };
        let fault = match places.get(&key(wall, run.trim)) {
            Some((_, other)) if std::ptr::eq(*other, run) => {
                Some("a wall's trim cannot meet itself; name the other wall".into())
            }
            Some((_, other)) => apart(run, end, other, side.other()),
            None => Some(format!("wall {wall} has no {} in this order", run.trim.name())),
        };
        if let Some(fault) = fault {
            spot.fault_below::<()>(&format!("/{}/{MEETS}", side.name()), fault);
        }
    }
}

/// Notes what of `run` goes against an earlier trim that lies on the same wall.
fn go_together(spot: &Spot, index: usize, run: &Run, places: &Places) {
    let on_wall = Trim::ALL.into_iter().filter(|trim| run.trim.is_on_wall() && trim.is_on_wall());
    let others = on_wall.filter_map(|trim| places.get(&key(&run.wall, trim)));
    for (_, other) in others.filter(|(before, _)| *before < index) {
        let name = other.trim.name();
        if (run.trim.is_sloped() || other.trim.is_sloped()) && run.lay_from != other.lay_from {
            let low = other.lay_from.name();
            let key = if run.trim.is_sloped() { "low" } else { "lay_from" };
            let detail = format!(
                "wall {}'s {name} is laid from its {low} end, and this would be laid from the other, so that laps would \
                 face uphill; give \"{low}\"",
                run.wall
            );
            spot.fault_below::<()>(&format!("/{key}"), detail);
        }
        for (side, end, there) in [(Side::Left, run.left, other.left), (Side::Right, run.right, other.right)] {
            if matches!((end, there), (End::Corner { .. }, End::Corner { .. })) && end != there {
                let detail = format!(
                    "wall {}'s {name} turns another corner at this end; give both the same `side` and `turn`",
                    run.wall
                );
                spot.fault_below::<()>(&format!("/{}", side.name()), detail);
            }
        }
    }
}

/// Why the end of `run` and that of `other` on `side` do not meet; none where they do.
fn apart(run: &Run, end: End, other: &Run, side: Side) -> Option<String> {
    let (wall, trim) = (&other.wall, other.trim.name());
    let other_end = if side == Side::Left { other.left } else { other.right };
    let there = format!("the {} end of wall {wall}'s {trim}", side.name());
    match (end, other_end) {
        (End::Corner { .. }, End::Corner { .. }) if end != other_end => {
            Some(format!("{there} is another corner; give both the same `side` and `turn`"))
        }
        (End::Corner { .. }, End::Corner { .. }) => (run.roof != other.roof || run.profile != other.profile)
            .then(|| format!("wall {wall}'s {trim} has another section; give both the same pitch and profile")),
        (End::Transition { to, falls }, End::Transition { to: back, falls: falls_back }) => {
            let (way, low, climb) = match falls {
                Falls::On => ("on", "the same `low`", run.lay_from == other.lay_from),
                Falls::Back => ("back", "`low` at opposite ends", run.lay_from != other.lay_from),
            };
            let pitches = Some(to) == other.roof.pitch && run.roof.pitch == Some(back);
            (!(pitches && climb && falls == falls_back)).then(|| {
                format!(
                    "{there} is another transition; give each the other's pitch as `to`, both `falls` \"{way}\", and {low}"
                )
            })
        }
        _ => Some(format!("{there} is no such mitre; make it one, or move that wall's mitre to this end")),
    }
}
