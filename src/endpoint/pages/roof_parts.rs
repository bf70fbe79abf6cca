//! What the roof page says of a piece: its ends, what to do, what happened to it.

use maud::{Markup, html};

use super::safety;
use crate::endpoint::kiosk::Kiosk;
use crate::order::installing::{self, CAUTIONS, DEFER, Note};
use crate::order::plan::{Goes, Piece, PieceEnd};
use crate::store::{Event, EventRow};

/// What happens at the left end and at the right, side by side as on the wall.
pub fn ends(piece: &Piece) -> Markup {
    html! {
        div.ends {
            (end("left end", &piece.left))
            (end("right end", &piece.right))
        }
    }
}

fn end(side: &str, end: &PieceEnd) -> Markup {
    let (word, detail) = match end {
        PieceEnd::Square => ("SQUARE", "flush with the end of the wall".to_owned()),
        PieceEnd::Gable { width } => ("GABLE", format!("over the gable trim, {} wide", width.text)),
        PieceEnd::Return { .. } => ("RETURN", "its tab turns back to the wall".to_owned()),
        PieceEnd::Lap { lap, goes: Goes::Under, neighbour } => ("UNDER", format!("{neighbour}, by {}", lap.text)),
        PieceEnd::Lap { lap, goes: Goes::Over, neighbour } => ("OVER", format!("{neighbour}, by {}", lap.text)),
    };
    html! {
        div {
            p.side { (side) }
            p.goes { (word) }
            p { (detail) }
        }
    }
}

/// What to lay, seal and fasten, and the cautions.
pub fn to_do(piece: &Piece) -> Markup {
    html! {
        section {
            h2 { "Lay it" }
            (notes(&installing::laying(piece)))
            h2 { "Seal and fasten" }
            (notes(&installing::sealing_and_fastening(piece)))
            p.source { (DEFER) }
            @for caution in CAUTIONS {
                (safety::panel(caution.signal, caution.text, caution.source))
            }
        }
    }
}

/// A list; whoever says so is named once for all that follow one another.
fn notes(notes: &[Note]) -> Markup {
    html! {
        @for group in notes.chunk_by(|a, b| a.source == b.source) {
            ul.notes { @for note in group { li { (note.text) } } }
            @if let [first, ..] = group { p.source { (first.source) } }
        }
    }
}

/// What happened to the piece, first to last; of its steps only that they were begun.
pub fn history(kiosk: &Kiosk, rows: &[EventRow]) -> Markup {
    let begun = rows.iter().position(|row| matches!(row.event, Event::Step { .. }));
    let told = rows
        .iter()
        .enumerate()
        .filter(|(index, row)| !matches!(row.event, Event::Step { .. }) || Some(*index) == begun);
    html! {
        @if !rows.is_empty() {
            details {
                summary { "What happened to it" }
                ul.history {
                    @for (_, row) in told {
                        li {
                            time { (kiosk.clock().said(row.at)) }
                            span dir="auto" {
                                (words(&row.event))
                                @if let Some(by) = &row.by { " by " (by) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn words(event: &Event) -> String {
    match event {
        Event::Step { .. } => "begun".into(),
        Event::Bent => "bent".into(),
        Event::Loaded => "loaded".into(),
        Event::Installed => "installed".into(),
        Event::Reported { why } => format!("reported bad: {why}"),
    }
}
