//! The working behind a number: the rule, what went into it, what came out, and who says so.
//!
//! A fabricator who doubts a length taps it and sees this. It is data, so whoever shows it does so in its own
//! way.

use serde::{Deserialize, Serialize};

/// The source of what every crew does and no book says.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// One number explained.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Working {
    /// What the number is: `finished length`.
    pub what: String,
    /// The rule in the trade's symbols: `(R + (n − 1)·ℓ) / n`.
    pub rule: String,
    pub inputs: Vec<Input>,
    /// The number itself, with its unit.
    pub result: String,
    /// Where the rule comes from: a standard, a handbook, or `common practice`.
    pub source: String,
}

/// One value that went into a rule, with its unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Input {
    pub name: String,
    pub value: String,
}

impl Working {
    /// `inputs` are name and value with unit.
    pub fn new<Name: Into<String>>(
        what: &str,
        rule: &str,
        inputs: impl IntoIterator<Item = (Name, String)>,
        result: String,
        source: &str,
    ) -> Self {
        Self {
            what: what.into(),
            rule: rule.into(),
            inputs: inputs.into_iter().map(|(name, value)| Input { name: name.into(), value }).collect(),
            result,
            source: source.into(),
        }
    }
}
