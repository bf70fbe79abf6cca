//! How an order travels: its bundle, its tie-downs, what hangs out behind, and who lifts what.

use std::collections::BTreeMap;

use crate::order::Order;
use crate::order::plan::Measure;
use crate::order::sheet::{Heavy, Load, Overhang};
use crate::trade::lifting::Limit;
use crate::trade::load::{self, Bed, Cargo};
use crate::trade::working::{COMMON_PRACTICE, Working};

/// One piece to be loaded, in the order the pieces are installed.
pub struct Piece {
    pub mark: String,
    pub cargo: Cargo,
}

/// How many marks of the stack its working says.
const SAID: usize = 40;

/// How `pieces` travel; nothing without any.
pub fn load(order: &Order, pieces: &[Piece]) -> Option<Load> {
    let cargo: Vec<Cargo> = pieces.iter().map(|piece| piece.cargo).collect();
    let settings = &order.shop.load;
    let bed = Bed { length: settings.bed_length, bundle_width: settings.bundle_width };
    let load = load::Load::of(&cargo, bed, order.metal.basis.source(), order.units)?;
    let exact = |length| Measure::exact(length, order.units);
    let stack: Vec<String> = pieces.iter().rev().map(|piece| piece.mark.clone()).collect();
    let mut working = vec![stacking(&stack)];
    working.extend(load.workings);
    let lifts = match settings.lift.limit() {
        Ok(limit) => lifts(order, &limit, pieces),
        Err(error) => {
            working.push(error.working());
            Vec::new()
        }
    };
    Some(Load {
        mass_kg: load.mass_kg,
        longest: exact(load.longest),
        stack,
        tie_downs_unblocked: load.tie_downs.unblocked,
        tie_downs_blocked: load.tie_downs.blocked,
        overhang: load.overhang.map(|overhang| Overhang {
            by: exact(overhang.by),
            flags: overhang.flags,
            text: overhang.notice(order.units),
        }),
        lifts,
        working,
    })
}

fn stacking(stack: &[String]) -> Working {
    let said = stack.iter().take(SAID).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = if stack.len() > SAID { ", and so on" } else { "" };
    Working::new(
        "stacking order",
        "the reverse of how they are installed: eaves; gables, side walls, end walls and custom trims; reglets; ridges; of \
         these run by run, and each run's pieces as they are laid",
        [("pieces", stack.len().to_string())],
        said + more,
        COMMON_PRACTICE,
    )
}

/// The pieces that one person should not lift, by how many should.
fn lifts(order: &Order, limit: &Limit, pieces: &[Piece]) -> Vec<Heavy> {
    let two_from = order.shop.load.two_people_from;
    let mut lifts: BTreeMap<u32, (usize, &Piece)> = BTreeMap::new();
    for piece in pieces {
        let people = limit.people(piece.cargo.mass_kg, piece.cargo.length, two_from);
        let (count, hardest) = lifts.entry(people).or_insert((0, piece));
        *count += 1;
        if piece.cargo.mass_kg > hardest.cargo.mass_kg {
            *hardest = piece;
        }
    }
    let several = lifts.into_iter().filter(|(people, _)| *people > 1);
    several
        .map(|(people, (pieces, hardest))| {
            let Cargo { mass_kg, length } = hardest.cargo;
            Heavy {
                people,
                pieces,
                hardest: hardest.mark.clone(),
                working: vec![limit.working(order.units), limit.people_working(mass_kg, length, two_from, order.units)],
            }
        })
        .collect()
}
