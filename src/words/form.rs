//! The form of a sentence in both languages, with the same slots.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use thiserror::Error;

use super::slot::Kind;

/// A sentence's form.
#[derive(Debug)]
pub struct Form {
    english: Vec<Part>,
    other: Vec<Part>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    Words(String),
    Slot { name: String, kind: Kind },
}

/// How specific a form is; the more specific, the greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Weight {
    fixed: usize,
    anything: Reverse<usize>,
    slots: Reverse<usize>,
}

/// Why a form is none.
#[derive(Debug, Error)]
pub enum FormError {
    #[error("{0:?}: a slot is not closed")]
    Open(String),
    #[error("{0:?}: two slots with nothing between them")]
    Touching(String),
    #[error("{english:?} has not the slots of {other:?}, each once")]
    Slots { english: String, other: String },
}

/// What may fill a slot: how far into the text each reaches, and how it is said; the likeliest first.
pub type Fillings<'a> = Box<dyn Iterator<Item = (usize, String)> + 'a>;

/// Whoever knows what may fill slots.
pub trait Fill {
    /// What the start of `text` may fill a slot with that stands before `next`.
    fn fill<'a>(&'a self, kind: &'a Kind, text: &'a str, next: &'a str) -> Fillings<'a>;
}

impl Form {
    /// # Errors
    /// [`FormError`]
    pub fn new(english: &str, other: &str) -> Result<Self, FormError> {
        let form = Self { english: parts(english)?, other: parts(other)? };
        let names: BTreeSet<&str> = names(&form.english).collect();
        let alike = names == self::names(&form.other).collect();
        if !alike || names.len() != self::names(&form.english).count() {
            return Err(FormError::Slots { english: english.into(), other: other.into() });
        }
        Ok(form)
    }

    /// What its slots are filled with.
    pub fn kinds(&self) -> impl Iterator<Item = &Kind> {
        self.english.iter().filter_map(|part| match part {
            Part::Words(_) => None,
            Part::Slot { kind, .. } => Some(kind),
        })
    }

    /// Of two forms that a text has the one with more fixed words is meant, then the one that knows more of the rest.
    pub fn weight(&self) -> Weight {
        let fixed = self.english.iter().map(|part| match part {
            Part::Words(words) => words.len(),
            Part::Slot { .. } => 0,
        });
        let anything = self.kinds().filter(|kind| **kind == Kind::Any).count();
        Weight { fixed: fixed.sum(), anything: Reverse(anything), slots: Reverse(self.kinds().count()) }
    }

    /// `english` in the other language, if it has this form.
    pub fn say(&self, english: &str, fill: &impl Fill) -> Option<String> {
        let mut filled = Vec::new();
        fits(&self.english, english, fill, &mut filled).then(|| {
            let said = |part: &Part| match part {
                Part::Words(words) => words.clone(),
                Part::Slot { name, .. } => {
                    filled.iter().find(|(slot, _)| slot == name).map(|(_, said)| said.clone()).unwrap_or_default()
                }
            };
            self.other.iter().map(said).collect()
        })
    }
}

/// Whether `text` is these parts; what fills their slots, by name.
fn fits<'a>(parts: &'a [Part], text: &str, fill: &impl Fill, filled: &mut Vec<(&'a str, String)>) -> bool {
    let Some((first, rest)) = parts.split_first() else { return text.is_empty() };
    match first {
        Part::Words(words) => text.strip_prefix(words.as_str()).is_some_and(|text| fits(rest, text, fill, filled)),
        Part::Slot { name, kind } => {
            let next = match rest.first() {
                Some(Part::Words(words)) => words.as_str(),
                _ => "",
            };
            fill.fill(kind, text, next).any(|(end, said)| {
                filled.push((name, said));
                let fits = fits(rest, &text[end..], fill, filled);
                if !fits {
                    filled.pop();
                }
                fits
            })
        }
    }
}

fn names(parts: &[Part]) -> impl Iterator<Item = &str> {
    parts.iter().filter_map(|part| match part {
        Part::Words(_) => None,
        Part::Slot { name, .. } => Some(name.as_str()),
    })
}

fn parts(pattern: &str) -> Result<Vec<Part>, FormError> {
    let mut parts = Vec::new();
    let mut rest = pattern;
    while let Some((words, slot)) = rest.split_once('{') {
        if !words.is_empty() {
            parts.push(Part::Words(words.into()));
        } else if !parts.is_empty() {
            return Err(FormError::Touching(pattern.into()));
        }
        let (name, after) = slot.split_once('}').ok_or_else(|| FormError::Open(pattern.into()))?;
        parts.push(Part::Slot { name: name.into(), kind: Kind::of(name) });
        rest = after;
    }
    if !rest.is_empty() {
        parts.push(Part::Words(rest.into()));
    }
    Ok(parts)
}
