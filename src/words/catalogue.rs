//! The forms of all sentences, and the words that fill them, as one file holds them.

use std::cmp::Reverse;
use std::collections::{BTreeMap, HashMap};

use thiserror::Error;
use toml::de::{DeTable, DeValue};

#[cfg(test)]
use super::form::Weight;
use super::form::{Fill, Fillings, Form, FormError};
use super::said::{Said, sentences};
use super::slot::{self, Kind};

/// Between the items of a list.
const COMMA: &str = ", ";

/// Everything the bench says, in two languages.
#[derive(Default)]
pub struct Catalogue {
    /// Between whole and part of a number.
    decimal: String,
    /// What stands between several lengths.
    and: String,
    /// The inch after a decimal.
    inch: String,
    /// Sets of words that fill slots, by the slot's name; of each the longest first.
    words: HashMap<String, Vec<(String, String)>>,
    /// Sentences without slots.
    fixed: HashMap<String, String>,
    /// The most specific first.
    forms: Vec<Form>,
}

/// Why a file is no catalogue.
#[derive(Debug, Error)]
pub enum CatalogueError {
    #[error(transparent)]
    Toml(#[from] toml::de::Error),
    #[error(transparent)]
    Form(#[from] FormError),
    #[error("{0:?} has no place in a catalogue")]
    Strange(String),
    #[error("no words fill {{{slot}}}, in {english:?}")]
    NoWords { slot: String, english: String },
    #[error("{0:?} stands there twice")]
    Twice(String),
}

impl Catalogue {
    /// # Errors
    /// [`CatalogueError`]
    pub fn read(file: &str) -> Result<Self, CatalogueError> {
        let mut read = Self::default();
        let mut forms = BTreeMap::new();
        for (key, value) in DeTable::parse(file)?.get_ref() {
            match (key.get_ref().as_ref(), value.get_ref()) {
                ("decimal", DeValue::String(sign)) => read.decimal = sign.as_ref().into(),
                ("and", DeValue::String(and)) => read.and = and.as_ref().into(),
                ("inch", DeValue::String(inch)) => read.inch = inch.as_ref().into(),
                ("words", DeValue::Table(sets)) => {
                    for (name, set) in sets {
                        let mut words = pairs(name.get_ref(), set.get_ref())?;
                        words.sort_by_key(|(english, _)| Reverse(english.len()));
                        read.words.insert(name.get_ref().as_ref().into(), words);
                    }
                }
                ("forms", DeValue::Table(places)) => {
                    for (place, said) in places {
                        for (english, other) in pairs(place.get_ref(), said.get_ref())? {
                            if forms.insert(english.clone(), other).is_some() {
                                return Err(CatalogueError::Twice(english));
                            }
                        }
                    }
                }
                (strange, _) => return Err(CatalogueError::Strange(strange.into())),
            }
        }
        for (english, other) in forms {
            let form = Form::new(&english, &other)?;
            for kind in form.kinds() {
                if let Kind::Word(set) = kind
                    && !read.words.contains_key(set)
                {
                    return Err(CatalogueError::NoWords { slot: set.clone(), english });
                }
            }
            if form.kinds().next().is_some() {
                read.forms.push(form);
            } else {
                read.fixed.insert(english, other);
            }
        }
        read.forms.sort_by_key(|form| Reverse(form.weight()));
        Ok(read)
    }

    pub fn decimal_sign(&self) -> &str {
        &self.decimal
    }

    /// All of `english` that can be said.
    pub fn say(&self, english: &str) -> Said {
        sentences(english, |phrase| self.phrase(phrase))
    }

    /// Some sentences, or part of one, if there is a form for it: as it stands, or begun with a capital or ended with a
    /// full stop for being said alone.
    fn phrase(&self, english: &str) -> Option<String> {
        let either = |english: &str| {
            self.form(english).or_else(|| {
                let small = first(english, char::to_lowercase)?;
                first(&self.form(&small)?, char::to_uppercase)
            })
        };
        either(english).or_else(|| Some(either(english.strip_suffix('.')?)? + "."))
    }

    fn form(&self, english: &str) -> Option<String> {
        if !english.contains(char::is_alphabetic) {
            return Some(self.number(english));
        }
        let fixed = self.fixed.get(english).cloned();
        fixed.or_else(|| self.forms.iter().find_map(|form| form.say(english, self)))
    }

    fn list(&self, english: &str) -> Option<String> {
        let items: Option<Vec<String>> = english.split(COMMA).map(|item| self.form(item)).collect();
        Some(items?.join(COMMA))
    }

    fn number(&self, english: &str) -> String {
        english.replace('.', &self.decimal)
    }

    fn length(&self, english: &str) -> String {
        match english.strip_suffix(" in") {
            Some(inches) => format!("{} {}", self.number(inches), self.inch),
            None => self.number(english),
        }
    }
}

impl Fill for Catalogue {
    fn fill<'a>(&'a self, kind: &'a Kind, text: &'a str, next: &'a str) -> Fillings<'a> {
        let one = |end: Option<usize>| end.map(|end| (end, &text[..end])).into_iter();
        // The longest first, so that the slot holds what is known as a whole.
        let open = || {
            let before_next = (!next.is_empty()).then(|| text.rmatch_indices(next).map(|(end, _)| end));
            let ends = before_next.into_iter().flatten().chain(next.is_empty().then_some(text.len()));
            ends.filter(|&end| end > 0).map(|end| (end, &text[..end]))
        };
        match kind {
            Kind::Number => Box::new(one(slot::number(text)).map(|(end, number)| (end, self.number(number)))),
            Kind::Angle => Box::new(one(slot::angle(text)).map(|(end, angle)| (end, self.number(angle)))),
            Kind::Pitch => Box::new(one(slot::pitch(text)).map(|(end, pitch)| (end, self.number(pitch)))),
            Kind::Length => Box::new(one(slot::length(text)).map(|(end, length)| (end, self.length(length)))),
            Kind::Lengths => Box::new(one(slot::lengths(text)).map(|(end, lengths)| {
                let said: Vec<String> = lengths.split(slot::AND).map(|length| self.length(length)).collect();
                (end, said.join(&self.and))
            })),
            Kind::Any => Box::new(open().map(|(end, any)| (end, any.to_owned()))),
            Kind::Text => Box::new(open().filter_map(|(end, text)| Some((end, self.form(text)?)))),
            Kind::List => Box::new(open().filter_map(|(end, list)| Some((end, self.list(list)?)))),
            Kind::Items => {
                let several = open().filter(|(_, list)| list.contains(COMMA));
                Box::new(several.filter_map(|(end, list)| Some((end, self.list(list)?))))
            }
            Kind::Word(set) => {
                let words = self.words.get(set).into_iter().flatten();
                let there = words.filter(|(english, _)| text.starts_with(english.as_str()));
                Box::new(there.map(|(english, other)| (english.len(), other.clone())))
            }
        }
    }
}

/// A table's keys and words, English first.
fn pairs(name: &str, table: &DeValue) -> Result<Vec<(String, String)>, CatalogueError> {
    let DeValue::Table(table) = table else { return Err(CatalogueError::Strange(name.into())) };
    let pair = |(english, other): (&str, &DeValue)| match other {
        DeValue::String(other) => Ok((english.to_owned(), other.as_ref().to_owned())),
        _ => Err(CatalogueError::Strange(english.into())),
    };
    table.iter().map(|(english, other)| pair((english.get_ref(), other.get_ref()))).collect()
}

/// The text with its first letter made small or capital; none where it is so already.
fn first<I: Iterator<Item = char>>(text: &str, to: impl Fn(char) -> I) -> Option<String> {
    let mut rest = text.chars();
    let first: String = to(rest.next()?).collect();
    let changed = first + rest.as_str();
    (changed != text).then_some(changed)
}

#[cfg(test)]
impl Catalogue {
    /// What each form makes of a sentence, the most specific first, and how specific it is.
    pub(super) fn meanings(&self, english: &str) -> Vec<(String, Weight)> {
        self.forms.iter().filter_map(|form| Some((form.say(english, self)?, form.weight()))).collect()
    }
}
