//! The bench's state machine: what a hand asks and what the endpoint answers go in, requests and a screen come out.
//!
//! It never waits and never does I/O. A step that is done shows the next card at once and its mark joins a queue; the
//! queue is sent one by one, in order, whenever the endpoint answers. So the bench works on while the endpoint is away.

mod answers;
mod lists;

use std::collections::{HashMap, VecDeque};

use jiff::civil::Date;

use super::api::{CallError, Mark, MarkedEvent, PieceAnswer, Row, State, Summary};
use super::cards;
use super::memory::{Memory, Place};
use super::screen::{Intent, Link, Picture, Screen, View};

/// The drawing's place on the screen, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Canvas {
    pub width: u32,
    pub height: u32,
    pub dark: bool,
}

/// Something the desk wants of the endpoint. Each is answered exactly once.
#[derive(Debug, Clone, PartialEq, Eq)]
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
    Picture {
        code: String,
        step: usize,
        canvas: Canvas,
    },
    Send(Mark),
}

/// What a request brought. `Orders` and `Pieces` bring `None` when nothing changed.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    Orders(Option<Vec<Summary>>),
    Pieces(Option<Vec<Row>>),
    Piece(Box<PieceAnswer>),
    Picture(Picture),
    Sent(Row),
}

/// What goes into the desk.
#[derive(Debug, Clone, PartialEq)]
pub enum Message {
    Intent(Intent),
    Answer(Request, Result<Answer, CallError>),
    /// Time to ask again.
    Tick,
}

/// No drawing is drawn smaller, in pixels.
const LEAST_CANVAS: u32 = 64;

/// Where the bench stands.
#[derive(Debug, Clone, PartialEq)]
enum At {
    Queue,
    Order(String),
    Card {
        order: String,
        code: String,
        /// The card shown, once the piece is known.
        step: Option<usize>,
    },
}

/// Makes the ids of marks: a random word for this start of the bench, and a count.
#[derive(Debug, Clone)]
pub struct Ids {
    start: String,
    made: u64,
}

impl Ids {
    /// `start` must differ from that of every other start of every bench.
    pub fn new(start: String) -> Self {
        Self { start, made: 0 }
    }

    fn next(&mut self) -> String {
        self.made += 1;
        format!("{}-{}", self.start, self.made)
    }
}

/// The bench's state.
pub struct Desk {
    at: At,
    orders: Option<Vec<Summary>>,
    /// The pieces of the order opened last.
    rows: Option<Vec<Row>>,
    /// Which order that is.
    rows_of: String,
    /// The open piece.
    piece: Option<PieceAnswer>,
    /// The open piece's drawings, by step, and the canvas each was made for.
    pictures: HashMap<usize, (Canvas, Picture)>,
    canvas: Option<Canvas>,
    working_open: bool,
    unsent: VecDeque<Mark>,
    /// The rows are known to be out of date.
    rows_stale: bool,
    /// Requests not yet answered, so that none is made twice.
    asked: Vec<Request>,
    /// Requests that brought nothing: they rest until the next tick.
    failed: Vec<Request>,
    /// A tick has come: ask again for what may have changed.
    poll: bool,
    link: Link,
    message: Option<String>,
    ids: Ids,
}

impl Desk {
    /// Stands where `memory` says.
    pub fn new(memory: Memory, ids: Ids) -> Self {
        let at = match memory.place {
            Place::Queue => At::Queue,
            Place::Order(number) => At::Order(number),
            Place::Piece { order, code } => At::Card { order, code, step: None },
        };
        Self {
            at,
            orders: None,
            rows: None,
            rows_of: String::new(),
            piece: None,
            pictures: HashMap::new(),
            canvas: None,
            working_open: false,
            unsent: memory.unsent.into(),
            rows_stale: false,
            asked: Vec::new(),
            failed: Vec::new(),
            poll: false,
            link: Link::Up,
            message: None,
            ids,
        }
    }

    /// What must survive the power going now.
    pub fn memory(&self) -> Memory {
        let place = match &self.at {
            At::Queue => Place::Queue,
            At::Order(number) => Place::Order(number.clone()),
            At::Card { order, code, .. } => Place::Piece { order: order.clone(), code: code.clone() },
        };
        Memory { place, unsent: self.unsent.iter().cloned().collect() }
    }

    /// Takes one message; returns what to ask of the endpoint.
    pub fn update(&mut self, message: Message) -> Vec<Request> {
        match message {
            Message::Intent(intent) => self.intend(intent),
            Message::Answer(request, answer) => self.hear(request, answer),
            Message::Tick => {
                self.failed.clear();
                self.poll = true;
            }
        }
        let wanted: Vec<Request> = self
            .wants()
            .into_iter()
            .filter(|request| !self.asked.contains(request) && !self.failed.contains(request))
            .collect();
        self.poll = false;
        self.asked.extend(wanted.iter().cloned());
        wanted
    }

    /// Everything the desk lacks just now, most urgent first.
    fn wants(&self) -> Vec<Request> {
        let mut wanted = Vec::new();
        if self.link != Link::Up {
            // One question is enough to find out whether the endpoint is back.
            return if self.poll { vec![Request::Orders] } else { wanted };
        }
        if !self.asked.iter().any(|asked| matches!(asked, Request::Send(_))) {
            wanted.extend(self.unsent.front().cloned().map(Request::Send));
        }
        if let At::Card { code, .. } = &self.at
            && self.piece.is_none()
        {
            wanted.push(Request::Piece { code: code.clone() });
        }
        if let At::Order(order) | At::Card { order, .. } = &self.at {
            let afresh = self.rows.is_none() || self.rows_stale;
            if afresh || self.poll {
                wanted.push(Request::Pieces { order: order.clone(), afresh });
            }
        }
        if self.orders.is_none() || self.poll {
            wanted.push(Request::Orders);
        }
        wanted.extend(self.missing_pictures());
        wanted
    }

    /// The shown card's drawing first, then the ones that follow, then the ones before.
    fn missing_pictures(&self) -> Vec<Request> {
        let (At::Card { step: Some(shown), .. }, Some(piece), Some(canvas)) = (&self.at, &self.piece, self.canvas)
        else {
            return Vec::new();
        };
        let steps = piece.piece.steps.len();
        (*shown..steps)
            .chain(0..*shown)
            // Cards leave their drawings different room, and another card's will do until it is shown: away from the
            // endpoint it may have to do for longer.
            .filter(|step| self.pictures.get(step).is_none_or(|(made_for, _)| step == shown && *made_for != canvas))
            .map(|step| Request::Picture { code: piece.row.code.clone(), step, canvas })
            .collect()
    }

    fn intend(&mut self, intent: Intent) {
        match intent {
            Intent::On => self.go_on(),
            Intent::Back => self.go_back(),
            Intent::OpenOrder(number) => self.open_order(number),
            Intent::OpenPiece(code) => self.open_piece(code),
            Intent::Working => self.working_open = !self.working_open,
            Intent::DismissMessage => self.message = None,
            // Before the window has its size, the drawing's place may have next to none.
            Intent::Canvas { width, height, .. } if width < LEAST_CANVAS || height < LEAST_CANVAS => {}
            Intent::Canvas { width, height, dark } => self.canvas = Some(Canvas { width, height, dark }),
        }
    }

    fn go_on(&mut self) {
        self.message = None;
        match self.at.clone() {
            At::Queue => {
                let next =
                    self.orders.as_deref().and_then(|orders| next_order(orders).map(|i| orders[i].order.clone()));
                if let Some(number) = next {
                    self.open_order(number);
                }
            }
            At::Order(_) => {
                let next = self.rows.as_deref().and_then(|rows| next_row(rows).map(|i| rows[i].code.clone()));
                if let Some(code) = next {
                    self.open_piece(code);
                }
            }
            At::Card { order, code, step: Some(step) } => {
                let Some(piece) = &self.piece else { return };
                if step + 1 < piece.piece.steps.len() {
                    self.show_card(order, code, step + 1);
                } else {
                    self.mark(code, MarkedEvent::Bent);
                    self.leave_card(order);
                }
            }
            At::Card { step: None, .. } => {}
        }
    }

    fn go_back(&mut self) {
        self.message = None;
        match self.at.clone() {
            At::Queue => {}
            At::Order(_) => self.at = At::Queue,
            At::Card { .. } if self.working_open => self.working_open = false,
            At::Card { order, code, step: Some(step) } if step > 0 => self.show_card(order, code, step - 1),
            At::Card { order, .. } => self.leave_card(order),
        }
    }

    fn open_order(&mut self, number: String) {
        // The pieces last seen will do until the endpoint says how they are now: it may be away.
        if self.rows_of == number {
            self.rows_stale = true;
        } else {
            self.rows = None;
        }
        self.at = At::Order(number);
    }

    fn open_piece(&mut self, code: String) {
        let (At::Order(order) | At::Card { order, .. }) = self.at.clone() else { return };
        let Some(rows) = &self.rows else { return };
        // A scanner reads whatever label it is held to.
        let Some(row) = rows.iter().find(|row| row.code == code) else {
            self.message = Some(format!("This label is of no piece of order {order}: open its own order first."));
            return;
        };
        let known = self.piece.as_ref().filter(|piece| piece.row.code == code && !row.state.is_bent());
        let step = known.map(|piece| shown_step(row, piece));
        if step.is_none() {
            self.forget_piece();
        }
        self.at = At::Card { order, code, step };
    }

    /// Shows a card and marks that all steps before it are done.
    fn show_card(&mut self, order: String, code: String, step: usize) {
        self.working_open = false;
        self.mark(code.clone(), MarkedEvent::Step { done: step });
        self.at = At::Card { order, code, step: Some(step) };
    }

    /// The piece stays known: it may be gone on with while the endpoint is away.
    fn leave_card(&mut self, order: String) {
        self.working_open = false;
        self.at = At::Order(order);
    }

    fn forget_piece(&mut self) {
        self.piece = None;
        self.pictures.clear();
        self.working_open = false;
    }

    fn mark(&mut self, code: String, event: MarkedEvent) {
        let mark = Mark { id: self.ids.next(), code, event };
        self.rows.iter_mut().flatten().for_each(|row| apply(row, &mark));
        self.unsent.push_back(mark);
    }

    fn open_order_is(&self, number: &str) -> bool {
        matches!(&self.at, At::Order(order) | At::Card { order, .. } if order == number)
    }

    /// What to show, `today` being the bench's own date.
    pub fn screen(&self, today: Date) -> Screen {
        Screen { view: self.view(today), link: self.link, unsent: self.unsent.len(), message: self.message.clone() }
    }

    fn view(&self, today: Date) -> View {
        match &self.at {
            At::Queue => self.orders.as_ref().map_or(View::Waiting { back: false }, |orders| {
                View::Queue(lists::queue(orders, next_order(orders), today))
            }),
            At::Card { step: Some(step), order, .. } if self.piece.is_some() => {
                let piece = self.piece.as_ref();
                piece.map_or(View::Waiting { back: true }, |piece| {
                    let picture = self.pictures.get(step).map(|(_, picture)| picture.clone());
                    View::Card(Box::new(cards::card(order, piece, *step, picture, self.working_open)))
                })
            }
            At::Order(number) | At::Card { order: number, .. } => {
                let summary = self.orders.iter().flatten().find(|order| order.order == *number);
                summary.zip(self.rows.as_deref()).map_or(View::Waiting { back: true }, |(summary, rows)| {
                    View::Order(lists::order(summary, rows, next_row(rows)))
                })
            }
        }
    }
}

/// The order to open next: the first with anything left to bend.
fn next_order(orders: &[Summary]) -> Option<usize> {
    orders.iter().position(|order| order.bent < order.pieces)
}

/// The card that a piece stands at.
fn shown_step(row: &Row, piece: &PieceAnswer) -> usize {
    row.done.min(piece.piece.steps.len().saturating_sub(1))
}

/// The piece to make next: one begun, else the first waiting.
fn next_row(rows: &[Row]) -> Option<usize> {
    let find = |state| rows.iter().position(|row| row.state == state);
    find(State::Started).or_else(|| find(State::Waiting))
}

/// A row as it will stand once the endpoint has taken `mark`.
fn apply(row: &mut Row, mark: &Mark) {
    if row.code != mark.code || row.state.is_bent() {
        return;
    }
    match mark.event {
        MarkedEvent::Step { done } => (row.done, row.state) = (done, State::Started),
        MarkedEvent::Bent => (row.done, row.state) = (row.steps, State::Bent),
    }
}

#[cfg(test)]
mod tests;
