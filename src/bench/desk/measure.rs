//! The card of the length: as it should be, or typed in, held against the tolerance, and decided.

use super::{Desk, MarkedEvent, Over, Pad, say};
use crate::bench::screen::{self, PadKey};
use crate::order::plan::{Action, Measure, Step};
use crate::trade::length::Length;

/// What the finished piece should be: its step, and that step's number.
struct Wanted<'a> {
    code: &'a str,
    mark: &'a str,
    step: &'a Step,
    length: &'a Measure,
}

impl Desk {
    fn wanted(&self) -> Option<Wanted<'_>> {
        let open = self.open_piece_at_card().filter(|open| open.in_hand(Action::CheckLength))?;
        let step = open.shown();
        Some(Wanted { code: &open.row.code, mark: &open.row.mark, step, length: step.number.as_ref()? })
    }

    /// It is as it should be.
    pub(super) fn as_it_should(&mut self) {
        match self.wanted() {
            Some(_) => self.note_length(None, false),
            None => self.advance(),
        }
    }

    pub(super) fn open_keypad(&mut self) {
        let units = self.open_piece_at_card().map(|open| open.record.units);
        if let (Some(wanted), Some(units)) = (self.wanted(), units) {
            self.over = Some(Over::Keypad { code: wanted.code.to_owned(), pad: Pad::new(units) });
            self.measured = None;
        }
    }

    pub(super) fn press(&mut self, key: PadKey) {
        if let Some(Over::Keypad { pad, .. }) = &mut self.over {
            pad.press(key);
        }
    }

    /// What was typed is the length.
    pub(super) fn typed_in(&mut self) {
        let Some(Over::Keypad { pad, .. }) = &self.over else { return };
        match (pad.length(), self.wanted()) {
            (_, None) => {}
            (Err(why), _) if !pad.typed().is_empty() => self.said = Some(say::no_length(why, pad.units())),
            (Err(_), _) => {}
            (Ok(length), Some(wanted)) if wanted.step.takes(length) => self.note_length(Some(length), false),
            (Ok(length), Some(_)) => self.ask_about(length),
        }
    }

    /// Out of tolerance.
    fn ask_about(&mut self, length: Length) {
        let (Some(open), Some(wanted)) = (self.open_piece_at_card(), self.wanted()) else { return };
        let read = length.big_exact(open.record.units);
        let said = say::out_of_tolerance(wanted.mark, &read, wanted.length, wanted.step.tolerance.as_ref());
        self.measured = Some((wanted.code.to_owned(), length));
        self.said = Some(said);
    }

    /// Out of tolerance, and taken all the same by whoever is working; asks who that is when nobody said so.
    pub(super) fn accept(&mut self) {
        let Some((code, length)) = self.measured.take() else { return };
        if self.wanted().is_none_or(|wanted| wanted.code != code) {
            return;
        }
        if self.own.person.is_none() {
            self.measured = Some((code, length));
            self.over = Some(Over::People);
            return;
        }
        self.note_length(Some(length), true);
    }

    /// Nobody gave a name: the length is still to be decided on.
    pub(super) fn without_a_name(&mut self) {
        self.over = None;
        if let Some((_, length)) = self.measured.take() {
            self.ask_about(length);
        }
    }

    /// As a tape said it; else as it should be.
    fn note_length(&mut self, read: Option<Length>, accepted: bool) {
        let Some(code) = self.wanted().map(|wanted| wanted.code.to_owned()) else { return };
        let (mm, as_wanted) = (read.map(Length::mm), read.is_none());
        self.mark(&code, MarkedEvent::Measured { mm, accepted, as_wanted, bench: self.here() });
        self.measured = None;
        self.over = None;
        self.advance();
    }

    /// The keypad of the piece at the card.
    pub(super) fn keypad(&self, pad: &Pad) -> Option<screen::Keypad> {
        let wanted = self.wanted()?;
        Some(screen::Keypad {
            mark: wanted.mark.into(),
            units: pad.units(),
            wanted: wanted.length.big(),
            tolerance: wanted.step.tolerance.as_ref().map(plus_minus).unwrap_or_default(),
            typed: pad.typed(),
            fractions: pad.fractions(),
            ready: !pad.typed().is_empty(),
        })
    }
}

/// `± ¹⁄₈″`.
pub fn plus_minus(tolerance: &Measure) -> String {
    format!("± {}", tolerance.big())
}
