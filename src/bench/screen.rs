//! What the bench shows, as plain data; with it comes what a hand can ask.
//!
//! The desk (the bench's state machine) makes [`Screen`]s, the Slint adapters only map them; a touch becomes an
//! [`Intent`] and nothing else. So neither side knows the other, and each is tested alone. Texts are English here; the
//! adapters put them into the bench's language.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

pub use super::intent::{Command, Intent, PadKey, Page, Scan};
use crate::order::plan::Action;
use crate::trade::caution::Caution;
use crate::trade::length::Units;
use crate::trade::working::Working;
pub use crate::words::Language;

/// Everything on the screen at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Screen {
    pub view: View,
    pub link: Link,
    /// Marks made here that the endpoint has not taken yet.
    pub unsent: usize,
    /// What must be read, or answered, before anything else.
    pub message: Option<Message>,
    /// Who is working here.
    pub person: Option<String>,
    /// Labels that wait for a hand: not printed, or nobody knows.
    pub labels: usize,
    pub looks: Looks,
}

/// How this bench looks and speaks; kept over a restart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Looks {
    pub language: Language,
    pub dark: bool,
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
    /// The finished piece's length is typed in.
    Keypad(Keypad),
    Remake(Remake),
    Labels(Labels),
    Settings(Settings),
    People(People),
    /// The PIN of whoever was chosen.
    Pin(Pin),
    Join(Join),
}

/// Whether the endpoint answers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Link {
    /// As far as is known.
    #[default]
    Up,
    Down,
    /// It answers, but does not take the shop's key.
    Refused,
}

/// Something said over the view.
#[derive(Debug, Clone, PartialEq)]
pub struct Message {
    pub tone: Tone,
    pub text: String,
    /// What can be answered; the first is the large way on, which the space bar gives. Empty: only OK.
    pub answers: Vec<Reply>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Good to know.
    Say,
    /// Something was refused: the wrong label, a step that cannot be.
    Refuse,
    /// A choice is to be made.
    Ask,
}

/// One answer to a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Reply {
    pub text: String,
    pub intent: Intent,
    /// It destroys something: kept away from the others.
    pub destroys: bool,
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
    /// Pieces that the roof reported bad, not yet made again.
    pub reported: usize,
}

/// One order's pieces in the order they are made.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub number: String,
    pub job: String,
    pub due: String,
    pub pieces: Vec<PieceLine>,
    /// Index of the piece to make next; none when all are bent, or what is left is being made elsewhere.
    pub next: Option<usize>,
    pub bent: usize,
    /// The mark of the piece finished last here, while that can still be undone.
    pub undo: Option<String>,
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
    /// How many pieces are cut alike with it, itself included; 1 when it is alone.
    pub alike: usize,
    /// It is made again in place of one that failed.
    pub remake: bool,
    /// The other bench that is making it.
    pub elsewhere: Option<String>,
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

/// One step of one piece, or of several that are cut alike.
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
    /// Which of the pieces cut alike this step is now done to; `None` when the piece is alone.
    pub batch: Option<Batch>,
    /// Why the piece is made again, when it is made in place of one that failed.
    pub remade: Option<String>,
    /// What the large way on says and does.
    pub on: CardOn,
    /// On the card of the length: within which it is right, such as `± ¹⁄₈″`.
    pub tolerance: Option<String>,
    /// Its label was asked for already: another would be a reprint.
    pub label_asked: bool,
    /// On the card of the label: how far its label is.
    pub label: Option<LabelProgress>,
}

/// Pieces cut alike go through each step together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Batch {
    /// 1 is the first.
    pub at: usize,
    pub of: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardOn {
    /// The step is done already, and looked at again: on to the step after.
    LookOn,
    /// The step is done.
    Done,
    /// The length is as it should be; the other way opens the keypad.
    AsItShould,
    /// Print its label.
    PrintLabel,
    /// The label is on: the piece is finished. Scanning it says the same.
    LabelIsOn,
}

/// How far a piece's label is.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelProgress {
    /// There is a printer to send it to; without one its file or the order's sheet serves.
    pub printer: bool,
    pub state: PrintState,
    /// What the printer said last: `out of labels`.
    pub said: String,
}

/// How far a print is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PrintState {
    /// Not asked for.
    None,
    Waiting,
    /// At the printer.
    Sent,
    Printed,
    /// The printer gave it up.
    Stopped,
    /// Nobody knows whether it came out.
    Unsure,
}

/// The finished length as it is typed in.
#[derive(Debug, Clone, PartialEq)]
pub struct Keypad {
    pub mark: String,
    pub units: Units,
    /// What it should be, set for reading: `8′ 10⁵⁄₈″`.
    pub wanted: String,
    /// `± ¹⁄₈″`.
    pub tolerance: String,
    /// What was typed so far, set for reading; empty at first.
    pub typed: String,
    /// Which halves, quarters, eighths, sixteenths are in what was typed.
    pub fractions: [bool; 4],
    /// Something was typed.
    pub ready: bool,
}

/// Why a piece is made again.
#[derive(Debug, Clone, PartialEq)]
pub struct Remake {
    pub mark: String,
    /// What can be chosen.
    pub reasons: Vec<String>,
    /// What the roof said of it.
    pub reported: Option<String>,
    pub chosen: Option<usize>,
}

/// The labels that are not out yet, and the printer.
#[derive(Debug, Clone, PartialEq)]
pub struct Labels {
    /// `ready`, `out of labels`, `does not answer`, `no printer is set`.
    pub printer: String,
    /// It can print now.
    pub ready: bool,
    pub lines: Vec<LabelLine>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct LabelLine {
    /// The print's number.
    pub print: i64,
    /// The piece's mark, or `test label`.
    pub mark: String,
    pub order: String,
    pub state: PrintState,
    pub said: String,
    pub reprint: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// This bench's name.
    pub bench: String,
    /// Where its endpoint is.
    pub endpoint: String,
    pub version: String,
    pub printer: String,
    /// A label closes its piece by being scanned.
    pub scan_labels: bool,
    /// What the scanner read last, and how, while it is being tried.
    pub scanner: Option<String>,
    /// The test label, to be read off the screen.
    pub test_label: Option<Picture>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct People {
    pub people: Vec<Person>,
    /// Index of who is working now.
    pub at_work: Option<usize>,
    /// A length out of tolerance waits for a name.
    pub name_needed: bool,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    pub id: i64,
    pub name: String,
    /// Has a PIN.
    pub pin: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    pub name: String,
    /// Digits typed.
    pub typed: usize,
    /// The last one was wrong.
    pub wrong: bool,
}

/// Codes that open the phone pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    pub doors: Vec<Door>,
    /// Index of the one shown large.
    pub shown: usize,
    pub picture: Option<Picture>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Door {
    /// `This phone joins the shop`, `Load check of order 2041`.
    pub title: String,
    /// Its address, to be typed where there is no camera; without the key.
    pub address: String,
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
