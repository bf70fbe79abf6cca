//! What a step needs to see of a blank.

use crate::order::Side;
use crate::order::plan::{Action, Measure, Step};

/// How loudly a thing is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Voice {
    Silent,
    Quiet,
    Now,
}

/// How far the work on the blank has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    Strip,
    Marked,
    Cut,
    HemsFolded,
    TabsFolded,
}

/// What one step needs to see.
pub struct Showing {
    /// One end alone.
    pub end: Option<Side>,
    pub stage: Stage,
    pub lines: Voice,
    pub girth: Voice,
    pub length: Voice,
    pub ends: Voice,
    pub label: bool,
    /// Which side of the metal lies up.
    pub side_up: bool,
    /// Where the strip is cut off.
    pub sheared: bool,
    /// How far off the length may be.
    pub tolerance: Option<Measure>,
}

impl Showing {
    pub fn of(step: Option<&Step>) -> Self {
        use Voice::{Now, Quiet, Silent};
        let nothing = Self {
            end: None,
            stage: Stage::Strip,
            lines: Silent,
            girth: Silent,
            length: Silent,
            ends: Silent,
            label: false,
            side_up: false,
            sheared: false,
            tolerance: None,
        };
        let Some(step) = step else {
            return Self { stage: Stage::Cut, lines: Quiet, girth: Quiet, length: Quiet, ends: Quiet, ..nothing };
        };
        match step.action {
            Action::TakeBlank => Self { end: Some(Side::Left), girth: Now, side_up: true, ..nothing },
            Action::Shear => Self { length: Now, sheared: true, ..nothing },
            Action::Mark => Self { end: Some(Side::Left), stage: Stage::Marked, lines: Now, ..nothing },
            Action::NotchLap | Action::CutEnd => Self { end: step.side, stage: Stage::Cut, ends: Now, ..nothing },
            Action::Hem | Action::Bend => Self { stage: Stage::Cut, ..nothing },
            Action::OpenHem | Action::FoldTab => {
                Self { end: step.side, stage: Stage::HemsFolded, ends: Now, ..nothing }
            }
            Action::CheckLength => {
                Self { stage: Stage::TabsFolded, length: Now, tolerance: step.tolerance.clone(), ..nothing }
            }
            Action::Label => {
                Self { end: Some(Side::Left), stage: Stage::TabsFolded, label: true, side_up: true, ..nothing }
            }
        }
    }

    pub fn hems_folded(&self) -> bool {
        self.stage >= Stage::HemsFolded
    }

    /// How many ems wide and high its drawing is at least.
    pub fn least_ems(&self) -> [f64; 2] {
        match self {
            _ if self.is_taped() => [15.2, 5.0],
            Self { ends: Voice::Now, .. } => [11.7, 8.0],
            _ => [15.8, 8.0],
        }
    }

    /// Whether a tape lies on the finished piece.
    pub fn is_taped(&self) -> bool {
        self.stage == Stage::TabsFolded && self.length == Voice::Now
    }

    pub fn shows_work_at(&self, side: usize) -> bool {
        self.ends != Voice::Silent && self.end.is_none_or(|end| end as usize == side)
    }
}
