//! The label of a print, drawn for the printer it goes to.

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
    #[error(transparent)]
    Unfit(#[from] Unfit),
    /// Nobody wants it any more.
    #[error("{0}")]
    Gone(&'static str),
    #[error(transparent)]
    Label(#[from] LabelError),
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The label of this print for a printer of these abilities, loaded with `stock` or with what suits the order's units.
///
/// # Errors
/// [`DrawError`] tells a printer that does not suit from a label that cannot be drawn.
pub fn label(kiosk: &Kiosk, print: &Print, stock: Option<Stock>, abilities: &Abilities) -> Result<Drawn, DrawError> {
    let (units, face): (Units, Box<dyn Face>) = match &print.piece {
        Some(piece) => {
            let (units, facts) = facts(kiosk, print, piece)?;
            (units, Box::new(facts))
        }
        None => (Units::In, Box::new(TestLabel { address: kiosk.address().clone() })),
    };
    let setup = abilities.setup(stock.unwrap_or(Stock::usual(units)))?;
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
