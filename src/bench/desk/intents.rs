//! What a touch, a key or a command card does, wherever the bench stands.
//!
//! What is on the screen to be read or answered comes first: the large way on gives its first answer, which never destroys
//! anything, the way back puts it away, and nothing else gets past a question.

use super::{About, At, Canvas, Desk, Over, Said, lists, say};
use crate::bench::api::PrintDo;
use crate::bench::screen::{Intent, Page};

/// No drawing is drawn smaller, in pixels.
const LEAST_CANVAS: u32 = 64;

impl Desk {
    pub(super) fn intend(&mut self, intent: Intent) {
        match intent {
            // Before the window has its size, the drawing's place may have next to none.
            Intent::Canvas { width, height, .. } if width < LEAST_CANVAS || height < LEAST_CANVAS => {}
            Intent::Canvas { width, height, dark } => self.canvas = Some(Canvas { width, height, dark }),
            Intent::Language(language) => {
                self.own.looks.language = language;
                self.own.looks_set = true;
            }
            Intent::Dark(dark) => {
                self.own.looks.dark = dark;
                self.own.looks_set = true;
            }
            Intent::Scanned(scan) => self.scan(scan),
            intent => {
                // Whatever is being looked up, the hand has gone on.
                self.scanning = None;
                match self.said.take() {
                    Some(said) => self.answer(said, intent),
                    None => self.act(intent, None),
                }
            }
        }
    }

    fn answer(&mut self, said: Said, intent: Intent) {
        let answers = &said.message.answers;
        let read = matches!(intent, Intent::On | Intent::Back | Intent::DismissMessage);
        let answer = match (&intent, answers.first()) {
            (Intent::On, Some(first)) => first.intent.clone(),
            _ if read => Intent::DismissMessage,
            (_, None) => intent,
            _ if answers.iter().any(|answer| answer.intent == intent) => intent,
            _ => {
                self.said = Some(said);
                return;
            }
        };
        said.disputed.iter().for_each(|code| self.outbox.told(code));
        self.act(answer, said.about);
    }

    /// `about`: the piece that was asked about, when this is an answer.
    fn act(&mut self, intent: Intent, about: Option<About>) {
        match intent {
            Intent::On => self.go_on(),
            Intent::Back => self.go_back(),
            Intent::OpenOrder(number) => {
                self.over = None;
                self.open_order(number);
            }
            Intent::OpenPiece(code) => self.open_here(&code, false, about),
            Intent::TakeOver(code) => self.open_here(&code, true, about),
            Intent::Pause => {
                self.over = None;
                self.leave();
            }
            Intent::Undo => self.undo(about),
            Intent::TakeBack => self.take_back(),
            Intent::Working => self.working_open = !self.working_open,
            Intent::Open(page) => {
                self.close_page();
                self.over = Some(of_page(page));
            }
            Intent::OpenKeypad => self.open_keypad(),
            Intent::Key(key) => self.press(key),
            Intent::Measured => self.typed_in(),
            Intent::Accept => self.accept(),
            Intent::OpenRemake => self.open_remake(about),
            Intent::Because(reason) => self.because(reason),
            Intent::Remake => self.remake(),
            Intent::PrintLabel => self.print_label(),
            Intent::Reprint => self.reprint(about),
            Intent::CloseUnscanned => self.close_unscanned(),
            Intent::PrintAgain(print) => self.print_do(print, PrintDo::Again),
            Intent::CameOut(print) => self.print_do(print, PrintDo::CameOut),
            Intent::CancelPrint(print) => self.print_do(print, PrintDo::Cancel),
            Intent::PrintTest => self.print_test(),
            Intent::ScanLabels(scan) => self.own.scan_labels = Some(scan),
            Intent::Person(id) => self.choose_person(id),
            Intent::Nobody => self.nobody(),
            Intent::PinDigit(digit) => self.pin_digit(digit),
            Intent::PinErase => self.pin_erase(),
            Intent::Door(door) => self.show_door(door),
            // Read; or done already, whatever else is on the screen.
            Intent::DismissMessage
            | Intent::Canvas { .. }
            | Intent::Language(_)
            | Intent::Dark(_)
            | Intent::Scanned(_) => {}
        }
    }

    fn go_on(&mut self) {
        match &self.over {
            Some(Over::Keypad { .. }) => self.typed_in(),
            Some(Over::Remake { .. }) => self.ask_remake(),
            Some(Over::Pin { .. }) => self.enter(),
            Some(Over::Join { shown }) => self.show_door(shown + 1),
            Some(Over::People) => self.without_a_name(),
            Some(Over::Labels | Over::Settings) => self.close_page(),
            None => self.go_on_below(),
        }
    }

    fn go_on_below(&mut self) {
        match &self.at {
            At::Queue => {
                let orders = self.orders().unwrap_or_default();
                if let Some(next) = lists::next_order(&orders, self.nothing_left()) {
                    self.open_order(orders[next].order.clone());
                }
            }
            At::Order(_) => {
                let rows = self.heard.rows.as_deref().unwrap_or_default();
                if let Some(next) = lists::next_row(rows, &self.own.bench.id) {
                    self.open_here(&rows[next].code.clone(), false, None);
                }
            }
            At::Opening { .. } => {}
            At::Card { .. } => self.card_done(),
        }
    }

    fn go_back(&mut self) {
        match (&self.over, &self.at) {
            (Some(Over::Pin { .. }), _) => self.over = Some(Over::People),
            (Some(Over::People), _) => self.without_a_name(),
            (Some(_), _) => self.close_page(),
            (None, At::Queue) => {}
            (None, At::Order(_)) => {
                self.at = At::Queue;
                // How far the orders are, now that it is looked at.
                self.asking.poll = true;
            }
            (None, At::Card { .. }) if self.working_open => self.working_open = false,
            (None, At::Card { .. }) => self.look_back(),
            (None, At::Opening { .. }) => self.leave(),
        }
    }

    /// Back to what the page lies over.
    pub(super) fn close_page(&mut self) {
        self.over = None;
        self.measured = None;
        self.scanner = None;
    }

    /// A piece of the open order, or the one that was asked about.
    fn open_here(&mut self, code: &str, take_over: bool, about: Option<About>) {
        let asked = about.filter(|about| about.row.code == code).map(|about| about.order);
        let here = || self.at.order().map(str::to_owned);
        let Some(order) = asked.or_else(here) else { return };
        self.over = None;
        match self.row(code) {
            // Said where it was touched: nothing is left for it.
            Some(row) if row.state.is_bent() => self.cannot_open(About { order, row: row.clone() }),
            None if self.heard.rows_of == order && !self.heard.rows_stale => self.said = Some(say::not_in(&order)),
            _ => self.open(&order, code, take_over),
        }
    }
}

fn of_page(page: Page) -> Over {
    match page {
        Page::Labels => Over::Labels,
        Page::Settings => Over::Settings,
        Page::People => Over::People,
        Page::Join => Over::Join { shown: 0 },
    }
}
