//! How an order travels: its bundle, its tie-downs, what hangs out behind, and who lifts what.

use std::collections::BTreeMap;

use crate::order::Order;
use crate::order::plan::Measure;
use crate::order::sheet::{Heavy, Load, Overhang};
use crate::trade::lifting::Lift;
use crate::trade::load::{self, Bed, Cargo};

/// One piece to be loaded, in the order the pieces are installed.
pub struct Piece {
    pub mark: String,
    pub cargo: Cargo,
}

/// How `pieces` travel; nothing without any.
pub fn load(order: &Order, pieces: &[Piece]) -> Option<Load> {
    let cargo: Vec<Cargo> = pieces.iter().map(|piece| piece.cargo).collect();
    let settings = &order.shop.load;
    let bed = Bed { length: settings.bed_length, bundle_width: settings.bundle_width };
    let load = load::Load::of(&cargo, bed, order.metal.basis.source(), order.units)?;
    let exact = |length| Measure::exact(length, order.units);
    Some(Load {
        mass_kg: load.mass_kg,
        longest: exact(load.longest),
        stack: load.bottom_up.iter().map(|&index| pieces[index].mark.clone()).collect(),
        tie_downs_unblocked: load.tie_downs.unblocked,
        tie_downs_blocked: load.tie_downs.blocked,
        overhang: load.overhang.map(|overhang| Overhang {
            by: exact(overhang.by),
            flags: overhang.flags,
            text: overhang.notice(order.units),
        }),
        lifts: lifts(order, pieces),
        working: load.workings,
    })
}

/// The pieces that one person should not lift, by how many should.
fn lifts(order: &Order, pieces: &[Piece]) -> Vec<Heavy> {
    let settings = &order.shop.load;
    let lift = Lift {
        horizontal: settings.lift_horizontal,
        origin: settings.lift_origin,
        travel: settings.lift_travel,
        ..Lift::default()
    };
    // The settings keep within what the equation is for.
    let Ok(limit) = lift.limit() else { return Vec::new() };
    let people = |piece: &Piece| limit.people(piece.cargo.mass_kg, piece.cargo.length, order.units);
    let mut lifts: BTreeMap<u32, (usize, &Piece)> = BTreeMap::new();
    for piece in pieces {
        let (count, hardest) = lifts.entry(people(piece).people).or_insert((0, piece));
        *count += 1;
        if piece.cargo.mass_kg > hardest.cargo.mass_kg {
            *hardest = piece;
        }
    }
    let several = lifts.into_iter().filter(|(people, _)| *people > 1);
    several
        .map(|(count, (pieces, hardest))| Heavy {
            people: count,
            pieces,
            hardest: hardest.mark.clone(),
            working: vec![limit.working(order.units), people(hardest).working],
        })
        .collect()
}
