//! Labels on their way through the endpoint's printer.

use super::{Shop, refused};
use crate::bench::api::{CallError, Print, PrintDo, PrintWord, PrinterState};

impl Shop {
    /// The label of the piece with this code; `reprint`: though it was asked for before.
    pub fn ask_print(&mut self, code: &str, reprint: bool) -> Result<Print, CallError> {
        let mark = self.kept(code)?.answer.row.mark.clone();
        let of_piece = |print: &&mut Print| print.piece.as_deref() == Some(code) && print.state != PrintWord::Cancelled;
        let earlier: Vec<&mut Print> = self.prints.iter_mut().filter(of_piece).collect();
        let any = |is: fn(PrintWord) -> bool| earlier.iter().find(|print| is(print.state));
        if reprint {
            if self.printer == PrinterState::None {
                return Err(refused("no-printer", "no printer is set"));
            }
            if any(at_printer).is_some() {
                return Err(refused("at-printer", "this piece's label is at the printer"));
            }
            if let Some(waiting) = any(|state| state == PrintWord::Waiting) {
                return Ok((**waiting).clone());
            }
        } else if any(|state| state != PrintWord::Stopped).is_some() {
            return Err(refused("printed-before", format!("the label of {mark} was printed before")));
        }
        earlier.into_iter().for_each(put_away);
        Ok(self.print(Some(code), reprint))
    }

    /// Nobody will look for the label of a piece that is made again.
    pub(super) fn recall(&mut self, code: &str) {
        self.prints.iter_mut().filter(|print| print.piece.as_deref() == Some(code)).for_each(put_away);
    }

    pub(super) fn print(&mut self, code: Option<&str>, reprint: bool) -> Print {
        let number = 1 + self.prints.len() as i64;
        let mut print = Print {
            print: number,
            piece: code.map(Into::into),
            mark: None,
            order: None,
            state: PrintWord::Waiting,
            said: String::new(),
            reprint,
        };
        if let Some(code) = code {
            let kept = self.kept(code).unwrap();
            (print.mark, print.order) = (Some(kept.answer.row.mark.clone()), Some(kept.order.into()));
            // One that may be out already is followed by one with another code.
            if reprint && kept.may_be_out {
                self.comes_anew(code);
            }
        }
        self.prints.push(print.clone());
        self.show(&print);
        print
    }

    fn comes_anew(&mut self, code: &str) {
        let new = self.new_code();
        self.kept(code).unwrap().coming = Some(new);
    }

    pub(super) fn print_do(&mut self, number: i64, what: PrintDo) -> Result<Print, CallError> {
        let at = self.prints.iter().position(|known| known.print == number).unwrap();
        let print = self.prints[at].clone();
        let state = match (print.state, what) {
            // Called off there: what becomes of it, the printer says.
            (state, PrintDo::Cancel) if at_printer(state) => state,
            (PrintWord::Stopped | PrintWord::Unsure, PrintDo::Again) => PrintWord::Waiting,
            (PrintWord::Stopped | PrintWord::Unsure, PrintDo::CameOut) => PrintWord::Printed,
            (PrintWord::Waiting | PrintWord::Stopped | PrintWord::Unsure, PrintDo::Cancel) => PrintWord::Cancelled,
            _ => return Err(refused("not-now", "not as the print is now")),
        };
        if let (PrintWord::Unsure, PrintDo::Again, Some(code)) = (print.state, what, &print.piece) {
            self.comes_anew(code);
        }
        self.prints[at].state = state;
        self.show(&print);
        Ok(self.prints[at].clone())
    }

    /// The printer says how far the newest label is.
    pub fn printer_says(&mut self, state: PrintWord, said: &str) {
        let print = self.prints.last_mut().unwrap();
        (print.state, print.said) = (state, said.into());
        let print = print.clone();
        if let Some(code) = &print.piece {
            let kept = self.kept(code).unwrap();
            kept.may_be_out |= state != PrintWord::Waiting;
            // Until it is at the printer, the label that there was counts.
            if let Some(label) = kept.coming.take_if(|_| state != PrintWord::Waiting) {
                kept.retired.push(std::mem::replace(&mut kept.answer.row.label, label));
            }
        }
        self.show(&print);
    }

    /// The row of its piece says how far its newest label is, cancelled ones apart.
    fn show(&mut self, print: &Print) {
        let Some(code) = &print.piece else { return };
        let of_piece = |print: &&Print| print.piece.as_ref() == Some(code) && print.state != PrintWord::Cancelled;
        let newest = self.prints.iter().rfind(of_piece).cloned();
        let Some(kept) = self.pieces.iter_mut().find(|kept| kept.answer.row.code == *code) else { return };
        kept.answer.row.print = newest.as_ref().map(|print| print.state);
        kept.answer.row.said = newest.map(|print| print.said).unwrap_or_default();
    }
}

pub(super) fn is_open(state: PrintWord) -> bool {
    !matches!(state, PrintWord::Printed | PrintWord::Cancelled)
}

/// Unless the printer has it, or it is out.
fn put_away(print: &mut Print) {
    if matches!(print.state, PrintWord::Waiting | PrintWord::Stopped | PrintWord::Unsure) {
        print.state = PrintWord::Cancelled;
    }
}

fn at_printer(state: PrintWord) -> bool {
    matches!(state, PrintWord::Sending | PrintWord::Sent)
}
