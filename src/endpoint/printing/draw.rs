//! The label of a print, drawn for the printer it goes to.

use std::panic::{AssertUnwindSafe, catch_unwind};

use thiserror::Error;

use crate::endpoint::kiosk::Kiosk;
use crate::label::bitmap::Bitmap;
use crate::label::code::Code;
use crate::label::facts::LabelFacts;
use crate::label::printer::{Abilities, Setup, Unfit};
use crate::label::stock::Stock;
use crate::label::{Face, LabelError, TestLabel};
use crate::order::plan::Piece;
use crate::store::{Print, StoreError};
use crate::trade::length::Units;

/// A label ready to be sent.
pub struct Drawn {
    pub setup: Setup,
    pub document: Vec<u8>,
}

/// Why there is no label to send.
#[derive(Debug, Error)]
pub enum DrawError {
    /// No label at all can go to the printer.
    #[error(transparent)]
    Unfit(Unfit),
    /// This one cannot.
    #[error(transparent)]
    Misfit(Unfit),
    /// Nobody wants it any more.
    #[error("{0}")]
    Gone(&'static str),
    #[error(transparent)]
    Label(#[from] LabelError),
    #[error("what is kept of its piece cannot be read")]
    Damaged,
    /// A panic, which is a fault of ours and has been reported.
    #[error("it cannot be drawn")]
    Undrawn,
    /// No label can be read now.
    #[error(transparent)]
    Store(StoreError),
}

impl From<StoreError> for DrawError {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Damaged { .. } => Self::Damaged,
            error => Self::Store(error),
        }
    }
}

/// The label of this print for a printer of these abilities, loaded with `stock` or with what suits the order's units.
///
/// # Errors
/// [`DrawError`] tells a printer that does not suit from a label that cannot be drawn.
pub fn label(kiosk: &Kiosk, print: &Print, stock: Option<Stock>, abilities: &Abilities) -> Result<Drawn, DrawError> {
    alone(|| drawn(kiosk, print, stock, abilities))
}

/// Whatever happens to one label happens to that one alone.
fn alone(draw: impl FnOnce() -> Result<Drawn, DrawError>) -> Result<Drawn, DrawError> {
    catch_unwind(AssertUnwindSafe(draw)).unwrap_or(Err(DrawError::Undrawn))
}

fn drawn(kiosk: &Kiosk, print: &Print, stock: Option<Stock>, abilities: &Abilities) -> Result<Drawn, DrawError> {
    let (units, face): (Units, Box<dyn Face>) = match &print.piece {
        Some(piece) => {
            let (units, facts) = facts(kiosk, print, piece)?;
            (units, Box::new(facts))
        }
        None => (Units::In, Box::new(TestLabel { address: kiosk.address().clone() })),
    };
    let setup = abilities.setup(stock.unwrap_or(Stock::usual(units))).map_err(|unfit| {
        let another_fits = stock.is_none() && Stock::ALL.iter().any(|stock| abilities.setup(*stock).is_ok());
        if another_fits { DrawError::Misfit(unfit) } else { DrawError::Unfit(unfit) }
    })?;
    let label = Bitmap::draw(&face.draw(setup.stock)?)?;
    let document = setup.document(&label)?;
    Ok(Drawn { setup, document })
}

fn facts(kiosk: &Kiosk, print: &Print, piece: &str) -> Result<(Units, LabelFacts), DrawError> {
    let record = kiosk.store().piece(piece)?.ok_or(DrawError::Gone("there is no such piece"))?;
    if record.order.replaced {
        return Err(DrawError::Gone("the order was replaced"));
    }
    if record.remade.is_some() {
        return Err(DrawError::Gone("the piece was made again"));
    }
    let code = Code::parse(&print.label).map_err(|_| DrawError::Gone("its label has no code"))?;
    let run: Vec<Piece> = kiosk.store().run_of(piece)?.into_iter().map(|record| record.piece).collect();
    let (job, number) = (&record.order.job.name, &record.order.number);
    let facts = LabelFacts::new(&record.piece, &run, job, number, &code, kiosk.address());
    Ok((record.order.units, LabelFacts { reprint: print.reprint, ..facts }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::fixture::{NOW, Shop};
    use crate::label::code::TEST;
    use crate::store::Asking;

    /// One roll of labels is for metric orders alone: an order in inches must not keep those waiting.
    #[test]
    fn a_label_that_no_stock_could_be_is_told_from_one_of_another_stock() {
        let shop = Shop::new();
        let (_, print) = shop.kiosk.store().ask_test_print(TEST, Asking { id: "1", by: None, now: NOW }).unwrap();
        let drawn = |stock, media: &[&str]| {
            let media = media.iter().map(|medium| (*medium).to_owned()).collect();
            let abilities = Abilities { formats: vec!["image/png".into()], media, ..Abilities::default() };
            label(&shop.kiosk, &print, stock, &abilities)
        };
        let narrow = ["custom_min_19x10mm", "custom_max_100x990mm"];
        assert!(matches!(drawn(None, &narrow), Err(DrawError::Misfit(Unfit::Media { .. }))));
        assert!(matches!(drawn(Some(Stock::INCH), &narrow), Err(DrawError::Unfit(Unfit::Media { .. }))));
        assert!(matches!(drawn(None, &["na_letter_8.5x11in"]), Err(DrawError::Unfit(Unfit::Media { .. }))));
        assert!(drawn(Some(Stock::METRIC), &narrow).is_ok());
    }

    #[test]
    fn a_label_that_panics_is_undrawn() {
        let drawn = alone(|| panic!("as if drawing were at fault"));
        assert_eq!(drawn.err().map(|error| error.to_string()).as_deref(), Some("it cannot be drawn"));
    }
}
