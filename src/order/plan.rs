//! A planned order: format `brakeside-plan/1`.
//!
//! Everything downstream — store, labels, pages, the bench — reads pieces in this shape and no other, so what
//! `brakeside plan --json` prints is exactly what the kiosk keeps and shows.

mod words;

use serde::{Deserialize, Serialize};

use crate::order::sheet::{OrderSheet, RunSheet};
use crate::order::{Corner, Falls, Painted, Side, Trim};
use crate::trade::bend_order::{Handling, Lie, Stop};
use crate::trade::caution::Caution;
use crate::trade::length::{Length, Units};
use crate::trade::section::{Edge, Turn};
use crate::trade::working::Working;

/// The value of [`Plan::format`].
pub const FORMAT: &str = "brakeside-plan/1";

/// All the pieces of an order, in the order they are cut: run by run, each from left to right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    pub format: String,
    /// The order's number.
    pub order: String,
    pub units: Units,
    pub pieces: Vec<Piece>,
    #[serde(default)]
    pub runs: Vec<RunSheet>,
    /// What to buy, and how it travels.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub sheet: Option<OrderSheet>,
    pub notices: Vec<Notice>,
}

/// Something a person should know before cutting, that does not stop the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Notice {
    /// JSON pointer into the order, such as `/runs/0/pitch`.
    pub at: String,
    pub text: String,
}

/// A length said twice: exact millimetres, and the words of the order's units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    pub mm: f64,
    pub text: String,
}

impl Measure {
    /// Text to the nearest 1/64 in or 0.001 mm: what was ordered, read back as it was said.
    pub fn exact(length: Length, units: Units) -> Self {
        Self { mm: length.mm(), text: length.text(units) }
    }

    /// Text as a decimal, for what is thinner than any tape reads: `0.0276 in`, `0.701 mm`.
    pub fn decimal(length: Length, units: Units) -> Self {
        Self { mm: length.mm(), text: length.decimal(units) }
    }

    /// The text set for reading across the shop: what it says, no more and no less.
    pub fn big(&self) -> String {
        Length::parse(&self.text, Units::In)
            .ok()
            .filter(|_| !self.text.ends_with("mm"))
            .map_or_else(|| self.text.clone(), |length| length.big_exact(Units::In))
    }

    /// The bench's reading set likewise: what a list shows.
    pub fn big_reading(&self) -> String {
        let units = if self.text.ends_with("mm") { Units::Mm } else { Units::In };
        Length::from_mm(self.mm).big(units)
    }

    /// Text to the bench's reading, 1/16 in or 1 mm: what a hand can set and mark.
    pub fn reading(length: Length, units: Units) -> Self {
        Self { mm: length.mm(), text: length.reading(units) }
    }
}

/// One length of bent trim.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Wall, trim and place: `A-EW-3`.
    pub mark: String,
    pub wall: String,
    pub trim: Trim,
    /// Counted from the run's left end, 1 first.
    pub place: usize,
    pub of: usize,
    /// Which run of the order, 0 first.
    pub run: usize,
    /// The order's pieces of one batch are cut alike in every step; 0 where no other is cut like this one.
    #[serde(skip_serializing_if = "is_zero", default)]
    pub batch: usize,
    /// The lower end of a sloped run.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub low: Option<Side>,
    /// From the run's left end to the piece's left end.
    pub from_left: Measure,
    /// The finished length of the whole run.
    pub run_length: Measure,
    /// Finished length, laps included.
    pub length: Measure,
    pub blank: Blank,
    pub left: PieceEnd,
    pub right: PieceEnd,
    pub bends: Vec<Bend>,
    /// At the lower edge.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hem: Option<Hem>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub datum_hem: Option<Hem>,
    pub section: Section,
    /// The sheet and its finish: `24 ga galvanized steel, slate grey`.
    pub metal: String,
    pub mass_kg: f64,
    pub steps: Vec<Step>,
    /// Of numbers that no step owns: mass.
    pub working: Vec<Working>,
}

impl Piece {
    /// Every working of the piece, its steps' first; each number once, though an earlier version kept some twice.
    pub fn workings(&self) -> impl Iterator<Item = &Working> {
        let of_steps = || self.steps.iter().filter_map(|step| step.working.as_ref());
        of_steps().chain(self.working.iter().filter(move |working| !of_steps().any(|of_step| of_step == *working)))
    }
}

/// The flat strip. `outline` is the strip after all cuts: one closed polygon in mm, first point not repeated,
/// x from the blank's left end, y from the datum edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blank {
    pub length: Measure,
    pub girth: Measure,
    pub area_mm2: f64,
    pub outline: Vec<[f64; 2]>,
}

/// What happens at one end of a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "end", rename_all = "kebab-case")]
pub enum PieceEnd {
    Square,
    /// Cut to lie over a gable trim: `width` on the lower edge.
    Gable {
        width: Measure,
    },
    /// Folded back to the wall: the blank is longer by `depth`.
    Return {
        depth: Measure,
    },
    /// Turned up at a wall: the blank is longer by `height`.
    Dam {
        height: Measure,
    },
    /// Mitred to meet the next wall's trim edge to edge. `turn_deg`: how far the wall turns.
    Corner {
        side: Corner,
        turn_deg: f64,
    },
    /// Mitred to meet the same trim where the slope changes.
    Transition {
        /// The pitch beyond, such as `6:12`.
        to: String,
        falls: Falls,
    },
    /// One piece covers the next by `lap`.
    Lap {
        lap: Measure,
        goes: Goes,
        neighbour: String,
        /// An expansion joint: sealed, never fastened, so that it can slide.
        #[serde(skip_serializing_if = "std::ops::Not::not", default)]
        joint: bool,
    },
}

/// Which of two lapped pieces this one is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Goes {
    Under,
    Over,
}

/// One bend of the cross-section, in order from the datum edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bend {
    /// The bend line's distance from the datum edge.
    pub at: Measure,
    /// Degrees the metal is bent through.
    pub angle_deg: f64,
    pub turn: Turn,
}

/// A hem, folded away from the side that will be seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hem {
    /// The fold line's distance from the datum edge.
    pub at: Measure,
    /// Finished width of the hem.
    pub width: Measure,
    /// What an open hem leaves inside its fold; a closed one is flattened.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub gap: Option<Measure>,
}

/// The cross-section: outside (mould-line) widths of the legs from the datum edge down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Section {
    pub legs: Vec<Leg>,
    pub thickness: Measure,
    pub inside_radius: Measure,
    /// Which face carries the finish, if one does.
    pub painted: Painted,
    /// Which way the first leg runs from the datum edge as the trim stands on the building: degrees up from straight out.
    #[serde(default = "down_the_wall")]
    pub heading_deg: f64,
}

// As serde asks for it, by reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_zero(batch: &usize) -> bool {
    *batch == 0
}

fn down_the_wall() -> f64 {
    -90.0
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Leg {
    /// Such as `wall leg`, `roof leg`, `depth`, `face`.
    pub name: String,
    pub width: Measure,
}

/// One thing to do at the bench: one card.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    #[serde(rename = "do")]
    pub action: Action,
    /// The bend this step makes, as an index into [`Piece::bends`].
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub bend: Option<usize>,
    /// The edge this step hems.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub edge: Option<Edge>,
    /// How the strip is brought to lie in the brake for this step, from where it lay before.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub handling: Vec<Handling>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lie: Option<Lie>,
    /// What rests against the brake's stop, [`Step::number`] away from the bend line.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub stop: Option<Stop>,
    /// The end this step works at.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub side: Option<Side>,
    /// The one number the hands need.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub number: Option<Measure>,
    /// How far off [`Step::number`] a finished length may be, either way.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tolerance: Option<Measure>,
    /// One plain sentence or two.
    pub text: String,
    /// The points to mark, in this order.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub marks: Vec<Mark>,
    /// What this step snips away: closed polygons on the blank, as [`Blank::outline`].
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub cut_away: Vec<Vec<[f64; 2]>>,
    /// The usual caution where the work can hurt.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub caution: Option<Caution>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub working: Option<Working>,
}

impl Step {
    /// Whether a finished length is as near to [`Step::number`] as [`Step::tolerance`] wants it. Where an earlier version
    /// planned no tolerance, any length is.
    pub fn takes(&self, length: Length) -> bool {
        let limits = self.number.as_ref().zip(self.tolerance.as_ref());
        limits.is_none_or(|(wanted, tolerance)| {
            let off = length - Length::from_mm(wanted.mm);
            off.nm().abs() <= Length::from_mm(tolerance.mm).nm()
        })
    }
}

/// A point on the blank.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// From the blank's left end.
    pub x: Measure,
    /// From the datum edge.
    pub y: Measure,
}

/// The kinds of step, in the order they come in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    TakeBlank,
    Shear,
    Mark,
    NotchLap,
    CutEnd,
    Hem,
    Bend,
    FoldTab,
    OpenHem,
    CheckLength,
    Label,
}
