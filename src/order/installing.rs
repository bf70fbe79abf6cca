//! What to do with a piece on the roof: lay, seal, fasten, and take care.
//!
//! Words for one piece; where each fastener of its run goes is in the run's sheet.

use crate::order::plan::{Goes, Piece, PieceEnd};
use crate::order::{Falls, Trim};
use crate::trade::caution::Signal;
use crate::trade::hardware::practice::{Along, Fastener, Line};
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
        .map(|(side, end)| Note { text: format!("{side} end {}", end_words(end, piece.trim)), source: COMMON_PRACTICE })
        .collect()
}

fn end_words(end: &PieceEnd, trim: Trim) -> String {
    match end {
        PieceEnd::Square => match trim {
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
                Goes::Over => format!(
                    "goes OVER {neighbour} by {}. Slide its opened hem onto the piece below, then press it closed.{joint}",
                    lap.text
                ),
            }
        }
    }
}

/// What to seal and fasten.
pub fn sealing_and_fastening(piece: &Piece) -> Vec<Note> {
    let note = |text: &str| Note { text: text.into(), source: COMMON_PRACTICE };
    let ends = || [&piece.left, &piece.right].into_iter();
    let practice = piece.trim.practice();
    let mut notes = Vec::new();
    if ends().any(|end| matches!(end, PieceEnd::Lap { .. })) {
        notes.push(note("Seal each lap: a bead of sealant across the lower piece before the upper one goes on."));
    }
    if !practice.closures.is_empty() {
        notes.push(note("Closures and butyl tape on the panels, set back 1 in (25 mm) from the trim's edge."));
    } else if !practice.tape.is_empty() {
        notes.push(note("Butyl tape on the panels, set back 1 in (25 mm) from the trim's edge."));
    }
    notes.extend(practice.lines.iter().map(|line| Note { text: line_words(line), source: line.source }));
    if ends().any(|end| matches!(end, PieceEnd::Gable { .. })) {
        notes.push(note("Two screws on the angled gable cut."));
    }
    if practice.seals_upper_edge {
        notes.push(note("Seal the upper edge to the wall along its whole length."));
    }
    notes.push(Note {
        text: "In high wind fasten closer, 4 to 6 in (100 to 150 mm) apart.".into(),
        source: "UFGS 07612N",
    });
    notes.push(note("Clean off swarf before leaving: it can rust overnight."));
    notes
}

/// One line of fasteners: `Fasten the wall leg 1 in (25 mm) from its upper edge, 12 in (300 mm) apart.`
fn line_words(line: &Line) -> String {
    let leg = line.leg.name();
    let edge = match line.edge {
        Edge::Datum => "upper",
        Edge::Lower => "lower",
    };
    let along = match line.along {
        Along::Evenly => "about 12 in (300 mm) apart",
        Along::Seams => "on the panels' high seams, about 12 in (300 mm) apart, and each side of a lap",
    };
    let into = match line.fastener {
        Fastener::Wall => "Fasten",
        Fastener::LapScrew | Fastener::Face => "Screw",
        Fastener::Deck => "Fasten under the panels",
    };
    format!("{into} the {leg} 1 in (25 mm) from its {edge} edge, {along}.")
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
