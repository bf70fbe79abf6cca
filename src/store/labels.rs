//! Which piece a label's code leads to. A piece's own code is its identity for ever; printed again, its label gets a new one, and
//! every code that was ever on a label of this kiosk is still known for what it is.

use rusqlite::{Connection, OptionalExtension};
use serde::Serialize;

use super::event::STANDS;
use super::{PieceRecord, Reader, RecordError, Refusal, Remade, StoreError};

/// What has become of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stands {
    /// The newest label of a piece that stands, or one that is being sent to the printer and is to be that.
    Current,
    /// Its piece stands, and has a newer label.
    Retired,
    /// Another piece was made in place of its own.
    Remade,
    /// Its order was replaced by another of the same number.
    Replaced,
}

/// Where a label leads.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan {
    pub stands: Stands,
    /// The order's number.
    pub order: String,
    /// The own code of the piece that the label was made for.
    pub code: String,
    /// What became of that piece, if another was made in its place.
    pub remade: Option<Remade>,
    /// The piece that stands now, the last of all remakes; none of a replaced order.
    pub piece: Option<PieceRecord>,
}

impl Scan {
    /// The label that stands now.
    pub fn now(&self) -> Option<&str> {
        self.piece.as_ref().map(|piece| piece.row.label.as_str())
    }

    /// Why this label is not to be gone by, if it is not.
    pub fn refusal(&self) -> Option<Refusal> {
        let now = || self.now().unwrap_or_default().to_owned();
        match (self.stands, &self.remade) {
            (Stands::Replaced, _) => Some(Refusal::Replaced { number: self.order.clone() }),
            (_, Some(Remade { why, at, .. })) => Some(Refusal::Remade { why: why.clone(), at: *at, now: now() }),
            (Stands::Retired, None) => Some(Refusal::LabelRetired { now: now() }),
            (Stands::Current | Stands::Remade, None) => None,
        }
    }

    /// The piece, for whom `code` is the name of a piece: its own, whatever is on its labels, or its newest label's.
    ///
    /// # Errors
    /// A [`Refusal`] when it does not stand, or the code is an older label's.
    pub fn into_piece(self, code: &str) -> Result<PieceRecord, Refusal> {
        match self.refusal() {
            Some(refusal) if self.stands != Stands::Retired || self.code != code => Err(refusal),
            _ => self.piece.ok_or(Refusal::UnknownCode),
        }
    }
}

impl Reader {
    /// Where the label with this code leads, whichever of a piece's labels it is. None for a code that never was on one.
    pub fn scan(&self, code: &str) -> Result<Option<Scan>, StoreError> {
        Ok(scan(&self.connection(), code)?)
    }
}

/// The own code of the piece that a label with this code was ever printed for, or is being.
pub(super) fn piece_of(connection: &Connection, code: &str) -> rusqlite::Result<Option<String>> {
    match piece_of_out(connection, code)? {
        None => piece_of_sending(connection, code),
        known => Ok(known),
    }
}

/// Whether a label with this code may ever have been out.
pub(super) fn was_out(connection: &Connection, code: &str) -> rusqlite::Result<bool> {
    Ok(piece_of_out(connection, code)?.is_some())
}

fn piece_of_out(connection: &Connection, code: &str) -> rusqlite::Result<Option<String>> {
    connection
        .prepare_cached(
            "SELECT code FROM pieces WHERE code = ?1
             UNION ALL SELECT code FROM events WHERE kind = 'reprinted' AND event ->> '$.label' = ?1 LIMIT 1",
        )?
        .query_row([code], |row| row.get(0))
        .optional()
}

/// A label may be out before the printer has said that it has it, and may yet turn out never to have got there: until that
/// is known it counts, and so does the one before it.
fn piece_of_sending(connection: &Connection, code: &str) -> rusqlite::Result<Option<String>> {
    connection
        .prepare_cached(
            "SELECT piece FROM prints
             WHERE state NOT IN ('printed', 'cancelled') AND state = 'sending' AND label = ? AND piece IS NOT NULL",
        )?
        .query_row([code], |row| row.get(0))
        .optional()
}

fn scan(connection: &Connection, code: &str) -> rusqlite::Result<Option<Scan>> {
    let Some(own) = piece_of(connection, code)? else { return Ok(None) };
    let Some(labelled) = PieceRecord::find(connection, &own)? else { return Ok(None) };
    let (order, remade) = (labelled.order.number.clone(), labelled.remade.clone());
    let stands = match () {
        () if labelled.order.replaced => Stands::Replaced,
        () if remade.is_some() => Stands::Remade,
        () if labelled.row.label != code && piece_of_sending(connection, code)?.is_none() => Stands::Retired,
        () => Stands::Current,
    };
    let mut piece = (stands != Stands::Replaced).then_some(labelled);
    while let Some(Remade { code, .. }) = piece.as_ref().and_then(|piece| piece.remade.as_ref()) {
        piece = PieceRecord::find(connection, code)?;
    }
    Ok(Some(Scan { stands, order, code: own, remade, piece }))
}

/// The piece that this code names: its own code, or its newest label's.
///
/// # Errors
/// A [`Refusal`] as [`Scan::into_piece`].
pub(super) fn standing(connection: &Connection, code: &str) -> Result<PieceRecord, RecordError> {
    let scan = scan(connection, code)?.ok_or(Refusal::UnknownCode)?;
    Ok(scan.into_piece(code)?)
}

/// # Errors
/// [`Refusal::CodeTaken`] when a label bears this code, or did.
pub(super) fn free(connection: &Connection, code: &str) -> Result<(), RecordError> {
    match piece_of(connection, code)? {
        Some(_) => Err(Refusal::CodeTaken { code: code.into() }.into()),
        None => Ok(()),
    }
}

/// Has no label printed that nobody will look for: its piece was made again, or its order replaced.
pub(super) fn recall(connection: &Connection, now: i64) -> rusqlite::Result<()> {
    connection.execute(
        &format!(
            "UPDATE prints SET state = 'cancelled', said = 'its piece is not made any more', changed_at = ?
             WHERE state NOT IN ('printed', 'cancelled') AND state IN ('waiting', 'stopped', 'unsure')
                   AND EXISTS (SELECT 1 FROM pieces p JOIN orders o ON o.id = p.order_id
                               WHERE p.code = piece AND NOT (o.replaced_by IS NULL AND {STANDS}))"
        ),
        [now],
    )?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{Kept, Order};
    use super::super::record::tests::record;
    use super::super::{Event, Recorded};
    use super::*;

    #[test]
    fn every_label_leads_to_its_piece() {
        let kept = Kept::with(&["A1", "A2"]);
        let seen = |kept: &Kept, code| {
            let scan = kept.scan(code).unwrap().unwrap();
            assert_eq!(scan.order, "2041");
            (scan.stands, scan.now().map(str::to_owned), scan.code)
        };
        let leads = |stands, now: &str, code: &str| (stands, Some(now.to_owned()), code.to_owned());
        assert_eq!(seen(&kept, "A1"), leads(Stands::Current, "A1", "A1"));
        kept.reprint("A1", "L1", "1", Some("Ana"), 9).unwrap();
        kept.reprint("L1", "L2", "2", None, 9).unwrap();
        let kept = kept.reopened();
        for (code, stands) in [("A1", Stands::Retired), ("L1", Stands::Retired), ("L2", Stands::Current)] {
            assert_eq!(seen(&kept, code), leads(stands, "L2", "A1"));
        }
        assert_eq!(seen(&kept, "A2"), leads(Stands::Current, "A2", "A2"));
        assert!(kept.scan("A9").unwrap().is_none());

        let kept = Kept::with(&["A1"]);
        Order::new("2041", &["B1", "B2"]).replacing().accept(&kept, 1).unwrap();
        assert_eq!(seen(&kept, "A1"), (Stands::Replaced, None, "A1".to_owned()));
    }

    /// Programs know a piece by its own code, people by the label they see.
    #[test]
    fn events_take_the_own_code_and_the_newest_labels() {
        let kept = Kept::with(&["A1"]);
        kept.reprint("A1", "L1", "1", None, 9).unwrap();
        let by_first = [("2", Event::step(1))];
        assert_eq!(record(&kept, "L1", &by_first), [Ok(Recorded::New)]);
        kept.reprint("A1", "L2", "3", None, 9).unwrap();
        let retired = Refusal::LabelRetired { now: "L2".into() };
        assert_eq!(record(&kept, "L1", &[("4", Event::step(2))]), [Err(retired)]);
        // What was recorded before its label was printed again still was.
        assert_eq!(record(&kept, "L1", &by_first), [Ok(Recorded::Again)]);
        assert_eq!(
            record(&kept, "A1", &[("4", Event::step(2)), ("5", Event::bent())]),
            [const { Ok(Recorded::New) }; 2]
        );
        assert_eq!(record(&kept, "L2", &[("6", Event::Loaded)]), [Ok(Recorded::New)]);
        assert_eq!(kept.history("A1").unwrap().len(), 6);
    }
}
