//! What a page's form sent.

use crate::endpoint::api::event::is_id;
use crate::endpoint::http::Request;
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::problem::Problem;
use crate::label::code::Code;
use crate::store::{Event, RecordError, Refusal};

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
    pub fn record(&self, kiosk: &Kiosk, code: &str, event: &Event) -> Result<Result<(), Refusal>, Problem> {
        let under = |id: &str| kiosk.store().record(code, event, id, None, kiosk.now());
        let own = Code::random()?;
        let given = self.value("id");
        let recorded = match under(if is_id(given) { given } else { own.as_str() }) {
            // The browser went back to a form that was sent already and sent it with something else: a new event.
            Err(RecordError::Refused(Refusal::IdReused)) => under(own.as_str()),
            recorded => recorded,
        };
        match recorded {
            Ok(_) => Ok(Ok(())),
            Err(RecordError::Refused(refusal)) => Ok(Err(refusal)),
            Err(RecordError::Store(error)) => Err(error.into()),
        }
    }
}
