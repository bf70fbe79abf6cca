//! A piece made again: another piece of the same record and mark, with a code of its own. The old one stays, and says so.

use serde::{Deserialize, Serialize};

use super::labels::{free, piece_of, recall, standing};
use super::record::{allow, by_id, keep_event};
use super::{Bench, Event, RecordError, Recorded, Refusal, Store};

/// Why, when and by whom another piece was made in place of one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remade {
    pub why: String,
    /// Milliseconds UTC.
    pub at: i64,
    pub by: Option<String>,
    /// The new piece's own code. That piece may have been made again in its turn.
    pub code: String,
}

/// Why a piece is to be made again.
#[derive(Debug, Clone, Copy)]
pub struct Failed<'a> {
    pub why: &'a str,
    /// The bench whose half-made strip is scrap. None when it is the piece itself that failed, whoever made it.
    pub bench: Option<&'a Bench>,
}

impl<'a> From<&'a str> for Failed<'a> {
    fn from(why: &'a str) -> Self {
        Self { why, bench: None }
    }
}

impl Remade {
    /// What became of piece `p`, as an SQL column.
    pub(super) const COLUMN: &str = "
        (SELECT json_object('why', event ->> '$.why', 'at', at, 'by', by, 'code', event ->> '$.as')
         FROM events WHERE code = p.code AND kind = 'remade') AS remade";
}

impl Store {
    /// Has the piece with this code made again, as a piece with the code `new` that is cut last. Returns the new piece's
    /// code: the same request, under the same id, gets the same one, whatever `new` is this time. `now` is milliseconds
    /// UTC.
    ///
    /// # Errors
    /// A [`Refusal`] when the piece does not stand, or the new code is taken; and where a bench's strip failed, when that
    /// bench could not have the piece: another has it, went on with it, or has finished it.
    pub fn remake<'a>(
        &self,
        code: &str,
        failed: impl Into<Failed<'a>>,
        new: &str,
        id: &str,
        by: Option<&str>,
        now: i64,
    ) -> Result<(Recorded, String), RecordError> {
        let Failed { why, bench } = failed.into();
        self.write(|connection| {
            if let Some((piece, event)) = by_id(connection, id)? {
                return match event {
                    Event::Remade { why: known, r#as }
                        if known == why && piece_of(connection, code)? == Some(piece) =>
                    {
                        Ok((Recorded::Again, r#as))
                    }
                    _ => Err(Refusal::IdReused.into()),
                };
            }
            let record = standing(connection, code)?;
            if let Some(bench) = bench {
                let begins = Event::Step { done: 0, bench: Some(bench.clone()), take_over: false, let_go: false };
                allow(connection, &record, &begins, by)?;
            }
            let piece = record.row.code;
            free(connection, new)?;
            // Its twins may be bent by now: it is cut by itself.
            connection.execute(
                "INSERT INTO pieces (code, order_id, seq, record)
                 SELECT ?1, order_id, (SELECT MAX(seq) + 1 FROM pieces WHERE order_id = p.order_id),
                        json_remove(record, '$.batch')
                 FROM pieces p WHERE code = ?2",
                [new, &piece],
            )?;
            keep_event(connection, &piece, &Event::Remade { why: why.into(), r#as: new.into() }, id, by, now)?;
            recall(connection, now)?;
            Ok((Recorded::New, new.into()))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{Kept, Order};
    use super::super::record::tests::{bench, record};
    use super::super::{Asking, PrintState, Reader, Stands};
    use super::*;

    fn codes(store: &Reader) -> Vec<String> {
        store.pieces("2041", 0, 9).unwrap().into_iter().map(|row| row.code).collect()
    }

    fn refused<T: std::fmt::Debug>(answer: Result<T, RecordError>) -> Refusal {
        match answer {
            Err(RecordError::Refused(refusal)) => refusal,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_new_piece_stands_for_the_old() {
        let kept = Kept::with(&["A1", "A2", "A3"]);
        let before = kept.order("2041").unwrap().unwrap();
        record(&kept, "A2", &[("1", Event::step(2)), ("2", Event::bent())]);
        let made = kept.remake("A2", "too short", "X1", "3", Some("Ana"), 10).unwrap();
        assert_eq!(made, (Recorded::New, "X1".to_owned()));

        let kept = kept.reopened();
        assert_eq!(codes(&kept), ["A1", "A3", "X1"]);
        let [old, new] = ["A2", "X1"].map(|code| kept.piece(code).unwrap().unwrap());
        assert_eq!((old.row.seq, new.row.seq, &new.row.mark), (1, 3, &old.row.mark));
        assert_eq!((&new.piece, new.row.remake_of.as_deref()), (&old.piece, Some("A2")));
        assert_eq!((new.row.done, new.row.state, new.remade), (0, crate::store::State::Waiting, None));
        let (why, by, code) = ("too short".to_owned(), Some("Ana".to_owned()), "X1".to_owned());
        assert_eq!(old.remade, Some(Remade { why: why.clone(), at: 10, by, code }));
        // The place on the wall is the new piece's; sums count it once, and nothing of the old.
        let run: Vec<String> = kept.run_of("A1").unwrap().into_iter().map(|record| record.row.code).collect();
        assert_eq!(run, ["A1", "X1"]);
        assert_eq!(kept.order("2041").unwrap().unwrap(), before);
        assert_eq!(kept.pieces("2041", 2, 1).unwrap()[0].code, "A3");

        // Whatever the old label is used for, it is refused and leads on.
        let remade = Refusal::Remade { why, at: 10, now: "X1".into() };
        let report = Event::Reported { why: "still short".into() };
        for event in [Event::step(3), Event::Loaded, report] {
            assert_eq!(record(&kept, "A2", &[("4", event)]), [Err(remade.clone())]);
        }
        assert_eq!(refused(kept.remake("A2", "again", "X2", "4", None, 11)), remade);
        assert_eq!(refused(kept.reprint("A2", "L1", "4", None, 11)), remade);
        kept.verify().unwrap();
    }

    #[test]
    fn asked_for_twice_it_is_made_once() {
        let kept = Kept::with(&["A1", "A2"]);
        let remake = |code, why, new, id| kept.remake(code, why, new, id, None, 9);
        assert_eq!(remake("A1", "dented", "X1", "1").unwrap(), (Recorded::New, "X1".to_owned()));
        assert_eq!(remake("A1", "dented", "X2", "1").unwrap(), (Recorded::Again, "X1".to_owned()));
        for (code, why) in [("A2", "dented"), ("A1", "lost")] {
            assert_eq!(refused(remake(code, why, "X2", "1")), Refusal::IdReused);
        }
        assert_eq!(record(&kept, "A1", &[("1", Event::bent())]), [Err(Refusal::IdReused)]);
        assert_eq!(refused(remake("A2", "dented", "A1", "2")), Refusal::CodeTaken { code: "A1".into() });
        assert_eq!(refused(remake("A9", "dented", "X2", "2")), Refusal::UnknownCode);
        assert_eq!(codes(&kept), ["A2", "X1"]);
    }

    /// Half made at one bench and scrap, it is another's good piece by the time it is told.
    #[test]
    fn the_scrap_of_a_bench_is_not_the_piece_that_another_has() {
        let kept = Kept::with(&["A1"]);
        let [door, window] = ["door", "window"].map(bench);
        let step = |id, done, bench: &Bench, let_go| {
            let step = Event::Step { done, bench: Some(bench.clone()), take_over: true, let_go };
            assert_eq!(record(&kept, "A1", &[(id, step)]), [Ok(Recorded::New)]);
        };
        let scrap = |bench| kept.remake("A1", Failed { why: "dented", bench: Some(bench) }, "X1", "9", None, 9);
        step("1", 1, &door, false);
        step("2", 3, &window, false);
        assert_eq!(refused(scrap(&door)), Refusal::Held { bench: window.clone() });
        step("3", 3, &window, true);
        assert_eq!(refused(scrap(&door)), Refusal::GoneOn { done: 3 });
        record(&kept, "A1", &[("4", Event::bent())]);
        assert_eq!(refused(scrap(&door)), Refusal::AlreadyBent { at: 9, by: Some("Ana".into()) });
        record(&kept, "A1", &[("5", Event::Reopened)]);
        step("6", 4, &door, false);
        assert_eq!(scrap(&door).unwrap(), (Recorded::New, "X1".to_owned()));
        assert_eq!(scrap(&door).unwrap(), (Recorded::Again, "X1".to_owned()));
    }

    /// A bad piece is made again wherever it is, and so is a remake that turns out bad.
    #[test]
    fn the_last_of_all_remakes_stands() {
        let kept = Kept::with(&["A1"]);
        record(&kept, "A1", &[("1", Event::bent()), ("2", Event::Loaded), ("3", Event::Installed)]);
        kept.remake("A1", "leaks", "X1", "4", None, 9).unwrap();
        kept.remake("X1", "wrong hand", "X2", "5", None, 9).unwrap();
        kept.reprint("X2", "L2", "6", None, 9).unwrap();
        assert_eq!(codes(&kept), ["X2"]);
        for code in ["A1", "X1"] {
            let scan = kept.scan(code).unwrap().unwrap();
            assert_eq!((scan.stands, scan.now(), scan.code.as_str()), (Stands::Remade, Some("L2"), code));
            let refused = record(&kept, code, &[("7", Event::Loaded)]).remove(0).unwrap_err();
            assert!(matches!(&refused, Refusal::Remade { now, .. } if now == "L2"), "{refused}");
        }
        assert_eq!(kept.scan("A1").unwrap().unwrap().remade.unwrap().why, "leaks");
        assert_eq!(record(&kept, "L2", &[("7", Event::bent())]), [Ok(Recorded::New)]);
        // Made again for whatever reason, it is begun: its order cannot be replaced.
        assert!(Order::new("2041", &["B1", "B2"]).replacing().accept(&kept, 9).is_err());
    }

    #[test]
    fn a_label_that_nobody_will_look_for_is_not_printed() {
        let kept = Kept::with(&["A1", "A2"]);
        let print = |code, id| kept.ask_print(code, "L1", Asking { id, by: None, now: 9 }).unwrap().1.id;
        let [bad, good] = [print("A1", "1"), print("A2", "2")];
        let state = |id| kept.print(id).unwrap().unwrap().state;
        assert_eq!(kept.piece("A1").unwrap().unwrap().row.print, Some(PrintState::Waiting));
        kept.remake("A1", "dented", "X1", "3", None, 9).unwrap();
        assert_eq!([state(bad), state(good)], [PrintState::Cancelled, PrintState::Waiting]);
        assert_eq!(kept.piece("X1").unwrap().unwrap().row.print, None);

        let kept = Kept::with(&["A1", "A2"]);
        let print = kept.ask_print("A2", "L1", Asking { id: "1", by: None, now: 9 }).unwrap().1.id;
        Order::new("2041", &["B1"]).replacing().accept(&kept, 9).unwrap();
        assert_eq!(kept.print(print).unwrap().unwrap().state, PrintState::Cancelled);
    }
}
