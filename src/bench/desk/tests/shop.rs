//! The endpoint as the contract has it, in memory: what it refuses, it refuses here.

use serde_json::json;

use crate::bench::api::{
    Bench, CallError, Found, Mark, MarkedEvent, Person, PieceAnswer, Print, PrintDo, PrintWord, Printer, PrinterState,
    Prints, Row, Stands, State, Summary, Taken,
};
use crate::bench::desk::{Answer, Request};
use crate::bench::screen::Picture;
use crate::order::plan::Piece;
use crate::order::{Job, parse, planner};
use crate::trade::length::{Length, Units};

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
    /// The bench of its latest step.
    stepped_by: Option<Bench>,
    /// The piece that is made in its place.
    pub remade_as: Option<String>,
    /// How often it was bent and not taken back.
    pub made: isize,
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
        let answer = PieceAnswer { row, job, units, piece };
        self.pieces.push(Kept {
            order,
            answer,
            retired: Vec::new(),
            coming: None,
            stepped_by: None,
            remade_as: None,
            made: 0,
        });
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
                prints: self.prints.iter().filter(|print| is_open(print.state)).cloned().collect(),
            }),
            Request::People => Answer::People(self.people.clone()),
            Request::Address => Answer::Address("http://192.168.1.20:8787".into()),
            Request::Scan { code } => Answer::Found(Box::new(self.found(code)?)),
            Request::PrintDo { print, what } => {
                let print = self.prints.iter_mut().find(|known| known.print == *print).unwrap();
                print.state = match what {
                    PrintDo::Again => PrintWord::Waiting,
                    PrintDo::CameOut => PrintWord::Printed,
                    PrintDo::Cancel => PrintWord::Cancelled,
                };
                Answer::Print(Box::new(print.clone()))
            }
            Request::PrintTest { .. } => Answer::Print(Box::new(self.print(None, false))),
            Request::Enter { person, pin } => match (person, pin.0.as_str()) {
                (2, "2468") => Answer::Entered,
                _ => return Err(refused("wrong-pin", "that is not Ben's PIN")),
            },
            Request::Send(mark) => match self.take(mark) {
                Ok(taken) => Answer::Sent(taken),
                Err(error) => {
                    self.refused.push(mark.clone());
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

    fn take(&mut self, mark: &Mark) -> Result<Taken, CallError> {
        let again = self.taken.iter().any(|taken| taken.id == mark.id);
        match &mark.event {
            MarkedEvent::Remake { why } => {
                let new = if again { self.remade(&mark.code) } else { self.remake(&mark.code, why)? };
                self.note(mark, again);
                return Ok(Taken::Remade(Box::new(new)));
            }
            MarkedEvent::Print { .. } if again => {
                let print = self.prints.iter().rfind(|print| print.piece.as_ref() == Some(&mark.code));
                return Ok(Taken::Print(Box::new(print.unwrap().clone())));
            }
            MarkedEvent::Print { reprint } => {
                let row = self.kept(&mark.code)?.answer.row.clone();
                let free = matches!(row.print, None | Some(PrintWord::Stopped | PrintWord::Cancelled));
                if !reprint && !free {
                    return Err(refused("printed-before", format!("the label of {} was printed before", row.mark)));
                }
                self.note(mark, again);
                let print = self.print(Some(&mark.code), *reprint);
                return Ok(Taken::Print(Box::new(print)));
            }
            _ if !again => self.happen(mark)?,
            _ => {}
        }
        self.note(mark, again);
        let kept = self.pieces.iter().find(|kept| kept.answer.row.code == mark.code).unwrap();
        Ok(Taken::Row(Box::new(kept.answer.row.clone())))
    }

    fn note(&mut self, mark: &Mark, again: bool) {
        if !again {
            self.taken.push(mark.clone());
        }
    }

    /// The rules of the events.
    fn happen(&mut self, mark: &Mark) -> Result<(), CallError> {
        let kept = self.kept(&mark.code)?;
        let row = &mut kept.answer.row;
        let bent = row.state.is_bent();
        let already_bent =
            || refused("already-bent", "already bent at 14:31: set this piece aside and take the next one");
        let holder = kept.stepped_by.clone().filter(|_| !bent);
        let held = |bench: &Option<Bench>| {
            let other = holder.as_ref().filter(|holder| bench.as_ref().is_some_and(|bench| bench.id != holder.id));
            other.map(|holder| {
                refused("held", format!("{} is making this piece: take another, or take it over", holder.name))
            })
        };
        match &mark.event {
            MarkedEvent::Step { .. } | MarkedEvent::Bent { .. } if bent => return Err(already_bent()),
            MarkedEvent::Step { done, .. } if *done > row.steps => return Err(refused("bad-step", "no such step")),
            MarkedEvent::Step { bench, take_over: false, .. } | MarkedEvent::Bent { bench } => {
                if let Some(refusal) = held(bench) {
                    return Err(refusal);
                }
                if let MarkedEvent::Step { done, bench: Some(_), .. } = &mark.event
                    && holder.is_none()
                    && *done < row.done
                {
                    let detail = format!("this piece was gone on with elsewhere: it stands at step {}", row.done + 1);
                    return Err(refused("gone-on", detail));
                }
            }
            MarkedEvent::Reopened if row.state != State::Bent => {
                return Err(refused("not-bent", "it is not at the shop"));
            }
            MarkedEvent::Measured { mm: None, as_wanted, .. } => {
                assert!(as_wanted, "a length that nobody read");
            }
            MarkedEvent::Measured { mm: Some(mm), accepted, .. } => {
                let step = kept.answer.piece.steps.iter().find(|step| step.tolerance.is_some());
                let off = (Length::from_mm(*mm) - Length::from_mm(row.length.mm)).nm().abs();
                let right =
                    step.and_then(|step| step.tolerance.as_ref()).is_none_or(|t| off <= Length::from_mm(t.mm).nm());
                if !right && !accepted {
                    return Err(refused("out-of-tolerance", "out of tolerance"));
                }
                if *accepted && mark.by.is_none() {
                    return Err(refused("name-needed", "say who takes it"));
                }
            }
            _ => {}
        }
        let mut lowered = false;
        match &mark.event {
            MarkedEvent::Step { done, bench, take_over } => {
                lowered = mark.claim && !take_over && *done < row.done;
                (row.done, row.bench) = (*done, bench.clone());
                row.state = if *done == 0 { State::Waiting } else { State::Started };
                kept.stepped_by.clone_from(bench);
            }
            MarkedEvent::Bent { .. } => {
                row.state = State::Bent;
                row.bench = None;
                kept.made += 1;
            }
            MarkedEvent::Reopened => {
                row.state = if row.done == 0 { State::Waiting } else { State::Started };
                row.bench.clone_from(&kept.stepped_by);
                kept.made -= 1;
            }
            MarkedEvent::Measured { .. } | MarkedEvent::Remake { .. } | MarkedEvent::Print { .. } => {}
        }
        self.set_back |= lowered;
        Ok(())
    }

    fn remake(&mut self, code: &str, why: &str) -> Result<Row, CallError> {
        let (order, old) = {
            let kept = self.kept(code)?;
            (kept.order, kept.answer.clone())
        };
        let new = self.new_code();
        let seq =
            self.pieces.iter().filter(|kept| kept.order == order).map(|kept| kept.answer.row.seq).max().unwrap() + 1;
        let mut row = row_of(&new, seq, &old.piece);
        row.remake_of = Some(code.into());
        row.remake_why = Some(why.into());
        let answer = PieceAnswer { row: row.clone(), ..old };
        self.kept(code)?.remade_as = Some(new);
        self.pieces.push(Kept {
            order,
            answer,
            retired: Vec::new(),
            coming: None,
            stepped_by: None,
            remade_as: None,
            made: 0,
        });
        Ok(row)
    }

    fn remade(&self, code: &str) -> Row {
        let of_old = |kept: &&Kept| kept.answer.row.remake_of.as_deref() == Some(code);
        self.pieces.iter().find(of_old).unwrap().answer.row.clone()
    }

    fn print(&mut self, code: Option<&str>, reprint: bool) -> Print {
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
            let coming = reprint.then(|| self.new_code());
            let kept = self.kept(code).unwrap();
            kept.coming = coming;
            kept.answer.row.print = Some(PrintWord::Waiting);
            (print.mark, print.order) = (Some(kept.answer.row.mark.clone()), Some(kept.order.into()));
        }
        self.prints.push(print.clone());
        print
    }

    /// The printer says how far the newest label is.
    pub fn printer_says(&mut self, state: PrintWord, said: &str) {
        let print = self.prints.last_mut().unwrap();
        (print.state, print.said) = (state, said.into());
        if let Some(code) = print.piece.clone() {
            let kept = self.kept(&code).unwrap();
            (kept.answer.row.print, kept.answer.row.said) = (Some(state), said.into());
            // Until it is at the printer, the label that there was counts.
            if let Some(label) = kept.coming.take_if(|_| state != PrintWord::Waiting) {
                kept.retired.push(std::mem::replace(&mut kept.answer.row.label, label));
            }
        }
    }

    /// How often a mark of this kind was taken.
    pub fn count(&self, is: fn(&MarkedEvent) -> bool) -> usize {
        self.taken.iter().filter(|mark| is(&mark.event)).count()
    }
}

fn is_open(state: PrintWord) -> bool {
    !matches!(state, PrintWord::Printed | PrintWord::Cancelled)
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
