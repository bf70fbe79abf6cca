//! What a label says, in words ready to set.

use crate::drawing::wall::WallView;
use crate::label::code::Code;
use crate::label::text::showable;
use crate::label::url::Address;
use crate::order::plan::{Goes, Piece, PieceEnd};

/// The words and the wall of one label. Every text is showable by the embedded typeface.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelFacts {
    pub job: String,
    /// The order's number.
    pub order: String,
    pub wall: String,
    /// Trim and place, such as `end wall · 3 of 5`.
    pub place: String,
    pub mark: String,
    pub length: String,
    /// What happens at each end, such as `gable 4"` or `6" under A-EW-4`.
    pub left: String,
    pub right: String,
    pub view: WallView,
    pub code: Code,
    /// What the symbol carries.
    pub url: String,
}

impl LabelFacts {
    /// `pieces` holds at least the piece's own run; `job` and `order` are the job's name and the order's number.
    pub fn new(piece: &Piece, pieces: &[Piece], job: &str, order: &str, code: &Code, address: &Address) -> Self {
        Self {
            job: showable(job),
            order: showable(order),
            wall: showable(&piece.wall),
            place: format!("{} · {} of {}", piece.trim.name(), piece.place, piece.of),
            mark: showable(&piece.mark),
            length: piece.length.text.clone(),
            left: end(&piece.left),
            right: end(&piece.right),
            view: WallView::of(piece, pieces),
            code: code.clone(),
            url: address.url(code),
        }
    }
}

fn end(end: &PieceEnd) -> String {
    match end {
        PieceEnd::Square => "square".into(),
        PieceEnd::Gable { width } => format!("gable {}", width.text),
        PieceEnd::Return { depth } => format!("return {}", depth.text),
        PieceEnd::Lap { lap, goes, neighbour } => {
            let goes = match goes {
                Goes::Under => "under",
                Goes::Over => "over",
            };
            format!("{} {goes} {}", lap.text, showable(neighbour))
        }
    }
}
