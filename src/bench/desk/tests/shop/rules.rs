//! What the endpoint takes of what happened to a piece, and what becomes of the piece.

use super::{Kept, Shop, refused, row_of};
use crate::bench::api::{Bench, CallError, Mark, MarkedEvent, PieceAnswer, Row, State, Taken};
use crate::order::plan::Action;
use crate::trade::length::Length;

impl Shop {
    pub(super) fn take(&mut self, mark: &Mark) -> Result<Taken, CallError> {
        let again = self.taken.iter().any(|taken| taken.id == mark.id);
        let taken = match &mark.event {
            MarkedEvent::Remake { .. } if again => Taken::Remade(Box::new(self.remade(&mark.code))),
            MarkedEvent::Remake { why, bench } => Taken::Remade(Box::new(self.remake(mark, why, bench.as_ref())?)),
            MarkedEvent::Print { .. } if again => {
                let print = self.prints.iter().rfind(|print| print.piece.as_ref() == Some(&mark.code));
                Taken::Print(Box::new(print.unwrap().clone()))
            }
            MarkedEvent::Print { reprint } => Taken::Print(Box::new(self.ask_print(&mark.code, *reprint)?)),
            _ => {
                if !again {
                    self.happen(mark)?;
                }
                let kept = self.pieces.iter().find(|kept| kept.answer.row.code == mark.code).unwrap();
                Taken::Row(Box::new(kept.answer.row.clone()))
            }
        };
        if !again {
            self.taken.push(mark.clone());
        }
        Ok(taken)
    }

    /// The rules of the events.
    fn happen(&mut self, mark: &Mark) -> Result<(), CallError> {
        let kept = self.kept(&mark.code)?;
        allow(kept, &mark.event, mark.by.as_deref())?;
        let row = &mut kept.answer.row;
        let mut lowered = false;
        match &mark.event {
            MarkedEvent::Step { done, bench, take_over, let_go } => {
                lowered = mark.claim && !take_over && *done < row.done;
                row.done = *done;
                row.bench = bench.clone().filter(|_| !let_go);
                row.state = if *done == 0 { State::Waiting } else { State::Started };
                kept.stepped_by.clone_from(&row.bench);
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

    fn remake(&mut self, mark: &Mark, why: &str, bench: Option<&Bench>) -> Result<Row, CallError> {
        let kept = self.kept(&mark.code)?;
        if let Some(bench) = bench {
            // Whoever could not begin the piece has made no scrap of it.
            let begins = MarkedEvent::Step { done: 0, bench: Some(bench.clone()), take_over: false, let_go: false };
            allow(kept, &begins, None)?;
        }
        let (order, old) = (kept.order, kept.answer.clone());
        self.scrapped.push((mark.id.clone(), old.row.state.is_bent(), old.row.bench.clone()));
        let new = self.new_code();
        let of_order = self.pieces.iter().filter(|kept| kept.order == order);
        let seq = 1 + of_order.map(|kept| kept.answer.row.seq).max().unwrap();
        let mut row = row_of(&new, seq, &old.piece);
        row.remake_of = Some(mark.code.clone());
        row.remake_why = Some(why.into());
        self.kept(&mark.code)?.remade_as = Some(new);
        self.recall(&mark.code);
        self.pieces.push(Kept::new(order, PieceAnswer { row: row.clone(), ..old }));
        Ok(row)
    }

    fn remade(&self, code: &str) -> Row {
        let of_old = |kept: &&Kept| kept.answer.row.remake_of.as_deref() == Some(code);
        self.pieces.iter().find(of_old).unwrap().answer.row.clone()
    }
}

fn allow(kept: &Kept, event: &MarkedEvent, by: Option<&str>) -> Result<(), CallError> {
    let row = &kept.answer.row;
    let holder = row.bench.as_ref().filter(|_| !row.state.is_bent());
    let held = |bench: &Option<Bench>| match (holder, bench) {
        (Some(holder), Some(bench)) if holder.id != bench.id => {
            Err(refused("held", format!("{} is making this piece: take another, or take it over", holder.name)))
        }
        _ => Ok(()),
    };
    match event {
        MarkedEvent::Step { .. } | MarkedEvent::Bent { .. } | MarkedEvent::Measured { bench: Some(_), .. }
            if row.state.is_bent() =>
        {
            Err(refused("already-bent", "already bent at 14:31: set this piece aside and take the next one"))
        }
        MarkedEvent::Step { done, .. } if *done > row.steps => Err(refused("bad-step", "no such step")),
        MarkedEvent::Step { take_over: true, .. } => Ok(()),
        MarkedEvent::Step { done, bench: Some(_), .. } if holder.is_none() && *done < row.done => {
            let detail = format!("this piece was gone on with elsewhere: it stands at step {}", row.done + 1);
            Err(refused("gone-on", detail))
        }
        MarkedEvent::Step { bench, .. } | MarkedEvent::Bent { bench } => held(bench),
        MarkedEvent::Measured { mm, accepted, as_wanted, bench } => {
            held(bench)?;
            assert!(mm.is_some() || *as_wanted, "a length that nobody read");
            let length = Length::from_mm(mm.unwrap_or(row.length.mm));
            let step = kept.answer.piece.steps.iter().find(|step| step.action == Action::CheckLength).unwrap();
            match (step.takes(length), accepted, by) {
                (true, ..) | (false, true, Some(_)) => Ok(()),
                (false, true, None) => Err(refused("name-needed", "say who takes it")),
                (false, false, _) => Err(refused("out-of-tolerance", "out of tolerance")),
            }
        }
        MarkedEvent::Reopened => match row.state {
            State::Bent => Ok(()),
            State::Loaded => Err(refused("already-loaded", "already loaded")),
            State::Installed => Err(refused("already-installed", "already installed")),
            State::Waiting | State::Started => Err(refused("not-bent", "there is nothing to take back")),
        },
        MarkedEvent::Remake { .. } | MarkedEvent::Print { .. } => Ok(()),
    }
}
