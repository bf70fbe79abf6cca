//! Where fasteners go, in words for whoever drives them.

use maud::{Markup, html};

use crate::order::plan::Measure;
use crate::order::sheet::CutScrew;
use crate::trade::section::Edge;

/// The most positions written out of one line.
const SHOWN: usize = 400;

/// One line of fasteners on one leg. `counted_from` is the end that the positions are told from.
pub struct Line<'a> {
    pub what: &'a str,
    pub leg: &'a str,
    pub off: &'a Measure,
    pub edge: Edge,
    pub counted_from: &'a str,
    pub source: &'a str,
}

impl Line<'_> {
    /// The line with its positions; with each, whether it goes through a lap.
    pub fn written<'p>(&self, positions: impl ExactSizeIterator<Item = (&'p Measure, bool)>) -> Markup {
        let edge = match self.edge {
            Edge::Datum => "upper",
            Edge::Lower => "lower",
        };
        let count = positions.len();
        html! {
            h3 { (count) " " (self.what) }
            p {
                "On the " (self.leg) ", " strong { (self.off.text) } " from its " (edge) " edge. "
                "From " (self.counted_from) ":"
            }
            ul.positions {
                @for (at, through_lap) in positions.take(SHOWN) {
                    li { (place(at)) @if through_lap { " " span.lap { "lap" } } }
                }
            }
            @if count > SHOWN { p { "and " (count - SHOWN) " more" } }
            p.source { (self.source) }
        }
    }
}

/// Where a mitred leg sticks out past the end that is counted from, what is on it is told from there outward.
fn place(at: &Measure) -> Markup {
    html! {
        @match at.text.strip_prefix('-') {
            Some(past) => { (past) " past it" }
            None => { (at.text) }
        }
    }
}

/// The screws on angled gable cuts.
pub fn on_cuts(screws: &[CutScrew], counted_from: &str) -> Markup {
    html! {
        @if !screws.is_empty() {
            h3 { (screws.len()) " screws on gable cuts" }
            p { "From " (counted_from) ", and down the leg from its bend:" }
            ul.positions {
                @for screw in screws { li { (screw.at.text) " · " (screw.down.text) " down the " (screw.leg) } }
            }
        }
    }
}
