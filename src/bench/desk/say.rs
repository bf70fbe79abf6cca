//! Everything the desk says in its own words, in one place: English sentences, which the adapters put into the bench's
//! language.
//!
//! Of the answers to a question the first is the large way on. It never destroys anything.

use super::{Said, measure};
use crate::bench::api::{CallError, PrintWord, Printer, PrinterState, Row, State};
use crate::bench::pad::NoLength;
use crate::bench::screen::{Intent, Message, Reply, Tone};
use crate::label::code::Code;
use crate::order::bounds::LONGEST_MEASURED;
use crate::order::plan::Measure;
use crate::trade::length::Units;

pub const TEST_LABEL: &str = "test label";

fn said(tone: Tone, text: String, answers: Vec<Reply>) -> Said {
    Said { message: Message { tone, text, answers }, about: None, disputed: Vec::new() }
}

fn say(text: String) -> Said {
    said(Tone::Say, text, Vec::new())
}

fn refuse(text: String) -> Said {
    said(Tone::Refuse, text, Vec::new())
}

fn reply(text: &str, intent: Intent) -> Reply {
    Reply { text: text.into(), intent, destroys: false }
}

fn destroys(text: &str, intent: Intent) -> Reply {
    Reply { destroys: true, ..reply(text, intent) }
}

/// The endpoint's words as a sentence of their own, the codes in them as labels show them.
fn sentence(detail: &str) -> String {
    let word = |word: &str| {
        let code = Code::parse(word).ok().filter(|code| code.as_str() == word);
        code.map_or_else(|| word.to_owned(), |code| code.spaced())
    };
    let words: Vec<String> = detail.split(' ').map(word).collect();
    let words = words.join(" ");
    let mut rest = words.chars();
    rest.next().map(|first| first.to_uppercase().chain(rest).collect()).unwrap_or_default()
}

/// The endpoint's words about the piece of this mark, where they do not name it themselves.
pub fn named(mark: &str, detail: &str) -> String {
    if detail.contains(mark) { detail.into() } else { format!("{mark}: {detail}") }
}

pub fn refused(detail: &str) -> Said {
    refuse(sentence(detail))
}

pub fn garbled(error: &CallError) -> Said {
    refuse(sentence(&error.to_string()))
}

pub fn no_answer() -> Said {
    refuse("The endpoint does not answer: try again when it is back.".into())
}

// Two benches

pub fn elsewhere(row: &Row, bench: &str) -> Said {
    let answers = vec![
        reply("Leave it there", Intent::DismissMessage),
        reply("Take it over", Intent::TakeOver(row.code.clone())),
    ];
    said(Tone::Ask, format!("{} is being made at {bench}. Take it over?", row.mark), answers)
}

/// What the endpoint said of the first of these pieces, and how many others it is true of. `here`: it is of the open order.
pub fn disputed(detail: &str, codes: Vec<String>, here: bool) -> Said {
    let mut answers = vec![reply("Set it aside", Intent::DismissMessage)];
    if let Some(first) = codes.first().filter(|_| here) {
        answers.push(reply("Take it over", Intent::TakeOver(first.clone())));
    }
    let others = codes.len().saturating_sub(1);
    and_others(Said { disputed: codes, ..said(Tone::Ask, sentence(detail), answers) }, others)
}

/// That the same is true of so many more pieces.
pub fn and_others(mut said: Said, others: usize) -> Said {
    let text = &mut said.message.text;
    if others > 0 && !text.ends_with('.') {
        text.push('.');
    }
    match others {
        0 => {}
        1 => text.push_str(" The same goes for one more piece."),
        others => text.push_str(&format!(" The same goes for {others} more pieces.")),
    }
    said
}

pub fn taken_over(row: &Row, bench: &str) -> Said {
    say(format!("{} was taken over at {bench}: set this one aside.", row.mark))
}

pub fn finished_elsewhere(row: &Row) -> Said {
    say(format!("{} was finished at another bench: set this one aside.", row.mark))
}

pub fn moved(row: &Row) -> Said {
    say(format!("{} was moved to step {} from elsewhere.", row.mark, row.done + 1))
}

pub fn gone(row: &Row) -> Said {
    say(format!("{} is made again as a new piece: set this one aside.", row.mark))
}

pub fn replaced(order: &str) -> Said {
    say(format!("Order {order} was replaced: begin again from its new list."))
}

pub fn not_in(order: &str) -> Said {
    refuse(format!("This piece is no longer in order {order}."))
}

// Finished pieces

pub fn finished(row: &Row, printer: bool) -> Said {
    let state = match row.state {
        State::Loaded => "is on the van",
        State::Installed => "is installed",
        State::Bent | State::Waiting | State::Started => "is finished",
    };
    let text = match &row.reported {
        Some(why) => format!("{} {state}. It was reported: {why}", row.mark),
        None => format!("{} {state}.", row.mark),
    };
    let mut answers = vec![reply("Leave it so", Intent::DismissMessage)];
    if printer {
        answers.push(reply("Print its label again", Intent::Reprint));
    }
    if row.state == State::Bent {
        answers.push(reply("Take it back to the brake", Intent::Undo));
    }
    answers.push(destroys("Make it again", Intent::OpenRemake));
    said(Tone::Ask, text, answers)
}

pub fn remake(mark: &str, why: &str) -> Said {
    let answers = vec![reply("Not now", Intent::DismissMessage), destroys("Make it again", Intent::Remake)];
    said(Tone::Ask, format!("Make {mark} again, because: {why}? This piece is scrap then."), answers)
}

pub fn remade(mark: &str) -> Said {
    say(format!("{mark} will be made again: its new piece stands at the end of the order. Scrap this one."))
}

// The length

pub fn no_length(why: NoLength, units: Units) -> Said {
    match why {
        NoLength::InchesBesideFeet => refuse("Beside feet there are at most 11 inches, and their fractions.".into()),
        NoLength::OutOfBounds => {
            let most = Measure::exact(LONGEST_MEASURED, units).big();
            refuse(format!("Nothing was measured, or more than {most}: type it in again."))
        }
    }
}

/// `read` is the length as it was typed in, set for reading.
pub fn out_of_tolerance(mark: &str, read: &str, wanted: &Measure, tolerance: Option<&Measure>) -> Said {
    let tolerance = tolerance.map(measure::plus_minus).unwrap_or_default();
    let answers = vec![
        reply("Measure again", Intent::OpenKeypad),
        reply("Take it as it is", Intent::Accept),
        destroys("Make it again", Intent::OpenRemake),
    ];
    said(Tone::Ask, format!("{mark} measures {read}. It should be {} {tolerance}.", wanted.big()), answers)
}

// Labels

pub fn not_out_yet(row: &Row) -> Said {
    if row.print == Some(PrintWord::Unsure) {
        let answers = vec![
            reply("Look for it", Intent::DismissMessage),
            reply("It is on", Intent::CloseUnscanned),
            reply("Print it again", Intent::Reprint),
        ];
        let text = format!("Nobody knows whether the label of {} came out. Is it on the piece?", row.mark);
        return said(Tone::Ask, text, answers);
    }
    let answers = vec![reply("Wait for it", Intent::DismissMessage), reply("It is on", Intent::CloseUnscanned)];
    said(Tone::Ask, format!("The label of {} is not known to be out. Is it on the piece?", row.mark), answers)
}

pub fn not_scanned(row: &Row) -> Said {
    let answers =
        vec![reply("Scan it", Intent::DismissMessage), reply("Close without scanning", Intent::CloseUnscanned)];
    said(Tone::Ask, format!("The label of {} was not scanned. Close the piece without scanning?", row.mark), answers)
}

/// `order`: of the label, where it may be another.
pub fn wrong_label(piece: &Row, label: &str, order: Option<&str>) -> Said {
    let of_order = order.map(|order| format!(" of order {order}")).unwrap_or_default();
    refuse(format!("Wrong label: it belongs to {label}{of_order}. Take it off. This piece is {}.", piece.mark))
}

pub fn not_its_label(piece: &Row) -> Said {
    refuse(format!("Wrong label: it is not that of {}. Take it off.", piece.mark))
}

pub fn reprinted(row: &Row) -> Said {
    say(format!("The label of {} is printed again. The one it had no longer counts: take it off.", row.mark))
}

pub fn on_its_way(row: &Row) -> Said {
    say(format!("The label of {} is on its way already.", row.mark))
}

/// `ready`: the printer, as far as is known.
pub fn asked_for(row: &Row, ready: bool) -> Said {
    say(match ready {
        true => format!("The label of {} is on its way to the printer.", row.mark),
        false => format!("The label of {} waits for the printer.", row.mark),
    })
}

pub fn test_print(ready: bool) -> Said {
    let way = match ready {
        true => "The test label is on its way to the printer.",
        false => "The test label waits for the printer.",
    };
    say(way.into())
}

/// `state`: of the one that is on its way.
pub fn test_print_already(state: PrintWord) -> Said {
    let already = match state {
        PrintWord::Sending | PrintWord::Sent => "A test label is at the printer already.",
        _ => "A test label waits for the printer already.",
    };
    say(already.into())
}

pub fn label_refused(detail: &str) -> Said {
    refused(detail)
}

pub fn cannot_look_up() -> Said {
    refuse("The endpoint does not answer: this label cannot be looked up now.".into())
}

/// `ready`, `out of labels`.
pub fn printer(printer: &Printer) -> String {
    match printer.state {
        PrinterState::None => "no printer is set".into(),
        PrinterState::Ready => "ready".into(),
        PrinterState::Busy => "printing".into(),
        PrinterState::Stopped if printer.said.is_empty() => "stopped".into(),
        PrinterState::Away if printer.said.is_empty() => "does not answer".into(),
        PrinterState::Stopped | PrinterState::Away => printer.said.clone(),
    }
}

// The scanner

pub fn test_label(how: &str) -> Said {
    say(format!("The test label was read: {how}"))
}

pub fn scan_refused(why: &str) -> Said {
    refuse(sentence(why))
}
