//! Numbers that grow with every change, for whoever asks again and again whether anything is new.
//!
//! Orders, events and settings each have a number that only grows, and so does the sum. People and prints change in
//! place: their changes are counted. After an older backup was put in place a number may come again with other content;
//! whoever hands them out must add something that is new at each start.

use rusqlite::OptionalExtension;

use super::{Reader, StoreError};

impl Reader {
    /// Grows with every order, event, setting, and change to a print or to who works here.
    pub fn revision(&self) -> Result<i64, StoreError> {
        Ok(self
            .connection()
            .prepare_cached(
                "SELECT IFNULL((SELECT MAX(id) FROM orders), 0) + IFNULL((SELECT MAX(seq) FROM events), 0)
                        + IFNULL((SELECT MAX(seq) FROM settings), 0) + (SELECT count FROM changes)",
            )?
            .query_row([], |row| row.get(0))?)
    }

    /// Grows with every change to the current order of this number, also when another takes its place; and with every
    /// change to a print, of whatever order, or to who works here: there are few at a time.
    pub fn order_revision(&self, number: &str) -> Result<Option<i64>, StoreError> {
        Ok(self
            .connection()
            .prepare_cached(
                "SELECT o.id + IFNULL((SELECT MAX(e.seq) FROM pieces p JOIN events e ON e.code = p.code
                                       WHERE p.order_id = o.id), 0)
                        + (SELECT count FROM changes)
                 FROM orders o WHERE o.number = ? AND o.replaced_by IS NULL",
            )?
            .query_row([number], |row| row.get(0))
            .optional()?)
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{Kept, Order};
    use super::super::{Asking, Event, PrintState};

    #[test]
    fn grows_with_every_change_and_only_then() {
        let kept = Kept::with(&["A1"]);
        Order::new("2042", &["B1"]).accept(&kept, 0).unwrap();
        let numbers = || (kept.revision().unwrap(), kept.order_revision("2041").unwrap().unwrap());
        let mut last = numbers();
        let mut grown = || {
            let (now, before) = (numbers(), last);
            last = now;
            (now.0 > before.0, now.1 > before.1)
        };
        kept.set_setting("host", "10.0.0.2").unwrap();
        assert_eq!(grown(), (true, false));
        kept.set_setting("printer", "none").unwrap();
        kept.set_setting("host", "10.0.0.3").unwrap();
        assert_eq!(grown(), (true, false));
        kept.set_setting("host", "10.0.0.4").unwrap();
        assert_eq!(grown(), (true, false));
        kept.record("B1", &Event::step(1), "1", None, 0).unwrap();
        assert_eq!(grown(), (true, false));
        Order::new("2041", &["C1", "C2"]).replacing().accept(&kept, 0).unwrap();
        assert_eq!(grown(), (true, true));
        kept.record("C1", &Event::bent(), "2", None, 0).unwrap();
        assert_eq!(grown(), (true, true));
        kept.record("C1", &Event::bent(), "2", None, 0).unwrap();
        assert!(kept.record("C1", &Event::bent(), "3", None, 0).is_err());
        assert_eq!(grown(), (false, false));
        assert!(kept.add_person("Ana", None).is_ok());
        assert_eq!(grown(), (true, true));
        assert!(kept.add_person("ana", None).is_err());
        assert_eq!(grown(), (false, false));
        kept.remove_person(1).unwrap();
        assert_eq!(grown(), (true, true));
        let (_, print) = kept.ask_print("C1", "L1", Asking { id: "4", by: None, now: 0 }).unwrap();
        assert_eq!(grown(), (true, true));
        kept.print_became(print.id, PrintState::Cancelled, "", 0).unwrap();
        assert_eq!(grown(), (true, true));
        kept.remake("C1", "lost", "C3", "5", None, 0).unwrap();
        kept.record("C3", &Event::step(1), "6", None, 0).unwrap();
        assert_eq!(grown(), (true, true));
        assert_eq!(kept.setting("host").unwrap().as_deref(), Some("10.0.0.4"));
        assert_eq!(kept.order_revision("2043").unwrap(), None);
    }
}
