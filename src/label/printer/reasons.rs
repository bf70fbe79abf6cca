//! What holds a printer up, in words for whoever stands before it (RFC 8011 §5.4.12, PWG 5100.9).

/// How bad a reason is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Weight {
    /// Nothing comes out until somebody has seen to it.
    Stops,
    /// It still prints.
    Warns,
}

use Weight::{Stops, Warns};

/// Keywords without their `-error`, `-warning` or `-report`.
const WORDS: [(&str, Weight, &str); 24] = [
    ("media-empty", Stops, "out of labels"),
    ("media-needed", Stops, "its labels must be loaded"),
    ("media-jam", Stops, "its labels are jammed"),
    ("media-low", Warns, "few labels are left"),
    ("cover-open", Stops, "its cover is open"),
    ("door-open", Stops, "its cover is open"),
    ("interlock-open", Stops, "its cover is open"),
    ("input-tray-missing", Stops, "its label holder is missing"),
    ("output-area-full", Stops, "labels must be taken out"),
    ("marker-supply-empty", Stops, "out of ribbon or ink"),
    ("marker-supply-low", Warns, "little ribbon or ink is left"),
    ("toner-empty", Stops, "out of ribbon or ink"),
    ("toner-low", Warns, "little ribbon or ink is left"),
    ("cutter-error", Stops, "its cutter is stuck"),
    ("fuser-over-temp", Stops, "too hot"),
    ("printhead-over-temp", Stops, "too hot"),
    ("paused", Stops, "paused"),
    ("moving-to-paused", Stops, "paused"),
    ("offline", Stops, "switched off"),
    ("shutdown", Stops, "switched off"),
    ("spool-area-full", Stops, "its memory is full"),
    ("stopped-partly", Warns, "partly stopped"),
    ("connecting-to-device", Warns, "the print service cannot reach it yet"),
    ("timed-out", Stops, "the print service cannot reach it"),
];

/// What these reasons come to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    pub stops: bool,
    /// What would stop it is there, though it may have another tray: a label that does not come out waits for this.
    pub hinders: bool,
    /// Empty when there is nothing to say.
    pub words: String,
}

/// In words, what stops it before what does not; what is not known is left out.
pub fn said(reasons: &[String]) -> Said {
    let mut known: Vec<(bool, bool, &str)> = reasons.iter().filter_map(|reason| word(reason)).collect();
    known.sort_by_key(|(stops, hinders, _)| (!stops, !hinders));
    known.dedup_by_key(|(.., words)| *words);
    let words: Vec<&str> = known.iter().map(|(.., words)| *words).collect();
    Said {
        stops: known.iter().any(|(stops, ..)| *stops),
        hinders: known.iter().any(|(_, hinders, _)| *hinders),
        words: words.join(", "),
    }
}

/// Whether it stops the printer, by its suffix or else by itself; whether it would by itself; and the words.
fn word(reason: &str) -> Option<(bool, bool, &'static str)> {
    let suffixes = [("-error", Some(true)), ("-warning", Some(false)), ("-report", Some(false)), ("", None)];
    suffixes.into_iter().find_map(|(suffix, says)| {
        let bare = reason.strip_suffix(suffix)?;
        let (_, weight, words) = WORDS.iter().find(|(word, ..)| *word == bare)?;
        let hinders = *weight == Stops;
        Some((says.unwrap_or(hinders), hinders, *words))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_are_said_in_words() {
        let of = |reasons: &[&str]| {
            let reasons: Vec<String> = reasons.iter().map(|&reason| reason.to_owned()).collect();
            let Said { stops, hinders, words } = said(&reasons);
            (stops, hinders, words)
        };
        assert_eq!(of(&["none"]), (false, false, String::new()));
        assert_eq!(of(&["media-empty-error"]), (true, true, "out of labels".into()));
        assert_eq!(
            of(&["media-low-report", "cover-open"]),
            (true, true, "its cover is open, few labels are left".into())
        );
        assert_eq!(of(&["media-empty-warning"]), (false, true, "out of labels".into()));
        assert_eq!(of(&["media-low"]), (false, false, "few labels are left".into()));
        assert_eq!(of(&["door-open-error", "cover-open-error"]), (true, true, "its cover is open".into()));
        assert_eq!(of(&["cutter-error"]), (true, true, "its cutter is stuck".into()));
        assert_eq!(of(&["cups-waiting-for-job-completed", "com.example-odd-error"]), (false, false, String::new()));
    }
}
