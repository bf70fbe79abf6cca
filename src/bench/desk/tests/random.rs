//! Whatever two pairs of hands, the network and the power do: no piece is made twice and no mark is lost.

use std::cell::RefCell;
use std::collections::{HashSet, VecDeque};
use std::rc::Rc;

use proptest::prelude::*;

use super::fixture::Bench;
use super::shop::Shop;
use crate::bench::api::{CallError, Mark, MarkedEvent, PrinterState, Row, State};
use crate::bench::desk::outbox::is_remake;
use crate::bench::desk::{Message, Request};
use crate::bench::screen::{Command, Intent, PadKey, Page, Scan, View};

/// One thing that happens at one of the two benches.
#[derive(Debug, Clone)]
enum Happens {
    On,
    Back,
    TakeBack,
    Pause,
    Undo,
    Scan(usize),
    Open(usize),
    Page(usize),
    /// The first, second … answer of the question on the screen.
    Answer(usize),
    Keypad(u8),
    /// What is at the card, or was asked about, is made again.
    Remake,
    /// One of the requests on their way is answered.
    Network,
    /// It reaches the endpoint, but its answer is lost.
    AnswerLost,
    /// It never arrives.
    Lost,
    Tick,
    PowerCut,
}

/// What hands do, and polls.
fn hands() -> impl Strategy<Value = Happens> {
    happens().prop_filter("the network and the power stay", |what| {
        !matches!(what, Happens::Network | Happens::AnswerLost | Happens::Lost | Happens::PowerCut)
    })
}

fn happens() -> impl Strategy<Value = Happens> {
    prop_oneof![
        12 => Just(Happens::On),
        2 => Just(Happens::Back),
        1 => Just(Happens::TakeBack),
        1 => Just(Happens::Pause),
        1 => Just(Happens::Undo),
        1 => (0..6usize).prop_map(Happens::Scan),
        2 => (0..6usize).prop_map(Happens::Open),
        1 => (0..4usize).prop_map(Happens::Page),
        3 => (0..4usize).prop_map(Happens::Answer),
        1 => (0..9u8).prop_map(Happens::Keypad),
        1 => Just(Happens::Remake),
        14 => Just(Happens::Network),
        2 => Just(Happens::AnswerLost),
        2 => Just(Happens::Lost),
        3 => Just(Happens::Tick),
        1 => Just(Happens::PowerCut),
    ]
}

/// A bench whose requests lie on a wire until the network moves.
struct Wired {
    bench: Bench,
    wire: VecDeque<Request>,
    /// Every mark that was ever made here and written down.
    made: Vec<Mark>,
    /// Marks that the endpoint has refused, and what had to fall with them.
    fallen: HashSet<String>,
    /// Those marks that scrap a piece which, as far as the hand knew, was unfinished and here.
    scrap: HashSet<String>,
}

impl Wired {
    fn new(shop: &Rc<RefCell<Shop>>, name: &'static str) -> Self {
        let (made, fallen, scrap) = (Vec::new(), HashSet::new(), HashSet::new());
        Self { bench: Bench::at(shop, name), wire: VecDeque::new(), made, fallen, scrap }
    }

    /// As the worker does: what is remembered is on the disk before a request is on the wire.
    fn tell(&mut self, message: Message) {
        let seen = self.bench.desk.heard.rows.clone().unwrap_or_default();
        let wanted = self.bench.desk.update(message);
        for mark in self.bench.desk.memory().unsent {
            if !self.made.iter().any(|made| made.id == mark.id) {
                let unfinished = |row: &Row| row.code == mark.code && !row.state.is_bent();
                if is_remake(&mark.event) && seen.iter().any(unfinished) {
                    self.scrap.insert(mark.id.clone());
                }
                self.made.push(mark);
            }
        }
        self.wire.extend(wanted);
    }

    fn intend(&mut self, intent: Intent) {
        self.tell(Message::Intent(intent));
    }

    fn happen(mut self, what: &Happens) -> Self {
        let shop = Rc::clone(&self.bench.shop);
        let code = |at: usize| shop.borrow().pieces[at].answer.row.label.clone();
        match what {
            Happens::On => self.intend(Intent::On),
            Happens::Back => self.intend(Intent::Scanned(Scan::Command(Command::Back))),
            Happens::TakeBack => self.intend(Intent::TakeBack),
            Happens::Pause => self.intend(Intent::Pause),
            Happens::Undo => self.intend(Intent::Undo),
            Happens::Scan(at) => self.intend(Intent::Scanned(Scan::Label(code(*at)))),
            Happens::Open(at) => {
                if let View::Order(order) = self.bench.screen().view
                    && let Some(piece) = order.pieces.get(at % order.pieces.len().max(1))
                {
                    self.intend(Intent::OpenPiece(piece.code.clone()));
                }
            }
            Happens::Page(at) => {
                let page = [Page::Labels, Page::Settings, Page::People, Page::Join][*at];
                self.intend(Intent::Open(page));
            }
            Happens::Answer(at) => {
                let message = self.bench.screen().message;
                let answer = message.and_then(|message| message.answers.get(*at).map(|answer| answer.intent.clone()));
                if let Some(intent) = answer {
                    self.intend(intent);
                }
            }
            Happens::Keypad(digit) => {
                self.intend(Intent::OpenKeypad);
                self.intend(Intent::Key(PadKey::Digit(*digit)));
                self.intend(Intent::Measured);
            }
            Happens::Remake => {
                self.intend(Intent::OpenRemake);
                self.intend(Intent::Because(0));
                self.intend(Intent::Remake);
            }
            Happens::Network => {
                if let Some(request) = self.wire.pop_front() {
                    self.answer(request, true);
                }
            }
            Happens::AnswerLost => {
                if let Some(request) = self.wire.pop_front() {
                    self.answer(request, false);
                }
            }
            Happens::Lost => {
                if let Some(request) = self.wire.pop_front() {
                    self.tell(Message::Answer(request, Err(CallError::Away)));
                }
            }
            Happens::Tick => {
                self.tell(Message::Tick);
                self.bench.keep_heard();
            }
            Happens::PowerCut => {
                self.wire.clear();
                self.bench = self.bench.unplugged();
                self.tell(Message::Tick);
            }
        }
        self
    }

    fn answer(&mut self, request: Request, arrives: bool) {
        let answer = self.bench.shop.borrow_mut().answer(&request);
        if let (Request::Send(mark), Err(CallError::Refused { word, .. }), true) = (&request, &answer, arrives) {
            self.fall(mark, word);
        }
        let answer = if arrives { answer } else { Err(CallError::Away) };
        self.tell(Message::Answer(request, answer));
    }

    /// With a mark that says how far a strip is, or is refused because another bench has the piece or has finished it, falls
    /// what was made of that piece since, but for what stands by itself: a label, and that a finished piece is made again.
    fn fall(&mut self, mark: &Mark, word: &str) {
        self.fallen.insert(mark.id.clone());
        let elsewhere = matches!(word, "held" | "gone-on" | "already-bent");
        if !elsewhere && matches!(mark.event, MarkedEvent::Measured { .. } | MarkedEvent::Print { .. }) {
            return;
        }
        let since = self.made.iter().skip_while(|made| made.id != mark.id).filter(|made| made.code == mark.code);
        let mut finished_here = false;
        for made in since {
            finished_here |= matches!(made.event, MarkedEvent::Bent { .. });
            let stands = match made.event {
                MarkedEvent::Print { .. } => true,
                MarkedEvent::Remake { .. } => !finished_here && !self.scrap.contains(&made.id),
                _ => false,
            };
            if !stands {
                self.fallen.insert(made.id.clone());
            }
        }
    }

    /// The network stays, until nothing is on the wire and nothing is unsent.
    fn quiet(&mut self) {
        for _ in 0..4 {
            self.tell(Message::Tick);
            let mut answered = 0;
            while let Some(request) = self.wire.pop_front() {
                self.answer(request, true);
                answered += 1;
                assert!(answered < 2000, "the desk asks without end");
            }
        }
        assert_eq!(self.bench.screen().unsent, 0);
    }
}

/// Every mark was taken by the endpoint, or was refused, or had to fall with one that was.
fn nothing_is_lost(wired: &Wired, shop: &Shop) {
    for mark in &wired.made {
        let taken = shop.taken.iter().any(|taken| taken.id == mark.id);
        assert!(taken || wired.fallen.contains(&mark.id), "lost: {mark:?}");
    }
}

/// What was scrap at one bench was no finished piece, nor another bench's.
fn no_good_piece_is_scrapped(wired: &Wired, shop: &Shop) -> bool {
    let here = &wired.bench.desk.own.bench.id;
    shop.scrapped
        .iter()
        .filter(|(id, ..)| wired.scrap.contains(id))
        .all(|(_, finished, holder)| !finished && holder.as_ref().is_none_or(|holder| holder.id == *here))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// While the network is there and nobody takes over what another makes, no hand ever bends or measures in vain.
    #[test]
    fn no_work_is_done_in_vain(what in prop::collection::vec((any::<bool>(), hands()), 0..250)) {
        let shop = Rc::new(RefCell::new(Shop::new()));
        let mut benches = [Some(Wired::new(&shop, "Brake 1")), Some(Wired::new(&shop, "Brake 2"))];
        for (second, what) in &what {
            let bench = &mut benches[usize::from(*second)];
            let takes_over = |wired: &Wired| {
                let message = wired.bench.screen().message;
                message.is_some_and(|message| {
                    message.answers.iter().any(|answer| matches!(answer.intent, Intent::TakeOver(_)))
                })
            };
            if matches!(what, Happens::Answer(_)) && bench.as_ref().is_some_and(takes_over) {
                continue;
            }
            *bench = bench.take().map(|wired| {
                let mut wired = wired.happen(what);
                while let Some(request) = wired.wire.pop_front() {
                    wired.answer(request, true);
                }
                wired
            });
            let in_vain = |mark: &Mark| matches!(mark.event, MarkedEvent::Bent { .. } | MarkedEvent::Measured { .. });
            prop_assert!(!shop.borrow().refused.iter().any(in_vain), "{:?}", shop.borrow().refused);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_piece_is_made_twice_and_no_mark_is_lost(
        what in prop::collection::vec((any::<bool>(), happens()), 0..250),
        printer in any::<bool>(),
    ) {
        let shop = Rc::new(RefCell::new(Shop::new()));
        if printer {
            shop.borrow_mut().printer = PrinterState::Ready;
        }
        let mut benches = [Some(Wired::new(&shop, "Brake 1")), Some(Wired::new(&shop, "Brake 2"))];
        for (second, what) in &what {
            let bench = &mut benches[usize::from(*second)];
            *bench = bench.take().map(|wired| wired.happen(what));
            prop_assert!(shop.borrow().pieces.iter().all(|kept| kept.made <= 1));
            prop_assert!(!shop.borrow().set_back, "a stale number was taken");
            prop_assert!(benches.iter().flatten().all(|wired| no_good_piece_is_scrapped(wired, &shop.borrow())));
        }
        let mut benches = benches.map(Option::unwrap);
        benches.iter_mut().for_each(Wired::quiet);

        // Both walk to the end by the large way on; whoever is asked gives the label his word and leaves the rest.
        for step in 0..3000 {
            let wired = &mut benches[step % 2];
            // A page that was left open has its own way back.
            while !matches!(wired.bench.screen().view, View::Queue(_) | View::Order(_) | View::Card(_)) {
                wired.intend(Intent::Back);
            }
            let closes = wired.bench.screen().message.is_some_and(|message| {
                message.answers.iter().any(|answer| answer.intent == Intent::CloseUnscanned)
            });
            wired.intend(if closes { Intent::CloseUnscanned } else { Intent::On });
            if step % 7 == 0 {
                wired.tell(Message::Tick);
            }
            while let Some(request) = wired.wire.pop_front() {
                wired.answer(request, true);
            }
            // What is left of the order is being made at the other bench.
            let done = matches!(wired.bench.screen().view, View::Order(order) if order.next.is_none());
            if done {
                wired.intend(Intent::Back);
            }
            if shop.borrow().pieces.iter().all(|kept| kept.remade_as.is_some() || kept.answer.row.state.is_bent()) {
                break;
            }
        }
        benches.iter_mut().for_each(Wired::quiet);
        let shop = shop.borrow();
        for wired in &benches {
            nothing_is_lost(wired, &shop);
        }
        for kept in shop.pieces.iter().filter(|kept| kept.remade_as.is_none()) {
            prop_assert_eq!((kept.made, kept.answer.row.state), (1, State::Bent), "{}", kept.answer.row.mark);
        }
    }
}
