//! The working behind every number of a plan, to be read and followed.

use std::fmt::Write;

use crate::commands::report::explained;
use crate::order::plan::Plan;
use crate::trade::working::Working;

/// All workings of the plan: each piece's, each run's, the order's.
pub fn text(plan: &Plan) -> String {
    let mut out = String::from("\nWORKINGS\n");
    for piece in &plan.pieces {
        heading(&mut out, &piece.mark);
        piece.workings().for_each(|working| tell(&mut out, working));
    }
    for run in &plan.runs {
        heading(&mut out, &format!("wall {}, {}: the run", run.wall, run.trim.name()));
        run.working.iter().for_each(|working| tell(&mut out, working));
    }
    let Some(sheet) = &plan.sheet else { return out };
    heading(&mut out, "the order");
    let buy = sheet.buy.iter().map(|need| &need.working);
    let load =
        sheet.load.iter().flat_map(|load| load.working.iter().chain(load.lifts.iter().flat_map(|of| &of.working)));
    buy.chain(load).for_each(|working| tell(&mut out, working));
    out
}

fn heading(out: &mut String, of: &str) {
    // Writing to a String cannot fail.
    let _ = writeln!(out, "\n{of}");
}

fn tell(out: &mut String, working: &Working) {
    for line in explained(working).lines() {
        let _ = writeln!(out, "  {line}");
    }
}
