//! What holds and closes a run: fasteners by their positions, closures, butyl tape, and the path of its sealant.
//!
//! What each trim takes is the table in [`practice`]; where a line's fasteners go is [`spread`]; what all runs of an order
//! add up to, as bought, is [`needs`]; how it all comes about, in words, is [`Hardware::workings`].

pub mod laid_run;
pub mod needs;
pub mod practice;
pub mod spread;
mod workings;

use super::length::Length;
use laid_run::{CutScrew, LaidRun, Placed, Track};
use practice::Fastener;

/// The shop's distances. All but the offsets are positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spacings {
    /// The most between fasteners on a wall leg, a deck or a fascia.
    pub wall: Length,
    /// The wall fasteners' line from the datum edge.
    pub wall_line: Length,
    /// The first and last of any line from the metal's ends.
    pub end: Length,
    /// The most between lap screws where they follow no seams.
    pub screws: Length,
    /// The line of all other fasteners from the trim's edge.
    pub screw_line: Length,
    /// What stands beside a lap, from the lap; all fasteners, from an expansion joint.
    pub lap_side: Length,
    /// Closures and butyl tape, back from the trim's edge.
    pub setback: Length,
    /// What one panel covers; a closure is as long.
    pub panel: Length,
    /// In high wind, the most between any two: 4 to 6 in (UFGS 07612N), 3 to 6 in at ridge and rake (FEMA P-499).
    pub high_wind: Option<Length>,
}

/// Common practice, no source.
impl Default for Spacings {
    fn default() -> Self {
        Self {
            wall: Length::inches(12),
            wall_line: Length::inches(1),
            end: Length::inches(1),
            screws: Length::inches(12),
            screw_line: Length::inches(1),
            lap_side: Length::inches(1),
            setback: Length::inches(1),
            panel: Length::inches(36),
            high_wind: None,
        }
    }
}

impl Spacings {
    /// The most between two fasteners of a kind.
    fn most(&self, fastener: Fastener) -> Length {
        let most = match fastener {
            Fastener::LapScrew => self.screws,
            Fastener::Wall | Fastener::Deck | Fastener::Face => self.wall,
        };
        self.high_wind.map_or(most, |high_wind| high_wind.min(most))
    }
}

/// What one run takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Hardware {
    pub lines: Vec<Placed>,
    pub cut_screws: Vec<CutScrew>,
    /// The run's length once for each leg that is closed.
    pub closed: Length,
    /// What one closure covers.
    pub closure: Length,
    /// Where tape runs along the run.
    pub taped: Vec<Track>,
    /// All of it.
    pub tape: Length,
    /// The path of sealant beads: across every lap, along every mitre, up every tab's corner, along an open upper edge.
    pub sealant: Length,
}

impl Hardware {
    /// What `run` takes.
    pub fn of(run: &LaidRun, spacings: &Spacings) -> Self {
        let practice = run.trim.practice();
        let taped: Vec<Track> =
            practice.tape.iter().filter_map(|&(leg, edge)| run.track(leg, edge, spacings.setback)).collect();
        Self {
            lines: practice.lines.iter().filter_map(|&line| run.place(line, spacings)).collect(),
            cut_screws: practice.tape.iter().flat_map(|&(leg, _)| run.cut_screws(leg, spacings)).collect(),
            closed: run.length * practice.closures.len() as i64,
            closure: spacings.panel,
            tape: taped.iter().map(|&track| run.tape(track)).sum(),
            taped,
            sealant: run.beads(practice.seals_upper_edge),
        }
    }

    /// How many of `fastener` the run takes.
    pub fn count(&self, fastener: Fastener) -> usize {
        let on_lines: usize = self
            .lines
            .iter()
            .filter(|placed| placed.line.fastener == fastener)
            .map(|placed| placed.positions.len())
            .sum();
        on_lines + if fastener == Fastener::LapScrew { self.cut_screws.len() } else { 0 }
    }
}

/// One per panel width, rounded up.
fn closures(closed: Length, panel: Length) -> u64 {
    closed.nm().unsigned_abs().div_ceil(panel.nm().unsigned_abs())
}

#[cfg(test)]
mod tests;
