//! The command cards: with them on the wall, a scanner alone drives a bench.

use crate::drawing::Theme;
use crate::drawing::svg::{Anchor, Paint, Svg, Type, Weight};
use crate::label::qr::{QUIET, Symbol};
use crate::label::scan::Command;
use crate::label::stock::{Paper, Size, Stock};
use crate::label::text::fit;
use crate::label::url::Address;
use crate::label::{Face, LabelError, sheet_pdf};

/// A card of 7½ × 3.3 in: three of them fill a letter or an A4 page.
const CARD: Stock =
    Stock { name: "card", size: Size { width: 19050, height: 8382 }, width: 2250, height: 990, dpi: 300 };

const THEME: Theme = Theme::PRINT;

struct Card<'a> {
    command: Command,
    address: &'a Address,
}

/// The three cards on one page of office paper, to be cut apart.
///
/// # Errors
/// [`LabelError`] when the address makes no symbol, or the paper is smaller than a card.
pub fn sheet(address: &Address, paper: Paper) -> Result<Vec<u8>, LabelError> {
    let cards = Command::ALL.map(|command| Card { command, address });
    sheet_pdf(&cards, CARD, paper)
}

/// What the card is called and what it does, in English and in Spanish.
fn words(command: Command) -> [[&'static str; 2]; 2] {
    match command {
        Command::On => [
            ["ON", "Opens what is next; on a step, says that it is done."],
            ["SEGUIR", "Abre lo que sigue; en un paso, dice que está hecho."],
        ],
        Command::Back => [["BACK", "Goes one step back."], ["ATRÁS", "Vuelve un paso atrás."]],
        Command::Pause => [
            ["PAUSE", "Leaves the piece as it is, for its order."],
            ["PAUSA", "Deja la pieza como está y vuelve al pedido."],
        ],
    }
}

impl Face for Card<'_> {
    fn draw(&self, stock: Stock) -> Result<String, LabelError> {
        let (width, height) = (f64::from(stock.width), f64::from(stock.height));
        let mut svg = Svg::new(width, height);
        svg.rect(0.0, 0.0, width, height, Paint::fill(THEME.paper));

        let symbol = Symbol::new(&self.address.command(self.command))?;
        let dots = (stock.height as usize / (symbol.side + 2 * QUIET)).max(1);
        let (module, side) = (dots as f64, (dots * symbol.side) as f64);
        svg.cells(symbol.bars([module * QUIET as f64, ((height - side) / 2.0).floor()], module), THEME.ink);

        let left = side + 2.0 * module * QUIET as f64;
        let mut set = |text: &str, weight, largest: f64, baseline: f64| {
            let line = fit(text, weight, width - left - 0.04 * height, largest * height, 0.0);
            let set = Type { size: line.size, weight, anchor: Anchor::Start, colour: THEME.ink };
            svg.text([left, baseline * height], &line.text, set);
        };
        let [[english, does], [spanish, hace]] = words(self.command);
        set(english, Weight::Bold, 0.3, 0.33);
        set(does, Weight::Regular, 0.08, 0.46);
        set(spanish, Weight::Bold, 0.2, 0.73);
        set(hace, Weight::Regular, 0.08, 0.86);
        Ok(svg.finish())
    }
}
