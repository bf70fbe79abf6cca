//! One IPP request and its answer over HTTP (RFC 8010).
//!
//! The messages are the crate `ipp`'s; the way is our own, because what matters here is whether a request that failed may
//! have arrived. No proxy stands between a shop and its printer, whatever the environment says.

use std::io::{self, Cursor};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Duration;

use ipp::attribute::{IppAttribute, IppAttributeGroup};
use ipp::model::{DelimiterTag, IppVersion, Operation};
use ipp::parser::{IppParseError, IppParser};
use ipp::reader::IppReader;
use ipp::request::IppRequestResponse;
use ipp::value::IppValue;
use ureq::http::Uri;
use ureq::{Agent, Timeout};

use super::address::Address;
use super::error::PrinterError;

/// Answers are short lists of attributes: a printer that sends more is not listened to.
const LONGEST_ANSWER: u64 = 1 << 20;

/// How long a printer may take.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    pub connect: Duration,
    /// For the whole exchange.
    pub answer: Duration,
}

impl Default for Patience {
    /// Label printers sleep, and wake slowly.
    fn default() -> Self {
        Self { connect: Duration::from_secs(5), answer: Duration::from_secs(15) }
    }
}

/// Carries requests to one printer.
pub struct Wire {
    agent: Agent,
    url: String,
    uri: Uri,
}

/// A request being written.
pub struct Message(IppRequestResponse);

/// A good answer's attributes.
pub struct Answer(IppRequestResponse);

impl Wire {
    pub fn to(address: &Address, patience: Patience) -> Self {
        let config = Agent::config_builder()
            .proxy(None)
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            // Each request on a connection of its own: one that the printer has since closed would look like a lost one.
            .max_idle_connections(0)
            .timeout_connect(Some(patience.connect))
            .timeout_global(Some(patience.answer))
            .user_agent("brakeside")
            .build();
        Self { agent: config.into(), url: address.url(), uri: address.uri().clone() }
    }

    /// A request for this printer.
    ///
    /// # Errors
    /// When its address is too long for the protocol.
    pub fn message(&self, operation: Operation) -> Result<Message, PrinterError> {
        let request = IppRequestResponse::new(IppVersion::v1_1(), operation, Some(self.uri.clone()))?;
        let mut message = Message(request);
        message.operation("requesting-user-name", IppValue::new_name_without_language("brakeside")?)?;
        Ok(message)
    }

    /// Sends a request, with a document after it, and reads the answer.
    ///
    /// # Errors
    /// [`PrinterError`]; whether the request may have arrived is for it to say.
    pub fn send(&self, message: &Message, document: &[u8]) -> Result<Answer, PrinterError> {
        let mut body = message.0.to_bytes().to_vec();
        body.extend(document);
        let request = self.agent.post(&self.url).header("Content-Type", "application/ipp");
        let mut response = request.send(&body[..]).map_err(unsent_or_lost)?;
        if !response.status().is_success() {
            return Err(PrinterError::Http(response.status().as_u16()));
        }
        let answer = response.body_mut().with_config().limit(LONGEST_ANSWER).read_to_vec().map_err(unsent_or_lost)?;
        let answer = read(answer)?;
        match answer.header().status_code() {
            status if status.is_success() => Ok(Answer(answer)),
            status => Err(PrinterError::Refused { status, said: said(&answer) }),
        }
    }
}

/// Only what failed before there was a connection is sure not to have arrived.
fn unsent_or_lost(error: ureq::Error) -> PrinterError {
    let unsent = match &error {
        ureq::Error::HostNotFound | ureq::Error::ConnectionFailed | ureq::Error::BadUri(_) => true,
        ureq::Error::Timeout(at) => matches!(at, Timeout::Resolve | Timeout::Connect),
        ureq::Error::Io(error) => error.kind() == io::ErrorKind::ConnectionRefused,
        _ => false,
    };
    let why = error.to_string();
    if unsent { PrinterError::Away(why) } else { PrinterError::Lost(why) }
}

fn read(answer: Vec<u8>) -> Result<IppRequestResponse, PrinterError> {
    // Some values that say they are longer than they are make the crate's reader panic.
    let parsed = catch_unwind(AssertUnwindSafe(|| IppParser::new(IppReader::new(Cursor::new(answer))).parse()));
    match parsed {
        Ok(Ok(answer)) => Ok(answer),
        Ok(Err(error)) => Err(PrinterError::Unreadable(error.to_string())),
        Err(_) => Err(PrinterError::Unreadable("a value is longer than it says".into())),
    }
}

/// What the printer says for people about a refusal.
fn said(answer: &IppRequestResponse) -> String {
    let group = answer.attributes().first_of(DelimiterTag::OperationAttributes);
    let message = ["status-message", "detailed-status-message"]
        .into_iter()
        .find_map(|name| group.and_then(|group| group.get(name)).map(|attribute| attribute.value().to_string()));
    message.unwrap_or_default()
}

impl Message {
    /// Adds an attribute of the operation itself.
    ///
    /// # Errors
    /// When the name is too long for the protocol.
    pub fn operation(&mut self, name: &str, value: IppValue) -> Result<(), IppParseError> {
        self.add(DelimiterTag::OperationAttributes, name, value)
    }

    /// Adds an attribute of the job.
    ///
    /// # Errors
    /// When the name is too long for the protocol.
    pub fn job(&mut self, name: &str, value: IppValue) -> Result<(), IppParseError> {
        self.add(DelimiterTag::JobAttributes, name, value)
    }

    /// Asks for no more than these attributes.
    ///
    /// # Errors
    /// When a name is too long for the protocol.
    pub fn ask_for(&mut self, names: &[&str]) -> Result<(), IppParseError> {
        let names = names.iter().map(|&name| IppValue::new_keyword(name)).collect::<Result<Vec<_>, _>>()?;
        self.operation("requested-attributes", IppValue::Array(names))
    }

    fn add(&mut self, tag: DelimiterTag, name: &str, value: IppValue) -> Result<(), IppParseError> {
        self.0.attributes_mut().add(tag, IppAttribute::with_name(name, value)?);
        Ok(())
    }
}

impl Answer {
    /// What is said of the printer.
    pub fn printer(&self) -> Told<'_> {
        Told(self.0.attributes().first_of(DelimiterTag::PrinterAttributes))
    }

    /// What is said of each job.
    pub fn jobs(&self) -> impl Iterator<Item = Told<'_>> {
        self.0.attributes().groups_of(DelimiterTag::JobAttributes).map(|group| Told(Some(group)))
    }
}

/// Attributes of one thing. One that is not said, or is of another kind than asked for, is empty.
#[derive(Clone, Copy)]
pub struct Told<'a>(Option<&'a IppAttributeGroup>);

impl<'a> Told<'a> {
    /// The values of one attribute, however many.
    fn values(self, name: &str) -> impl Iterator<Item = &'a IppValue> {
        let value = self.0.and_then(|group| group.get(name)).map(IppAttribute::value);
        value.into_iter().flat_map(|value| match value {
            IppValue::Array(values) => values.as_slice(),
            one => std::slice::from_ref(one),
        })
    }

    /// Words and texts.
    pub fn texts(self, name: &str) -> Vec<String> {
        let text = |value: &IppValue| match value {
            IppValue::Keyword(word) => Some(word.to_string()),
            IppValue::MimeMediaType(word) => Some(word.to_string()),
            IppValue::NameWithoutLanguage(name) | IppValue::NameWithLanguage { name, .. } => Some(name.to_string()),
            IppValue::TextWithoutLanguage(text) | IppValue::TextWithLanguage { text, .. } => Some(text.to_string()),
            _ => None,
        };
        self.values(name).filter_map(text).collect()
    }

    /// Numbers, of an enumeration too.
    pub fn numbers(self, name: &str) -> Vec<i32> {
        let number = |value: &IppValue| match value {
            IppValue::Integer(number) | IppValue::Enum(number) => Some(*number),
            _ => None,
        };
        self.values(name).filter_map(number).collect()
    }

    pub fn truth(self, name: &str) -> Option<bool> {
        self.values(name).find_map(|value| value.as_boolean().copied())
    }

    /// Resolutions in dots per inch, of those that are the same both ways.
    pub fn resolutions(self, name: &str) -> Vec<u32> {
        /// RFC 8010 §3.9: 3 is dots per inch, 4 per centimetre.
        const PER_INCH: i8 = 3;
        let dpi = |value: &IppValue| match *value {
            IppValue::Resolution { cross_feed, feed, units } if cross_feed == feed && cross_feed > 0 => {
                let dots = f64::from(feed);
                Some(if units == PER_INCH { dots } else { dots * 2.54 }.round() as u32)
            }
            _ => None,
        };
        self.values(name).filter_map(dpi).collect()
    }
}
