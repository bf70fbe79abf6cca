//! What a page's form sent.

use crate::endpoint::api::event::is_id;
use crate::endpoint::http::Request;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::label::code::Code;
use crate::store::{Event, RecordError, Recorded, Refusal};

/// The fields of a form, in order.
pub struct Form(Vec<(String, String)>);

impl Form {
    /// Empty when the request carries none.
    pub fn of(request: &Request) -> Self {
        Self(request.form().unwrap_or_default())
    }

    /// What this field holds, without space around it; empty when there is no such field.
    pub fn value(&self, name: &str) -> &str {
        self.0.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value.trim())
    }

    /// Records an event under the id that came with the form, so that loading its answer again records nothing more.
    /// The inner error is what the trade's rules refuse.
    ///
    /// # Errors
    /// When the store fails: then nothing was recorded.
    pub fn record(&self, kiosk: &Kiosk, code: &str, event: &Event) -> Result<Result<Recorded, Refusal>, Problem> {
        self.once(|id| kiosk.store().record(code, event, id, None, kiosk.now()))
    }

    /// Has a piece made again under the id that came with the form: another's own code, the same one however often its
    /// answer is loaded again.
    ///
    /// # Errors
    /// When the store fails: then nothing was changed.
    pub fn remake(&self, kiosk: &Kiosk, code: &str, why: &str) -> Result<Result<String, Refusal>, Problem> {
        let new = Code::random()?;
        let remade = self.once(|id| kiosk.store().remake(code, why, new.as_str(), id, None, kiosk.now()))?;
        Ok(remade.map(|(_, code)| code))
    }

    fn once<T>(&self, under: impl Fn(&str) -> Result<T, RecordError>) -> Result<Result<T, Refusal>, Problem> {
        let own = Code::random()?;
        let given = self.value("id");
        let recorded = match under(if is_id(given) { given } else { own.as_str() }) {
            // The browser went back to a form that was sent already and sent it with something else: a new event.
            Err(RecordError::Refused(Refusal::IdReused)) => under(own.as_str()),
            recorded => recorded,
        };
        match recorded {
            Ok(recorded) => Ok(Ok(recorded)),
            Err(RecordError::Refused(refusal)) => Ok(Err(refusal)),
            Err(RecordError::Store(error)) => Err(error.into()),
        }
    }
}
