//! What the desk asks of the endpoint: what it lacks, what may have changed, and what is to be sent.

use super::rows::elsewhere;
use super::{Answer, Desk, Over, Request};
use crate::bench::api::{CallError, Mark, Row};
use crate::bench::screen::Link;

/// So many different pieces can be made while the endpoint is away.
pub const AHEAD: usize = 12;

impl Desk {
    /// What to ask now that is not being asked already.
    pub(super) fn ask(&mut self) -> Vec<Request> {
        let mut wanted = std::mem::take(&mut self.asking.wishes);
        let mut lacks: Vec<Request> = self.next_mark().map(|mark| Request::Send(Box::new(mark))).into_iter().collect();
        lacks.extend(self.lacks());
        let asking = &mut self.asking;
        wanted.extend(
            lacks.into_iter().filter(|request| !asking.asked.contains(request) && !asking.failed.contains(request)),
        );
        asking.poll = false;
        asking.asked.extend(wanted.iter().cloned());
        wanted
    }

    /// What to send next. One at a time: what comes after it may hang on its answer.
    fn next_mark(&mut self) -> Option<Mark> {
        let asking = &self.asking;
        if asking.link != Link::Up || asking.asked.iter().any(|asked| matches!(asked, Request::Send(_))) {
            return None;
        }
        let failed = |mark: &Mark| {
            asking.failed.iter().any(|failed| matches!(failed, Request::Send(failed) if failed.id == mark.id))
        };
        self.outbox.next(failed).cloned()
    }

    /// That a request was answered, and whether the endpoint is there.
    pub(super) fn note_answer(&mut self, request: &Request, answer: &Result<Answer, CallError>) {
        self.asking.asked.retain(|asked| asked != request);
        self.asking.link = match answer {
            Ok(_) => Link::Up,
            Err(CallError::Away) => Link::Down,
            Err(CallError::Key) => Link::Refused,
            Err(CallError::Garbled(_) | CallError::Refused { .. }) => self.asking.link,
        };
        if self.asking.link != Link::Up {
            self.asking.garbled = false;
        }
        // A PIN is not kept, and not asked about again by itself.
        if answer.is_err() && !matches!(request, Request::Enter { .. }) {
            self.asking.failed.push(request.clone());
        }
    }

    /// Everything the desk lacks just now beside marks, most urgent first.
    fn lacks(&self) -> Vec<Request> {
        let poll = self.asking.poll;
        if self.asking.link != Link::Up {
            // One question is enough to find out whether the endpoint is back.
            return if poll { vec![Request::Orders] } else { Vec::new() };
        }
        let mut lacks = Vec::new();
        if let Some(order) = self.at.order() {
            let afresh = self.heard.rows.is_none() || self.heard.rows_stale;
            if afresh || poll {
                lacks.push(Request::Pieces { order: order.into(), afresh });
            }
        }
        lacks.extend(self.missing_record());
        if self.heard.orders.is_none() || poll {
            lacks.push(Request::Orders);
        }
        if self.heard.prints.is_none() || self.heard.prints_stale || poll {
            lacks.push(Request::Prints);
        }
        if self.wants_people() {
            lacks.push(Request::People);
        }
        lacks.extend(self.missing_of_page());
        lacks.extend(self.missing_pictures());
        lacks
    }

    /// The first record that is lacking.
    fn missing_record(&self) -> Option<Request> {
        let row = self.wanted_records().into_iter().find(|row| self.record(row).is_none())?;
        Some(Request::Piece { code: row.code.clone() })
    }

    /// The piece at the card, then those to be made next, one for all that are cut alike: the endpoint may be away by then.
    pub(super) fn wanted_records(&self) -> Vec<&Row> {
        let at_card = self.unfinished().first().copied();
        let waiting = |row: &&Row| !row.state.is_bent() && elsewhere(row, &self.own.bench.id).is_none();
        let mut wanted: Vec<&Row> = Vec::new();
        for row in at_card.into_iter().chain(self.heard.rows.iter().flatten().filter(waiting)) {
            let same = |known: &&Row| known.code == row.code || (row.alike.is_some() && known.alike == row.alike);
            if !wanted.iter().any(same) {
                wanted.push(row);
            }
            if wanted.len() == AHEAD {
                break;
            }
        }
        wanted
    }

    /// To choose from; and whoever signs here may have left, whatever is on the screen.
    fn wants_people(&self) -> bool {
        let chosen_from = matches!(self.over, Some(Over::People | Over::Pin { .. }));
        let poll = self.asking.poll && (chosen_from || self.own.person.is_some());
        poll || (chosen_from && self.heard.people.is_none())
    }

    fn missing_of_page(&self) -> Vec<Request> {
        let heard = &self.heard;
        match (&self.over, self.canvas) {
            (Some(Over::Settings), Some(canvas)) if heard.test_label.as_ref().is_none_or(|(of, _)| *of != canvas) => {
                vec![Request::TestLabel { canvas }]
            }
            (Some(Over::Join { .. }), canvas) => {
                let address = heard.address.is_none().then_some(Request::Address);
                let has =
                    |to: &str| heard.door.as_ref().is_some_and(|(of, drawn, _)| of == to && Some(*drawn) == canvas);
                let door = self.shown_door().filter(|to| !has(to)).zip(canvas);
                address.into_iter().chain(door.map(|(to, canvas)| Request::Door { to, canvas })).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The shown card's drawing first, then the ones that follow, then the ones before.
    fn missing_pictures(&self) -> Vec<Request> {
        let (Some(open), Some(canvas)) = (self.open_piece_at_card(), self.canvas) else { return Vec::new() };
        let (code, steps) = (&open.record.row.code, open.record.piece.steps.len());
        let language = self.own.looks.language;
        let has = |step: usize| {
            let picture = self.heard.pictures.get(&step).filter(|_| self.heard.pictures_of == *code);
            // Cards leave their drawings different room, and another card's will do until it is shown: away from the
            // endpoint it may have to do for longer.
            let shown = step == open.step;
            picture.is_some_and(|(fits, spoken, _)| *spoken == language && (!shown || *fits == canvas))
        };
        (open.step..steps)
            .chain(0..open.step)
            .filter(|step| !has(*step))
            .map(|step| Request::Picture { code: code.clone(), step, canvas, language })
            .collect()
    }
}
