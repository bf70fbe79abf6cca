//! The clerk: takes labels to the printer, one at a time, and follows each to its end.
//!
//! What must never happen is a label lost, or printed twice unasked. So `sending` is written before a label goes out and the
//! printer's number for it after; a label is sent again only when the printer surely does not have it. Where that is not sure,
//! because the power went or the connection broke, the clerk asks the printer for the job by its name, and where the printer
//! does not know either, a person is asked.

use std::collections::{BTreeSet, HashMap};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use super::{PrinterState, Shared, draw};
use crate::endpoint::kiosk::Kiosk;
use crate::label::printer::{Address, Arrival, Found, Job, JobState, Printer, PrinterError, Readiness, Status};
use crate::store::{Print, PrintError, PrintState, StoreError};

/// Between two looks at a job.
const POLL: Duration = Duration::from_millis(300);
/// Between two looks at a job that stands still until somebody has seen to the printer.
const SLOW_POLL: Duration = Duration::from_secs(1);
/// Between two tries at a printer that is away or cannot print, at first and at most: it doubles.
const RETRY: [Duration; 2] = [Duration::from_secs(2), Duration::from_secs(15)];
/// Between two looks at a printer that has nothing to do.
const IDLE: Duration = Duration::from_secs(60);
/// How often the printer is asked for a job that it does not know, before that is believed: it may still be reading it.
const LOOKS: u32 = 5;

const NO_ANSWER: &str = "does not answer";

/// The clerk at work, until this is dropped. What is at the printer then stays there, and is followed on by the next.
#[must_use = "the clerk goes home when this is dropped"]
pub struct Clerk {
    shared: Option<Arc<Shared>>,
    thread: Option<JoinHandle<()>>,
}

/// Sets a clerk to work on the kiosk's printer; without one there is nothing to do.
pub fn start(kiosk: Arc<Kiosk>) -> Clerk {
    let shared = kiosk.printing().0.clone();
    let thread = shared.clone().map(|shared| {
        shared.told().over = false;
        thread::spawn(move || {
            Desk { kiosk, shared, looks: HashMap::new(), called_off: BTreeSet::new(), tries: 0 }.work()
        })
    });
    Clerk { shared, thread }
}

impl Drop for Clerk {
    fn drop(&mut self) {
        if let Some(shared) = &self.shared {
            shared.told().over = true;
            shared.wake.notify_all();
        }
        if let Some(thread) = self.thread.take() {
            // An error would be a panic, which the thread has reported itself.
            let _ = thread.join();
        }
    }
}

struct Desk {
    kiosk: Arc<Kiosk>,
    shared: Arc<Shared>,
    /// How often each print was looked for in vain.
    looks: HashMap<i64, u32>,
    /// Prints that the printer was told to call off.
    called_off: BTreeSet<i64>,
    /// How often in a row the printer could not be used.
    tries: u32,
}

/// When the clerk looks again: the later, the longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Next {
    Soon,
    /// Somebody must see to the printer, which has a label.
    Slowly,
    /// The printer cannot be used now.
    Later,
    /// Nothing is to be done.
    Idle,
}

impl Desk {
    fn work(mut self) {
        let mut pause = Duration::ZERO;
        while self.shared.pause(pause) {
            // A panic, which would be a fault of ours, must not send the clerk home for good.
            let round = catch_unwind(AssertUnwindSafe(|| self.round()));
            pause = match round.unwrap_or(Ok(Next::Later)) {
                Ok(Next::Soon) => POLL,
                Ok(Next::Slowly) => SLOW_POLL,
                Ok(Next::Idle) => IDLE,
                Ok(Next::Later) => self.retry(),
                Err(error) => {
                    eprintln!("brakeside: the labels to be printed cannot be kept: {error}");
                    self.retry()
                }
            };
        }
    }

    fn retry(&mut self) -> Duration {
        let [first, most] = RETRY;
        self.tries += 1;
        (first * 2_u32.saturating_pow(self.tries - 1)).min(most)
    }

    /// Sees to everything once: first to what the printer has or may have, then, if that is nothing, to what waits.
    fn round(&mut self) -> Result<Next, StoreError> {
        let under_way = self.kiosk.store().prints_under_way()?;
        let is_under_way = |id: &i64| under_way.iter().any(|print| print.id == *id);
        self.called_off.retain(is_under_way);
        self.looks.retain(|id, _| is_under_way(id));
        let (here, elsewhere): (Vec<_>, Vec<_>) = under_way.iter().partition(|print| self.is_here(print));
        let mut next = None;
        for print in here {
            next = next.max(settled(self.see_to(print))?);
        }
        let next = match next {
            Some(next) => next,
            None => self.send_next()?,
        };
        // A label left at a printer of another address, which may be gone, does not keep this one from working. One that
        // a person called off is at its end as soon as that one was asked, or does not answer.
        let mut sooner = next;
        for print in elsewhere.into_iter().filter(|print| print.called_off || next >= Next::Later) {
            if let Some(seen @ (Next::Soon | Next::Slowly)) = settled(self.see_to(print))? {
                sooner = sooner.min(seen);
            }
        }
        Ok(sooner)
    }

    /// Whether it was sent to the printer that the shop has now.
    fn is_here(&self, print: &Print) -> bool {
        print.printer.as_ref() == Some(&self.shared.address.to_string())
    }

    fn now(&self) -> i64 {
        self.kiosk.now()
    }

    fn became(&self, print: &Print, to: PrintState, said: &str) -> Result<(), PrintError> {
        self.kiosk.store().print_became(print.id, to, said, self.now()).map(drop)
    }

    fn said(&self, print: &Print, said: &str) -> Result<(), PrintError> {
        self.kiosk.store().print_said(print, said, self.now())
    }

    /// Sees to a print that the printer has, or may have. None when that is at its end.
    fn see_to(&mut self, print: &Print) -> Result<Option<Next>, PrintError> {
        let address = print.printer.as_deref().map(Address::parse);
        let (Some(Ok(address)), Some(name)) = (address, &print.job_name) else {
            // Only a hand in the store can have done that.
            self.became(print, PrintState::Unsure, "where it was sent is not known")?;
            return Ok(None);
        };
        let printer = Printer::at(&address, self.shared.patience);
        match print.job {
            Some(job) => self.follow(print, &printer, job, name),
            None => self.look_for(print, &printer, name),
        }
    }

    /// Looks for a label that was being sent when the power went, or the connection.
    fn look_for(&mut self, print: &Print, printer: &Printer, name: &str) -> Result<Option<Next>, PrintError> {
        // However long the printer cannot be asked, somebody may hold it.
        self.kiosk.store().print_perhaps_out(print.id, self.now())?;
        match printer.find(name) {
            Ok(Found::Job(job)) => {
                let sent = self.kiosk.store().print_sent(print.id, job.number, self.now())?;
                self.follow(&sent, printer, job.number, name)
            }
            Ok(found) => {
                let looks = self.looks.entry(print.id).or_default();
                *looks += 1;
                if found == Found::Unknown && *looks < LOOKS {
                    return Ok(Some(Next::Soon));
                }
                let why = match found {
                    Found::CannotTell => "the printer cannot tell whether it has it",
                    _ => "the printer does not know it, and may have printed it",
                };
                self.became(print, PrintState::Unsure, why)?;
                Ok(None)
            }
            Err(error) => self.unreachable(print, &error),
        }
    }

    /// How far a label is that the printer has a number for.
    fn follow(&mut self, print: &Print, printer: &Printer, job: i32, name: &str) -> Result<Option<Next>, PrintError> {
        let job = match printer.job(job) {
            // After it was switched off and on, a printer may give the same number to another job.
            Ok(Some(job)) if job.may_be(name) => job,
            Ok(_) => {
                self.became(
                    print,
                    PrintState::Unsure,
                    "the printer does not know it any more, and may have printed it",
                )?;
                return Ok(None);
            }
            Err(error) => return self.unreachable(print, &error),
        };
        let or = |words: &'static str| if job.said.is_empty() { words.to_owned() } else { job.said.clone() };
        match job.state {
            JobState::Completed if print.called_off => self.became(print, PrintState::Printed, "it was out already")?,
            JobState::Completed => self.became(print, PrintState::Printed, "")?,
            JobState::CompletedWithErrors => {
                self.became(print, PrintState::Unsure, "the printer says it came out with errors")?;
            }
            JobState::Canceled => self.became(print, PrintState::Stopped, &or("cancelled at the printer"))?,
            JobState::Aborted => self.became(print, PrintState::Stopped, &or("the printer gave it up"))?,
            JobState::Going => return self.going(print, printer, &job),
        }
        Ok(None)
    }

    fn going(&mut self, print: &Print, printer: &Printer, job: &Job) -> Result<Option<Next>, PrintError> {
        if print.called_off && !self.called_off.contains(&print.id) {
            match printer.cancel(job.number) {
                Err(error @ (PrinterError::Away(_) | PrinterError::Lost(_))) => return self.unreachable(print, &error),
                // A refusal says that it has ended meanwhile: the next look tells how.
                Err(_) | Ok(()) => _ = self.called_off.insert(print.id),
            }
        }
        if self.is_here(print) {
            self.tries = 0;
        }
        match printer.status() {
            Ok(status) if print.called_off => {
                self.tell_of(print, PrinterState::Busy, &status.said);
                self.said(print, "called off: the printer has not let go of it yet")?;
                Ok(Some(Next::Soon))
            }
            Ok(status) if status.hindered => {
                self.tell_of(print, PrinterState::Stopped, &status.said);
                self.said(print, &status.said)?;
                Ok(Some(Next::Slowly))
            }
            Ok(status) => {
                self.tell_of(print, PrinterState::Busy, &status.said);
                self.said(print, &job.said)?;
                Ok(Some(Next::Soon))
            }
            Err(error) => self.unreachable(print, &error),
        }
    }

    /// The printer has the label, or may have it, and cannot be asked: it stays so, unless a person gave it up.
    fn unreachable(&self, print: &Print, error: &PrinterError) -> Result<Option<Next>, PrintError> {
        if print.called_off {
            self.became(print, PrintState::Unsure, "the printer does not answer, and may have printed it")?;
            return Ok(None);
        }
        if self.is_here(print) {
            self.away(error);
        }
        self.said(print, &error.to_string())?;
        Ok(Some(Next::Later))
    }

    /// Sends what has waited longest, if the printer can take it.
    fn send_next(&mut self) -> Result<Next, StoreError> {
        let printer = Printer::at(&self.shared.address, self.shared.patience);
        let (status, abilities) = match printer.abilities() {
            Ok(known) => known,
            Err(error) => {
                self.away(&error);
                return Ok(Next::Later);
            }
        };
        self.tell(&status);
        let Some(print) = self.kiosk.store().next_print()? else {
            self.tries = 0;
            return Ok(if status.readiness == Readiness::Stopped { Next::Later } else { Next::Idle });
        };
        if !status.takes_jobs {
            return Ok(Next::Later);
        }
        let label = match draw::label(&self.kiosk, &print, self.shared.stock, &abilities) {
            Ok(label) => label,
            Err(draw::DrawError::Unfit(unfit)) => {
                self.shared.tell(PrinterState::Stopped, &unfit.to_string());
                return Ok(Next::Later);
            }
            Err(draw::DrawError::Gone(why)) => {
                settled(self.became(&print, PrintState::Cancelled, why))?;
                return Ok(Next::Soon);
            }
            Err(draw::DrawError::Store(error)) => return Err(error),
            Err(alone) => {
                settled(self.became(&print, PrintState::Stopped, &alone.to_string()))?;
                return Ok(Next::Soon);
            }
        };
        self.tries = 0;
        // It may have been cancelled meanwhile: then there is nothing to send.
        let sending = self.kiosk.store().print_sending(print.id, &self.shared.address.to_string(), self.now());
        let Some(print) = settled(sending.map(Some))? else { return Ok(Next::Soon) };
        let name = print.job_name.as_deref().unwrap_or_default();
        let sent = match printer.print(name, &label.setup, &abilities, &label.document) {
            Ok(job) => {
                self.shared.tell(PrinterState::Busy, &status.said);
                self.kiosk.store().print_sent(print.id, job, self.now()).map(drop)
            }
            Err(error) => match error.arrival() {
                Arrival::Later => {
                    self.away(&error);
                    settled(self.became(&print, PrintState::Waiting, &error.to_string()))?;
                    return Ok(Next::Later);
                }
                Arrival::Never => self.became(&print, PrintState::Stopped, &error.to_string()),
                Arrival::Perhaps => self.said(&print, &error.to_string()),
            },
        };
        settled(sent)?;
        Ok(Next::Soon)
    }

    /// Tells how the printer is that has this label, if it is the shop's.
    fn tell_of(&self, print: &Print, state: PrinterState, said: &str) {
        if self.is_here(print) {
            self.shared.tell(state, said);
        }
    }

    fn tell(&self, status: &Status) {
        let state = match status.readiness {
            Readiness::Stopped => PrinterState::Stopped,
            Readiness::Busy => PrinterState::Busy,
            Readiness::Ready => PrinterState::Ready,
        };
        self.shared.tell(state, &status.said);
    }

    fn away(&self, error: &PrinterError) {
        match error {
            PrinterError::Away(_) | PrinterError::Lost(_) => self.shared.tell(PrinterState::Away, NO_ANSWER),
            answered => self.shared.tell(PrinterState::Stopped, &answered.to_string()),
        }
    }
}

/// What was not refused. A refusal says that a person was quicker: then things are as they wanted.
fn settled<T: Default>(outcome: Result<T, PrintError>) -> Result<T, StoreError> {
    match outcome {
        Ok(done) => Ok(done),
        Err(PrintError::Store(error)) => Err(error),
        Err(PrintError::Refused(_) | PrintError::Piece(_)) => Ok(T::default()),
    }
}
