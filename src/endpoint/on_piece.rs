//! What of a run's sheet falls on one of its pieces, counted from that piece's left end: what its holder on the roof needs.

use serde::Serialize;

use crate::order::plan::{Measure, Piece, PieceEnd};
use crate::order::sheet::{CutScrew, FastenerLine, RunSheet};
use crate::trade::length::{Length, Units};
use crate::trade::section::Edge;
use crate::trade::working::Working;

/// The part of a run that lies on one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OnPiece {
    pub lines: Vec<Line>,
    /// On its angled gable cuts.
    pub cut_screws: Vec<CutScrew>,
    /// Of the whole run.
    pub working: Vec<Working>,
}

/// One line of fasteners along the piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    pub what: String,
    pub leg: String,
    pub off: Measure,
    /// The leg's edge that `off` is measured from.
    pub edge: Edge,
    pub at: Vec<Position>,
    pub source: String,
}

/// Where one fastener goes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Position {
    /// From the piece's left end; below 0 where a mitred leg sticks out past it.
    #[serde(flatten)]
    pub at: Measure,
    /// It goes through a lap, and so through the neighbour too.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub through_lap: bool,
}

impl OnPiece {
    /// What of `run`, the run of `piece`, falls on it.
    pub fn of(run: RunSheet, piece: &Piece, units: Units) -> Self {
        let [left, right] = [&piece.left, &piece.right].map(|end| match end {
            PieceEnd::Lap { lap, .. } => Some(length(lap)),
            _ => None,
        });
        let span = Stretch { from: length(&piece.from_left), length: length(&piece.length), laps: [left, right] };
        let in_lap = |x: Length| left.is_some_and(|lap| x <= lap) || right.is_some_and(|lap| x >= span.length - lap);
        let place = |at: &Measure| {
            let x = span.own(at)?;
            Some(Position { at: Measure::reading(x, units), through_lap: in_lap(x) })
        };
        let line = |line: FastenerLine| {
            let at: Vec<Position> = line.at.iter().filter_map(place).collect();
            let FastenerLine { what, leg, off, edge, source, .. } = line;
            (!at.is_empty()).then_some(Line { what, leg, off, edge, at, source })
        };
        let cut_screw = |screw: CutScrew| {
            let at = Measure::reading(span.own(&screw.at)?, units);
            Some(CutScrew { at, ..screw })
        };
        Self {
            lines: run.fasteners.into_iter().filter_map(line).collect(),
            cut_screws: run.cut_screws.into_iter().filter_map(cut_screw).collect(),
            working: run.working,
        }
    }
}

/// Where a piece lies on its run.
struct Stretch {
    from: Length,
    length: Length,
    /// With its left and right neighbour. At the run's own end, a mitred leg may stick out past the finished length.
    laps: [Option<Length>; 2],
}

impl Stretch {
    /// A place on the run, from the piece's left end; `None` beside the piece.
    fn own(&self, at: &Measure) -> Option<Length> {
        let x = length(at) - self.from;
        let [left, right] = self.laps.map(|lap| lap.is_some());
        let beside = left && x < Length::ZERO || right && x > self.length;
        (!beside).then_some(x)
    }
}

fn length(measure: &Measure) -> Length {
    Length::from_mm(measure.mm)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::endpoint::fixture::order;
    use crate::order::parse;
    use crate::order::planner::plan;

    fn planned() -> (Vec<Piece>, Vec<RunSheet>) {
        let mut order = order("2041");
        order["runs"][0]["panels"] = json!({ "first": 8, "every": 16 });
        let order = parse::from_json(&order, &Default::default()).unwrap();
        let plan = plan(&order).unwrap();
        (plan.pieces, plan.runs)
    }

    /// Every fastener of a run is on some piece; one through a lap is on both, and is said to be.
    #[test]
    fn the_pieces_share_out_the_run() {
        let (pieces, runs) = planned();
        for run in &runs {
            for (index, line) in run.fasteners.iter().enumerate() {
                let own = |piece: &Piece| OnPiece::of(run.clone(), piece, Units::In).lines.remove(index);
                let on_run = |piece: &Piece, position: &Position| position.at.mm + piece.from_left.mm;
                let shared: Vec<_> = pieces
                    .iter()
                    .filter(|piece| piece.run == run.run)
                    .flat_map(|piece| own(piece).at.into_iter().map(move |at| (on_run(piece, &at), at.through_lap)))
                    .collect();
                for at in &line.at {
                    let here: Vec<bool> =
                        shared.iter().filter(|(x, _)| (x - at.mm).abs() < 1e-6).map(|(_, lap)| *lap).collect();
                    assert!(matches!(here[..], [false] | [true, true]), "{} {}: {here:?}", line.what, at.text);
                }
                let laps = shared.iter().filter(|(_, through)| *through).count();
                assert_eq!(shared.len() - laps / 2, line.at.len());
            }
        }
    }

    /// An outside corner's roof leg goes on past the wall's end, and so do its screws.
    #[test]
    fn what_sticks_out_at_a_corner_is_with_the_piece_there() {
        let mut order = order("2041");
        let outside = json!({ "end": "corner", "side": "outside" });
        order["runs"] = json!([{ "wall": "A", "trim": "end-wall", "pitch": "2:12", "length": 300, "left": outside, "right": outside }]);
        let plan = plan(&parse::from_json(&order, &Default::default()).unwrap()).unwrap();
        let screws = |piece: &Piece| OnPiece::of(plan.runs[0].clone(), piece, Units::In).lines.remove(1).at;
        let [first, .., last] = &plan.pieces[..] else { panic!("one piece") };
        assert!(screws(first)[0].at.mm < 0.0 && screws(last).last().unwrap().at.mm > last.length.mm);
        let on_first = screws(first).iter().filter(|position| position.at.mm < 0.0).count();
        assert_eq!(on_first, plan.runs[0].fasteners[1].at.iter().filter(|at| at.mm < 0.0).count());
    }

    #[test]
    fn cut_screws_are_with_the_piece_that_is_cut() {
        let (pieces, runs) = planned();
        let own = |piece: &Piece| OnPiece::of(runs[0].clone(), piece, Units::In).cut_screws;
        let counts: Vec<usize> = pieces[..5].iter().map(|piece| own(piece).len()).collect();
        assert_eq!(counts, [2, 0, 0, 0, 2]);
        let (first, last) = (own(&pieces[0]), own(&pieces[4]));
        // The two cuts are mirror images.
        let mirrored = pieces[4].length.mm - last[0].at.mm;
        assert!((first[0].at.mm - mirrored).abs() < 1e-6 && first[0].down == last[0].down);
        assert!(first[0].at.mm < 4.0 * 25.4, "{first:?}");
    }
}
