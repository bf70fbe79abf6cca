//! What to do with a piece on the roof: lay, seal, fasten, and take care.
//!
//! Words for one piece, with its run's own distances where the run's sheet is at hand; where each fastener goes is in
//! that sheet.

use crate::order::plan::{Goes, Piece, PieceEnd};
use crate::order::sheet::{FastenerLine, RunSheet};
use crate::order::{Falls, Trim};
use crate::trade::caution::Signal;
use crate::trade::hardware::practice::{Along, Fastener, Line};
use crate::trade::hardware::spread::AtLap;
use crate::trade::section::{Edge, degrees};
use crate::trade::working::COMMON_PRACTICE;

/// One thing to do on the roof, and who says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    pub text: String,
    pub source: &'static str,
}

/// How each end of `piece` is laid: left first.
pub fn laying(piece: &Piece) -> Vec<Note> {
    [("Left", &piece.left), ("Right", &piece.right)]
        .into_iter()
        .map(|(side, end)| Note { text: format!("{side} end {}", end_words(end, piece)), source: COMMON_PRACTICE })
        .collect()
}

fn end_words(end: &PieceEnd, piece: &Piece) -> String {
    match end {
        PieceEnd::Square => match piece.trim {
            Trim::EndWall | Trim::Reglet | Trim::Custom => "is square: set it flush with the end of the wall.".into(),
            Trim::SideWall | Trim::Gable | Trim::Eave | Trim::Ridge => {
                "is square: set it flush with the edge of the roof.".into()
            }
        },
        PieceEnd::Gable { width } => format!("is cut for the gable: it lies over the gable trim, {} wide.", width.text),
        PieceEnd::Return { .. } => "is closed by its tab: the tab turns back to the wall.".into(),
        PieceEnd::Dam { height } => {
            format!("is turned up {} as a dam: it stands against the wall there. Seal its corner.", height.text)
        }
        PieceEnd::Corner { side, turn_deg } => format!(
            "is mitred for the {} corner, where the wall turns by {}: it meets the next wall's trim edge to edge. Seal the \
             mitre.",
            side.name(),
            degrees(*turn_deg)
        ),
        PieceEnd::Transition { to, falls: Falls::On } => {
            format!("is mitred where the slope changes to {to}: it meets the next run edge to edge. Seal the mitre.")
        }
        PieceEnd::Transition { to, falls: Falls::Back } => {
            format!("is mitred where the slope turns back at {to}: it meets the next run edge to edge. Seal the mitre.")
        }
        PieceEnd::Lap { lap, goes, neighbour, joint } => {
            let joint = if *joint { " It is an expansion joint: seal it, and put no fastener through it." } else { "" };
            match goes {
                Goes::Under => format!("goes UNDER {neighbour} by {}. Lay this piece first.{joint}", lap.text),
                Goes::Over => format!("goes OVER {neighbour} by {}. {}{joint}", lap.text, onto_the_piece_below(piece)),
            }
        }
    }
}

fn onto_the_piece_below(piece: &Piece) -> &'static str {
    match (&piece.datum_hem, &piece.hem) {
        (None, None) => "Lay it on the piece below.",
        (Some(_), Some(_)) => "Slide its opened hems onto the piece below, then press them closed.",
        _ => "Slide its opened hem onto the piece below, then press it closed.",
    }
}

/// An inch, which crews keep to unless they are told otherwise.
const INCH: &str = "1 in (25 mm)";

/// What to seal and fasten; with `run`, which the piece is of, by the distances of the shop that planned it.
pub fn sealing_and_fastening(piece: &Piece, run: Option<&RunSheet>) -> Vec<Note> {
    let note = |text: &str| Note { text: text.into(), source: COMMON_PRACTICE };
    let ends = || [&piece.left, &piece.right].into_iter();
    let practice = piece.trim.practice();
    let mut notes = Vec::new();
    if ends().any(|end| matches!(end, PieceEnd::Lap { .. })) {
        notes.push(note("Seal each lap: a bead of sealant across the lower piece before the upper one goes on."));
    }
    if !practice.tape.is_empty() {
        let what = if practice.closures.is_empty() { "Butyl tape" } else { "Closures and butyl tape" };
        let back = run.and_then(|run| run.tape.as_ref()).map_or(INCH, |back| &back.text);
        notes.push(note(&format!("{what} on the panels, set back {back} from the trim's edge.")));
    }
    notes.extend(practice.lines.iter().map(|line| {
        let leg = line.leg.name();
        let is_it = |placed: &&FastenerLine| placed.leg == leg && placed.edge == line.edge;
        let placed = run.and_then(|run| run.fasteners.iter().find(is_it));
        Note { text: line_words(line, placed), source: line.source }
    }));
    if ends().any(|end| matches!(end, PieceEnd::Gable { .. })) {
        notes.push(note("Two screws on the angled gable cut."));
    }
    if practice.seals_upper_edge {
        notes.push(note("Seal the upper edge to the wall along its whole length."));
    }
    if !run.is_some_and(|run| run.high_wind) {
        notes.push(Note {
            text: "In high wind fasten closer, 4 to 6 in (100 to 150 mm) apart.".into(),
            source: "UFGS 07612N",
        });
    }
    notes.push(note("Clean off swarf before leaving: it can rust overnight."));
    notes
}

/// One line of fasteners: `Fasten the wall leg 1 in (25 mm) from its upper edge, 12 in (300 mm) apart.`
fn line_words(line: &Line, placed: Option<&FastenerLine>) -> String {
    let leg = line.leg.name();
    let edge = match line.edge {
        Edge::Datum => "upper",
        Edge::Lower => "lower",
    };
    let on_seams = placed.map_or(line.along == Along::Seams, |placed| placed.on_seams);
    let apart = match placed {
        None => Some("about 12 in (300 mm) apart".to_owned()),
        Some(placed) => placed.apart.as_ref().map(|apart| format!("at most {} apart", apart.text)),
    };
    let along = [
        on_seams.then(|| "on the panels' high seams".to_owned()),
        apart,
        (line.at_laps == AtLap::Beside).then(|| "and each side of a lap".to_owned()),
    ];
    let along = along.into_iter().flatten().collect::<Vec<_>>().join(", ");
    let off = placed.map_or(INCH, |placed| &placed.off.text);
    let into = match line.fastener {
        Fastener::Wall => "Fasten",
        Fastener::LapScrew | Fastener::Face => "Screw",
        Fastener::Deck => "Fasten under the panels",
    };
    format!("{into} the {leg} {off} from its {edge} edge, {along}.")
}

/// A usual caution on a roof, and who says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoofCaution {
    pub signal: Signal,
    pub text: &'static str,
    pub source: &'static str,
}

/// A fall, a ladder that slips, a cut.
pub const CAUTIONS: [RoofCaution; 3] = [
    RoofCaution {
        signal: Signal::Warning,
        text: "Fall protection at any unprotected edge 6 ft (1.8 m) or more above a lower level.",
        source: "29 CFR 1926.501(b)",
    },
    RoofCaution {
        signal: Signal::Warning,
        text: "Ladder side rails at least 3 ft (0.9 m) above the landing, tied off.",
        source: "29 CFR 1926.1053(b)(1)",
    },
    RoofCaution {
        signal: Signal::Caution,
        text: "Edges are sharp: gloves and eye protection. Two people on long pieces; none in gusty wind.",
        source: COMMON_PRACTICE,
    },
];

/// Stands wherever a number could be taken for an engineer's.
pub const DEFER: &str = "Follow local codes and licensed practice.";

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use serde_json::json;

    use super::*;
    use crate::order::plan::Plan;
    use crate::order::shop::Shop;
    use crate::order::{parse, planner};
    use crate::trade::length::Length;

    fn planned(shop: Shop) -> Plan {
        let order = json!({
            "format": "brakeside-order/1", "order": "7", "job": { "name": "Barn" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 },
            "runs": [
                { "wall": "A", "trim": "end-wall", "length": 200, "pitch": "2:12" },
                { "wall": "B", "trim": "ridge", "length": 200, "pitch": "2:12" }
            ]
        });
        planner::plan(&parse::from_json(&order, &Arc::new(shop)).unwrap()).unwrap()
    }

    fn texts(notes: Vec<Note>) -> String {
        notes.into_iter().map(|note| note.text).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn the_words_are_of_the_shops_own_distances() {
        let mut shop = Shop::default();
        let fasteners = &mut shop.fasteners;
        (fasteners.wall, fasteners.wall_line) = (Length::inches(8), Length::sixty_fourths(96));
        (fasteners.screw_line, fasteners.setback) = (Length::sixty_fourths(48), Length::inches(2));
        let plan = planned(shop);
        let said = texts(sealing_and_fastening(&plan.pieces[0], Some(&plan.runs[0])));
        for words in [
            "set back 2\" from the trim's edge",
            "Fasten the wall leg 1-1/2\" from its upper edge, at most 8\" apart.",
            "Screw the roof leg 3/4\" from its lower edge, at most 1' 0\" apart, and each side of a lap.",
            "In high wind fasten closer",
        ] {
            assert!(said.contains(words), "{words} in {said}");
        }
        assert!(texts(sealing_and_fastening(&plan.pieces[0], None)).contains("1 in (25 mm) from its upper edge"));
    }

    #[test]
    fn high_wind_is_not_told_to_whoever_fastens_for_it() {
        let mut shop = Shop::default();
        shop.fasteners.high_wind = Some(Length::inches(5));
        let plan = planned(shop);
        let said = texts(sealing_and_fastening(&plan.pieces[0], Some(&plan.runs[0])));
        assert!(said.contains("at most 5\" apart") && !said.contains("In high wind"), "{said}");
    }

    #[test]
    fn both_hems_of_a_ridge_are_slid_on() {
        let plan = planned(Shop::default());
        let ridge = plan.pieces.iter().filter(|piece| piece.trim == Trim::Ridge);
        let said: String = ridge.map(|piece| texts(laying(piece))).collect();
        assert!(said.contains("Slide its opened hems onto the piece below, then press them closed."), "{said}");
    }
}
