//! What to do with a piece on the roof: lay, seal, fasten, and take care.
//!
//! Words only, from the piece itself: nothing is counted and no position is computed.

use crate::order::Trim;
use crate::order::plan::{Goes, Piece, PieceEnd};
use crate::trade::caution::Signal;
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
        .map(|(side, end)| Note { text: format!("{side} end {}", end_words(end)), source: COMMON_PRACTICE })
        .collect()
}

fn end_words(end: &PieceEnd) -> String {
    match end {
        PieceEnd::Square => "is square: set it flush with the end of the wall.".into(),
        PieceEnd::Gable { width } => format!("is cut for the gable: it lies over the gable trim, {} wide.", width.text),
        PieceEnd::Return { .. } => "is closed by its tab: the tab turns back to the wall.".into(),
        PieceEnd::Lap { lap, goes: Goes::Under, neighbour } => {
            format!("goes UNDER {neighbour} by {}. Lay this piece first.", lap.text)
        }
        PieceEnd::Lap { lap, goes: Goes::Over, neighbour } => {
            format!(
                "goes OVER {neighbour} by {}. Slide its opened hem onto the piece below, then press it closed.",
                lap.text
            )
        }
    }
}

/// What to seal and fasten.
pub fn sealing_and_fastening(piece: &Piece) -> Vec<Note> {
    let note = |text: &str| Note { text: text.into(), source: COMMON_PRACTICE };
    let mut notes = Vec::new();
    if [&piece.left, &piece.right].into_iter().any(|end| matches!(end, PieceEnd::Lap { .. })) {
        notes.push(note("Seal each lap: a bead of sealant across the lower piece before the upper one goes on."));
    }
    match piece.trim {
        Trim::EndWall => {
            notes
                .push(note("Closures and butyl tape on the panels, set back 1 in (25 mm) from the trim's lower edge."));
            notes.push(note("Fasten the wall leg 1 in (25 mm) from its upper edge, 12 in (300 mm) apart."));
            notes.push(note(
                "Screw the roof leg to the panels' high seams, about 12 in (300 mm) apart and each side of a lap.",
            ));
            if [&piece.left, &piece.right].into_iter().any(|end| matches!(end, PieceEnd::Gable { .. })) {
                notes.push(note("Two screws on the angled gable cut."));
            }
        }
        Trim::Reglet => {
            notes.push(note("Fasten the wall leg 1 in (25 mm) from its upper edge, 12 in (300 mm) apart."));
            notes.push(note("Seal the upper edge to the wall along its whole length."));
        }
    }
    notes.push(Note {
        text: "In high wind fasten closer, 4 to 6 in (100 to 150 mm) apart.".into(),
        source: "UFGS 07612N",
    });
    notes.push(note("Clean off swarf before leaving: it can rust overnight."));
    notes
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
