//! What the roof page says of a piece: its ends, what to do, where its fasteners go, what happened to it.

use maud::{Markup, html};

use super::fasteners::{self, Line};
use super::{safety, workings};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::on_piece::OnPiece;
use crate::order::installing::{self, DEFER, Note};
use crate::order::plan::{Goes, Measure, Piece, PieceEnd};
use crate::order::sheet::RunSheet;
use crate::order::{Falls, Side};
use crate::store::{Event, EventRow};
use crate::trade::length::{Length, Units};
use crate::trade::section::degrees;

/// What happens at the left end and at the right, side by side as on the wall. `low` is the run's low end.
pub fn ends(piece: &Piece, low: Option<Side>) -> Markup {
    html! {
        div.ends {
            (end(Side::Left, &piece.left, low))
            (end(Side::Right, &piece.right, low))
        }
    }
}

fn end(side: Side, end: &PieceEnd, low: Option<Side>) -> Markup {
    let (word, detail) = match end {
        PieceEnd::Square => ("SQUARE", "nothing is cut".to_owned()),
        PieceEnd::Gable { width } => ("GABLE", format!("over the gable trim, {} wide", width.text)),
        PieceEnd::Return { .. } => ("RETURN", "its tab turns back to the wall".to_owned()),
        PieceEnd::Dam { height } => ("DAM", format!("turned up {} at the wall", height.text)),
        PieceEnd::Corner { side, turn_deg } => {
            ("CORNER", format!("mitred, {}: the wall turns by {}", side.name(), degrees(*turn_deg)))
        }
        PieceEnd::Transition { to, falls: Falls::On } => ("MITRE", format!("where the slope changes to {to}")),
        PieceEnd::Transition { to, falls: Falls::Back } => ("MITRE", format!("where the slope turns back at {to}")),
        PieceEnd::Lap { lap, goes, neighbour, joint } => {
            let joint = if *joint { "; an expansion joint, no fastener through it" } else { "" };
            let word = match goes {
                Goes::Under => "UNDER",
                Goes::Over => "OVER",
            };
            (word, format!("{neighbour}, by {}{joint}", lap.text))
        }
    };
    html! {
        div {
            p.side { (side.name()) " end" @if low == Some(side) { " · " strong { "LOW" } } }
            p.goes { (word) }
            p { (detail) }
        }
    }
}

/// Where this piece's fasteners go, if it was planned.
pub fn fastening(on_piece: &OnPiece) -> Markup {
    const FROM: &str = "this piece's LEFT end";
    html! {
        section {
            h2 { "Where its fasteners go" }
            @for line in &on_piece.lines {
                (Line {
                    what: &line.what,
                    leg: &line.leg,
                    off: &line.off,
                    edge: line.edge,
                    counted_from: FROM,
                    source: &line.source,
                }.written(line.at.iter().map(|position| (&position.at, position.through_lap))))
            }
            (fasteners::on_cuts(&on_piece.cut_screws, FROM))
            @if on_piece.lines.iter().any(|line| line.at.iter().any(|position| position.through_lap)) {
                p { "“lap”: through both pieces, once the upper one lies." }
            }
        }
    }
}

/// How the piece's own numbers and its run's come about.
pub fn numbers(piece: &Piece, on_piece: Option<&OnPiece>) -> Markup {
    html! {
        details {
            summary { "How its numbers come about" }
            (workings::list(piece.workings()))
            @if let Some(on_piece) = on_piece {
                h3 { "Of the whole run" }
                (workings::list(&on_piece.working))
            }
        }
    }
}

/// What to lay, seal and fasten, and the cautions; `run` is the piece's, if it was planned.
pub fn to_do(piece: &Piece, run: Option<&RunSheet>) -> Markup {
    html! {
        section {
            h2 { "Lay it" }
            (notes(&installing::laying(piece)))
            h2 { "Seal and fasten" }
            (notes(&installing::sealing_and_fastening(piece, run)))
            p.source { (DEFER) }
            (safety::on_roof())
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
pub fn history(kiosk: &Kiosk, units: Units, rows: &[EventRow]) -> Markup {
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
                                (words(&row.event, units))
                                @if let Some(by) = &row.by { " by " (by) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn words(event: &Event, units: Units) -> String {
    match event {
        Event::Step { .. } => "begun".into(),
        Event::Measured { as_wanted: true, .. } => "length checked, as it should be".into(),
        Event::Measured { mm, accepted, .. } => {
            let length = Measure::exact(Length::from_mm(*mm), units).text;
            let accepted = if *accepted { ", out of tolerance and accepted" } else { "" };
            format!("measured {length}{accepted}")
        }
        Event::Bent { bench: None } => "bent".into(),
        Event::Bent { bench: Some(bench) } => format!("bent at {}", bench.name),
        Event::Reopened => "taken back to the brake".into(),
        Event::Loaded => "loaded".into(),
        Event::Installed => "installed".into(),
        Event::Reported { why } => format!("reported bad: {why}"),
        Event::Remade { why, .. } => format!("made again: {why}"),
        Event::Reprinted { .. } => "label printed again".into(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::endpoint::fixture::{Shop, body, order, text};
    use crate::endpoint::http::{Method, Request};

    /// The roof page of the piece with this mark.
    fn open(shop: &Shop, mark: &str) -> String {
        text(&shop.ask(&Request::new(Method::Get, &format!("/P/{}", shop.code("2041", mark)))))
    }

    /// Held to the API, which is held to the plan.
    #[test]
    fn it_says_where_this_pieces_own_fasteners_go() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        let page = open(&shop, "A-EW-1");
        let hardware = body(&shop.get(&format!("/api/pieces/{code}/hardware")));
        let positions = hardware["lines"].as_array().unwrap().iter().flat_map(|line| line["at"].as_array().unwrap());
        let mut rest = page.split_once("Where its fasteners go").unwrap().1;
        let mut count = 0;
        for at in positions {
            let lap = if at["through_lap"] == true { " <span class=\"lap\">lap</span>" } else { "" };
            let item = format!("<li>{}{lap}</li>", at["text"].as_str().unwrap().replace('"', "&quot;"));
            rest = rest.split_once(&item).unwrap_or_else(|| panic!("{item} in {rest}")).1;
            count += 1;
        }
        assert!(count > 15 && rest.contains("2 screws on gable cuts"), "{count}");
        assert!(rest.contains("How its numbers come about") && rest.contains("Standard Gauge"), "{rest}");
    }

    #[test]
    fn it_says_which_end_is_low_and_what_is_mitred_or_turned_up() {
        let mut asked = order("2041");
        asked["metal"] = json!({ "kind": "aluminium", "thickness": 0.03 });
        asked["runs"] = json!([
            { "wall": "A", "trim": "side-wall", "pitch": "4:12", "low": "right", "length": 800,
              "left": { "end": "transition", "to": "6:12" }, "right": { "end": "dam", "height": 3 } },
            { "wall": "B", "trim": "end-wall", "pitch": "4:12", "length": 90,
              "left": { "end": "corner", "side": "inside" }, "right": { "end": "corner", "side": "outside", "turn": 45 } }
        ]);
        let shop = Shop::with(&asked);
        let page = |mark: &str| open(&shop, mark);
        let (first, wall_b) = (page("A-SW-1"), page("B-EW-1"));
        assert!(first.contains("MITRE") && first.contains("changes to 6:12") && first.contains("right: laying begins"));
        let rows = shop.kiosk.store().pieces("2041", 0, 99).unwrap();
        let last = page(&format!("A-SW-{}", rows[0].of));
        assert!(last.contains("right end · <strong>LOW</strong></p><p class=\"goes\">DAM"), "{last}");
        let joint =
            (1..rows[0].of).find(|place| page(&format!("A-SW-{place}")).contains("an expansion joint, no fastener"));
        assert!(joint.is_some());
        assert!(wall_b.contains("inside: the wall turns by 90°") && wall_b.contains("outside: the wall turns by 45°"));
        assert!(!wall_b.contains("LOW") && !wall_b.contains("Low end"));
    }

    #[test]
    fn a_piece_of_an_older_order_opens_as_before() {
        let shop = Shop::of_first_version();
        let page = open(&shop, "C-EW-1");
        assert!(page.contains("GABLE") && page.contains("Seal and fasten") && !page.contains("Where its fasteners go"));
    }
}
