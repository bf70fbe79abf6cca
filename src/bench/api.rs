//! The endpoint as the bench sees it: typed calls over HTTP.
//!
//! Only what the bench reads is named here; the endpoint may say more.

use std::collections::HashMap;
use std::time::Duration;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::order::plan::{Measure, Piece};
use crate::order::{Job, Trim};

/// How long one call may take before the endpoint counts as away.
const PATIENCE: Duration = Duration::from_secs(5);

/// The endpoint answers at most this many pieces at once.
const PAGE: usize = 500;

/// An order in the queue.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Summary {
    pub order: String,
    pub job: Job,
    pub pieces: usize,
    pub bent: usize,
    pub loaded: usize,
}

/// A piece in an order's list.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Row {
    pub code: String,
    pub mark: String,
    pub wall: String,
    pub trim: Trim,
    pub place: usize,
    pub of: usize,
    pub length: Measure,
    pub state: State,
    /// Steps done so far; the next card is that step.
    pub done: usize,
    pub steps: usize,
    pub reported: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    Waiting,
    Started,
    Bent,
    Loaded,
    Installed,
}

impl State {
    pub fn is_bent(self) -> bool {
        matches!(self, Self::Bent | Self::Loaded | Self::Installed)
    }
}

/// One piece, whole.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct PieceAnswer {
    #[serde(flatten)]
    pub row: Row,
    pub job: Job,
    pub piece: Piece,
}

/// Something that happened to a piece, on its way to the endpoint. The id makes sending it twice harmless.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    pub id: String,
    pub code: String,
    pub event: MarkedEvent,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum MarkedEvent {
    Step { done: usize },
    Bent,
}

/// Why a call brought nothing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CallError {
    #[error("the endpoint does not answer")]
    Away,
    #[error("the endpoint does not take this bench's key")]
    Key,
    #[error("{detail}")]
    Refused { detail: String },
    #[error("the endpoint's answer was not understood: {0}")]
    Garbled(String),
}

#[derive(Deserialize)]
struct Problem {
    detail: String,
}

#[derive(Deserialize)]
struct Orders {
    orders: Vec<Summary>,
}

#[derive(Deserialize)]
struct Page {
    total: usize,
    pieces: Vec<Row>,
}

/// A connection's worth of knowledge: where, with which key, and what was last heard.
pub struct Client {
    base: String,
    key: String,
    agent: ureq::Agent,
    /// The ETag last seen at each polled address.
    tags: HashMap<String, String>,
}

impl Client {
    /// `base` is the endpoint's address, such as `http://127.0.0.1:8787`.
    pub fn new(base: &str, key: &str) -> Self {
        // The endpoint is on the shop's own network: no proxy that the machine may have for the world outside.
        let config = ureq::Agent::config_builder()
            .timeout_global(Some(PATIENCE))
            .http_status_as_error(false)
            .proxy(None)
            .build();
        Self { base: base.trim_end_matches('/').into(), key: key.into(), agent: config.into(), tags: HashMap::new() }
    }

    /// The queue, or `None` when it is as it was.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn orders(&mut self) -> Result<Option<Vec<Summary>>, CallError> {
        Ok(self.poll::<Orders>("/api/orders")?.map(|answer| answer.orders))
    }

    /// All pieces of an order, or `None` when they are as they were.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn pieces(&mut self, order: &str) -> Result<Option<Vec<Row>>, CallError> {
        let first = format!("/api/orders/{order}/pieces?from=0&limit={PAGE}");
        let Some(Page { total, mut pieces }) = self.poll::<Page>(&first)? else { return Ok(None) };
        while pieces.len() < total {
            let next = format!("/api/orders/{order}/pieces?from={}&limit={PAGE}", pieces.len());
            let page: Page = parse(&self.get(&next, None)?.body)?;
            if page.pieces.is_empty() {
                break;
            }
            pieces.extend(page.pieces);
        }
        Ok(Some(pieces))
    }

    /// Forgets all that was heard, so that the next calls bring everything.
    pub fn forget(&mut self) {
        self.tags.clear();
    }

    /// # Errors
    /// [`CallError`]
    pub fn piece(&self, code: &str) -> Result<PieceAnswer, CallError> {
        parse(&self.get(&format!("/api/pieces/{code}"), None)?.body)
    }

    /// The drawing of a step as SVG.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn drawing(&self, code: &str, step: usize, width: u32, height: u32, dark: bool) -> Result<String, CallError> {
        let theme = if dark { "dark" } else { "light" };
        let path = format!("/api/pieces/{code}/drawing.svg?step={step}&width={width}&height={height}&theme={theme}");
        Ok(self.get(&path, None)?.body)
    }

    /// Tells the endpoint what happened; the row as it now stands comes back.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn send(&self, mark: &Mark) -> Result<Row, CallError> {
        #[derive(Serialize)]
        struct Body<'a> {
            id: &'a str,
            #[serde(flatten)]
            event: MarkedEvent,
        }
        let url = format!("{}/api/pieces/{}/events", self.base, mark.code);
        let body = serde_json::to_string(&Body { id: &mark.id, event: mark.event })
            .map_err(|error| CallError::Garbled(error.to_string()))?;
        let request = self.agent.post(&url).header("Authorization", format!("Bearer {}", self.key));
        parse(&read(request.content_type("application/json").send(body))?.body)
    }

    fn poll<T: DeserializeOwned>(&mut self, path: &str) -> Result<Option<T>, CallError> {
        let answer = self.get(path, self.tags.get(path).map(String::as_str))?;
        if answer.status == 304 {
            return Ok(None);
        }
        let heard = parse(&answer.body)?;
        if let Some(tag) = answer.tag {
            self.tags.insert(path.into(), tag);
        }
        Ok(Some(heard))
    }

    fn get(&self, path: &str, tag: Option<&str>) -> Result<Answer, CallError> {
        let mut request =
            self.agent.get(format!("{}{path}", self.base)).header("Authorization", format!("Bearer {}", self.key));
        if let Some(tag) = tag {
            request = request.header("If-None-Match", tag);
        }
        read(request.call())
    }
}

struct Answer {
    status: u16,
    tag: Option<String>,
    body: String,
}

fn read(result: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Result<Answer, CallError> {
    let mut response = result.map_err(|_| CallError::Away)?;
    let status = response.status().as_u16();
    let tag = response.headers().get("etag").and_then(|tag| tag.to_str().ok()).map(str::to_owned);
    let body = response.body_mut().read_to_string().map_err(|_| CallError::Away)?;
    match status {
        200..=299 | 304 => Ok(Answer { status, tag, body }),
        401 => Err(CallError::Key),
        // Too busy, or in trouble of its own: the same call may do later.
        429 | 500..=599 => Err(CallError::Away),
        _ => {
            let detail = serde_json::from_str::<Problem>(&body)
                .map_or_else(|_| format!("the endpoint answered {status}"), |problem| problem.detail);
            Err(CallError::Refused { detail })
        }
    }
}

fn parse<T: DeserializeOwned>(body: &str) -> Result<T, CallError> {
    serde_json::from_str(body).map_err(|error| CallError::Garbled(error.to_string()))
}
