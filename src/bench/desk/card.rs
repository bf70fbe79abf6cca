//! The card: one step of the piece at the brake.

use super::batch::Open;
use super::rows::may_print;
use super::{Desk, cards, measure};
use crate::bench::screen::{Card, PrintState};
use crate::order::plan::{Action, Measure};

/// Said instead of the plan's first sentence, which knows of no printer; where the label goes, the plan knows.
const PRINT: &str = "Print the label.";
const COMING: &str = "The label is on its way.";
const NO_ANSWER: &str = "The label is at a printer that does not answer: look there.";
const WAITING: &str = "The label waits for the printer, and comes by itself when the printer is back.";

impl Desk {
    pub(super) fn card(&self, open: &Open) -> Card {
        let (row, step) = (open.row, open.shown());
        let label = (step.action == Action::Label).then(|| self.label_progress(row));
        let text = match &label {
            Some(label) if label.printer => {
                let stick = step.text.split_once(". ").map_or(step.text.as_str(), |(_, stick)| stick);
                match label.state {
                    PrintState::None | PrintState::Stopped => format!("{PRINT} {stick}"),
                    PrintState::Sent if self.printer_is_away() => format!("{NO_ANSWER} {stick}"),
                    PrintState::Waiting | PrintState::Sent if self.waits_for_printer(row) => {
                        format!("{WAITING} {stick}")
                    }
                    PrintState::Waiting | PrintState::Sent => format!("{COMING} {stick}"),
                    PrintState::Printed | PrintState::Unsure => stick.into(),
                }
            }
            _ => step.text.clone(),
        };
        let picture = self.heard.pictures.get(&open.step).filter(|_| self.heard.pictures_of == open.record.row.code);
        Card {
            order: open.order.into(),
            job: open.record.job.name.clone(),
            mark: row.mark.clone(),
            place: format!("{} · {} · {} of {}", row.wall, row.trim.name(), row.place, row.of),
            step: open.step,
            steps: open.record.piece.steps.len(),
            action: step.action,
            title: cards::title(step),
            number: step.number.as_ref().map(Measure::big).unwrap_or_default(),
            number_caption: cards::caption(step),
            text,
            caution: step.caution.clone(),
            working_open: self.working_open && step.working.is_some(),
            working: step.working.clone(),
            picture: picture.map(|(.., picture)| picture.clone()),
            batch: open.batch,
            remade: row.remake_why.clone(),
            on: self.card_on(open),
            tolerance: step.tolerance.as_ref().map(measure::plus_minus),
            label_asked: !may_print(row),
            label,
        }
    }
}
