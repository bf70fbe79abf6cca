//! The desk without threads or a network: messages in, requests and screens out.

use std::sync::atomic::{AtomicUsize, Ordering};

use jiff::civil::date;
use serde_json::json;

use super::*;
use crate::bench::screen::Progress;
use crate::order::{parse, planner};

fn ids() -> Ids {
    static STARTS: AtomicUsize = AtomicUsize::new(0);
    Ids::new(format!("start-{}", STARTS.fetch_add(1, Ordering::Relaxed)))
}

/// An endpoint with one order of two lapped pieces, that answers what it is asked.
struct Endpoint {
    pieces: Vec<PieceAnswer>,
    away: bool,
}

impl Endpoint {
    fn new() -> Self {
        let text = json!({
            "format": "brakeside-order/1", "order": "7", "job": { "name": "Test", "due": "2026-12-04" }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": 120,
            "runs": [{ "wall": "A", "trim": "end-wall", "length": 200, "pitch": "2:12" }]
        });
        let (order, _) = parse::parse(text.to_string().as_bytes(), &Default::default()).unwrap();
        let plan = planner::plan(&order).unwrap();
        let answer = |piece: crate::order::plan::Piece| PieceAnswer {
            row: Row {
                code: format!("CODE{}", piece.place),
                mark: piece.mark.clone(),
                wall: piece.wall.clone(),
                trim: piece.trim,
                place: piece.place,
                of: piece.of,
                length: piece.length.clone(),
                state: State::Waiting,
                done: 0,
                steps: piece.steps.len(),
                reported: None,
            },
            job: order.job.clone(),
            piece,
        };
        Self { pieces: plan.pieces.iter().cloned().map(answer).collect(), away: false }
    }

    fn answer(&mut self, request: &Request) -> Result<Answer, CallError> {
        if self.away {
            return Err(CallError::Away);
        }
        let bent = self.pieces.iter().filter(|piece| piece.row.state.is_bent()).count();
        Ok(match request {
            Request::Orders => {
                let job = self.pieces[0].job.clone();
                Answer::Orders(Some(vec![Summary { order: "7".into(), job, pieces: 2, bent, loaded: 0 }]))
            }
            Request::Pieces { .. } => Answer::Pieces(Some(self.pieces.iter().map(|piece| piece.row.clone()).collect())),
            Request::Piece { code } => Answer::Piece(Box::new(self.find(code).clone())),
            Request::Picture { .. } => Answer::Picture(Picture { width: 1, height: 1, rgba: Default::default() }),
            Request::Send(mark) => {
                let row = &mut self.find(&mark.code).row;
                if row.state.is_bent() {
                    return Err(CallError::Refused { detail: "already bent".into() });
                }
                apply(row, mark);
                Answer::Sent(row.clone())
            }
        })
    }

    fn find(&mut self, code: &str) -> &mut PieceAnswer {
        self.pieces.iter_mut().find(|piece| piece.row.code == code).unwrap()
    }
}

/// A desk and its endpoint, run until the desk wants nothing more.
struct Bench {
    desk: Desk,
    endpoint: Endpoint,
}

impl Bench {
    fn new() -> Self {
        let mut bench = Self { desk: Desk::new(Memory::default(), ids()), endpoint: Endpoint::new() };
        bench.tell(Message::Tick);
        bench
    }

    fn tell(&mut self, message: Message) {
        let mut requests: VecDeque<Request> = self.desk.update(message).into();
        let mut answered = 0;
        while let Some(request) = requests.pop_front() {
            let answer = self.endpoint.answer(&request);
            requests.extend(self.desk.update(Message::Answer(request, answer)));
            answered += 1;
            assert!(answered < 200, "the desk asks without end");
        }
    }

    fn intend(&mut self, intent: Intent) {
        self.tell(Message::Intent(intent));
    }

    fn screen(&self) -> Screen {
        self.desk.screen(date(2026, 11, 25))
    }

    fn card(&self) -> super::super::screen::Card {
        match self.screen().view {
            View::Card(card) => *card,
            view => panic!("not a card: {view:?}"),
        }
    }

    /// From the queue to the first piece's first card.
    fn at_first_card() -> Self {
        let mut bench = Self::new();
        bench.intend(Intent::On);
        bench.intend(Intent::On);
        bench
    }

    fn restarted(self) -> Self {
        let memory = self.desk.memory();
        let mut bench = Self { desk: Desk::new(memory, ids()), ..self };
        bench.tell(Message::Tick);
        bench
    }
}

#[test]
fn the_queue_says_when_and_how_far() {
    let View::Queue(queue) = Bench::new().screen().view else { panic!("starts at the queue") };
    assert_eq!(queue.orders[0].due, "Fri 4 Dec");
    assert_eq!(queue.orders[0].due_in_days, Some(9));
    assert_eq!((queue.orders[0].bent, queue.orders[0].pieces), (0, 2));
}

#[test]
fn on_walks_every_card_and_finishes_the_piece() {
    let mut bench = Bench::at_first_card();
    let steps = bench.card().steps;
    for step in 0..steps {
        assert_eq!(bench.card().step, step);
        bench.intend(Intent::On);
    }
    let View::Order(order) = bench.screen().view else { panic!("back at the order") };
    assert_eq!((order.bent, order.next), (1, Some(1)));
    assert_eq!(bench.endpoint.pieces[0].row.state, State::Bent);
    assert_eq!(bench.screen().unsent, 0);
}

#[test]
fn back_goes_card_by_card_then_to_the_order_and_the_queue() {
    let mut bench = Bench::at_first_card();
    bench.intend(Intent::On);
    bench.intend(Intent::Back);
    assert_eq!(bench.card().step, 0);
    assert_eq!(bench.endpoint.pieces[0].row.done, 0);
    bench.intend(Intent::Back);
    assert!(matches!(bench.screen().view, View::Order(_)));
    bench.intend(Intent::Back);
    assert!(matches!(bench.screen().view, View::Queue(_)));
    bench.intend(Intent::Back);
    assert!(matches!(bench.screen().view, View::Queue(_)));
}

#[test]
fn works_on_while_the_endpoint_is_away_and_catches_up() {
    let mut bench = Bench::at_first_card();
    bench.endpoint.away = true;
    bench.intend(Intent::On);
    bench.intend(Intent::On);
    assert_eq!((bench.card().step, bench.screen().link, bench.screen().unsent), (2, Link::Down, 2));

    let mut bench = bench.restarted();
    assert_eq!(bench.screen().unsent, 2, "the power went: the marks are still here");
    bench.endpoint.away = false;
    bench.tell(Message::Tick);
    bench.tell(Message::Tick);
    assert_eq!((bench.screen().link, bench.screen().unsent), (Link::Up, 0));
    assert_eq!(bench.card().step, 2);
    assert_eq!(bench.endpoint.pieces[0].row.done, 2);
}

#[test]
fn comes_back_at_the_card_it_left() {
    let mut bench = Bench::at_first_card();
    for _ in 0..3 {
        bench.intend(Intent::On);
    }
    assert_eq!(bench.restarted().card().step, 3);
}

#[test]
fn a_piece_finished_at_another_bench_is_told_and_let_go() {
    let mut bench = Bench::at_first_card();
    bench.endpoint.pieces[0].row.state = State::Bent;
    // Before the next poll tells: the mark is refused.
    bench.intend(Intent::On);
    assert_eq!(bench.screen().message.as_deref(), Some("Already bent"));
    let View::Order(order) = bench.screen().view else { panic!("the card is closed") };
    assert_eq!(order.pieces[0].progress, Progress::Bent);
    assert_eq!(bench.screen().unsent, 0);

    // With no mark of ours on its way: the poll tells.
    let mut bench = Bench::at_first_card();
    bench.endpoint.pieces[0].row.state = State::Bent;
    bench.tell(Message::Tick);
    assert!(bench.screen().message.unwrap().contains("finished at another bench"));
}

#[test]
fn a_piece_that_another_bench_goes_on_with_is_told_at_once() {
    let mut bench = Bench::at_first_card();
    bench.intend(Intent::On);
    bench.endpoint.pieces[0].row.done = 4;
    bench.tell(Message::Tick);
    assert!(bench.screen().message.unwrap().contains("at another bench too: there it is at step 5"));
    assert_eq!(bench.card().step, 1, "nothing moves under the hand");
}

#[test]
fn an_order_replaced_under_the_hand_is_left() {
    let mut bench = Bench::at_first_card();
    bench.endpoint.pieces[0].row.code = "NEW".into();
    bench.tell(Message::Tick);
    assert!(bench.screen().message.unwrap().contains("Order 7 was replaced"));
    assert!(matches!(bench.screen().view, View::Order(_)));
}

#[test]
fn the_order_and_the_piece_last_seen_can_be_gone_on_with_while_the_endpoint_is_away() {
    let mut bench = Bench::at_first_card();
    bench.intend(Intent::On);
    bench.endpoint.away = true;
    bench.intend(Intent::On);
    for _ in 0..2 {
        bench.intend(Intent::Back);
    }
    bench.intend(Intent::Back);
    bench.intend(Intent::Back);
    assert!(matches!(bench.screen().view, View::Queue(_)));
    bench.intend(Intent::OpenOrder("7".into()));
    bench.intend(Intent::OpenPiece("CODE1".into()));
    assert_eq!(bench.card().step, 0);
    bench.intend(Intent::Back);
    bench.intend(Intent::Back);
    bench.intend(Intent::OpenOrder("8".into()));
    assert_eq!(bench.screen().view, View::Waiting { back: true });
    bench.intend(Intent::Back);
    assert!(matches!(bench.screen().view, View::Queue(_)));
}

#[test]
fn a_drawing_that_is_refused_or_has_no_room_is_no_message() {
    let mut bench = Bench::at_first_card();
    let wanted = bench.desk.update(Message::Intent(Intent::Canvas { width: 580, height: 24, dark: false }));
    assert!(!wanted.iter().any(|request| matches!(request, Request::Picture { .. })));
    let wanted = bench.desk.update(Message::Intent(Intent::Canvas { width: 580, height: 240, dark: false }));
    let picture = wanted.into_iter().find(|request| matches!(request, Request::Picture { .. })).unwrap();
    bench.desk.update(Message::Answer(picture, Err(CallError::Refused { detail: "too small".into() })));
    assert_eq!(bench.screen().message, None);
}

#[test]
fn drawings_come_for_the_shown_card_first_and_again_when_the_canvas_changes() {
    let mut bench = Bench::at_first_card();
    assert_eq!(bench.card().picture, None);
    let canvas = |width| Intent::Canvas { width, height: 90, dark: false };
    bench.intend(canvas(160));
    assert!(bench.card().picture.is_some());
    let wanted = bench.desk.update(Message::Intent(canvas(170)));
    assert!(matches!(wanted[0], Request::Picture { step: 0, .. }));
    assert!(bench.card().picture.is_some(), "the one of the old size until the new one comes");
}

#[test]
fn a_refused_key_is_said_and_nothing_is_lost() {
    let mut bench = Bench::at_first_card();
    let requests = bench.desk.update(Message::Intent(Intent::On));
    let sent = requests.into_iter().find(|request| matches!(request, Request::Send(_))).unwrap();
    bench.desk.update(Message::Answer(sent, Err(CallError::Key)));
    assert_eq!((bench.screen().link, bench.screen().unsent), (Link::Refused, 1));
}

/// Cards leave their drawings different room; away from the endpoint the drawing fetched for another room must do.
#[test]
fn the_drawings_stay_while_the_endpoint_is_away() {
    let canvas = |height| Intent::Canvas { width: 580, height, dark: false };
    let mut bench = Bench::at_first_card();
    bench.intend(canvas(395));
    bench.endpoint.away = true;
    bench.intend(Intent::On);
    bench.intend(canvas(310));
    assert_eq!(bench.screen().link, Link::Down);
    assert!(bench.card().picture.is_some());
}
