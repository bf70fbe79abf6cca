//! Plain HTTP, for the endpoint's API and for the browser's driver: every status is an answer.

use std::time::Duration;

use serde_json::Value;

/// Speaks to one server, always with the same credentials if any.
pub struct Http {
    base: String,
    bearer: Option<String>,
    agent: ureq::Agent,
}

/// One answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|error| panic!("not JSON ({error}): {}", self.text()))
    }

    /// The same answer, whose status must be this.
    pub fn expect(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}", self.text());
        self
    }
}

impl Http {
    /// `base` is such as `http://127.0.0.1:8787`.
    pub fn new(base: String, bearer: Option<String>) -> Self {
        let config = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(Duration::from_secs(60)))
            .proxy(None);
        Self { base, bearer, agent: config.build().into() }
    }

    pub fn get(&self, path: &str) -> Answer {
        read(self.bearing(self.agent.get(self.url(path))).call())
    }

    pub fn delete(&self, path: &str) -> Answer {
        read(self.bearing(self.agent.delete(self.url(path))).call())
    }

    /// Sends a JSON document.
    pub fn post(&self, path: &str, body: &str) -> Answer {
        read(self.bearing(self.agent.post(self.url(path))).content_type("application/json").send(body))
    }

    fn url(&self, path: &str) -> String {
        format!("{}{path}", self.base)
    }

    fn bearing<B>(&self, request: ureq::RequestBuilder<B>) -> ureq::RequestBuilder<B> {
        match &self.bearer {
            Some(key) => request.header("Authorization", format!("Bearer {key}")),
            None => request,
        }
    }
}

fn read(result: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Answer {
    let mut response = result.unwrap();
    Answer { status: response.status().as_u16(), body: response.body_mut().read_to_vec().unwrap() }
}
