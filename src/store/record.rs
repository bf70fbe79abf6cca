//! Recording what happened to a piece, and refusing what cannot have happened.

use rusqlite::{Connection, OptionalExtension, params};
use thiserror::Error;

use super::column::{Json, count};
use super::event::once;
use super::{Event, Store, StoreError};

/// What became of an event that was not refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recorded {
    New,
    /// It was recorded before under the same id: a message sent twice.
    Again,
}

/// What the trade's rules refuse. Nothing is changed. Times are milliseconds UTC: whoever has a clock says them.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Refusal {
    #[error("no piece has this code: check the label, or scan it again")]
    UnknownCode,
    #[error("this label is of an order {number} that was replaced: use the label of the order as it is now")]
    Replaced { number: String },
    #[error("this piece is already bent: set it aside and take the next one")]
    AlreadyBent { at: i64, by: Option<String> },
    #[error("this piece is not bent yet: bend it first")]
    NotBent,
    #[error("this piece is already loaded")]
    AlreadyLoaded { at: i64, by: Option<String> },
    #[error("this piece is already installed")]
    AlreadyInstalled { at: i64, by: Option<String> },
    #[error("{done} steps cannot be done: this piece has {steps}")]
    BadStep { done: usize, steps: usize },
    #[error("this event's id was used for something else: give every event an id of its own")]
    IdReused,
}

/// Why an event was not recorded.
#[derive(Debug, Error)]
pub enum RecordError {
    #[error(transparent)]
    Refused(#[from] Refusal),
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for RecordError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}

impl From<serde_json::Error> for RecordError {
    fn from(error: serde_json::Error) -> Self {
        Self::Store(error.into())
    }
}

impl Store {
    /// Records `event` of the piece with this code. `id` is chosen by whoever reports it; the same event under the
    /// same id is recorded once, however often it is sent. `by` may say who; `now` is milliseconds UTC.
    ///
    /// # Errors
    /// A [`Refusal`] when it cannot have happened.
    pub fn record(
        &self,
        code: &str,
        event: &Event,
        id: &str,
        by: Option<&str>,
        now: i64,
    ) -> Result<Recorded, RecordError> {
        self.write(|connection| {
            if let Some(known) = by_id(connection, id)? {
                let same = known.0 == code && known.1 == *event;
                return if same { Ok(Recorded::Again) } else { Err(Refusal::IdReused.into()) };
            }
            allow(connection, code, event)?;
            connection
                .prepare_cached("INSERT INTO events (id, code, at, by, event) VALUES (?, ?, ?, ?, ?)")?
                .execute(params![id, code, now, by, serde_json::to_string(event)?])?;
            Ok(Recorded::New)
        })
    }
}

fn by_id(connection: &Connection, id: &str) -> rusqlite::Result<Option<(String, Event)>> {
    connection
        .prepare_cached("SELECT code, event FROM events WHERE id = ?")?
        .query_row([id], |row| Ok((row.get("code")?, row.get::<_, Json<Event>>("event")?.0)))
        .optional()
}

/// The rules. A report is always taken: whatever state a bad piece is in, somebody must hear of it.
fn allow(connection: &Connection, code: &str, event: &Event) -> Result<(), RecordError> {
    let (steps, number, replaced) = connection
        .prepare_cached(
            "SELECT p.steps, o.number, o.replaced_by IS NOT NULL AS replaced
             FROM pieces p JOIN orders o ON o.id = p.order_id WHERE p.code = ?",
        )?
        .query_row([code], |row| Ok((count(row, "steps")?, row.get("number")?, row.get("replaced")?)))
        .optional()?
        .ok_or(Refusal::UnknownCode)?;
    if replaced {
        return Err(Refusal::Replaced { number }.into());
    }
    let once = |kind| once(connection, code, kind);
    let refusal = match event {
        Event::Step { done } => match once("bent")? {
            Some((at, by)) => Some(Refusal::AlreadyBent { at, by }),
            None => (*done > steps).then_some(Refusal::BadStep { done: *done, steps }),
        },
        Event::Bent => once("bent")?.map(|(at, by)| Refusal::AlreadyBent { at, by }),
        Event::Loaded | Event::Installed if once("bent")?.is_none() => Some(Refusal::NotBent),
        Event::Loaded => once("loaded")?.map(|(at, by)| Refusal::AlreadyLoaded { at, by }),
        Event::Installed => once("installed")?.map(|(at, by)| Refusal::AlreadyInstalled { at, by }),
        Event::Reported { .. } => None,
    };
    refusal.map_or(Ok(()), |refusal| Err(refusal.into()))
}

#[cfg(test)]
mod tests {
    use std::sync::Barrier;
    use std::thread;

    use proptest::prelude::*;

    use super::super::fixture::{Kept, Order};
    use super::*;
    use crate::store::State;

    /// What each of these events in turn was answered with.
    fn record(store: &Store, code: &str, events: &[(&str, Event)]) -> Vec<Result<Recorded, Refusal>> {
        let answer = |(id, event): &(&str, Event)| match store.record(code, event, id, Some("Ana"), 9) {
            Ok(recorded) => Ok(recorded),
            Err(RecordError::Refused(refusal)) => Err(refusal),
            Err(RecordError::Store(error)) => panic!("{error}"),
        };
        events.iter().map(answer).collect()
    }

    #[test]
    fn refuses_what_cannot_have_happened() {
        let kept = Kept::with(&["A1"]);
        let steps = kept.piece("A1").unwrap().unwrap().piece.steps.len();
        let (at, by) = (9, Some("Ana".to_owned()));
        let bent = || Refusal::AlreadyBent { at, by: by.clone() };
        let answers = record(
            &kept,
            "A1",
            &[
                ("1", Event::Loaded),
                ("1", Event::Installed),
                ("1", Event::Step { done: steps + 1 }),
                ("1", Event::Step { done: steps }),
                ("2", Event::Bent),
                ("3", Event::Bent),
                ("3", Event::Step { done: 1 }),
                ("3", Event::Loaded),
                ("4", Event::Loaded),
                ("4", Event::Installed),
                ("5", Event::Installed),
                ("5", Event::Reported { why: "scratched".into() }),
                ("6", Event::Reported { why: "scratched".into() }),
            ],
        );
        let new = || Ok(Recorded::New);
        let expected = [
            Err(Refusal::NotBent),
            Err(Refusal::NotBent),
            Err(Refusal::BadStep { done: steps + 1, steps }),
            new(),
            new(),
            Err(bent()),
            Err(bent()),
            new(),
            Err(Refusal::AlreadyLoaded { at, by: by.clone() }),
            new(),
            Err(Refusal::AlreadyInstalled { at, by: by.clone() }),
            new(),
            new(),
        ];
        assert_eq!(answers, expected);
        assert_eq!(record(&kept, "A9", &[("9", Event::Bent)]), [Err(Refusal::UnknownCode)]);
    }

    #[test]
    fn a_message_sent_twice_is_recorded_once() {
        let kept = Kept::with(&["A1", "A2"]);
        let bent = [("1", Event::Bent)];
        assert_eq!(record(&kept, "A1", &bent), [Ok(Recorded::New)]);
        let kept = kept.reopened();
        assert_eq!(record(&kept, "A1", &bent), [Ok(Recorded::Again)]);
        assert_eq!(record(&kept, "A2", &bent), [Err(Refusal::IdReused)]);
        assert_eq!(record(&kept, "A1", &[("1", Event::Loaded)]), [Err(Refusal::IdReused)]);
        // Again, though by now it could not be recorded anew.
        let steps = [("2", Event::Step { done: 1 }), ("3", Event::Bent), ("2", Event::Step { done: 1 })];
        assert_eq!(record(&kept, "A2", &steps), [Ok(Recorded::New), Ok(Recorded::New), Ok(Recorded::Again)]);
        assert_eq!(record(&kept, "A2", &[("2", Event::Step { done: 2 })]), [Err(Refusal::IdReused)]);
        assert_eq!(kept.history("A2").unwrap().len(), 2);
    }

    #[test]
    fn a_label_of_a_replaced_order_says_so() {
        let kept = Kept::with(&["A1"]);
        Order::new("2041", &["B1", "B2"]).replacing().accept(&kept, 1).unwrap();
        let replaced = Refusal::Replaced { number: "2041".into() };
        assert_eq!(record(&kept, "A1", &[("1", Event::Bent)]), [Err(replaced)]);
        assert_eq!(record(&kept, "B1", &[("1", Event::Bent)]), [Ok(Recorded::New)]);
    }

    #[test]
    fn of_many_who_finish_one_piece_one_does() {
        let kept = Kept::with(&["A1", "A2"]);
        let start = Barrier::new(8);
        let bend = |code: &'static str, id: &str| {
            start.wait();
            record(&kept, code, &[(id, Event::Bent)]).remove(0)
        };
        let all = |code: &'static str, id: &(dyn Fn(usize) -> String + Sync)| -> Vec<_> {
            thread::scope(|scope| {
                let benches: Vec<_> = (0..8).map(|n| scope.spawn(move || bend(code, &id(n)))).collect();
                benches.into_iter().map(|bench| bench.join().unwrap()).collect()
            })
        };
        let (won, lost): (Vec<_>, Vec<_>) = all("A1", &|n| n.to_string()).into_iter().partition(Result::is_ok);
        assert_eq!(won, [Ok(Recorded::New)]);
        assert!(lost.iter().all(|lost| matches!(lost, Err(Refusal::AlreadyBent { .. }))));

        let mut same = all("A2", &|_| "same".into());
        same.sort_by_key(|answer| answer != &Ok(Recorded::New));
        assert_eq!(same[0], Ok(Recorded::New));
        assert_eq!(same[1..], [const { Ok(Recorded::Again) }; 7]);
    }

    /// What a person with a pencil would keep of one piece.
    #[derive(Default)]
    struct Pencil {
        steps: usize,
        done: usize,
        bent: bool,
        loaded: bool,
        installed: bool,
        why: Option<String>,
    }

    impl Pencil {
        /// Whether the event is believed, and then what becomes of the piece.
        fn hears(&mut self, event: &Event) -> bool {
            match event {
                Event::Step { done } if !self.bent && *done <= self.steps => self.done = *done,
                Event::Bent if !self.bent => self.bent = true,
                Event::Loaded if self.bent && !self.loaded => self.loaded = true,
                Event::Installed if self.bent && !self.installed => self.installed = true,
                Event::Reported { why } => self.why = Some(why.clone()),
                _ => return false,
            }
            true
        }

        fn state(&self) -> State {
            if self.installed {
                State::Installed
            } else if self.loaded {
                State::Loaded
            } else if self.bent {
                State::Bent
            } else if self.done > 0 {
                State::Started
            } else {
                State::Waiting
            }
        }
    }

    fn any_event() -> impl Strategy<Value = Event> {
        prop_oneof![
            4 => (0..20_usize).prop_map(|done| Event::Step { done }),
            1 => Just(Event::Bent),
            1 => Just(Event::Loaded),
            1 => Just(Event::Installed),
            1 => "[a-z\"\\\\ ½]{0,4}".prop_map(|why| Event::Reported { why }),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]
        #[test]
        fn whatever_happens_the_state_follows(events in prop::collection::vec((0..3_usize, any_event()), 0..24)) {
            const CODES: [&str; 3] = ["A1", "A2", "A3"];
            let kept = Kept::with(&CODES);
            let rows = kept.pieces("2041", 0, 9).unwrap();
            let mut pencil: Vec<_> =
                rows.iter().map(|row| Pencil { steps: row.steps, ..Pencil::default() }).collect();
            for (n, (piece, event)) in events.iter().enumerate() {
                let recorded = record(&kept, CODES[*piece], &[(&n.to_string(), event.clone())]).remove(0);
                prop_assert_eq!(recorded.is_ok(), pencil[*piece].hears(event));
            }
            let kept = kept.reopened();
            for (row, pencil) in kept.pieces("2041", 0, 9).unwrap().iter().zip(&pencil) {
                prop_assert_eq!(row.done, pencil.done);
                prop_assert_eq!(row.state, pencil.state());
                prop_assert_eq!(&row.reported, &pencil.why);
                let single = kept.piece(&row.code).unwrap().unwrap().row;
                prop_assert_eq!(&single, row);
            }
            let order = kept.order("2041").unwrap().unwrap();
            let count = |holds: fn(&Pencil) -> bool| pencil.iter().filter(|pencil| holds(pencil)).count();
            prop_assert_eq!(
                [order.pieces, order.started, order.bent, order.loaded, order.installed, order.reported],
                [
                    3,
                    count(|pencil| pencil.state() == State::Started),
                    count(|pencil| pencil.bent),
                    count(|pencil| pencil.loaded),
                    count(|pencil| pencil.installed),
                    count(|pencil| pencil.why.is_some()),
                ]
            );
        }
    }
}
