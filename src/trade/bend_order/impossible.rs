//! Why a section cannot be folded, in data and in words.

use std::borrow::Cow;

use super::handling::Lie;
use crate::trade::length::{Length, Units};
use crate::trade::section::{Edge, Fold, Leg, LegName, Section, degrees};
use crate::trade::shape::Part;

/// No order folds the section: every state of the strip that can be reached was looked at, and none is the finished one.
#[derive(Debug, Clone, PartialEq)]
pub struct Impossible {
    /// How many sets of folds made can be reached, the flat strip among them: all were looked at, each way up and round.
    pub states: usize,
    /// Those with the most folds made, at least one, and what blocks each fold that is left. Before them the flat strip,
    /// where there are folds that can be made in no state.
    pub deepest: Vec<Stuck>,
    /// A leg in the way, and the widest with which some order folds the section, to a tenth of a millimetre below;
    /// `None` where no narrower leg was found to help.
    pub right: Option<(usize, Length)>,
}

/// As far as it goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Stuck {
    pub made: Vec<Fold>,
    /// Each fold left, each way it can lie.
    pub blocked: Vec<Blocked>,
}

/// A fold that cannot be made so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blocked {
    pub fold: Fold,
    pub lie: Lie,
    pub why: Why,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// The leaf has less than its least flange to swing.
    FlangeTooNarrow { flat: Length, least: Length },
    /// The jaw's nose has less to grip.
    TooLittleToClamp { flat: Length, least: Length },
    /// The strip would go deeper behind the jaw than the throat.
    TooDeep { needs: Length, throat: Length },
    /// The leaf would have to be set farther than it goes.
    TooFar { set_deg: f64, most_deg: f64 },
    /// When the leaf has swung this far (0: as the strip is laid down), this part of the strip is in the way.
    Hits { part: Part, tool: Tool, at_deg: f64 },
}

/// What a strip can run into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tool {
    Jaw,
    Bed,
    Leaf,
    /// What closes the throat.
    Frame,
}

impl Tool {
    fn name(self) -> &'static str {
        match self {
            Self::Jaw => "the jaw",
            Self::Bed => "the bed",
            Self::Leaf => "the leaf",
            Self::Frame => "the frame behind the throat",
        }
    }
}

impl Impossible {
    /// What is at fault and what would be right.
    pub fn text(&self, section: &Section, units: Units) -> String {
        let states = match self.states {
            1 => "1 state".into(),
            states => format!("all {states} states"),
        };
        let proof = format!("no order of folding works on this brake ({states} of the strip tried)");
        let Some((stuck, fold)) = self.at_fault() else { return proof };
        let made: Vec<String> = stuck.made.iter().map(|&fold| fold_name(fold)).collect();
        let made = match made.split_last() {
            None => "even while the strip is flat".into(),
            Some((last, [])) => format!("with {last} made"),
            Some((last, others)) => format!("with {} and {last} made", others.join(", ")),
        };
        let ways: Vec<(Edge, String)> =
            stuck.ways(fold).map(|way| (way.lie.in_throat, way.why.text(section, units))).collect();
        let why = match &ways[..] {
            [(_, why), (_, other)] if why == other => why.clone(),
            ways => {
                let way = |(edge, why): &(Edge, String)| format!("with the {} in the throat {why}", edge.name());
                ways.iter().map(way).collect::<Vec<_>>().join("; ")
            }
        };
        let right = self.right.map_or(String::new(), |(leg, widest)| {
            let step = units.reading().nm();
            let widest = Length::from_nm(widest.nm().div_euclid(step) * step);
            format!("; make {} {} or narrower", part_name(Part::Leg(leg), section), widest.text(units))
        });
        format!("{proof}: {made}, {} cannot be: {why}{right}", fold_name(fold))
    }

    /// The state and the fold that say most about what is wrong: a bound of the brake's before a leg that swings into
    /// it, and that before one that cannot be laid in; a bend before a hem, which is folded first wherever it can be.
    pub fn at_fault(&self) -> Option<(&Stuck, Fold)> {
        let all = self.deepest.iter().flat_map(|stuck| stuck.blocked.iter().map(move |way| (stuck, way)));
        all.min_by_key(|(_, way)| (way.why.rank(), matches!(way.fold, Fold::Hem(_))))
            .map(|(stuck, way)| (stuck, way.fold))
    }

    /// Legs that swing into something, as told by what is at fault.
    pub(super) fn legs_in_the_way(&self) -> Vec<usize> {
        let Some((stuck, fold)) = self.at_fault() else { return Vec::new() };
        let leg = |way: &Blocked| match way.why {
            Why::Hits { part: Part::Leg(leg), .. } => Some(leg),
            _ => None,
        };
        stuck.ways(fold).filter_map(leg).collect()
    }
}

impl Stuck {
    /// What blocks `fold`, each way it can lie.
    pub fn ways(&self, fold: Fold) -> impl Iterator<Item = &Blocked> {
        self.blocked.iter().filter(move |way| way.fold == fold)
    }
}

impl Why {
    fn rank(self) -> u8 {
        match self {
            Self::TooFar { .. } => 0,
            Self::FlangeTooNarrow { .. } => 1,
            Self::TooLittleToClamp { .. } => 2,
            Self::TooDeep { .. } => 3,
            Self::Hits { at_deg, .. } if at_deg > 0.0 => 4,
            Self::Hits { .. } => 5,
        }
    }

    /// What is wrong and what would be right.
    pub fn text(&self, section: &Section, units: Units) -> String {
        match *self {
            Self::FlangeTooNarrow { flat, least } => {
                format!("the leaf has only {} to swing: leave at least {}", flat.text(units), least.text(units))
            }
            Self::TooLittleToClamp { flat, least } => {
                format!("the jaw has only {} to hold: leave at least {}", flat.text(units), least.text(units))
            }
            Self::TooDeep { needs, throat } => {
                format!(
                    "{} goes in and the throat is {} deep: make the strip narrower",
                    needs.text(units),
                    throat.text(units)
                )
            }
            Self::TooFar { set_deg, most_deg } => format!(
                "the leaf would be set to {} and goes to {}: bend it through less",
                degrees(set_deg),
                degrees(most_deg)
            ),
            Self::Hits { part, tool, at_deg } if at_deg > 0.0 => {
                format!("{} hits {} when the leaf has swung {}", part_name(part, section), tool.name(), degrees(at_deg))
            }
            Self::Hits { part, tool, .. } => {
                format!("{}, already folded, is in the way of {}", part_name(part, section), tool.name())
            }
        }
    }
}

/// The words for a fold: bends are counted from the datum edge.
fn fold_name(fold: Fold) -> String {
    match fold {
        Fold::Bend(index) => format!("bend {}", index + 1),
        Fold::Hem(edge) => hem_name(edge).into(),
    }
}

fn hem_name(edge: Edge) -> &'static str {
    match edge {
        Edge::Datum => "the hem of the datum edge",
        Edge::Lower => "the hem of the lower edge",
    }
}

fn part_name(part: Part, section: &Section) -> Cow<'static, str> {
    match part {
        Part::Leg(index) => match section.legs.get(index) {
            Some(Leg { name: name @ LegName::Nth(_), .. }) => name.name(),
            Some(leg) => format!("the {}", leg.name.name()).into(),
            None => format!("leg {}", index + 1).into(),
        },
        Part::Hem(edge) => hem_name(edge).into(),
        Part::Fold(fold) => fold_name(fold).into(),
    }
}
