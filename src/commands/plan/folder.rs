//! A plan as a folder of drawings, with a page that shows each kind of piece: how it looks, how it is made, and why each
//! number is what it is.

use std::fmt::Write;
use std::fs;
use std::path::Path;

use super::cut_list;
use crate::commands::report::Failure;
use crate::drawing::{self, Theme};
use crate::order::Order;
use crate::order::installing::DEFER;
use crate::order::plan::{Piece, PieceEnd, Plan};
use crate::trade::working::Working;

/// Writes the drawings of `plan`, and its page as `README.md`, into `folder`, which is made if it is not there.
pub fn write(folder: &Path, order: &Order, plan: &Plan) -> Result<(), Failure> {
    let put = |name: &str, text: &str| {
        let path = folder.join(name);
        fs::write(&path, text).map_err(|source| Failure::Write { path, source })
    };
    fs::create_dir_all(folder).map_err(|source| Failure::Write { path: folder.into(), source })?;
    let mut page = format!("# Order {}: {}\n\n{}.\n", order.number, plain(&order.job.name), plain(&order.material()));
    for piece in kinds(plan) {
        let drawings = drawing::sheet::files(piece, Theme::LIGHT);
        // Writing to a String cannot fail.
        let _ = tell(&mut page, piece, &drawings);
        for (name, svg) in &drawings {
            put(&file_name(piece, name), svg)?;
        }
    }
    let _ = write!(page, "\nWear gloves and eye protection. {DEFER}\n");
    put("README.md", &page)
}

/// The first piece of each kind: a trim of its run with such ends.
fn kinds(plan: &Plan) -> Vec<&Piece> {
    let mut kinds: Vec<&Piece> = Vec::new();
    for piece in &plan.pieces {
        let ends = |piece: &Piece| [&piece.left, &piece.right].map(end_kind);
        let known = kinds.iter().any(|known| known.run == piece.run && ends(known) == ends(piece));
        if !known {
            kinds.push(piece);
        }
    }
    kinds
}

/// Two ends of one kind are drawn alike.
fn end_kind(end: &PieceEnd) -> String {
    match end {
        PieceEnd::Lap { goes, joint, .. } => format!("{goes:?} {joint}"),
        other => other.words(),
    }
}

fn file_name(piece: &Piece, drawing: &str) -> String {
    format!("{}-{drawing}.svg", piece.mark)
}

fn tell(page: &mut String, piece: &Piece, drawings: &[(String, String)]) -> std::fmt::Result {
    writeln!(page, "\n## {}: {}\n", piece.mark, piece.trim.name())?;
    let (left, right) = (piece.left.words(), piece.right.words());
    writeln!(page, "{} finished; left {left}, right {right}, seen {}.\n", piece.length.text, piece.trim.seen_from())?;
    let picture = |name: &str| format!("![{name} of {}]({})", piece.mark, file_name(piece, name));
    writeln!(page, "{}\n", picture("sheet"))?;
    for (index, step) in piece.steps.iter().enumerate() {
        writeln!(page, "{}. {}", index + 1, plain(&step.text))?;
        let of_step = format!("step-{:02}-", index + 1);
        if let Some((name, _)) = drawings.iter().find(|(name, _)| name.starts_with(&of_step)) {
            writeln!(page, "\n   {}\n", picture(name))?;
        }
        if let Some(marks) = cut_list::marks(piece, step) {
            writeln!(page, "   Marks: {}.", plain(&marks))?;
        }
    }
    writeln!(page, "\n<details><summary>The working behind its numbers</summary>\n")?;
    piece.workings().try_for_each(|working| explain(page, working))?;
    writeln!(page, "</details>")
}

fn explain(page: &mut String, Working { what, rule, inputs, result, source }: &Working) -> std::fmt::Result {
    writeln!(page, "**{}: {}**  \n{}  \n*{}*\n", plain(what), plain(result), plain(rule), plain(source))?;
    writeln!(page, "| | |\n|---|---|")?;
    for input in inputs {
        writeln!(page, "| {} | {} |", plain(&input.name), plain(&input.value))?;
    }
    writeln!(page)
}

/// Nothing in it means anything to the page.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => plain.push_str("&lt;"),
            '&' => plain.push_str("&amp;"),
            '|' | '*' | '_' | '`' | '[' | ']' | '\\' => plain.extend(['\\', c]),
            c => plain.push(c),
        }
    }
    plain
}
