//! What the bench shows and what a hand can ask of it, as plain data.
//!
//! The desk (the bench's state machine) makes [`Screen`]s, the Slint adapters only map them; a touch becomes an
//! [`Intent`] and nothing else. So neither side knows the other, and each is tested alone.

use std::sync::Arc;

use crate::order::plan::Action;
use crate::trade::caution::Caution;
use crate::trade::working::Working;

/// Everything on the screen at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Screen {
    pub view: View,
    pub link: Link,
    /// Marks made here that the endpoint has not taken yet.
    pub unsent: usize,
    /// One sentence the fabricator should read now: why a mark was refused, who else finished the piece.
    pub message: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum View {
    /// Nothing has been heard from the endpoint yet of what is to be shown; `back` leads to the queue.
    Waiting {
        back: bool,
    },
    Queue(Queue),
    Order(Order),
    Card(Box<Card>),
}

/// Whether the endpoint answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Link {
    Up,
    Down,
    /// It answers, but does not take the shop's key.
    Refused,
}

/// The orders, the one due first at the top.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Queue {
    pub orders: Vec<QueueLine>,
    /// Index of the order to open next; none when all are bent.
    pub next: Option<usize>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct QueueLine {
    pub number: String,
    pub job: String,
    pub site: String,
    /// `Fri 4 Dec`, empty when the order has no due day.
    pub due: String,
    /// Whole days from today; negative when late.
    pub due_in_days: Option<i64>,
    pub pieces: usize,
    pub bent: usize,
    pub loaded: usize,
}

/// One order's pieces in the order they are made.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub number: String,
    pub job: String,
    pub due: String,
    pub pieces: Vec<PieceLine>,
    /// Index of the piece to make next; none when all are bent.
    pub next: Option<usize>,
    pub bent: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub struct PieceLine {
    pub code: String,
    pub mark: String,
    /// `end wall`, `reglet`.
    pub trim: String,
    /// With typographic fractions: `8′ 10⁵⁄₈″`.
    pub length: String,
    pub progress: Progress,
    /// Why it was reported bad on the roof.
    pub reported: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    Waiting,
    /// Begun: steps done, of how many.
    Started {
        done: usize,
        of: usize,
    },
    Bent,
    Loaded,
    Installed,
}

/// One step of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    pub order: String,
    pub job: String,
    pub mark: String,
    /// `A · end wall · 3 of 5`.
    pub place: String,
    /// 0 is the first.
    pub step: usize,
    pub steps: usize,
    pub action: Action,
    /// `Notch the lap, left end`.
    pub title: String,
    /// The one number, with typographic fractions; empty when the step has none.
    pub number: String,
    /// What the number is: `along the lower edge, from the left end`.
    pub number_caption: String,
    pub text: String,
    pub caution: Option<Caution>,
    pub working: Option<Working>,
    pub working_open: bool,
    pub picture: Option<Picture>,
}

/// A drawing in pixels: RGBA, premultiplied.
#[derive(Clone, PartialEq)]
pub struct Picture {
    pub width: u32,
    pub height: u32,
    pub rgba: Arc<Vec<u8>>,
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Picture({} × {})", self.width, self.height)
    }
}

/// What a hand asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Intent {
    /// The large way on: open the order due first, start or go on with the next piece, the step is done.
    On,
    /// The way back, always there: the step before, the order, the queue.
    Back,
    OpenOrder(String),
    /// By its code.
    OpenPiece(String),
    /// Show or hide the working behind the card's number.
    Working,
    /// The message was read.
    DismissMessage,
    /// The size the drawing has on the screen, in pixels, and whether the screen is dark.
    Canvas {
        width: u32,
        height: u32,
        dark: bool,
    },
}
