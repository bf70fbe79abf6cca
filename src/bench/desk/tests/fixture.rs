//! A desk and the shop's endpoint, run until the desk wants nothing more.

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::rc::Rc;
use std::sync::atomic::{AtomicUsize, Ordering};

use jiff::civil::date;

use super::shop::Shop;
use crate::bench::api::{CallError, Row, State};
use crate::bench::desk::{Answer, Desk, Ids, Message, Request, Start};
use crate::bench::last_heard::LastHeard;
use crate::bench::memory::Memory;
use crate::bench::screen::{Card, Intent, Language, Looks, Order, Screen, View};
use crate::order::Trim;
use crate::order::plan::{Action, Measure};

/// A row by itself.
pub fn row(seq: usize, steps: usize, alike: Option<&str>) -> Row {
    Row {
        code: format!("CODE{seq}"),
        seq,
        mark: format!("A-EW-{}", seq + 1),
        wall: "A".into(),
        trim: Trim::EndWall,
        place: seq + 1,
        of: 40,
        length: Measure { mm: 3048.0, text: "10' 0\"".into() },
        state: State::Waiting,
        done: 0,
        steps,
        reported: None,
        label: format!("CODE{seq}"),
        alike: alike.map(Into::into),
        bench: None,
        remake_of: None,
        remake_why: None,
        print: None,
        said: String::new(),
    }
}

fn ids() -> Ids {
    static STARTS: AtomicUsize = AtomicUsize::new(0);
    Ids::new(format!("start-{}", STARTS.fetch_add(1, Ordering::Relaxed)))
}

fn desk(memory: Memory, name: &str) -> Desk {
    let looks = Looks { language: Language::English, dark: false };
    Desk::new(memory, ids(), Start { bench: name.into(), endpoint: "http://kiosk:8787".into(), looks })
}

pub struct Bench {
    pub desk: Desk,
    pub shop: Rc<RefCell<Shop>>,
    pub away: Cell<bool>,
    /// What the endpoint answers to this piece's marks is not understood.
    pub garbles: Cell<Option<&'static str>>,
    /// What was heard, as it is on the disk.
    open: LastHeard,
    name: &'static str,
}

impl Bench {
    pub fn new() -> Self {
        Self::at(&Rc::new(RefCell::new(Shop::new())), "Brake 1")
    }

    /// One more bench of that shop.
    pub fn at(shop: &Rc<RefCell<Shop>>, name: &'static str) -> Self {
        let mut bench = Self {
            desk: desk(Memory::default(), name),
            shop: Rc::clone(shop),
            away: Cell::new(false),
            garbles: Cell::new(None),
            open: LastHeard::default(),
            name,
        };
        bench.tick();
        bench
    }

    /// The power went, and came back: what was not on the disk is gone.
    pub fn restarted(self) -> Self {
        let mut bench = self.unplugged();
        bench.tick();
        bench
    }

    /// The shop calls it otherwise from its next start on.
    pub fn renamed(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// As [`Bench::restarted`], before anything is heard.
    pub fn unplugged(self) -> Self {
        let memory = serde_json::to_vec(&self.desk.memory()).unwrap();
        let memory: Memory = serde_json::from_slice(&memory).unwrap();
        let done = memory.done.clone();
        let open = serde_json::to_vec(&self.open).unwrap();
        let open = serde_json::from_slice(&open).unwrap();
        Self { desk: desk(memory, self.name).recalling(open, &done), ..self }
    }

    /// As the worker does at each tick.
    pub fn keep_heard(&mut self) {
        self.open = self.desk.last_heard();
    }

    pub fn tell(&mut self, message: Message) {
        let ticks = message == Message::Tick;
        let mut requests: VecDeque<Request> = self.desk.update(message).into();
        if ticks {
            self.keep_heard();
        }
        let mut answered = 0;
        while let Some(request) = requests.pop_front() {
            let answer = self.answer(&request);
            requests.extend(self.desk.update(Message::Answer(request, answer)));
            answered += 1;
            assert!(answered < 500, "the desk asks without end");
        }
    }

    fn answer(&self, request: &Request) -> Result<Answer, CallError> {
        if self.away.get() {
            return Err(CallError::Away);
        }
        let garbled = self.garbles.get().map(|mark| self.code(mark));
        let answer = self.shop.borrow_mut().answer(request);
        match request {
            Request::Send(mark) if Some(&mark.code) == garbled.as_ref() => Err(CallError::Garbled("what?".into())),
            _ => answer,
        }
    }

    pub fn tick(&mut self) {
        self.tell(Message::Tick);
    }

    /// The network is back, and has been for a while.
    pub fn back_on_line(&mut self) {
        self.away.set(false);
        self.tick();
        self.tick();
    }

    pub fn intend(&mut self, intent: Intent) {
        self.tell(Message::Intent(intent));
    }

    pub fn on(&mut self) {
        self.intend(Intent::On);
    }

    pub fn back(&mut self) {
        self.intend(Intent::Back);
    }

    pub fn screen(&self) -> Screen {
        self.desk.screen(date(2026, 11, 25))
    }

    pub fn said(&self) -> String {
        self.screen().message.map(|message| message.text).unwrap_or_default()
    }

    /// The answers to the question on the screen.
    pub fn answers(&self) -> Vec<Intent> {
        let message = self.screen().message.expect("a question");
        message.answers.into_iter().map(|answer| answer.intent).collect()
    }

    pub fn card(&self) -> Card {
        match self.screen().view {
            View::Card(card) => *card,
            view => panic!("not a card: {view:?}, {:?}", self.said()),
        }
    }

    pub fn order(&self) -> Order {
        match self.screen().view {
            View::Order(order) => order,
            view => panic!("not an order: {view:?}"),
        }
    }

    /// Opens the piece with this mark of the order that is open or of order 7.
    pub fn open(&mut self, mark: &str) {
        if matches!(self.screen().view, View::Queue(_)) {
            self.intend(Intent::OpenOrder("7".into()));
        }
        let code = self.code(mark);
        self.intend(Intent::OpenPiece(code));
    }

    pub fn code(&self, mark: &str) -> String {
        self.shop.borrow().code(mark)
    }

    /// The large way on, until the card is of this action.
    pub fn on_to(&mut self, action: Action) -> Card {
        for _ in 0..200 {
            if self.card().action == action {
                return self.card();
            }
            self.on();
        }
        panic!("no such card")
    }

    /// What is at the card, or was asked about, is made again.
    pub fn remake(&mut self) {
        self.intend(Intent::OpenRemake);
        self.intend(Intent::Because(4));
        self.intend(Intent::Remake);
        self.intend(Intent::DismissMessage);
    }

    /// Opens a piece although another bench has it.
    pub fn take_over(&mut self, mark: &str) {
        self.open(mark);
        let code = self.code(mark);
        self.intend(Intent::TakeOver(code));
    }

    /// The open piece, to its end.
    pub fn finish(&mut self) {
        self.on_to(Action::Label);
        self.on();
    }

    /// At the card of the label of a piece that is alone.
    pub fn at_label() -> Self {
        let mut bench = Self::new();
        bench.open("A-EW-1");
        bench.on_to(Action::Label);
        bench
    }
}

/// Two benches of one shop.
pub fn two() -> (Bench, Bench) {
    let shop = Rc::new(RefCell::new(Shop::new()));
    (Bench::at(&shop, "Brake 1"), Bench::at(&shop, "Brake 2"))
}

/// The bench that holds the piece at the endpoint.
pub fn holder(bench: &Bench, mark: &str) -> Option<String> {
    bench.shop.borrow_mut().row(mark).bench.as_ref().map(|bench| bench.name.clone())
}
