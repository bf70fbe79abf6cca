//! The endpoint as the contract has it, in memory: what it refuses, it refuses here.

mod prints;
mod rules;

use serde_json::json;

use crate::bench::api::{
    Bench, CallError, Found, Mark, MarkedEvent, Person, PieceAnswer, Print, Printer, PrinterState, Prints, Row, Stands,
    State, Summary,
};
use crate::bench::desk::{Answer, Request};
use crate::bench::screen::Picture;
use crate::order::plan::Piece;
use crate::order::{Job, parse, planner};
use crate::trade::length::Units;

pub struct Shop {
    pub pieces: Vec<Kept>,
    /// All that was taken, in the order it came.
    pub taken: Vec<Mark>,
    pub printer: PrinterState,
    pub prints: Vec<Print>,
    pub people: Vec<Person>,
    /// Marks that were refused.
    pub refused: Vec<Mark>,
    /// A bench that only took a piece, unasked, has set it back.
    pub set_back: bool,
    /// What each piece that was made again was at that moment: the mark's id, whether it was finished, and who had it.
    pub scrapped: Vec<(String, bool, Option<Bench>)>,
    /// What was asked, but for marks.
    pub asked: Vec<Request>,
    codes: usize,
}

pub struct Kept {
    pub order: &'static str,
    pub answer: PieceAnswer,
    /// Labels that no longer count.
    retired: Vec<String>,
    /// The code of a label that is printed again.
    coming: Option<String>,
    /// The printer was given one of its labels.
    may_be_out: bool,
    /// The bench of its latest step.
    stepped_by: Option<Bench>,
    /// The piece that is made in its place.
    pub remade_as: Option<String>,
    /// How often it was bent and not taken back.
    pub made: isize,
}

impl Kept {
    fn new(order: &'static str, answer: PieceAnswer) -> Self {
        let (retired, coming, stepped_by, remade_as) = (Vec::new(), None, None, None);
        Self { order, answer, retired, coming, may_be_out: false, stepped_by, remade_as, made: 0 }
    }
}

fn refused(word: &str, detail: impl Into<String>) -> CallError {
    CallError::Refused { word: word.into(), detail: detail.into() }
}

/// Order 7: two lapped pieces of one run, then three pieces cut alike. Order 8: one piece.
fn orders() -> [(&'static str, serde_json::Value); 2] {
    let alone = |wall: &str| json!({ "wall": wall, "trim": "end-wall", "length": 100, "pitch": "2:12" });
    let order = |number: &str, due: &str, runs: Vec<serde_json::Value>| {
        json!({
            "format": "brakeside-order/1", "order": number, "job": { "name": "Test", "due": due }, "units": "in",
            "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": 120, "runs": runs
        })
    };
    let run = json!({ "wall": "A", "trim": "end-wall", "length": 200, "pitch": "2:12" });
    [
        ("7", order("7", "2026-12-04", vec![run, alone("B"), alone("C"), alone("D")])),
        ("8", order("8", "2026-12-05", vec![alone("E")])),
    ]
}

/// The order of this number, as it was sent.
pub fn document(number: &str) -> serde_json::Value {
    orders().into_iter().find(|(known, _)| *known == number).unwrap().1
}

impl Shop {
    pub fn new() -> Self {
        let mut shop = Self {
            pieces: Vec::new(),
            taken: Vec::new(),
            printer: PrinterState::None,
            prints: Vec::new(),
            people: vec![
                Person { id: 1, name: "Ana".into(), pin: false },
                Person { id: 2, name: "Ben".into(), pin: true },
            ],
            refused: Vec::new(),
            set_back: false,
            scrapped: Vec::new(),
            asked: Vec::new(),
            codes: 0,
        };
        for (number, document) in orders() {
            let (order, _) = parse::parse(document.to_string().as_bytes(), &Default::default()).unwrap();
            for (seq, piece) in planner::plan(&order).unwrap().pieces.into_iter().enumerate() {
                shop.keep(number, seq, order.job.clone(), order.units, piece);
            }
        }
        shop
    }

    fn keep(&mut self, order: &'static str, seq: usize, job: Job, units: Units, piece: Piece) {
        let code = self.new_code();
        let mut row = row_of(&code, seq, &piece);
        // Cut alike in every step.
        let twin = self.pieces.iter_mut().find(|kept| kept.order == order && kept.answer.piece.steps == piece.steps);
        if let Some(twin) = twin {
            let first = twin.answer.row.alike.get_or_insert(twin.answer.row.code.clone()).clone();
            row.alike = Some(first);
        }
        self.pieces.push(Kept::new(order, PieceAnswer { row, job, units, piece }));
    }

    fn new_code(&mut self) -> String {
        self.codes += 1;
        format!("CODE{}", self.codes)
    }

    /// Of the piece that stands now.
    pub fn code(&self, mark: &str) -> String {
        self.standing().find(|kept| kept.answer.row.mark == mark).unwrap().answer.row.code.clone()
    }

    pub fn row(&mut self, mark: &str) -> &mut Row {
        let code = self.code(mark);
        &mut self.kept(&code).unwrap().answer.row
    }

    fn standing(&self) -> impl Iterator<Item = &Kept> {
        self.pieces.iter().filter(|kept| kept.remade_as.is_none())
    }

    fn kept(&mut self, code: &str) -> Result<&mut Kept, CallError> {
        let found = self.pieces.iter_mut().find(|kept| kept.answer.row.code == code);
        match found {
            None => Err(refused("unknown", "no piece has this code: check the label, or scan it again")),
            Some(Kept { remade_as: Some(new), .. }) => {
                Err(refused("remade", format!("this piece was made again: look for the label {new}")))
            }
            Some(kept) => Ok(kept),
        }
    }

    pub fn answer(&mut self, request: &Request) -> Result<Answer, CallError> {
        if !matches!(request, Request::Send(_)) {
            self.asked.push(request.clone());
        }
        Ok(match request {
            Request::Orders => Answer::Orders(Some(["7", "8"].map(|number| self.summary(number)).into())),
            Request::Pieces { order, .. } => {
                let of_order = self.standing().filter(|kept| kept.order == order);
                let mut rows: Vec<Row> = of_order.map(|kept| kept.answer.row.clone()).collect();
                rows.sort_by_key(|row| row.seq);
                Answer::Pieces(Some(rows))
            }
            Request::Piece { code } => Answer::Piece(Box::new(self.kept(code)?.answer.clone())),
            Request::Picture { .. } | Request::Door { .. } | Request::TestLabel { .. } => {
                Answer::Picture(Picture { width: 1, height: 1, rgba: Default::default() })
            }
            Request::Prints => Answer::Prints(Prints {
                printer: Printer { state: self.printer, said: String::new() },
                prints: self.prints.iter().filter(|print| prints::is_open(print.state)).cloned().collect(),
            }),
            Request::People => Answer::People(Some(self.people.clone())),
            Request::Address => Answer::Address("http://192.168.1.20:8787".into()),
            Request::Scan { code } => Answer::Found(Box::new(self.found(code)?)),
            Request::PrintDo { print, what } => Answer::Print(Box::new(self.print_do(*print, *what)?)),
            Request::PrintTest { .. } => Answer::Print(Box::new(self.print(None, false))),
            Request::Enter { person, pin } => match (person, pin.0.as_str()) {
                (2, "2468") => Answer::Entered,
                _ => return Err(refused("wrong-pin", "that is not Ben's PIN")),
            },
            Request::Send(mark) => match self.take(mark) {
                Ok(taken) => Answer::Sent(taken),
                Err(error) => {
                    self.refused.push(Mark::clone(mark));
                    return Err(error);
                }
            },
        })
    }

    fn summary(&self, number: &str) -> Summary {
        let rows: Vec<&Kept> = self.standing().filter(|kept| kept.order == number).collect();
        let count = |is: fn(State) -> bool| rows.iter().filter(|kept| is(kept.answer.row.state)).count();
        Summary {
            order: number.into(),
            job: rows[0].answer.job.clone(),
            pieces: rows.len(),
            bent: count(State::is_bent),
            loaded: count(|state| state == State::Loaded),
            reported: rows.iter().filter(|kept| kept.answer.row.reported.is_some()).count(),
        }
    }

    fn found(&self, code: &str) -> Result<Found, CallError> {
        let has = |kept: &&Kept| kept.answer.row.code == code || kept.answer.row.label == code;
        let owner = self.pieces.iter().find(|kept| has(kept) || kept.retired.iter().any(|label| label == code));
        let Some(kept) = owner else { return Err(refused("unknown", "no piece has this label")) };
        let row = &kept.answer.row;
        let stands = match &kept.remade_as {
            Some(_) => Stands::Remade,
            None if row.label == code => Stands::Current,
            None => Stands::Retired,
        };
        let now = kept.remade_as.as_ref().and_then(|new| self.pieces.iter().find(|kept| kept.answer.row.code == *new));
        let piece = Some(now.unwrap_or(kept).answer.row.clone());
        let detail = match stands {
            // A code as labels have them, for the desk to show.
            Stands::Remade => "this piece was made again: look for the label TESTAQYZMW68".into(),
            _ => format!("this label of {} was printed again", row.mark),
        };
        Ok(Found { stands, order: kept.order.into(), piece, detail })
    }

    /// How often a mark of this kind was taken.
    pub fn count(&self, is: fn(&MarkedEvent) -> bool) -> usize {
        self.taken.iter().filter(|mark| is(&mark.event)).count()
    }
}

fn row_of(code: &str, seq: usize, piece: &Piece) -> Row {
    Row {
        code: code.into(),
        seq,
        mark: piece.mark.clone(),
        wall: piece.wall.clone(),
        trim: piece.trim,
        place: piece.place,
        of: piece.of,
        length: piece.length.clone(),
        state: State::Waiting,
        done: 0,
        steps: piece.steps.len(),
        reported: None,
        label: code.into(),
        alike: None,
        bench: None,
        remake_of: None,
        remake_why: None,
        print: None,
        said: String::new(),
    }
}
