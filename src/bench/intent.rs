//! What a hand, a key or a scanner asks of the bench, as plain data: the way into the desk, as [`Screen`] is the way out.
//!
//! [`Screen`]: super::screen::Screen

use crate::words::Language;

/// What a hand asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Intent {
    /// The large way on: open the order due first, start or go on with the next piece, the step is done; after a look
    /// back, the step after.
    On,
    /// The way back, always there: a look at the step before, the order, the queue.
    Back,
    OpenOrder(String),
    /// By its code.
    OpenPiece(String),
    /// By its code, although another bench is making it.
    TakeOver(String),
    /// Leave the card for the order; the piece stays where it is.
    Pause,
    /// Take back the finishing of the piece that was finished last.
    Undo,
    /// The step looked at again is not done, nor what was done since.
    TakeBack,
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
    Open(Page),
    /// Type the finished length in: it is not, or may not be, as it should.
    OpenKeypad,
    Key(PadKey),
    /// What was typed is the length.
    Measured,
    /// The length is out of tolerance, and taken all the same, by whoever is working.
    Accept,
    /// Make the open piece again: asks why.
    OpenRemake,
    /// One of the reasons.
    Because(usize),
    /// Make it again, for the chosen reason.
    Remake,
    /// Print the open piece's label, or print it again.
    PrintLabel,
    Reprint,
    /// The label is on, though it was not scanned.
    CloseUnscanned,
    /// Of a print: send it once more, it came out after all, or leave it.
    PrintAgain(i64),
    CameOut(i64),
    CancelPrint(i64),
    PrintTest,
    Language(Language),
    Dark(bool),
    ScanLabels(bool),
    /// Who is working; nobody.
    Person(i64),
    Nobody,
    PinDigit(u8),
    PinErase,
    /// One of the codes that open phone pages.
    Door(usize),
    /// A scanner typed something.
    Scanned(Scan),
}

/// What a scanner typed, made out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scan {
    /// A piece's label, whole or mended.
    Label(String),
    /// The shop's own test label; how it came: as it was sent, or through which layout.
    Test { how: String },
    /// One of the bench's own command cards.
    Command(Command),
    /// Nothing of ours, and what it looks like; said aloud.
    Refused { why: String },
}

/// What a command card says: the bench driven by a scanner alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    On,
    Back,
    Pause,
}

/// A screen that can be gone to from anywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Page {
    Labels,
    Settings,
    People,
    Join,
}

/// A key of the keypad.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PadKey {
    /// 0 to 9.
    Digit(u8),
    /// What was typed so far are feet; only in inches.
    Feet,
    /// A half, a quarter, an eighth, a sixteenth (0 to 3): put in, or taken out again; only in inches.
    Fraction(u8),
    /// The decimal sign; only in millimetres.
    Point,
    /// Takes the last key back.
    Erase,
}
