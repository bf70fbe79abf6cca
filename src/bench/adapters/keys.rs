//! What a key means: the space bar goes on, Escape goes back, and a wedge scanner types a piece's label.
//!
//! A scanner types as a keyboard does, only faster, and ends with Enter. That Enter belongs to the label and must not
//! mark the step on the screen as done.

use std::time::{Duration, Instant};

use slint::SharedString;
use slint::platform::Key;

use crate::label::code::{Code, LENGTH};

/// No hand types this fast; scanners pause for less (common practice, no source).
const GAP: Duration = Duration::from_millis(60);

/// What a key asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    On,
    Back,
    Scanned(Code),
    Nothing,
}

/// What has been typed in one breath.
#[derive(Debug, Default)]
pub struct Keys {
    typed: String,
    last: Option<Instant>,
}

impl Keys {
    /// `text` is the key as Slint names it, pressed `now`.
    pub fn press(&mut self, text: &str, now: Instant) -> Meaning {
        if self.last.is_none_or(|last| now.duration_since(last) > GAP) {
            self.typed.clear();
        }
        self.last = Some(now);

        let is = |key: Key| text == SharedString::from(key).as_str();
        if is(Key::Return) {
            let typed = std::mem::take(&mut self.typed);
            return match typed.chars().count() {
                LENGTH.. => Code::find_in(&typed).map_or(Meaning::Nothing, Meaning::Scanned),
                _ => Meaning::On,
            };
        }
        if is(Key::Escape) || is(Key::Backspace) {
            return Meaning::Back;
        }
        if is(Key::Space) && self.typed.is_empty() {
            return Meaning::On;
        }
        self.typed.extend(text.chars().filter(|c| !c.is_control()));
        Meaning::Nothing
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Presses each character of `text`, so long after the one before.
    fn type_in(keys: &mut Keys, text: &str, apart: Duration) -> Vec<Meaning> {
        let start = Instant::now() + Duration::from_secs(1);
        (0..).zip(text.chars()).map(|(n, c)| keys.press(&c.to_string(), start + apart * n)).collect()
    }

    #[test]
    fn a_scanned_label_opens_its_piece_and_its_enter_does_not_go_on() {
        let code = Code::random().unwrap();
        let typed =
            type_in(&mut Keys::default(), &format!("HTTP://10.0.0.7:8787/P/{code}\n"), Duration::from_millis(8));
        assert_eq!(typed.last(), Some(&Meaning::Scanned(code)));
        assert!(typed[..typed.len() - 1].iter().all(|meaning| *meaning == Meaning::Nothing));

        let other = type_in(&mut Keys::default(), "4006381333931\n", Duration::from_millis(8));
        assert_eq!(other.last(), Some(&Meaning::Nothing), "another trade's bar code");
    }

    #[test]
    fn a_hand_goes_on_and_back() {
        let keys = type_in(&mut Keys::default(), " \n\u{1b}\u{8}x\n", Duration::from_millis(300));
        assert_eq!(keys, [Meaning::On, Meaning::On, Meaning::Back, Meaning::Back, Meaning::Nothing, Meaning::On]);
    }
}
