//! A plan as a cut list that a fabricator can read on paper: one block a run, one row a piece, then the steps.

use std::fmt::Write;

use crate::order::installing::DEFER;
use crate::order::plan::{Hem, Mark, Measure, Piece, Plan, Step};
use crate::order::sheet::{FastenerLine, Load, RunSheet};
use crate::order::{Order, Side};
use crate::trade::length::{Length, Units};
use crate::trade::mass::KG_PER_LB;
use crate::trade::section::degrees;

/// The whole cut list.
pub fn text(order: &Order, plan: &Plan) -> String {
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = write_list(&mut out, order, plan);
    out.truncate(out.trim_end().len());
    out
}

fn write_list(out: &mut String, order: &Order, plan: &Plan) -> std::fmt::Result {
    write!(out, "ORDER {}  {}", order.number, order.job.name)?;
    if let Some(site) = &order.job.site {
        write!(out, ", {site}")?;
    }
    if let Some(due) = order.job.due {
        write!(out, "  due {due}")?;
    }
    let mass: f64 = plan.pieces.iter().map(|piece| piece.mass_kg).sum();
    writeln!(out)?;
    writeln!(
        out,
        "{}  {} {}  {mass:.1} kg ({:.1} lb), {}",
        order.material(),
        plan.pieces.len(),
        if plan.pieces.len() == 1 { "piece" } else { "pieces" },
        mass / KG_PER_LB,
        order.metal.basis.source(),
    )?;
    for run in plan.pieces.chunk_by(|a, b| a.run == b.run) {
        writeln!(out)?;
        write_run(out, run)?;
        let sheet = run.first().and_then(|piece| plan.runs.get(piece.run));
        sheet.map_or(Ok(()), |sheet| write_fasteners(out, sheet))?;
    }
    if let Some(sheet) = &plan.sheet {
        writeln!(out, "\nTO BUY")?;
        for need in &sheet.buy {
            writeln!(out, "  {}: {} × {} ({})", need.what, need.count, need.unit, need.exact)?;
        }
        sheet.load.as_ref().map_or(Ok(()), |load| write_load(out, load))?;
    }
    if !plan.notices.is_empty() {
        writeln!(out, "\nNOTICES")?;
        for notice in &plan.notices {
            writeln!(out, "  {}: {}", notice.at, notice.text)?;
        }
    }
    writeln!(out, "\nWear gloves and eye protection.")?;
    writeln!(out, "{DEFER}")
}

fn write_run(out: &mut String, run: &[Piece]) -> std::fmt::Result {
    let Some(first) = run.first() else { return Ok(()) };
    let seen_from = first.trim.seen_from();
    writeln!(out, "WALL {}  {}  run {}, seen {seen_from}", first.wall, first.trim.name(), first.run_length.text)?;
    let legs: Vec<String> = first.section.legs.iter().map(|leg| format!("{} {}", leg.name, leg.width.text)).collect();
    let hem = |name: &str, hem: &Option<Hem>| {
        let Some(hem) = hem else { return String::new() };
        let gap = hem.gap.as_ref().map_or(String::new(), |gap| format!(" open {}", gap.text));
        format!(", {name} {}{gap}", hem.width.text)
    };
    let hems = format!("{}{}", hem("datum hem", &first.datum_hem), hem("hem", &first.hem));
    writeln!(out, "  section  {}{hems}; girth {}", legs.join(", "), first.blank.girth.text)?;
    if let Some(hem) = &first.datum_hem {
        writeln!(out, "  hem      fold at {} from the datum edge", hem.at.text)?;
    }
    for (index, bend) in first.bends.iter().enumerate() {
        let turn = bend.turn.name();
        let n = index + 1;
        writeln!(out, "  bend {n}   {} from the datum edge, {turn} through {}", bend.at.text, degrees(bend.angle_deg))?;
    }
    if let Some(hem) = &first.hem {
        writeln!(out, "  hem      fold at {} from the datum edge", hem.at.text)?;
    }

    let head = ["piece", "finished", "blank", "left end", "right end", "mass"].map(str::to_owned);
    let rows: Vec<[String; 6]> = std::iter::once(head).chain(run.iter().map(row)).collect();
    let widths: Vec<usize> =
        (0..6).map(|column| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0)).collect();
    for row in &rows {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(cell, &width)| format!("{cell:<width$}")).collect();
        writeln!(out, "  {}", cells.join("  ").trim_end())?;
    }
    // Pieces that are made alike share one list of steps.
    let mut told: Vec<(&Piece, Vec<&str>)> = Vec::new();
    for piece in run {
        match told.iter_mut().find(|(other, _)| made_alike(other, piece)) {
            Some((_, marks)) => marks.push(&piece.mark),
            None => told.push((piece, vec![&piece.mark])),
        }
    }
    for (piece, marks) in told {
        writeln!(out, "  {}", marks.join(", "))?;
        for (index, step) in piece.steps.iter().enumerate() {
            writeln!(out, "    {:>2}. {}", index + 1, step.text)?;
            if let Some(marks) = self::marks(piece, step) {
                writeln!(out, "        marks: {marks}")?;
            }
        }
    }
    Ok(())
}

/// Where a run's fasteners go, from its left end; before it, where a mitre's metal goes on past it.
fn write_fasteners(out: &mut String, run: &RunSheet) -> std::fmt::Result {
    for FastenerLine { what, leg, off, edge, at, .. } in &run.fasteners {
        let place = |at: &Measure| match at.text.strip_prefix('-') {
            Some(past) => format!("{past} before the left end"),
            None => at.text.clone(),
        };
        let at: Vec<String> = at.iter().map(place).collect();
        writeln!(out, "  {what}, {leg}, {} from its {}: at {}", off.text, edge.name(), at.join(", "))?;
    }
    for screw in &run.cut_screws {
        writeln!(out, "  lap screw on the gable cut, {}: at {}, {} down", screw.leg, screw.at.text, screw.down.text)?;
    }
    Ok(())
}

fn write_load(out: &mut String, load: &Load) -> std::fmt::Result {
    writeln!(out, "\nLOAD")?;
    writeln!(out, "  {:.1} kg ({:.1} lb), longest {}", load.mass_kg, load.mass_kg / KG_PER_LB, load.longest.text)?;
    writeln!(
        out,
        "  tie-downs: {} at least; {} if something in front keeps it from sliding (49 CFR 393.110)",
        load.tie_downs_unblocked, load.tie_downs_blocked
    )?;
    if let Some(overhang) = &load.overhang {
        writeln!(out, "  {}", overhang.text)?;
    }
    for heavy in &load.lifts {
        let pieces = if heavy.pieces == 1 { "piece" } else { "pieces" };
        writeln!(out, "  {} people lift each of {} {pieces}, such as {}", heavy.people, heavy.pieces, heavy.hardest)?;
    }
    writeln!(out, "  bottom up: {}", load.stack.join(", "))
}

/// The points to mark, as they are measured: from the end that is cut, and down from the datum edge.
pub fn marks(piece: &Piece, step: &Step) -> Option<String> {
    let side = step.side.filter(|_| !step.marks.is_empty())?;
    let units = if piece.length.text.ends_with("mm") { Units::Mm } else { Units::In };
    let from_end = |mark: &Mark| match side {
        Side::Left => mark.x.text.clone(),
        Side::Right => Length::from_mm(piece.blank.length.mm - mark.x.mm).reading(units),
    };
    let words: Vec<String> =
        step.marks.iter().map(|mark| format!("{} in, {} down", from_end(mark), mark.y.text)).collect();
    Some(words.join("; "))
}

fn made_alike(a: &Piece, b: &Piece) -> bool {
    a.steps.len() == b.steps.len() && a.steps.iter().zip(&b.steps).all(|(a, b)| a.text == b.text)
}

fn row(piece: &Piece) -> [String; 6] {
    [
        piece.mark.clone(),
        piece.length.text.clone(),
        piece.blank.length.text.clone(),
        piece.left.words(),
        piece.right.words(),
        format!("{:.2} kg", piece.mass_kg),
    ]
}
