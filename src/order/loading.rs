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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use serde_json::json;

    use super::*;
    use crate::order::plan::Plan;
    use crate::order::shop::Shop;
    use crate::order::{parse, planner};
    use crate::trade::length::Length;

    fn planned(shop: Shop, runs: serde_json::Value) -> Plan {
        let order = json!({
            "format": "brakeside-order/1", "order": "7", "job": { "name": "Barn" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "runs": runs
        });
        planner::plan(&parse::from_json(&order, &Arc::new(shop)).unwrap()).unwrap()
    }

    fn of(plan: &Plan) -> &Load {
        plan.sheet.as_ref().unwrap().load.as_ref().unwrap()
    }

    /// Common practice, no source: eaves go up first and ridges last; whoever lays from the right needs the right piece first.
    #[test]
    fn the_last_installed_lies_lowest() {
        let run =
            |wall, trim, from| json!({ "wall": wall, "trim": trim, "length": 200, "pitch": "2:12", "lay_from": from });
        let reglet = json!({ "wall": "A", "trim": "reglet", "length": 60 });
        let runs = json!([run("R", "ridge", "left"), reglet, run("A", "end-wall", "right"), run("E", "eave", "left")]);
        let stack = ["R-RD-2", "R-RD-1", "A-RG-1", "A-EW-1", "A-EW-2", "E-EV-2", "E-EV-1"];
        assert_eq!(of(&planned(Shop::default(), runs)).stack, stack);
    }

    /// A piece of 7 ft 10 in with an outside corner's roof leg past its end is carried, tied and hung out at its true length;
    /// one with a dam, which is folded up, at its finished length.
    #[test]
    fn a_piece_is_as_long_as_it_is_bent() {
        let run = |end| json!([{ "wall": "A", "trim": "end-wall", "length": 94, "pitch": "2:12", "right": end }]);
        let mitred = planned(Shop::default(), run(json!({ "end": "corner", "side": "outside" })));
        let beyond = 5.0 * 9.462_322_f64.to_radians().cos();
        assert!((of(&mitred).longest.mm / 25.4 - 94.0 - beyond).abs() < 0.05, "{:?}", of(&mitred).longest);
        assert_eq!((of(&mitred).lifts[0].people, of(&mitred).overhang.as_ref().map(|over| over.flags)), (2, Some(0)));
        let dammed = planned(Shop::default(), run(json!({ "end": "dam", "height": 5 })));
        assert_eq!((of(&dammed).longest.text.as_str(), of(&dammed).lifts.len()), ("7' 10\"", 0));
    }

    #[test]
    fn the_shop_says_from_when_on_two_carry_and_no_advice_is_lost() {
        let runs = json!([{ "wall": "A", "trim": "end-wall", "length": 60, "pitch": "2:12" }]);
        let mut shop = Shop::default();
        shop.load.two_people_from = Length::inches(60);
        assert_eq!(of(&planned(shop.clone(), runs.clone())).lifts[0].people, 2);
        shop.load.lift.horizontal = Length::inches(26);
        assert!(of(&planned(shop, runs)).working.iter().any(|working| working.result.contains("stand nearer")));
    }
}
