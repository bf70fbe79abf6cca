//! The bench and its drawings in the language of who works at it.
//!
//! The desk, the plan, the drawings and the endpoint make finished English sentences. A catalogue holds
//! the form of each, with slots for what changes from piece to piece, beside its form in the other language with the same
//! slots: what fills the slots of one is put into the other. So one file, read by whoever knows the trade in both
//! languages, says everything; what the `.slint` files say themselves stands in the `.po` beside it.

mod catalogue;
mod form;
mod said;
mod slot;

use std::sync::LazyLock;

use catalogue::Catalogue;
use serde::{Deserialize, Serialize};

static SPANISH: LazyLock<Catalogue> = LazyLock::new(|| {
    let file = include_str!("../../ui/lang/es/bench.toml");
    // The tests read the same file.
    Catalogue::read(file).unwrap_or_else(|error| panic!("ui/lang/es/bench.toml: {error}"))
});

/// What a bench can speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Language {
    #[default]
    #[serde(rename = "en")]
    English,
    #[serde(rename = "es")]
    Spanish,
}

impl Language {
    pub const ALL: [Self; 2] = [Self::English, Self::Spanish];

    /// Its code of ISO 639-1.
    pub fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }
}

/// The words of one language.
#[derive(Clone, Copy)]
pub struct Words(Option<&'static Catalogue>);

impl Words {
    pub fn of(language: Language) -> Self {
        Self(match language {
            Language::English => None,
            Language::Spanish => Some(&SPANISH),
        })
    }

    /// What the desk, the plan, a drawing or the endpoint said, in this language. A sentence that the catalogue does not hold stays
    /// in English: a word that is not understood is better than none. Marks, codes and what people named are not for it.
    pub fn say(self, english: &str) -> String {
        self.0.map_or_else(|| english.to_owned(), |catalogue| catalogue.say(english).text)
    }

    /// What stands between whole and part of a number.
    pub fn decimal_sign(self) -> &'static str {
        self.0.map_or(".", Catalogue::decimal_sign)
    }
}

#[cfg(test)]
mod tests;
