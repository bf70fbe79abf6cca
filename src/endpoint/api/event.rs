//! What is reported of a piece, as it comes over the wire: `{"event":"step","done":3}`.

use crate::endpoint::body;
use crate::endpoint::problem::Problem;
use crate::order::bounds::LONGEST_MEASURED;
use crate::order::parse::reader::{Object, Spot, one_of};
use crate::order::parse::text::line;
use crate::store::{Bench, Event};

/// The longest name of who or which bench did it, and the longest reason, in characters.
pub const LONGEST: usize = 200;

/// What an id must be, and a reason.
pub const ID: &str = "8 to 64 letters A-Z, a-z, digits or hyphens, new for every request";
pub const WHY: &str = "why, text of 1 to 200 characters";
const DONE: &str = "how many steps are done, a whole number from 0";
const BENCH: &str = "which bench, { \"id\": …, \"name\": … }";
const BENCH_ID: &str = "the same 8 to 64 letters A-Z, a-z, digits or hyphens in every event of this bench";
const NAME: &str = "text of 1 to 200 characters";
const MM: &str = "a length in mm, more than 0 and at most 100000";

/// What can be reported of a piece. That it was made again, or its label printed again, follows from asking for that.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Step,
    Measured,
    Bent,
    Reopened,
    Loaded,
    Installed,
    Reported,
}

const KINDS: [(&str, Kind); 7] = [
    ("step", Kind::Step),
    ("measured", Kind::Measured),
    ("bent", Kind::Bent),
    ("reopened", Kind::Reopened),
    ("loaded", Kind::Loaded),
    ("installed", Kind::Installed),
    ("reported", Kind::Reported),
];

const OF_EVERY: &[&str] = &["id", "event", "by"];
/// The keys of some event or other.
const OF_ANY: &[&str] = &["done", "bench", "take_over", "let_go", "mm", "accepted", "as_wanted", "why"];

impl Kind {
    /// The keys of such an event, beside [`OF_EVERY`].
    fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Step => &["done", "bench", "take_over", "let_go"],
            Self::Measured => &["mm", "accepted", "as_wanted", "bench"],
            Self::Bent => &["bench"],
            Self::Reported => &["why"],
            Self::Reopened | Self::Loaded | Self::Installed => &[],
        }
    }
}

/// An event that somebody reports.
#[derive(Debug)]
pub struct Said {
    /// Chosen by whoever reports it.
    pub id: String,
    pub by: Option<String>,
    pub what: What,
}

/// What is said to have happened.
#[derive(Debug)]
pub enum What {
    Event(Event),
    /// The piece's length is as it should be. No reading was taken, so how long that is only the piece tells.
    AsWanted {
        bench: Option<Bench>,
    },
}

impl Said {
    /// Reads and checks an event.
    ///
    /// # Errors
    /// 400 for what is not JSON, 422 with every fault.
    pub fn read(body: &[u8]) -> Result<Self, Problem> {
        body::read(body, said)
    }
}

fn said(spot: &Spot) -> Option<Said> {
    let body = spot.any_object("an event, { \"id\": …, \"event\": … }")?;
    let kind = body.required("event", &one_of(&KINDS), |event| event.word(&KINDS));
    body.known(&[OF_EVERY, kind.map_or(OF_ANY, Kind::keys)].concat());
    let id = body.required("id", ID, id);
    let by = by(&body);
    let what = match kind {
        Some(Kind::Measured) if truth(&body, "as_wanted") == Some(true) && !body.has("mm") => {
            let (accepted, bench) = (accepted(&body, true), named_bench(&body));
            accepted.and(bench).map(|bench| What::AsWanted { bench })
        }
        Some(kind) => event(kind, &body).map(What::Event),
        None => {
            // Which of them belong to the event is not known, but whether they can be read is.
            body.get("done").and_then(|spot| done(&spot));
            body.get("mm").and_then(|spot| mm(&spot));
            body.get("why").and_then(|spot| why(&spot));
            named_bench(&body);
            for key in ["take_over", "let_go", "accepted", "as_wanted"] {
                truth(&body, key);
            }
            None
        }
    };
    Some(Said { id: id?, by: by?, what: what? })
}

fn event(kind: Kind, body: &Object) -> Option<Event> {
    match kind {
        Kind::Step => {
            let (done, bench) = (body.required("done", DONE, done), named_bench(body));
            let [take_over, let_go] = ["take_over", "let_go"].map(|key| truth(body, key));
            Some(Event::Step { done: done?, bench: bench?, take_over: take_over?, let_go: let_go? })
        }
        Kind::Measured => {
            let (mm, as_wanted) = (body.required("mm", MM, mm), truth(body, "as_wanted"));
            let (accepted, bench) = (accepted(body, as_wanted == Some(true)), named_bench(body));
            Some(Event::Measured { mm: mm?, accepted: accepted?, as_wanted: as_wanted?, bench: bench? })
        }
        Kind::Bent => Some(Event::Bent { bench: named_bench(body)? }),
        Kind::Reopened => Some(Event::Reopened),
        Kind::Loaded => Some(Event::Loaded),
        Kind::Installed => Some(Event::Installed),
        Kind::Reported => body.required("why", WHY, why).map(|why| Event::Reported { why }),
    }
}

/// The id that whoever asks for something has chosen for it.
pub fn id(spot: &Spot) -> Option<String> {
    spot.value.as_str().filter(|id| is_id(id)).map(str::to_owned).or_else(|| spot.wrong(ID))
}

/// Who asks for it, if they say so.
pub fn by(body: &Object) -> Option<Option<String>> {
    body.or("by", None, |by| line(by, LONGEST).map(Some))
}

/// The reason, one line.
pub fn why(spot: &Spot) -> Option<String> {
    line(spot, LONGEST)
}

fn truth(body: &Object, key: &str) -> Option<bool> {
    body.or(key, false, |spot| spot.truth())
}

/// Nobody accepts a length that is as it should be.
fn accepted(body: &Object, as_wanted: bool) -> Option<bool> {
    let accepted = |spot: &Spot| match spot.truth()? {
        true if as_wanted => spot.fault("not with as_wanted: what is as it should be need not be accepted"),
        accepted => Some(accepted),
    };
    body.or("accepted", false, accepted)
}

fn done(spot: &Spot) -> Option<usize> {
    spot.value.as_u64().and_then(|done| done.try_into().ok()).or_else(|| spot.wrong(DONE))
}

fn mm(spot: &Spot) -> Option<f64> {
    spot.value.as_f64().filter(|mm| *mm > 0.0 && *mm <= LONGEST_MEASURED.mm()).or_else(|| spot.wrong(MM))
}

/// Which bench says it, if one does.
pub fn named_bench(body: &Object) -> Option<Option<Bench>> {
    body.or("bench", None, |spot| {
        let bench = spot.object(BENCH, &["id", "name"])?;
        let fits = |spot: &Spot| spot.value.as_str().filter(|id| is_id(id)).map(str::to_owned);
        let id = bench.required("id", BENCH_ID, |spot| fits(spot).or_else(|| spot.wrong(BENCH_ID)));
        let name = bench.required("name", NAME, |name| line(name, LONGEST));
        Some(Some(Bench { id: id?, name: name? }))
    })
}

/// Whether this may be an event's id.
pub fn is_id(id: &str) -> bool {
    (8..=64).contains(&id.len()) && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::{LONGEST_MEASURED, MM};
    use crate::endpoint::fixture::{Shop, body, order};
    use crate::endpoint::http::Response;

    fn bench(n: u8) -> Value {
        json!({ "id": format!("bench-00{n}"), "name": format!("Bench {n}") })
    }

    fn refusal(response: &Response) -> (u16, String) {
        (response.status, body(response)["refusal"].as_str().unwrap_or_default().to_owned())
    }

    /// A shop and a piece, and whatever is reported of it under an id of its own.
    struct Brake {
        shop: Shop,
        code: String,
        next: std::cell::Cell<u32>,
    }

    impl Brake {
        fn new() -> Self {
            let shop = Shop::with(&order("2041"));
            let code = shop.code("2041", "A-EW-3");
            Self { shop, code, next: 0.into() }
        }

        fn report(&self, event: Value) -> Response {
            self.next.set(self.next.get() + 1);
            self.shop.report(&self.code, &format!("event-{:04}", self.next.get()), event)
        }
    }

    /// The one that came late is told who has it, and makes nothing; taken over, it is the first one that is told.
    #[test]
    fn of_two_benches_only_the_one_that_holds_a_piece_makes_it() {
        let brake = Brake::new();
        let step = |n, done| json!({ "event": "step", "done": done, "bench": bench(n) });
        let taken = brake.report(step(1, 0));
        assert_eq!((taken.status, &body(&taken)["bench"]), (200, &bench(1)));
        let late = brake.report(step(2, 0));
        assert_eq!(refusal(&late), (409, "held".into()));
        assert!(body(&late)["detail"].as_str().unwrap().starts_with("Bench 1 is making this piece"));
        assert_eq!(refusal(&brake.report(json!({ "event": "bent", "bench": bench(2) }))), (409, "held".into()));
        assert_eq!(brake.report(step(1, 2)).status, 200);

        let mut over = step(2, 2);
        over["take_over"] = true.into();
        assert_eq!(body(&brake.report(over))["bench"], bench(2));
        assert_eq!(refusal(&brake.report(step(1, 3))), (409, "held".into()));
        // Let go by who has it, whoever comes may have it.
        let let_go = |n| json!({ "event": "step", "done": 2, "bench": bench(n), "let_go": true });
        assert_eq!(refusal(&brake.report(let_go(1))), (409, "held".into()));
        assert_eq!(body(&brake.report(let_go(2)))["bench"], Value::Null);
        assert_eq!(brake.report(step(1, 3)).status, 200);
        let bent = body(&brake.report(json!({ "event": "bent", "bench": bench(1) })));
        assert_eq!((&bent["state"], &bent["bench"], &bent["done"]), (&json!("bent"), &Value::Null, &json!(3)));
    }

    #[test]
    fn of_two_benches_that_take_a_piece_at_the_same_moment_one_gets_it() {
        let Brake { shop, code, .. } = Brake::new();
        let answers = std::thread::scope(|scope| {
            let take = |n| {
                let (shop, code) = (&shop, &code);
                let event = json!({ "event": "step", "done": 0, "bench": bench(n) });
                scope.spawn(move || shop.report(code, &format!("taken-by-{n}"), event))
            };
            [take(1), take(2)].map(|bench| bench.join().unwrap())
        });
        let [(late, held), (first, _)] = match answers.each_ref().map(refusal) {
            [first @ (200, _), late] => [late, first],
            [late, first] => [late, first],
        };
        assert_eq!((first, late, held.as_str()), (200, 409, "held"));
    }

    #[test]
    fn a_finished_piece_goes_back_to_the_brake_until_it_is_loaded() {
        let brake = Brake::new();
        let report = |event: &str| brake.report(json!({ "event": event }));
        assert_eq!(refusal(&report("reopened")), (409, "not-bent".into()));
        brake.report(json!({ "event": "step", "done": 4 }));
        assert_eq!(report("bent").status, 200);
        let reopened = body(&report("reopened"));
        assert_eq!((&reopened["state"], &reopened["done"]), (&json!("started"), &json!(4)));
        assert_eq!(refusal(&report("loaded")), (409, "not-bent".into()));
        assert_eq!(body(&report("bent"))["state"], "bent");
        assert_eq!(report("loaded").status, 200);
        assert_eq!(refusal(&report("reopened")), (409, "already-loaded".into()));
    }

    #[test]
    fn a_length_is_held_against_the_tolerance() {
        let brake = Brake::new();
        let whole = body(&brake.shop.get(&format!("/api/pieces/{}", brake.code)));
        let steps = whole["piece"]["steps"].as_array().unwrap();
        let check = steps.iter().find(|step| step["do"] == "check-length").unwrap();
        let [wanted, within] = ["number", "tolerance"].map(|key| check[key]["mm"].as_f64().unwrap());
        let measured = |mm: f64| json!({ "event": "measured", "mm": mm });
        let right = body(&brake.report(measured(wanted + within * 0.9)));
        assert_eq!(
            (&right["measured"]["accepted"], right["measured"]["mm"].as_f64()),
            (&json!(false), Some(wanted + within * 0.9))
        );
        let off = brake.report(measured(wanted - within * 1.1));
        assert_eq!(refusal(&off), (409, "out-of-tolerance".into()));
        assert!(body(&off)["detail"].as_str().unwrap().contains(check["tolerance"]["text"].as_str().unwrap()));
        let mut accepted = measured(wanted - within * 1.1);
        accepted["accepted"] = true.into();
        assert_eq!(refusal(&brake.report(accepted.clone())), (409, "name-needed".into()));
        accepted["by"] = "Ana".into();
        let row = body(&brake.report(accepted));
        assert_eq!((&row["measured"]["accepted"], &row["measured"]["by"]), (&json!(true), &json!("Ana")));

        // As it should be, by a hand's word: no tape was read, and nobody is to think that one was.
        assert_eq!(row["measured"].get("as_wanted"), None);
        let row = body(&brake.report(json!({ "event": "measured", "as_wanted": true, "bench": bench(1) })));
        let told = json!({ "mm": wanted, "accepted": false, "as_wanted": true, "by": null });
        assert_eq!(row["measured"], told);
        let whole = body(&brake.shop.get(&format!("/api/pieces/{}", brake.code)));
        let last = whole["history"].as_array().unwrap().last().unwrap();
        assert_eq!((&last["as_wanted"], &last["bench"]), (&json!(true), &bench(1)));
        let mut off = measured(wanted - within * 1.1);
        off["as_wanted"] = true.into();
        assert_eq!(refusal(&brake.report(off)), (409, "out-of-tolerance".into()));
    }

    #[test]
    fn an_event_is_told_as_it_was_reported() {
        let brake = Brake::new();
        let said = [
            json!({ "event": "step", "done": 2, "bench": bench(1), "take_over": true }),
            json!({ "event": "step", "done": 2 }),
            json!({ "event": "step", "done": 2, "bench": bench(2), "let_go": true }),
            json!({ "event": "bent", "bench": bench(2) }),
            json!({ "event": "reopened" }),
            json!({ "event": "reported", "why": "short" }),
        ];
        for event in &said {
            assert_eq!(brake.report(event.clone()).status, 200, "{event}");
        }
        let mut told = body(&brake.shop.get(&format!("/api/pieces/{}", brake.code)))["history"].clone();
        for line in told.as_array_mut().unwrap() {
            let line = line.as_object_mut().unwrap();
            assert_eq!(
                (line.remove("at"), line.remove("by")),
                (Some("2026-11-25T14:31:00Z".into()), Some(Value::Null))
            );
        }
        assert_eq!(told, json!(said));
    }

    #[test]
    fn a_bench_is_named_whole_and_a_length_is_one() {
        let brake = Brake::new();
        let step = |bench: Value| json!({ "event": "step", "done": 1, "bench": bench });
        for (event, pointer) in [
            (step(json!("bench-001")), "/bench"),
            (step(json!({ "name": "Bench 1" })), "/bench/id"),
            (step(json!({ "id": "1", "name": "Bench 1" })), "/bench/id"),
            (step(json!({ "id": "bench-001" })), "/bench/name"),
            (step(json!({ "id": "bench-001", "name": "x", "at": 1 })), "/bench/at"),
            (json!({ "event": "step", "done": 1, "take_over": "yes" }), "/take_over"),
            (json!({ "event": "step", "done": 1, "let_go": 1 }), "/let_go"),
            (json!({ "event": "measured", "mm": 1, "bench": "bench-001" }), "/bench"),
            (json!({ "event": "measured", "as_wanted": true, "bench": "bench-001" }), "/bench"),
            (json!({ "event": "bent", "take_over": true }), "/take_over"),
            (json!({ "event": "measured" }), "/mm"),
            (json!({ "event": "measured", "mm": 0 }), "/mm"),
            (json!({ "event": "measured", "as_wanted": false }), "/mm"),
            (json!({ "event": "measured", "as_wanted": 1 }), "/as_wanted"),
            (json!({ "event": "measured", "as_wanted": true, "accepted": true }), "/accepted"),
            (json!({ "event": "measured", "mm": LONGEST_MEASURED.mm() + 0.001 }), "/mm"),
            (json!({ "event": "measured", "mm": 1, "accepted": 1 }), "/accepted"),
            (json!({ "event": "remade", "why": "x" }), "/event"),
            (json!({ "event": "reprinted" }), "/event"),
        ] {
            let refused = brake.report(event.clone());
            assert_eq!((refused.status, &body(&refused)["faults"][0]["pointer"]), (422, &json!(pointer)), "{event}");
        }
        // Of an unknown event, all that some event or other may say is read.
        let stray = json!({ "event": "lost", "done": "1", "bench": 1, "take_over": 1, "let_go": 1, "mm": 0,
                            "accepted": 1, "as_wanted": 1, "why": 1 });
        assert_eq!(body(&brake.report(stray))["faults"].as_array().unwrap().len(), 9);
        assert!(MM.ends_with(&format!(" {}", LONGEST_MEASURED.mm())), "the fault says the bound itself");
        let longest = json!({ "event": "measured", "mm": LONGEST_MEASURED.mm(), "accepted": true, "by": "Ana" });
        assert_eq!(brake.report(longest).status, 200);
    }

    /// Its own code is a piece's identity for ever; a label's is good until the next is printed.
    #[test]
    fn a_piece_goes_by_its_own_code_and_its_newest_labels() {
        let brake = Brake::new();
        let [first, second] = [brake.shop.relabel(&brake.code), brake.shop.relabel(&brake.code)];
        for (n, (code, answer)) in [
            (&brake.code, (200, String::new())),
            (&second, (200, String::new())),
            (&first, (410, "label-retired".into())),
        ]
        .into_iter()
        .enumerate()
        {
            let told = brake.shop.get(&format!("/api/pieces/{code}"));
            assert_eq!(refusal(&told), answer, "{code}");
            let id = format!("by-label-{n}");
            assert_eq!(refusal(&brake.shop.report(code, &id, json!({ "event": "step", "done": n }))), answer, "{code}");
        }
        let row = body(&brake.shop.get(&format!("/api/pieces/{second}")));
        assert_eq!((&row["code"], &row["label"]), (&json!(brake.code), &json!(second)));
    }
}
