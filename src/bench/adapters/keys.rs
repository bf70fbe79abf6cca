//! What a key means: the space bar goes on, Escape goes back, and what a wedge scanner types is a scan.
//!
//! A scanner types as a keyboard does, on whatever view is open, only faster. It may end with Enter, Tab, both of CR LF
//! or nothing at all, it may be slow, and what it read may have blanks and lines; none of them may mark the step on the
//! screen as done. So what is typed in one breath is held until it ends, a first blank for as long as a second key of a
//! scanner takes. If it makes sense as one of ours it was a scan at any speed; if not, only what no hand types so fast is
//! refused aloud.

use std::time::{Duration, Instant};

use slint::SharedString;
use slint::platform::Key;

use crate::bench::screen::{Command, Scan};
use crate::label::scan::{self, Reading};

/// A longer pause ends a scan; slow scanners and radio links stay below it (common practice, no source). A blank that
/// follows a scan's end by less is still its end: the second key of CR LF, the next line's indent.
const BREATH: Duration = Duration::from_millis(250);
/// On average from key to key: faster than any hand over more than a few keys (common practice, no source).
const BURST: Duration = Duration::from_millis(40);
/// A blank that nothing follows sooner was a hand's: short enough that a press seems to act at once. Only a slow scanner
/// whose scans begin with a blank is not told from a hand; our labels begin with none.
const OPENING: Duration = Duration::from_millis(40);
/// With fewer keys speed says nothing: fingers fall on several at once.
const FEWEST: usize = 5;

/// What a key asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    On,
    Back,
    Scanned(Scan),
    Nothing,
}

/// What has been typed in one breath.
#[derive(Debug, Default)]
pub struct Keys {
    typed: String,
    /// When its first and its last key came.
    breath: Option<(Instant, Instant)>,
    /// When the last key came that belonged to a scan's end.
    ended: Option<Instant>,
}

impl Keys {
    /// `text` is the key as Slint names it, pressed `now`; a key that repeats because it is held does not come here.
    pub fn press(&mut self, text: &str, now: Instant) -> Meaning {
        let before = self.silence(now);
        let own = self.take(text, now);
        // What was typed while the screen was busy is told first; a key on top of it was not meant for what it shows.
        if before == Meaning::Nothing { own } else { before }
    }

    /// Ends what was typed once nothing has followed it for long enough: a hand's press, or a scan without an Enter.
    pub fn silence(&mut self, now: Instant) -> Meaning {
        if self.due().is_none_or(|due| now < due) {
            return Meaning::Nothing;
        }
        let meaning = self.end();
        if matches!(meaning, Meaning::Scanned(_)) {
            self.ended = Some(now);
        }
        meaning
    }

    /// When [`silence`](Self::silence) is to be asked next; none while nothing is being typed.
    pub fn due(&self) -> Option<Instant> {
        let pause = if self.is_blank() { OPENING } else { BREATH };
        self.breath.filter(|_| !self.typed.is_empty()).map(|(_, last)| last + pause)
    }

    fn take(&mut self, text: &str, now: Instant) -> Meaning {
        let is = |key: Key| text == SharedString::from(key).as_str();
        if is(Key::Escape) || is(Key::Backspace) {
            self.typed.clear();
            return Meaning::Back;
        }
        let ends = is(Key::Return) || is(Key::Tab);
        if ends && !self.is_blank() {
            self.ended = Some(now);
            return self.end();
        }
        let follows = self.ended.is_some_and(|ended| now.duration_since(ended) < BREATH);
        if follows && self.is_blank() && (ends || is(Key::Space)) {
            self.ended = Some(now);
        } else {
            self.hold(text, now);
        }
        Meaning::Nothing
    }

    /// Keeps what can stand in a scan: neither the shift keys, nor arrows and the like, which Slint names by characters
    /// for private use.
    fn hold(&mut self, text: &str, now: Instant) {
        let first = self.breath.filter(|_| !self.typed.is_empty()).map_or(now, |(first, _)| first);
        let held = self.typed.len();
        let stands = |c: &char| *c == '\n' || !c.is_control() && !('\u{e000}'..='\u{f8ff}').contains(c);
        self.typed.extend(text.chars().filter(stands));
        if self.typed.len() > held {
            self.breath = Some((first, now));
        }
    }

    fn end(&mut self) -> Meaning {
        if self.is_blank() {
            self.typed.clear();
            return Meaning::On;
        }
        let fast = self.is_burst();
        match scan::read(std::mem::take(&mut self.typed).trim()) {
            Reading::Label(code, _) => Meaning::Scanned(Scan::Label(code.into())),
            Reading::Test(how) => Meaning::Scanned(Scan::Test { how: how.to_string() }),
            Reading::Command(command) => Meaning::Scanned(Scan::Command(match command {
                scan::Command::On => Command::On,
                scan::Command::Back => Command::Back,
                scan::Command::Pause => Command::Pause,
            })),
            Reading::Refused(why) if fast => Meaning::Scanned(Scan::Refused { why: why.to_string() }),
            Reading::Refused(_) => Meaning::Nothing,
        }
    }

    /// No more than what goes on when a hand presses it.
    fn is_blank(&self) -> bool {
        self.typed.chars().all(|c| matches!(c, ' ' | '\n'))
    }

    /// Typed faster than by hand, and not by one key held down.
    fn is_burst(&self) -> bool {
        let keys = self.typed.chars().count();
        let held_down = self.typed.chars().all(|c| self.typed.starts_with(c));
        let took = self.breath.map_or(Duration::MAX, |(first, last)| last.duration_since(first));
        keys >= FEWEST && !held_down && took <= BURST * u32::try_from(keys - 1).unwrap_or(u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::label::code::Code;

    const LABEL: &str = "HTTP://10.0.0.7:8787/P/0123456789AY";

    /// A bench that is typed at, and all that it made of it.
    struct Typing {
        keys: Keys,
        now: Instant,
        heard: Vec<Meaning>,
    }

    impl Typing {
        fn new() -> Self {
            Self { keys: Keys::default(), now: Instant::now(), heard: Vec::new() }
        }

        /// Presses each character of `text`, so long after the one before.
        fn keys(self, text: &str, apart: u64) -> Self {
            text.chars().fold(self, |typing, c| typing.wait(apart).late(c, 0))
        }

        /// Presses a key so long after the one before, and the timer had no time to go off in between.
        fn late(mut self, key: char, apart: u64) -> Self {
            self.now += Duration::from_millis(apart);
            let meaning = self.keys.press(&key.to_string(), self.now);
            self.heard.push(meaning);
            self
        }

        /// Lets time pass, with the timer going off when it is due.
        fn wait(mut self, millis: u64) -> Self {
            let until = self.now + Duration::from_millis(millis);
            if let Some(due) = self.keys.due().filter(|&due| due <= until) {
                let meaning = self.keys.silence(due);
                self.heard.push(meaning);
            }
            self.now = until;
            self
        }

        fn heard(self) -> Vec<Meaning> {
            self.heard.into_iter().filter(|meaning| *meaning != Meaning::Nothing).collect()
        }
    }

    fn label() -> Meaning {
        // By python-stdnum 2.2: 0123456789A has the check character Y.
        Meaning::Scanned(Scan::Label(Code::parse("0123456789AY").unwrap().into()))
    }

    fn refused(why: &str) -> Meaning {
        Meaning::Scanned(Scan::Refused { why: why.into() })
    }

    #[test]
    fn a_scan_is_one_scan_however_it_ends_and_its_enter_does_not_go_on() {
        for end in ["\n", "\t", "\n\n", "\nj", "\t\n", ""] {
            for apart in [0, 5, 30, 120, 160, 200, 240] {
                let heard = Typing::new().keys(&format!("{LABEL}{end}"), apart).wait(400).heard();
                assert_eq!(heard, [label()], "{end:?}, {apart} ms apart");
            }
        }
        // A scanner's shift keys come as keys of their own.
        let shifted: String = LABEL.chars().map(|c| format!("\u{10}{c}")).collect();
        assert_eq!(Typing::new().keys(&shifted, 4).keys("\n", 4).heard(), [label()]);
    }

    #[test]
    fn scans_follow_each_other() {
        let twice = || Typing::new().keys(&format!("{LABEL}\n"), 8).keys(&format!("{LABEL}\n"), 8);
        assert_eq!(twice().heard(), [label(), label()]);
        assert_eq!(Typing::new().keys(LABEL, 8).wait(300).keys(LABEL, 8).wait(300).heard(), [label(), label()]);
        for key in ['x', '\n', ' ', '\u{1b}', '\u{8}'] {
            let heard = Typing::new().keys(LABEL, 8).late(key, 700).wait(400).heard();
            assert_eq!(heard, [label()], "{key:?}: the timer had no time to go off");
        }
        // Interrupted, and once more.
        assert_eq!(Typing::new().keys(&LABEL[..25], 8).keys(LABEL, 20).keys("\n", 8).heard(), [label()]);
        let cut = refused("the scan was cut short after 4 of 12 characters: scan the label again");
        assert_eq!(Typing::new().keys(&LABEL[..27], 8).wait(300).keys(LABEL, 8).wait(300).heard(), [cut, label()]);
        let hand = twice().wait(500).keys(" ", 0).keys("\n", 300).wait(50).heard();
        assert_eq!(hand[2..], [Meaning::On, Meaning::On]);
    }

    #[test]
    fn no_blank_in_a_scan_goes_on() {
        let lines = "4006381333931\n  12345\n\n\n  \n";
        for apart in [8, 30, 120, 240] {
            let heard = Typing::new().keys(lines, apart).wait(400).heard();
            assert!(!heard.contains(&Meaning::On), "{heard:?}, {apart} ms apart");
        }
        for start in [" ", "\n", "   ", "\n\n", "\n ", "\t"] {
            for apart in [0, 5, 30] {
                let heard = Typing::new().keys(&format!("{start}{LABEL}\n"), apart).wait(400).heard();
                assert_eq!(heard, [label()], "{start:?}, {apart} ms apart");
            }
        }
    }

    #[test]
    fn a_hands_press_is_heard_at_once_and_once() {
        for key in [" ", "\n"] {
            assert_eq!(Typing::new().keys(key, 0).wait(50).heard(), [Meaning::On]);
            assert_eq!(Typing::new().keys(&key.repeat(9), 90).wait(50).heard(), vec![Meaning::On; 9], "however fast");
            assert_eq!(Typing::new().keys(&key.repeat(2), 5).wait(50).heard(), [Meaning::On], "a key that bounces");
        }
        let late = Typing::new().keys(" ", 0).late(' ', 300).wait(50).heard();
        assert_eq!(late, [Meaning::On, Meaning::On], "the timer had no time to go off");
    }

    #[test]
    fn what_is_not_ours_is_refused_aloud() {
        let digits = [refused("this is another trade's bar code: 13 digits")];
        assert_eq!(Typing::new().keys("4006381333931\n", 8).heard(), digits);
        assert_eq!(Typing::new().keys("4006381333931", 30).wait(300).heard(), digits);
        // Too slow to be sure that it was no hand, but its Enter is still its own.
        assert_eq!(Typing::new().keys("4006381333931\n", 120).heard(), []);
        let card = |word: &str| Typing::new().keys(&format!("HTTP://10.0.0.7:8787/K/{word}\n"), 8).heard();
        assert_eq!(card("ON"), [Meaning::Scanned(Scan::Command(Command::On))]);
        assert_eq!(card("OFF"), [refused("there is no command card ‘OFF’")]);
    }

    #[test]
    fn a_hand_goes_on_and_back_and_what_it_types_is_no_scan() {
        let keys = Typing::new().keys(" \n\u{1b}\u{8}x\n", 300).wait(50).heard();
        assert_eq!(keys, [Meaning::On, Meaning::On, Meaning::Back, Meaning::Back, Meaning::On]);
        assert_eq!(Typing::new().keys("the quick brown fox\n", 70).wait(400).heard(), []);
        assert_eq!(Typing::new().keys("asdf", 3).wait(400).heard(), [], "a sleeve on the keyboard");
        assert_eq!(Typing::new().keys("xxxxxxxxxxxxxxxx", 33).wait(400).heard(), [], "a key held down");
        assert_eq!(
            Typing::new().keys("\u{f700}\u{10}\u{14} ", 5).wait(50).heard(),
            [Meaning::On],
            "arrows and shift are nothing"
        );
    }
}
