//! A text of several sentences: each is said alone, unless a form spans more of them.

/// What became of a text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    pub text: String,
    /// Sentences that nobody could say, left as they were.
    pub left: usize,
}

/// No form spans more sentences than these.
const SPAN: usize = 3;

/// Says `text` with `phrase`, which knows single sentences and some that belong together, so that as few as can be are
/// left.
pub fn sentences(text: &str, phrase: impl Fn(&str) -> Option<String>) -> Said {
    let starts = if text.is_empty() { Vec::new() } else { starts(text) };
    let end = |index: usize| starts.get(index).copied().unwrap_or(text.len());
    // How it goes on from each sentence, from the last one back.
    let mut rest = vec![Said::default()];
    for first in (0..starts.len()).rev() {
        let after = |next: usize| &rest[starts.len() - next];
        let begin = |said: &str, left: usize, next: usize| {
            let space = if next < starts.len() { " " } else { "" };
            Said { text: format!("{said}{space}{}", after(next).text), left: left + after(next).left }
        };
        let known = (first + 1..=starts.len().min(first + SPAN)).filter_map(|next| {
            let said = phrase(text[starts[first]..end(next)].trim_end())?;
            Some(begin(&said, 0, next))
        });
        let unknown = begin(text[starts[first]..end(first + 1)].trim_end(), 1, first + 1);
        let best = known.min_by_key(|said| said.left).filter(|said| said.left <= unknown.left).unwrap_or(unknown);
        rest.push(best);
    }
    rest.pop().unwrap_or_default()
}

/// Where sentences begin: at the start, and at a capital after a stop and a space. `1.5 in` is none, nor is `No. 8`.
fn starts(text: &str) -> Vec<usize> {
    let after_stop = text.match_indices(' ').filter(|(at, _)| text[..*at].ends_with(['.', '?'])).map(|(at, _)| at + 1);
    let capital = |at: &usize| text[*at..].starts_with(char::is_uppercase);
    std::iter::once(0).chain(after_stop.filter(capital)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_are_said_one_by_one_or_together() {
        let phrase = |english: &str| {
            let known = [("One.", "Uno."), ("One. Two.", "Uno, dos."), ("Wide 1.5 in.", "Ancho 1.5 pulg.")];
            known.into_iter().find(|known| known.0 == english).map(|known| known.1.to_owned())
        };
        let said = |text| {
            let said = sentences(text, phrase);
            (said.text, said.left)
        };
        assert_eq!(said("One. One. Two."), ("Uno. Uno, dos.".into(), 0));
        assert_eq!(said("One. Three. Wide 1.5 in."), ("Uno. Three. Ancho 1.5 pulg.".into(), 1));
        assert_eq!(said(""), (String::new(), 0));
    }
}
