//! The pieces of an order at the van: those still missing, by wall, and those ticked off.

use maud::{Markup, html};

use super::remade::so_far;
use crate::store::{PieceRow, State};

/// The most pieces written out of each list: a driver reads what is left, not ten thousand lines.
const SHOWN: usize = 300;

/// An order's pieces, told apart by whether they are on the van (or were: what is installed is not missing).
pub struct LoadList<'a> {
    pub on_van: usize,
    pub mass_to_load_kg: f64,
    rows: &'a [PieceRow],
}

impl<'a> LoadList<'a> {
    pub fn new(rows: &'a [PieceRow]) -> Self {
        let missing = || rows.iter().filter(|row| is_missing(row));
        Self {
            on_van: rows.len() - missing().count(),
            // Not sum(): of nothing, that is -0.
            mass_to_load_kg: missing().fold(0.0, |sum, row| sum + row.mass_kg),
            rows,
        }
    }

    /// What is not on the van yet.
    pub fn missing(&self) -> Markup {
        let missing = self.rows.len() - self.on_van;
        html! {
            @if missing > 0 {
                section {
                    h2 { "Still to load: " (missing) }
                    @for (wall, rows) in by_wall(self.rows.iter().filter(|row| is_missing(row)).take(SHOWN)) {
                        h3 { "Wall " (wall) }
                        ul.pieces { @for row in rows { (line(row)) } }
                    }
                    (more(missing))
                }
            }
        }
    }

    /// What is.
    pub fn ticked(&self) -> Markup {
        html! {
            @if self.on_van > 0 {
                details {
                    summary { "On the van: " (self.on_van) }
                    @for (wall, rows) in by_wall(self.rows.iter().filter(|row| !is_missing(row)).take(SHOWN)) {
                        h3 { "Wall " (wall) }
                        ul.pieces.ticked { @for row in rows { (line(row)) } }
                    }
                    (more(self.on_van))
                }
            }
        }
    }
}

fn is_missing(row: &PieceRow) -> bool {
    row.state < State::Loaded
}

/// Walls in the order they are first met.
fn by_wall<'a>(rows: impl Iterator<Item = &'a PieceRow>) -> Vec<(&'a str, Vec<&'a PieceRow>)> {
    let mut walls: Vec<(&str, Vec<&PieceRow>)> = Vec::new();
    for row in rows {
        match walls.iter_mut().find(|(wall, _)| *wall == row.wall) {
            Some((_, rows)) => rows.push(row),
            None => walls.push((&row.wall, vec![row])),
        }
    }
    walls
}

fn line(row: &PieceRow) -> Markup {
    let state = match row.state {
        State::Loaded => "✓ loaded",
        State::Installed => "✓ installed",
        missing => so_far(missing),
    };
    html! {
        li {
            strong.mark { (row.mark) }
            span.state { @if row.remake_of.is_some() { "made again, " } (state) }
            span { (row.length.text) }
            @if let Some(why) = &row.reported { span.why dir="auto" { "reported bad: " (why) } }
        }
    }
}

fn more(count: usize) -> Markup {
    html! { @if count > SHOWN { p { "and " (count - SHOWN) " more" } } }
}
