//! The shop of these tests takes and refuses what the endpoint does: the same is told to both, to the real one by the
//! bench's own client over the network.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use jiff::tz::TimeZone;
use proptest::prelude::*;

use super::shop::{Shop, document};
use crate::bench::api::{Bench, CallError, Client, Mark, MarkedEvent, PrintDo, PrintWord, Row, State, Taken};
use crate::bench::desk::{Answer, Request};
use crate::endpoint::Kiosk;
use crate::endpoint::clock::Clock;
use crate::endpoint::door::{Handler, Server};
use crate::endpoint::http::{Method, Request as HttpRequest};
use crate::label::url::Address;
use crate::store::Store;

/// What happens to the one piece of order 8.
#[derive(Debug, Clone)]
enum Happens {
    Mark(MarkedEvent, bool),
    /// The mark before, sent once more.
    Again,
    CancelPrint,
}

fn event() -> impl Strategy<Value = MarkedEvent> {
    let bench = || {
        prop::option::weighted(
            0.8,
            (1..3u8).prop_map(|n| Bench { id: format!("bench-00{n}"), name: format!("Brake {n}") }),
        )
    };
    let rarely = || prop::bool::weighted(0.2);
    // By less than any tolerance, by more than any, or not at all: the piece is 100 in long.
    let mm = prop::option::of(prop::sample::select(vec![2540.0, 2540.1, 2600.0]));
    prop_oneof![
        6 => (0..20_usize, bench(), rarely(), rarely())
            .prop_map(|(done, bench, take_over, let_go)| MarkedEvent::Step { done, bench, take_over, let_go }),
        3 => (mm, any::<bool>(), bench()).prop_map(|(mm, accepted, bench)| MarkedEvent::Measured {
            mm,
            accepted: accepted && mm.is_some(),
            as_wanted: mm.is_none(),
            bench,
        }),
        3 => bench().prop_map(|bench| MarkedEvent::Bent { bench }),
        2 => Just(MarkedEvent::Reopened),
        1 => bench().prop_map(|bench| MarkedEvent::Remake { why: "dented".into(), bench }),
        1 => rarely().prop_map(|reprint| MarkedEvent::Print { reprint }),
    ]
}

fn happens() -> impl Strategy<Value = Happens> {
    prop_oneof![
        12 => (event(), any::<bool>()).prop_map(|(event, signed)| Happens::Mark(event, signed)),
        1 => Just(Happens::Again),
        1 => Just(Happens::CancelPrint),
    ]
}

/// What an answer says that the desk goes by.
#[derive(Debug, PartialEq)]
enum Told {
    Row(State, usize, Option<Bench>, Option<PrintWord>),
    Remade(State, usize),
    Print(PrintWord),
    Refused(String),
}

fn told(answer: Result<Taken, CallError>) -> Told {
    let of_row = |Row { state, done, bench, print, .. }| Told::Row(state, done, bench, print);
    match answer {
        Ok(Taken::Row(row)) => of_row(*row),
        Ok(Taken::Remade(row)) => Told::Remade(row.state, row.done),
        Ok(Taken::Print(print)) => Told::Print(print.state),
        Err(CallError::Refused { word, .. }) => Told::Refused(word),
        Err(error) => panic!("{error}"),
    }
}

/// The real endpoint, with order 8.
struct Real {
    client: Client,
    server: Option<Server>,
    _folder: tempfile::TempDir,
}

impl Real {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let clock = Clock { now: || 0, zone: TimeZone::UTC };
        let address = Address::new("127.0.0.1", 8787).unwrap();
        let kiosk = Kiosk::new(Store::open(folder.path()).unwrap(), address, clock, Arc::default()).unwrap();
        let key = kiosk.key().as_str().to_owned();
        let order = HttpRequest::new(Method::Post, "/api/orders")
            .with_header("Authorization", &format!("Bearer {key}"))
            .with_body("application/json", document("8").to_string());
        assert_eq!(kiosk.handle(&order).status, 201);
        let server = Server::start("127.0.0.1:0".parse().unwrap(), kiosk).unwrap();
        let client = Client::new(&format!("http://{}", server.address()), &key);
        Self { client, server: Some(server), _folder: folder }
    }
}

impl Drop for Real {
    fn drop(&mut self) {
        self.server.take().into_iter().for_each(Server::stop);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_shop_answers_as_the_endpoint_does(what in prop::collection::vec(happens(), 0..40)) {
        let shop = Rc::new(RefCell::new(Shop::new()));
        let mut real = Real::new();
        let mut code = real.client.pieces("8").unwrap().unwrap().remove(0).code;
        let mut ours = shop.borrow().code("E-EW-1");
        let mut sent: Option<Mark> = None;
        for (n, what) in what.into_iter().enumerate() {
            let mark = match (what, &sent) {
                (Happens::Mark(event, signed), _) => Mark {
                    id: format!("mark-{n:04}"),
                    code: code.clone(),
                    piece: String::new(),
                    by: signed.then(|| "Ana".into()),
                    claim: false,
                    event,
                },
                (Happens::Again, Some(mark)) if mark.code == code => mark.clone(),
                (Happens::CancelPrint, _) => {
                    let print = shop.borrow().prints.len() as i64;
                    if print > 0 {
                        let what = PrintDo::Cancel;
                        let answer = shop.borrow_mut().answer(&Request::PrintDo { print, what });
                        let state = |answer: Result<_, CallError>| answer.map_err(|error| told(Err(error)));
                        let theirs = state(real.client.print_do(print, what).map(|print| print.state));
                        prop_assert_eq!(theirs, state(answer.map(|answer| match answer {
                            Answer::Print(print) => print.state,
                            other => panic!("{other:?}"),
                        })));
                    }
                    continue;
                }
                (Happens::Again, _) => continue,
            };
            let theirs = real.client.send(&mark);
            let here = Mark { code: ours.clone(), ..mark.clone() };
            let answer = shop.borrow_mut().answer(&Request::Send(Box::new(here))).map(|answer| match answer {
                Answer::Sent(taken) => taken,
                other => panic!("{other:?}"),
            });
            let made_again = match (&theirs, &answer) {
                (Ok(Taken::Remade(new)), Ok(Taken::Remade(ours))) => Some((new.code.clone(), ours.code.clone())),
                _ => None,
            };
            prop_assert_eq!(told(theirs), told(answer), "{:?}", mark);
            if let Some(new) = made_again {
                (code, ours) = new;
            }
            sent = Some(mark);
        }
    }
}
