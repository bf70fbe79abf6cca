//! Recording what happened to a piece, and refusing what cannot have happened.

use rusqlite::{Connection, OptionalExtension, params};

use super::column::Json;
use super::event::standing;
use super::{Bench, Event, PieceRecord, RecordError, Refusal, Store, labels};
use crate::order::plan::{Action, Measure, Piece, Step};
use crate::trade::length::{Length, Units};

/// What became of an event that was not refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recorded {
    New,
    /// It was recorded before under the same id: a message sent twice.
    Again,
}

impl Store {
    /// Records `event` of the piece that this code names: its own code, or its newest label's. `id` is chosen by whoever
    /// reports it; the same event under the same id is recorded once, however often it is sent. `by` may say who; `now`
    /// is milliseconds UTC.
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
            if let Some((piece, known)) = by_id(connection, id)? {
                let same = known == *event && labels::piece_of(connection, code)? == Some(piece);
                return if same { Ok(Recorded::Again) } else { Err(Refusal::IdReused.into()) };
            }
            let piece = labels::standing(connection, code)?;
            allow(connection, &piece, event, by)?;
            keep_event(connection, &piece.row.code, event, id, by, now)?;
            Ok(Recorded::New)
        })
    }
}

/// The event of this id, and the piece it happened to.
pub(super) fn by_id(connection: &Connection, id: &str) -> rusqlite::Result<Option<(String, Event)>> {
    connection
        .prepare_cached("SELECT code, event FROM events WHERE id = ?")?
        .query_row([id], |row| Ok((row.get("code")?, row.get::<_, Json<Event>>("event")?.0)))
        .optional()
}

/// Writes down an event that is allowed.
pub(super) fn keep_event(
    connection: &Connection,
    piece: &str,
    event: &Event,
    id: &str,
    by: Option<&str>,
    now: i64,
) -> Result<(), RecordError> {
    connection
        .prepare_cached("INSERT INTO events (id, code, at, by, event) VALUES (?, ?, ?, ?, ?)")?
        .execute(params![id, piece, now, by, serde_json::to_string(event)?])?;
    Ok(())
}

/// The rules. A report is always taken: whatever state a bad piece is in, somebody must hear of it.
pub(super) fn allow(
    connection: &Connection,
    PieceRecord { order, row, piece, .. }: &PieceRecord,
    event: &Event,
    by: Option<&str>,
) -> Result<(), RecordError> {
    let standing = |kind| standing(connection, &row.code, kind);
    let bent = standing("bent")?;
    let held = |bench: &Option<Bench>| {
        let holder = row.bench.as_ref().zip(bench.as_ref());
        holder.and_then(|(holder, bench)| (holder.id != bench.id).then(|| Refusal::Held { bench: holder.clone() }))
    };
    let loaded = || Ok::<_, RecordError>(standing("loaded")?.map(|(at, by)| Refusal::AlreadyLoaded { at, by }));
    let installed =
        || Ok::<_, RecordError>(standing("installed")?.map(|(at, by)| Refusal::AlreadyInstalled { at, by }));
    let refusal = match (event, bent) {
        // With a tape anybody may measure a finished piece; what a bench says late is of another strip.
        (Event::Step { .. } | Event::Bent { .. } | Event::Measured { bench: Some(_), .. }, Some((at, by))) => {
            Some(Refusal::AlreadyBent { at, by })
        }
        (Event::Step { done, .. }, None) if *done > row.steps => {
            Some(Refusal::BadStep { done: *done, steps: row.steps })
        }
        (Event::Step { take_over: true, .. }, None) => None,
        (Event::Step { done, bench, .. }, None) => held(bench).or_else(|| {
            let takes = bench.is_some() && row.bench.is_none();
            (takes && *done < row.done).then_some(Refusal::GoneOn { done: row.done })
        }),
        (Event::Bent { bench }, None) => held(bench),
        (Event::Measured { mm, accepted, bench, .. }, _) => held(bench).or_else(|| {
            let out = out_of_tolerance(piece, order.units, *mm);
            match (out, accepted, by) {
                (Some(_), true, Some(_)) | (None, ..) => None,
                (Some(_), true, None) => Some(Refusal::NameNeeded),
                (Some(refusal), false, _) => Some(refusal),
            }
        }),
        (Event::Reopened, None) => Some(Refusal::NotBentYet),
        (Event::Reopened, Some(_)) => installed()?.or(loaded()?),
        (Event::Loaded | Event::Installed, None) => Some(Refusal::NotBent),
        (Event::Loaded, Some(_)) => loaded()?,
        (Event::Installed, Some(_)) => installed()?,
        (Event::Reported { .. }, _) => None,
        (Event::Remade { .. } | Event::Reprinted { .. }, _) => Some(Refusal::NotReported),
    };
    refusal.map_or(Ok(()), |refusal| Err(refusal.into()))
}

/// What a tape said is held against the step that asks for it.
fn out_of_tolerance(piece: &Piece, units: Units, mm: f64) -> Option<Refusal> {
    let measured = Length::from_mm(mm);
    let asks = |step: &&Step| step.action == Action::CheckLength;
    let step = piece.steps.iter().find(asks).filter(|step| !step.takes(measured))?;
    let (wanted, tolerance) = (step.number.clone()?, step.tolerance.clone()?);
    Some(Refusal::OutOfTolerance { measured: Measure::exact(measured, units), wanted, tolerance })
}

#[cfg(test)]
mod properties;

#[cfg(test)]
pub(super) mod tests {
    use std::sync::Barrier;
    use std::thread;

    use super::super::fixture::{Kept, Order};
    use super::*;
    use crate::store::{Measured, State};

    pub fn bench(id: &str) -> Bench {
        Bench { id: id.into(), name: format!("By the {id}") }
    }

    /// What each of these events in turn was answered with.
    pub fn record(store: &Store, code: &str, events: &[(&str, Event)]) -> Vec<Result<Recorded, Refusal>> {
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
                ("1", Event::step(steps + 1)),
                ("1", Event::step(steps)),
                ("2", Event::bent()),
                ("3", Event::bent()),
                ("3", Event::step(1)),
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
        assert_eq!(record(&kept, "A9", &[("9", Event::bent())]), [Err(Refusal::UnknownCode)]);
    }

    #[test]
    fn a_message_sent_twice_is_recorded_once() {
        let kept = Kept::with(&["A1", "A2"]);
        let bent = [("1", Event::bent())];
        assert_eq!(record(&kept, "A1", &bent), [Ok(Recorded::New)]);
        let kept = kept.reopened();
        assert_eq!(record(&kept, "A1", &bent), [Ok(Recorded::Again)]);
        assert_eq!(record(&kept, "A2", &bent), [Err(Refusal::IdReused)]);
        assert_eq!(record(&kept, "A1", &[("1", Event::Loaded)]), [Err(Refusal::IdReused)]);
        // Again, though by now it could not be recorded anew.
        let steps = [("2", Event::step(1)), ("3", Event::bent()), ("2", Event::step(1))];
        assert_eq!(record(&kept, "A2", &steps), [Ok(Recorded::New), Ok(Recorded::New), Ok(Recorded::Again)]);
        assert_eq!(record(&kept, "A2", &[("2", Event::step(2))]), [Err(Refusal::IdReused)]);
        assert_eq!(kept.history("A2").unwrap().len(), 2);
    }

    #[test]
    fn a_label_of_a_replaced_order_says_so() {
        let kept = Kept::with(&["A1"]);
        Order::new("2041", &["B1", "B2"]).replacing().accept(&kept, 1).unwrap();
        let replaced = Refusal::Replaced { number: "2041".into() };
        assert_eq!(record(&kept, "A1", &[("1", Event::bent())]), [Err(replaced)]);
        assert_eq!(record(&kept, "B1", &[("1", Event::bent())]), [Ok(Recorded::New)]);
    }

    #[test]
    fn of_many_who_finish_one_piece_one_does() {
        let kept = Kept::with(&["A1", "A2"]);
        let start = Barrier::new(8);
        let bend = |code: &'static str, id: &str| {
            start.wait();
            record(&kept, code, &[(id, Event::bent())]).remove(0)
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

    #[test]
    fn of_two_benches_one_holds_the_piece() {
        let kept = Kept::with(&["A1"]);
        let [door, window] = [bench("door"), bench("window")];
        let step =
            |done, bench: &Bench| Event::Step { done, bench: Some(bench.clone()), take_over: false, let_go: false };
        let bent = |bench: &Bench| Event::Bent { bench: Some(bench.clone()) };
        let held = |holder: &Bench| Err(Refusal::Held { bench: holder.clone() });
        let holder = || kept.piece("A1").unwrap().unwrap().row.bench;
        let answers = record(&kept, "A1", &[("1", step(0, &door)), ("2", step(1, &window)), ("2", bent(&window))]);
        assert_eq!(answers, [Ok(Recorded::New), held(&door), held(&door)]);
        assert_eq!(holder().as_ref(), Some(&door));
        // What its holder is called does not matter; who names no bench is a program or a page.
        let renamed = Bench { name: "By the gate".into(), ..door.clone() };
        let let_go = record(&kept, "A1", &[("2", step(1, &renamed)), ("3", Event::step(1))]);
        assert_eq!(let_go, [const { Ok(Recorded::New) }; 2]);
        assert_eq!(holder(), None);

        let over = Event::Step { done: 1, bench: Some(window.clone()), take_over: true, let_go: false };
        let answers =
            record(&kept, "A1", &[("4", step(1, &door)), ("5", over), ("6", bent(&door)), ("6", bent(&window))]);
        assert_eq!(answers, [Ok(Recorded::New), Ok(Recorded::New), held(&window), Ok(Recorded::New)]);
        assert_eq!(holder(), None);
        // Nobody takes over what is finished.
        let over = Event::Step { done: 1, bench: Some(door), take_over: true, let_go: false };
        assert!(matches!(record(&kept, "A1", &[("7", over)])[..], [Err(Refusal::AlreadyBent { .. })]));
    }

    /// Late from a bench, either is of a strip that is not this piece any more.
    #[test]
    fn who_does_not_hold_a_piece_neither_lets_it_go_nor_measures_it() {
        let kept = Kept::with(&["A1"]);
        let [door, window] = [bench("door"), bench("window")];
        let step =
            |done, bench: &Bench, let_go| Event::Step { done, bench: Some(bench.clone()), take_over: false, let_go };
        let tape = |bench| Event::Measured { mm: 3000.0, accepted: true, as_wanted: false, bench };
        let new = || Ok(Recorded::New);
        let held = || Err(Refusal::Held { bench: window.clone() });
        let answers = [
            ("1", step(2, &window, false)),
            ("2", step(2, &door, true)),
            ("2", tape(Some(door.clone()))),
            ("2", tape(Some(window.clone()))),
            ("3", step(2, &window, true)),
            ("4", step(1, &door, true)),
            ("4", tape(Some(door.clone()))),
            ("5", step(2, &door, false)),
            ("6", Event::bent()),
            ("7", tape(Some(door.clone()))),
            // With a tape anybody may.
            ("7", tape(None)),
        ];
        let gone_on = || Err(Refusal::GoneOn { done: 2 });
        let bent = Err(Refusal::AlreadyBent { at: 9, by: Some("Ana".into()) });
        let expected = [new(), held(), held(), new(), new(), gone_on(), new(), new(), new(), bent, new()];
        assert_eq!(record(&kept, "A1", &answers), expected);
    }

    /// A bench that heard nothing for a while takes a piece as it last knew it: another strip would be begun.
    #[test]
    fn a_piece_is_taken_as_it_is() {
        let kept = Kept::with(&["A1"]);
        let step = |done, bench: &str, take_over| Event::Step {
            done,
            bench: Some(self::bench(bench)),
            take_over,
            let_go: false,
        };
        let new = || Ok(Recorded::New);
        let answers = [
            ("1", step(2, "door", false)),
            ("2", Event::step(2)),
            ("3", step(0, "window", false)),
            ("3", step(2, "window", false)),
            // Its holder may go back, and so may whoever takes it over on purpose.
            ("4", step(1, "window", false)),
            ("5", step(0, "door", true)),
        ];
        let gone_on = Err(Refusal::GoneOn { done: 2 });
        assert_eq!(record(&kept, "A1", &answers), [new(), new(), gone_on, new(), new(), new()]);
    }

    #[test]
    fn a_finished_piece_goes_back_to_the_brake_until_it_is_loaded() {
        let kept = Kept::with(&["A1"]);
        let new = || Ok(Recorded::New);
        let steps = [("1", Event::step(3)), ("2", Event::Reopened), ("2", Event::bent()), ("3", Event::Reopened)];
        assert_eq!(record(&kept, "A1", &steps), [new(), Err(Refusal::NotBentYet), new(), new()]);
        let row = kept.piece("A1").unwrap().unwrap().row;
        assert_eq!((row.state, row.done), (State::Started, 3));
        let again = [
            ("4", Event::Reopened),
            ("4", Event::Loaded),
            ("4", Event::step(2)),
            ("5", Event::bent()),
            ("6", Event::bent()),
            ("6", Event::Loaded),
            ("7", Event::Reopened),
            ("7", Event::Installed),
            ("8", Event::Reopened),
        ];
        let (at, by) = (9, Some("Ana".to_owned()));
        let expected = [
            Err(Refusal::NotBentYet),
            Err(Refusal::NotBent),
            new(),
            new(),
            Err(Refusal::AlreadyBent { at, by: by.clone() }),
            new(),
            Err(Refusal::AlreadyLoaded { at, by: by.clone() }),
            new(),
            Err(Refusal::AlreadyInstalled { at, by }),
        ];
        assert_eq!(record(&kept, "A1", &again), expected);
    }

    #[test]
    fn a_length_out_of_tolerance_is_taken_by_name_alone() {
        let kept = Kept::new();
        let mut order = Order::new("2041", &["A1", "A2"]);
        let check = |piece: &mut Piece, tolerance| {
            let step = piece.steps.iter_mut().find(|step| step.action == Action::CheckLength).unwrap();
            step.tolerance = tolerance;
            step.number.clone().unwrap()
        };
        let tolerance = Measure { mm: 1.2, text: "1.2 mm".into() };
        let wanted = check(&mut order.plan.pieces[0], Some(tolerance.clone()));
        check(&mut order.plan.pieces[1], None);
        order.accept(&kept, 0).unwrap();
        assert_eq!(wanted.mm, 3000.0);

        let measured_event = |mm, accepted| Event::Measured { mm, accepted, as_wanted: false, bench: None };
        let tell = |code, id, mm, accepted, by| match kept.record(code, &measured_event(mm, accepted), id, by, 9) {
            Ok(recorded) => Ok(recorded),
            Err(RecordError::Refused(refusal)) => Err(refusal),
            Err(RecordError::Store(error)) => panic!("{error}"),
        };
        // Either limit is within; 3001.2 is no round number of floating point, nor 3001.2 − 3000.
        for (id, mm) in [("1", 2998.8), ("2", 3001.2)] {
            assert_eq!(tell("A1", id, mm, false, None), Ok(Recorded::New), "{mm}");
        }
        let refused = tell("A1", "3", 3001.25, false, Some("Ana")).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "measured 3001.25 mm, wanted 3000 mm ± 1.2 mm: measure again, make it again, or accept it by name"
        );
        assert!(matches!(tell("A1", "3", 2998.75, false, None), Err(Refusal::OutOfTolerance { .. })));
        assert_eq!(tell("A1", "3", 3001.25, true, None), Err(Refusal::NameNeeded));
        let measured = || kept.piece("A1").unwrap().unwrap().row.measured.unwrap();
        assert_eq!(measured(), Measured { mm: 3001.2, accepted: false, as_wanted: false, by: None });
        assert_eq!(tell("A1", "3", 3001.25, true, Some("Ana")), Ok(Recorded::New));
        assert_eq!(measured(), Measured { mm: 3001.25, accepted: true, as_wanted: false, by: Some("Ana".into()) });
        // Planned before there were tolerances.
        assert_eq!(tell("A2", "4", 1.0, false, None), Ok(Recorded::New));
    }

    #[test]
    fn remakes_and_reprints_are_not_reported() {
        let kept = Kept::with(&["A1"]);
        let events =
            [Event::Remade { why: "bent twice".into(), r#as: "X1".into() }, Event::Reprinted { label: "X1".into() }];
        for event in events {
            assert_eq!(record(&kept, "A1", &[("1", event)]), [Err(Refusal::NotReported)]);
        }
    }
}
