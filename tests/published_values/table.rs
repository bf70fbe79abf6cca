//! Published values as data, each with how to ask the program for the same.
//!
//! A [`Table`] is printed as such: rows of inputs, a value or more for each. A [`Fact`] stands alone in its source.

use std::fmt::{self, Debug};

/// How a value reached these tables.
#[derive(Debug, Clone, Copy)]
pub enum Basis {
    /// The text of the source was read.
    Read,
    /// A page that quotes the source was read.
    ReadSecondary,
    /// Recalled, not looked up.
    Memory,
    /// Arithmetic from a rule that the source prints.
    Computed,
    /// What crews do; nobody publishes it.
    CommonPractice,
}

/// How the program's value must stand to the published one.
#[derive(Debug, Clone, Copy)]
pub enum Agrees {
    Exactly,
    /// No farther off than this, and why that far.
    Within(f64, &'static str),
    AtLeast,
    AtMost,
    /// What is published is wrong, and why: the program's is farther off than this.
    FartherOffThan(f64, &'static str),
}

impl Agrees {
    fn holds(self, got: f64, published: f64) -> bool {
        let off = (got - published).abs();
        match self {
            Self::Exactly => off == 0.0,
            Self::Within(most, _) => off <= most,
            Self::AtLeast => got >= published,
            Self::AtMost => got <= published,
            Self::FartherOffThan(least, _) => off > least,
        }
    }
}

impl fmt::Display for Agrees {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Exactly => write!(f, "exactly"),
            Self::Within(most, why) => write!(f, "within {most} ({why})"),
            Self::AtLeast => write!(f, "at least"),
            Self::AtMost => write!(f, "at most"),
            Self::FartherOffThan(least, why) => write!(f, "farther off than {least} ({why})"),
        }
    }
}

/// Who says so.
#[derive(Debug, Clone, Copy)]
pub struct Source(pub &'static str, pub Basis);

/// Rows of inputs `I`, each with `N` published values.
pub struct Table<I: 'static, const N: usize> {
    pub source: Source,
    /// The inputs' names and units, in order.
    pub inputs: &'static str,
    pub columns: [Column<I>; N],
    pub rows: &'static [(I, [f64; N])],
}

/// One column of values. A question without an answer is answered with NaN, which agrees with nothing.
pub struct Column<I> {
    pub what: &'static str,
    pub agrees: Agrees,
    pub ask: fn(I) -> f64,
}

/// One value that stands alone.
#[derive(Clone, Copy)]
pub struct Fact {
    pub what: &'static str,
    pub published: f64,
    pub agrees: Agrees,
    pub source: Source,
    pub ask: fn() -> f64,
}

/// One published value beside the program's.
pub struct Value {
    what: String,
    published: f64,
    got: f64,
    agrees: Agrees,
    source: Source,
}

impl<I: Debug + Copy, const N: usize> Table<I, N> {
    pub fn values(&self) -> Vec<Value> {
        let row = |&(inputs, published): &(I, [f64; N])| {
            self.columns.iter().zip(published).map(move |(column, published)| Value {
                what: format!("{} for {} = {inputs:?}", column.what, self.inputs),
                published,
                got: (column.ask)(inputs),
                agrees: column.agrees,
                source: self.source,
            })
        };
        self.rows.iter().flat_map(row).collect()
    }
}

/// Each of `facts` beside the program's.
pub fn facts(facts: &[Fact]) -> Vec<Value> {
    let value = |&Fact { what, published, agrees, source, ask }: &Fact| Value {
        what: what.into(),
        published,
        got: ask(),
        agrees,
        source,
    };
    facts.iter().map(value).collect()
}

impl Value {
    /// What is wrong, with its source; none where the program agrees.
    pub fn disagreement(&self) -> Option<String> {
        let Self { what, published, got, agrees, source: Source(text, basis) } = self;
        (!agrees.holds(*got, *published))
            .then(|| format!("{what}: {got}, but published {published}, {agrees}: {text} ({basis:?})"))
    }
}
