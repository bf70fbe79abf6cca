//! How a strip lies in the brake, and what hands do to it between two bends.

use serde::{Deserialize, Serialize};

use crate::trade::section::{Bend, Edge, Fold, Section, Turn};

/// The two faces of a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Face {
    /// The side that will be seen.
    Seen,
    Hidden,
}

/// How a strip lies in the brake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lie {
    /// The face that is up.
    pub face: Face,
    /// The edge behind the jaw; the other is toward whoever bends.
    pub in_throat: Edge,
}

/// What hands do to the strip between two bends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Handling {
    /// Turned over about its long axis: the other face comes up, the other edge goes in, left stays left.
    Flip,
    /// Spun flat: the other edge goes in, and the left end goes to the right.
    Turn,
}

impl Lie {
    /// What brings the strip from this lie to `to`. The other face alone takes both.
    pub fn to(self, to: Self) -> &'static [Handling] {
        match (self.face == to.face, self.in_throat == to.in_throat) {
            (true, true) => &[],
            (true, false) => &[Handling::Turn],
            (false, false) => &[Handling::Flip],
            (false, true) => &[Handling::Flip, Handling::Turn],
        }
    }

    /// How the strip lies once `fold` is made so. A hem's flap is bent over in front; then the strip is turned, its fold
    /// put under the jaw from the front and flattened.
    pub fn after(self, fold: Fold) -> Self {
        match fold {
            Fold::Hem(edge) => Self { in_throat: edge, ..self },
            Fold::Bend(_) => self,
        }
    }

    /// Whether the strip's left end is at the left of whoever faces the brake; it is where the datum edge lies away with
    /// the seen side up.
    pub fn left_is_left(self) -> bool {
        (self.face == Face::Seen) == (self.in_throat == Edge::Datum)
    }

    /// How a strip may lie while `fold` is bent. The leaf swings up, so the face is given; either edge may go in, but a
    /// hem's own flap is what the leaf takes.
    pub fn all_for(section: &Section, fold: Fold) -> Vec<Self> {
        let (face, edges): (Face, &[Edge]) = match fold {
            Fold::Hem(edge) => (
                Face::Hidden,
                match edge {
                    Edge::Datum => &[Edge::Lower],
                    Edge::Lower => &[Edge::Datum],
                },
            ),
            Fold::Bend(index) => match section.bends.get(index) {
                Some(Bend { turn: Turn::Up, .. }) => (Face::Seen, &[Edge::Datum, Edge::Lower]),
                Some(Bend { turn: Turn::Down, .. }) => (Face::Hidden, &[Edge::Datum, Edge::Lower]),
                None => (Face::Seen, &[]),
            },
        };
        edges.iter().map(|&in_throat| Self { face, in_throat }).collect()
    }
}
