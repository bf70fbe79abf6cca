//! A piece that failed is made again: from its card, or because the roof said so. Never without a reason, and never by a
//! stray touch.

use super::{About, Desk, MarkedEvent, Over, say};
use crate::bench::api::Row;
use crate::bench::screen;

/// Why pieces are made again (common practice, no source).
pub const REASONS: [&str; 9] = [
    "too short",
    "too long",
    "wrong hand",
    "bent the wrong way",
    "wrong pitch",
    "damaged in the brake",
    "flawed metal",
    "does not fit",
    "something else",
];

impl Desk {
    /// Of the piece that was asked about, else of the one at the card.
    pub(super) fn open_remake(&mut self, about: Option<About>) {
        let here = about.is_none();
        let open = || self.open_piece_at_card().map(|open| open.row.clone());
        if let Some(row) = about.map(|about| about.row).or_else(open) {
            let Row { code, mark, reported, .. } = row;
            self.measured = None;
            self.over = Some(Over::Remake { code, mark, here, reported, chosen: None });
        }
    }

    pub(super) fn because(&mut self, reason: usize) {
        if let Some(Over::Remake { chosen, .. }) = &mut self.over
            && reason < REASONS.len()
        {
            *chosen = Some(reason);
        }
    }

    /// The large way on asks once more: a piece of metal hangs on it.
    pub(super) fn ask_remake(&mut self) {
        if let Some(Over::Remake { mark, chosen: Some(reason), .. }) = &self.over {
            self.said = Some(say::remake(mark, REASONS[*reason]));
        }
    }

    pub(super) fn remake(&mut self) {
        let Some(Over::Remake { code, mark, here, chosen: Some(reason), .. }) = self.over.clone() else { return };
        let bench = self.here().filter(|_| here);
        self.mark(&code, MarkedEvent::Remake { why: REASONS[reason].into(), bench });
        self.over = None;
        self.said = Some(say::remade(&mark));
    }

    pub(super) fn remake_view(mark: &str, reported: Option<&str>, chosen: Option<usize>) -> screen::Remake {
        let reasons = REASONS.iter().map(|reason| (*reason).into()).collect();
        screen::Remake { mark: mark.into(), reasons, reported: reported.map(Into::into), chosen }
    }
}
