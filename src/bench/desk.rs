//! The bench's state machine: what a hand asks and what the endpoint answers go in, requests and a screen come out.
//!
//! It never waits and never does I/O. What is done shows at once, and its mark joins a queue; the queue is sent one by
//! one, in order, whenever the endpoint answers. So the bench works on while the endpoint is away.
//!
//! Where the hands are is derived, not stored: the bench knows which pieces it has opened, and the pieces' rows, with the
//! unsent marks upon them, say how far each is.

mod answers;
mod batch;
mod card;
mod intents;
mod labels;
mod lists;
mod looking;
mod measure;
mod opening;
mod outbox;
mod pages;
mod people;
mod remake;
mod request;
mod rows;
mod say;
mod scanning;
mod wants;

use std::collections::{HashMap, VecDeque};

use jiff::civil::Date;

use super::api::{Bench, CallError, Mark, MarkedEvent, Person, PieceAnswer, Prints, Row, Summary};
use super::cards;
use super::last_heard::LastHeard;
use super::memory::{Finished, Memory, Place};
use super::pad::Pad;
use super::screen::{self, Intent, Language, Link, Looks, Picture, Screen, View};
use crate::trade::length::Length;
use looking::LookBack;
pub use outbox::Ids;
use outbox::Outbox;
pub use request::{Answer, Canvas, Pin, Request};

/// What goes into the desk.
#[derive(Debug, Clone, PartialEq)]
pub enum Message {
    Intent(Intent),
    Answer(Request, Result<Answer, CallError>),
    /// Time to ask again.
    Tick,
}

/// What this bench is from its start on, beside its memory.
#[derive(Debug, Clone)]
pub struct Start {
    /// What people call it.
    pub bench: String,
    /// Where its endpoint is, for people to read.
    pub endpoint: String,
    /// Until a hand sets others.
    pub looks: Looks,
}

/// Where the bench stands.
#[derive(Debug, Clone, PartialEq)]
enum At {
    Queue,
    Order(String),
    /// A piece is to be opened as soon as its order's pieces are known.
    Opening {
        order: String,
        code: String,
        take_over: bool,
    },
    /// These pieces, cut alike, are at the brake; some may be finished already.
    Card {
        order: String,
        batch: Vec<String>,
    },
}

impl At {
    fn order(&self) -> Option<&str> {
        match self {
            Self::Queue => None,
            Self::Order(order) | Self::Opening { order, .. } | Self::Card { order, .. } => Some(order),
        }
    }
}

/// What lies over the queue, the order or the card until it is left.
#[derive(Debug, Clone, PartialEq)]
enum Over {
    /// Of the piece with this code.
    Keypad {
        code: String,
        pad: Pad,
    },
    /// Of the strip at the card (`here`), or of a finished piece.
    Remake {
        code: String,
        mark: String,
        here: bool,
        reported: Option<String>,
        chosen: Option<usize>,
    },
    Labels,
    Settings,
    People,
    Pin {
        person: Person,
        typed: Pin,
        wrong: bool,
    },
    Join {
        shown: usize,
    },
}

/// A message, and the piece it is about.
#[derive(Debug, Clone)]
struct Said {
    message: screen::Message,
    about: Option<About>,
    /// The pieces in dispute, when it is that.
    disputed: Vec<String>,
}

/// A piece that need not be of the open order.
#[derive(Debug, Clone)]
struct About {
    order: String,
    row: Row,
}

/// What the endpoint said last.
#[derive(Default)]
struct Heard {
    orders: Option<Vec<Summary>>,
    /// The pieces of the order `rows_of`, as they will stand once the unsent marks are taken.
    rows: Option<Vec<Row>>,
    rows_of: String,
    /// The rows are known to be out of date.
    rows_stale: bool,
    /// The rows are those of before the start: what differs from them may have been done here.
    rows_recalled: bool,
    /// The pieces read last, the newest first. Pieces cut alike have one record between them.
    records: VecDeque<PieceAnswer>,
    /// Step drawings of the record `pictures_of`, and the canvas and language each was made for.
    pictures: HashMap<usize, (Canvas, Language, Picture)>,
    pictures_of: String,
    prints: Option<Prints>,
    prints_stale: bool,
    people: Option<Vec<Person>>,
    address: Option<String>,
    door: Option<(String, Canvas, Picture)>,
    test_label: Option<(Canvas, Picture)>,
}

/// What is asked of the endpoint.
#[derive(Default)]
struct Asking {
    link: Link,
    /// Requests not yet answered, so that none is made twice.
    asked: Vec<Request>,
    /// Requests that brought nothing: they rest until the next tick.
    failed: Vec<Request>,
    /// What a hand asked for, to be asked once.
    wishes: Vec<Request>,
    /// A tick has come: ask again for what may have changed.
    poll: bool,
    /// That an answer was not understood has been said since the endpoint was away last.
    garbled: bool,
}

/// The bench's own: what is kept over a restart beside its place.
struct Own {
    bench: Bench,
    endpoint: String,
    looks: Looks,
    /// A hand has set the looks.
    looks_set: bool,
    scan_labels: Option<bool>,
    person: Option<Person>,
    finished: Option<Finished>,
}

/// The bench's state.
pub struct Desk {
    own: Own,
    at: At,
    over: Option<Over>,
    said: Option<Said>,
    heard: Heard,
    outbox: Outbox,
    asking: Asking,
    canvas: Option<Canvas>,
    working_open: bool,
    look_back: Option<LookBack>,
    /// A length out of tolerance that waits for a decision, and whose it is.
    measured: Option<(String, Length)>,
    /// The label that is being looked up.
    scanning: Option<String>,
    /// What the scanner read last, while it is being tried.
    scanner: Option<String>,
}

impl Desk {
    /// Stands where `memory` says. A bench without an id takes that of `ids`.
    pub fn new(memory: Memory, ids: Ids, start: Start) -> Self {
        let at = match memory.place {
            Place::Queue => At::Queue,
            Place::Order(number) => At::Order(number),
            Place::Piece { order, code, batch } if batch.is_empty() => At::Opening { order, code, take_over: false },
            Place::Piece { order, batch, .. } => At::Card { order, batch },
        };
        let id = memory.bench.unwrap_or_else(|| ids.start().to_owned());
        Self {
            own: Own {
                bench: Bench { id, name: start.bench },
                endpoint: start.endpoint,
                looks: memory.looks.unwrap_or(start.looks),
                looks_set: memory.looks.is_some(),
                scan_labels: memory.scan_labels,
                person: memory.person,
                finished: memory.finished,
            },
            over: None,
            said: None,
            heard: Heard { rows_of: at.order().unwrap_or_default().to_owned(), ..Heard::default() },
            at,
            outbox: Outbox::new(ids, memory.unsent, memory.disputes),
            asking: Asking::default(),
            canvas: None,
            working_open: false,
            look_back: None,
            measured: None,
            scanning: None,
            scanner: None,
        }
    }

    /// What must survive the power going now.
    pub fn memory(&self) -> Memory {
        let place = match &self.at {
            At::Queue => Place::Queue,
            At::Order(number) => Place::Order(number.clone()),
            At::Opening { order, code, .. } => {
                Place::Piece { order: order.clone(), code: code.clone(), batch: Vec::new() }
            }
            At::Card { order, batch } => Place::Piece {
                order: order.clone(),
                code: batch.first().cloned().unwrap_or_default(),
                batch: batch.clone(),
            },
        };
        Memory {
            place,
            done: self.unfinished().into_iter().map(|row| (row.code.clone(), row.done)).collect(),
            unsent: self.outbox.unsent().cloned().collect(),
            disputes: self.outbox.disputes().to_vec(),
            bench: Some(self.own.bench.id.clone()),
            looks: self.own.looks_set.then_some(self.own.looks),
            scan_labels: self.own.scan_labels,
            person: self.own.person.clone(),
            finished: self.own.finished.clone(),
        }
    }

    /// With what was last heard before the start, until the endpoint says how it is now. `done`: how far the pieces at the
    /// card were, which may have been heard of after that.
    pub fn recalling(mut self, last: LastHeard, done: &[(String, usize)]) -> Self {
        self.heard.orders = last.orders;
        if last.order == self.heard.rows_of {
            self.heard.rows = last.rows.map(|mut rows| {
                self.outbox.apply_to(&mut rows);
                done.iter().for_each(|(code, done)| rows::set_done(&mut rows, code, *done));
                rows
            });
            self.heard.rows_stale = true;
            self.heard.rows_recalled = true;
            self.heard.records = last.records.into();
        }
        self
    }

    /// What a start without the endpoint needs to stand where the desk stands now.
    pub fn last_heard(&self) -> LastHeard {
        let mut records: Vec<PieceAnswer> = Vec::new();
        for record in self.unfinished().into_iter().filter_map(|row| self.record(row)) {
            if !records.iter().any(|known| known.row.code == record.row.code) {
                records.push(record.clone());
            }
        }
        let heard = &self.heard;
        LastHeard { orders: heard.orders.clone(), order: heard.rows_of.clone(), rows: heard.rows.clone(), records }
    }

    /// Takes one message; returns what to ask of the endpoint.
    pub fn update(&mut self, message: Message) -> Vec<Request> {
        match message {
            Message::Intent(intent) => self.intend(intent),
            Message::Answer(request, answer) => self.hear(request, answer),
            Message::Tick => {
                self.asking.failed.clear();
                self.asking.poll = true;
            }
        }
        self.settle();
        self.tell_disputes();
        self.ask()
    }

    /// Notes that something happened to a piece.
    fn mark(&mut self, code: &str, event: MarkedEvent) {
        self.note(code, event, false);
    }

    /// Takes a piece for this bench as it is. `take_over`: although another has it, or was further.
    fn claim(&mut self, code: &str, done: usize, take_over: bool) {
        self.note(code, MarkedEvent::Step { done, bench: self.here(), take_over, let_go: false }, true);
    }

    /// That so many steps of a piece are done, here.
    fn mark_step(&mut self, code: &str, done: usize) {
        self.mark(code, MarkedEvent::Step { done, bench: self.here(), take_over: false, let_go: false });
    }

    fn note(&mut self, code: &str, event: MarkedEvent, claim: bool) {
        let id = self.outbox.id();
        let piece = self.row(code).map(|row| row.mark.clone()).unwrap_or_default();
        let by = self.own.person.as_ref().map(|person| person.name.clone());
        let mark = self.outbox.add(Mark { id, code: code.into(), piece, by, claim, event });
        if let Some(rows) = &mut self.heard.rows {
            rows::apply(rows, mark);
        }
    }

    /// This bench, as a mark names it.
    fn here(&self) -> Option<Bench> {
        Some(self.own.bench.clone())
    }

    fn row(&self, code: &str) -> Option<&Row> {
        self.heard.rows.iter().flatten().find(|row| row.code == code)
    }

    /// The queue; while the endpoint is away, with what was bent here since.
    fn orders(&self) -> Option<Vec<Summary>> {
        let mut orders = self.heard.orders.clone()?;
        if let (Some(rows), true) = (&self.heard.rows, self.asking.link != Link::Up)
            && let Some(order) = orders.iter_mut().find(|order| order.order == self.heard.rows_of)
        {
            order.bent = rows.iter().filter(|row| row.state.is_bent()).count();
        }
        Some(orders)
    }

    /// The order that was open last, when all that is left of it was being made elsewhere.
    fn nothing_left(&self) -> Option<&str> {
        let rows = self.heard.rows.as_deref()?;
        lists::next_row(rows, &self.own.bench.id).is_none().then_some(self.heard.rows_of.as_str())
    }

    /// What to show, `today` being the bench's own date.
    pub fn screen(&self, today: Date) -> Screen {
        Screen {
            view: self.view(today),
            link: self.asking.link,
            unsent: self.outbox.unsent().len(),
            message: self.said.as_ref().map(|said| said.message.clone()),
            person: self.own.person.as_ref().map(|person| person.name.clone()),
            labels: self.labels_waiting(),
            looks: self.own.looks,
        }
    }

    fn view(&self, today: Date) -> View {
        if let Some(over) = &self.over
            && let Some(view) = self.over_view(over)
        {
            return view;
        }
        if let Some(open) = self.open_piece_at_card() {
            return View::Card(Box::new(self.card(&open)));
        }
        match self.at.order() {
            None => {
                let waiting = View::Waiting { back: false };
                self.orders().map_or(waiting, |orders| {
                    View::Queue(lists::queue(&orders, lists::next_order(&orders, self.nothing_left()), today))
                })
            }
            Some(number) => {
                let summary = self.heard.orders.iter().flatten().find(|order| order.order == number);
                summary.zip(self.heard.rows.as_deref()).map_or(View::Waiting { back: true }, |(summary, rows)| {
                    View::Order(lists::order(summary, rows, &self.own))
                })
            }
        }
    }
}

#[cfg(test)]
mod tests;
