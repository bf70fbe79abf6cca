//! A plan as a cut list that a fabricator can read on paper: one block a run, one row a piece, then the steps.

use std::fmt::Write;

use crate::order::Order;
use crate::order::installing::DEFER;
use crate::order::plan::{Goes, Piece, PieceEnd, Plan};
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
    }
    if !plan.notices.is_empty() {
        writeln!(out, "\nNOTICES")?;
        for notice in &plan.notices {
            writeln!(out, "  {}: {}", notice.at, notice.text)?;
        }
    }
    writeln!(out, "\nSeen from the roof, facing the wall: left is left. Wear gloves and eye protection.")?;
    writeln!(out, "{DEFER}")
}

fn write_run(out: &mut String, run: &[Piece]) -> std::fmt::Result {
    let Some(first) = run.first() else { return Ok(()) };
    writeln!(out, "WALL {}  {}  run {}", first.wall, first.trim.name(), first.run_length.text)?;
    let legs: Vec<String> = first.section.legs.iter().map(|leg| format!("{} {}", leg.name, leg.width.text)).collect();
    writeln!(out, "  section  {}, hem {}; girth {}", legs.join(", "), first.hem.width.text, first.blank.girth.text)?;
    for (index, bend) in first.bends.iter().enumerate() {
        let turn = bend.turn.name();
        let n = index + 1;
        writeln!(out, "  bend {n}   {} from the datum edge, {turn} through {}", bend.at.text, degrees(bend.angle_deg))?;
    }
    writeln!(out, "  hem      fold at {} from the datum edge", first.hem.at.text)?;

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
        }
    }
    Ok(())
}

fn made_alike(a: &Piece, b: &Piece) -> bool {
    a.steps.len() == b.steps.len() && a.steps.iter().zip(&b.steps).all(|(a, b)| a.text == b.text)
}

fn row(piece: &Piece) -> [String; 6] {
    [
        piece.mark.clone(),
        piece.length.text.clone(),
        piece.blank.length.text.clone(),
        end(&piece.left),
        end(&piece.right),
        format!("{:.2} kg", piece.mass_kg),
    ]
}

fn end(end: &PieceEnd) -> String {
    match end {
        PieceEnd::Square => "square".into(),
        PieceEnd::Gable { width } => format!("gable {}", width.text),
        PieceEnd::Return { depth } => format!("return {}", depth.text),
        PieceEnd::Lap { lap, goes: Goes::Under, neighbour } => format!("under {neighbour}, {}", lap.text),
        PieceEnd::Lap { lap, goes: Goes::Over, neighbour } => format!("over {neighbour}, {}", lap.text),
    }
}
