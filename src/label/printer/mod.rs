//! A label printer on the network, or the machine's own print service, spoken to over IPP (RFC 8010, 8011).
//!
//! It is asked what it has and can do, nothing is assumed: media and formats in [`ability`], sizes in [`media`]. It is
//! believed to have printed a label only when it says that the job is completed. What a job is called ([`Printer::print`])
//! is how it is found again after the power went ([`Printer::find`]).

pub mod ability;
pub mod address;
mod error;
mod job;
pub mod media;
pub mod raster;
mod reasons;
mod wire;

use ipp::model::{Operation, StatusCode};
use ipp::value::IppValue;

pub use ability::{Abilities, Format, Setup, Unfit};
pub use address::{Address, AddressError};
pub use error::{Arrival, PrinterError};
pub use job::{Job, JobState};
pub use wire::Patience;

use super::LabelError;
use super::bitmap::Bitmap;
use super::pdf;
use super::stock::Paper;
use wire::{Answer, Message, Told, Wire};

/// One printer.
pub struct Printer {
    wire: Wire,
}

/// Whether a label would come out now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readiness {
    Ready,
    /// It is printing.
    Busy,
    /// Somebody must see to it first.
    Stopped,
}

/// How the printer is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Status {
    pub readiness: Readiness,
    /// It can be given jobs. One that is out of labels may still take them, and keep them until it is seen to.
    pub takes_jobs: bool,
    /// It says something for which a label that does not come out may be waiting.
    pub hindered: bool,
    /// What stops it or soon will, in words; empty when nothing does.
    pub said: String,
}

/// Whether the printer knows a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    Job(Job),
    /// It has no such job, now or among those it remembers.
    Unknown,
    /// It does not list its jobs.
    CannotTell,
}

const STATUS: [&str; 3] = ["printer-state", "printer-state-reasons", "printer-is-accepting-jobs"];

impl Printer {
    pub fn at(address: &Address, patience: Patience) -> Self {
        Self { wire: Wire::to(address, patience) }
    }

    /// How it is, and what it can do.
    ///
    /// # Errors
    /// [`PrinterError`] when it cannot be asked.
    pub fn abilities(&self) -> Result<(Status, Abilities), PrinterError> {
        let answer =
            self.ask(Operation::GetPrinterAttributes, &[&STATUS[..], &ability::ATTRIBUTES].concat(), |_| Ok(()))?;
        Ok((Status::read(answer.printer()), Abilities::read(answer.printer())))
    }

    /// How it is.
    ///
    /// # Errors
    /// [`PrinterError`] when it cannot be asked.
    pub fn status(&self) -> Result<Status, PrinterError> {
        let answer = self.ask(Operation::GetPrinterAttributes, &STATUS, |_| Ok(()))?;
        Ok(Status::read(answer.printer()))
    }

    /// Sends one label as a job of this name, to come out once. Returns the printer's number for the job: it has accepted
    /// it, which does not mean that it came out.
    ///
    /// # Errors
    /// [`PrinterError`], whose [`arrival`](PrinterError::arrival) tells whether the job may be there all the same.
    pub fn print(
        &self,
        name: &str,
        setup: &Setup,
        abilities: &Abilities,
        document: &[u8],
    ) -> Result<i32, PrinterError> {
        let mut message = self.wire.message(Operation::PrintJob)?;
        message.operation("job-name", IppValue::new_name_without_language(name)?)?;
        message.operation("document-format", IppValue::new_mime_media_type(setup.format.media_type())?)?;
        message.job("copies", IppValue::new_integer(1))?;
        message.job("media", IppValue::new_keyword(&setup.medium.name)?)?;
        for (name, known, word) in
            [("print-color-mode", &abilities.color_modes, "monochrome"), ("print-scaling", &abilities.scalings, "none")]
        {
            if known.iter().any(|known| known == word) {
                message.job(name, IppValue::new_keyword(word)?)?;
            }
        }
        let answer = self.wire.send(&message, document)?;
        let job = answer.jobs().find_map(|told| told.numbers("job-id").first().copied());
        job.ok_or_else(|| PrinterError::Unreadable("it took the label and gave it no number".into()))
    }

    /// How far a job is. None when the printer does not know it (any more).
    ///
    /// # Errors
    /// [`PrinterError`] when it cannot be asked.
    pub fn job(&self, number: i32) -> Result<Option<Job>, PrinterError> {
        let number = |message: &mut Message| Ok(message.operation("job-id", IppValue::new_integer(number))?);
        match self.ask(Operation::GetJobAttributes, &job::ATTRIBUTES, number) {
            Ok(answer) => Ok(answer.jobs().find_map(Job::read)),
            Err(PrinterError::Refused {
                status: StatusCode::ClientErrorNotFound | StatusCode::ClientErrorGone,
                ..
            }) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Looks for a job by the name it was sent under, first among those that are not at their end: one that ends in
    /// between is then among the others.
    ///
    /// # Errors
    /// [`PrinterError`] when it cannot be asked.
    pub fn find(&self, name: &str) -> Result<Found, PrinterError> {
        for which in ["not-completed", "completed"] {
            let which = |message: &mut Message| {
                message.operation("which-jobs", IppValue::new_keyword(which)?)?;
                Ok(message.operation("my-jobs", IppValue::new_boolean(false))?)
            };
            let answer = match self.ask(Operation::GetJobs, &job::ATTRIBUTES, which) {
                Ok(answer) => answer,
                // One that is busy can tell another time.
                Err(error) if error.arrival() == Arrival::Later => return Err(error),
                Err(PrinterError::Refused { .. } | PrinterError::Unreadable(_)) => return Ok(Found::CannotTell),
                Err(error) => return Err(error),
            };
            let found = answer.jobs().filter_map(Job::read).find(|job| job.is(name));
            if let Some(job) = found {
                return Ok(Found::Job(job));
            }
        }
        Ok(Found::Unknown)
    }

    /// Calls a job off, if it is not at its end.
    ///
    /// # Errors
    /// [`PrinterError`] when it cannot be asked, or refuses.
    pub fn cancel(&self, number: i32) -> Result<(), PrinterError> {
        let mut message = self.wire.message(Operation::CancelJob)?;
        message.operation("job-id", IppValue::new_integer(number))?;
        self.wire.send(&message, &[]).map(drop)
    }

    fn ask(
        &self,
        operation: Operation,
        attributes: &[&str],
        more: impl FnOnce(&mut Message) -> Result<(), PrinterError>,
    ) -> Result<Answer, PrinterError> {
        let mut message = self.wire.message(operation)?;
        more(&mut message)?;
        message.ask_for(attributes)?;
        self.wire.send(&message, &[])
    }
}

impl Status {
    fn read(told: Told) -> Self {
        /// RFC 8011 §5.4.11.
        const PROCESSING: i32 = 4;
        const STOPPED: i32 = 5;
        let state = told.numbers("printer-state").first().copied();
        let accepting = told.truth("printer-is-accepting-jobs") != Some(false);
        let mut said = reasons::said(&told.texts("printer-state-reasons"));
        let stopped = said.stops || state == Some(STOPPED) || !accepting;
        if said.words.is_empty() && stopped {
            said.words = if accepting { "stopped" } else { "takes no jobs" }.into();
        }
        let readiness = match state {
            _ if stopped => Readiness::Stopped,
            Some(PROCESSING) => Readiness::Busy,
            _ => Readiness::Ready,
        };
        Self {
            readiness,
            takes_jobs: accepting && state != Some(STOPPED),
            hindered: stopped || said.hinders,
            said: said.words,
        }
    }
}

impl Setup {
    /// The label as the printer takes it. It must have been drawn for this setup's stock.
    ///
    /// # Errors
    /// [`LabelError`] when it cannot be written.
    pub fn document(&self, label: &Bitmap) -> Result<Vec<u8>, LabelError> {
        match self.format {
            Format::PwgRaster(dots) => {
                let (dpi, medium, size) = (self.stock.dpi, &self.medium.name, self.medium.size);
                Ok(raster::write(label, &raster::Page { dots, dpi, medium, size }))
            }
            Format::Pdf => {
                let [width, height] = self.stock.points();
                pdf::write(std::slice::from_ref(label), self.stock, Paper { width, height })
            }
            Format::Png => Ok(label.png(self.stock.dpi)?),
        }
    }
}
