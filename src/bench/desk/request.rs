//! What passes between the desk and the network.

use crate::bench::api::{Found, Mark, Person, PieceAnswer, Print, PrintDo, Prints, Row, Summary, Taken};
use crate::bench::screen::{Language, Picture};

/// A drawing's place on the screen, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Canvas {
    pub width: u32,
    pub height: u32,
    pub dark: bool,
}

/// A PIN as it is typed in: never to be read in a log.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct Pin(pub String);

impl std::fmt::Debug for Pin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Pin")
    }
}

/// Something the desk wants of the endpoint. Each is answered exactly once.
#[derive(Debug, Clone, PartialEq)]
pub enum Request {
    Orders,
    /// `afresh`: even if the endpoint says nothing changed.
    Pieces {
        order: String,
        afresh: bool,
    },
    Piece {
        code: String,
    },
    /// A step's drawing.
    Picture {
        code: String,
        step: usize,
        canvas: Canvas,
        language: Language,
    },
    Prints,
    People,
    /// Where phones find the endpoint.
    Address,
    /// The code that opens a phone page.
    Door {
        to: String,
        canvas: Canvas,
    },
    TestLabel {
        canvas: Canvas,
    },
    Send(Box<Mark>),
    /// Whose label is this?
    Scan {
        code: String,
    },
    PrintDo {
        print: i64,
        what: PrintDo,
    },
    PrintTest {
        id: String,
    },
    Enter {
        person: i64,
        pin: Pin,
    },
}

/// What a request brought. `None`: nothing changed.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    Orders(Option<Vec<Summary>>),
    Pieces(Option<Vec<Row>>),
    Piece(Box<PieceAnswer>),
    Picture(Picture),
    Prints(Prints),
    People(Option<Vec<Person>>),
    Address(String),
    Sent(Taken),
    Found(Box<Found>),
    Print(Box<Print>),
    Entered,
}
