//! Typed calls to the endpoint over HTTP.

use std::collections::HashMap;
use std::time::Duration;

use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::de::{DeserializeOwned, IgnoredAny};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::{CallError, Found, Mark, MarkedEvent, Person, PieceAnswer, Print, PrintDo, Prints, Row, Summary, Taken};

/// How long one call may take before the endpoint counts as away.
const PATIENCE: Duration = Duration::from_secs(5);

/// The endpoint answers at most this many pieces at once.
const PAGE: usize = 500;

/// A problem document, as far as it tells a no from a failure. Another program's answer reads as one that says nothing.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Problem {
    detail: String,
    refusal: String,
    faults: Vec<IgnoredAny>,
}

/// The word for what the endpoint cannot read: it has none of its own.
const FAULTY: &str = "faulty";

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

    /// Where the endpoint is.
    pub fn base(&self) -> &str {
        &self.base
    }

    /// The queue, or `None` when it is as it was.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn orders(&mut self) -> Result<Option<Vec<Summary>>, CallError> {
        #[derive(Deserialize)]
        struct Orders {
            orders: Vec<Summary>,
        }
        Ok(self.poll::<Orders>("/api/orders")?.map(|answer| answer.orders))
    }

    /// All pieces of an order, or `None` when they are as they were.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn pieces(&mut self, order: &str) -> Result<Option<Vec<Row>>, CallError> {
        #[derive(Deserialize)]
        struct Page {
            total: usize,
            pieces: Vec<Row>,
        }
        let order = utf8_percent_encode(order, NON_ALPHANUMERIC);
        let page = |from: usize| format!("/api/orders/{order}/pieces?from={from}&limit={PAGE}");
        let Some(Page { total, mut pieces }) = self.poll::<Page>(&page(0))? else { return Ok(None) };
        while let Some(last) = pieces.last().filter(|_| pieces.len() < total) {
            let next = self.get(&page(last.seq + 1), None).and_then(|answer| parse::<Page>(&answer.body));
            // What was heard of the first page is thrown away with the rest: it must come again.
            let next = next.inspect_err(|_| drop(self.tags.remove(&page(0))))?;
            if next.pieces.is_empty() {
                break;
            }
            pieces.extend(next.pieces);
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

    /// Whose label has this code.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn scan(&self, code: &str) -> Result<Found, CallError> {
        let code = utf8_percent_encode(code, NON_ALPHANUMERIC);
        parse(&self.get(&format!("/api/scan/{code}"), None)?.body)
    }

    /// The printer and the labels that are not out yet.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn prints(&self) -> Result<Prints, CallError> {
        parse(&self.get("/api/prints", None)?.body)
    }

    /// Who works here, or `None` when they are the same as before.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn people(&mut self) -> Result<Option<Vec<Person>>, CallError> {
        #[derive(Deserialize)]
        struct People {
            people: Vec<Person>,
        }
        Ok(self.poll::<People>("/api/people")?.map(|answer| answer.people))
    }

    /// Where phones find the endpoint, such as `http://192.168.1.20:8787`.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn address(&self) -> Result<String, CallError> {
        #[derive(Deserialize)]
        struct Address {
            base: String,
        }
        Ok(parse::<Address>(&self.get("/api/address", None)?.body)?.base)
    }

    /// A drawing as SVG, by its path and query.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn drawing(&self, path: &str) -> Result<String, CallError> {
        Ok(self.get(path, None)?.body)
    }

    /// Tells the endpoint what happened to a piece.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn send(&self, mark: &Mark) -> Result<Taken, CallError> {
        #[derive(Serialize)]
        struct Body<'a> {
            id: &'a str,
            #[serde(skip_serializing_if = "Option::is_none")]
            by: Option<&'a str>,
            #[serde(flatten)]
            what: serde_json::Value,
        }
        let (path, what) = match &mark.event {
            MarkedEvent::Remake { why, bench: None } => ("remake", json!({ "why": why })),
            MarkedEvent::Remake { why, bench } => ("remake", json!({ "why": why, "bench": bench })),
            MarkedEvent::Print { reprint } => ("print", json!({ "reprint": reprint })),
            event => ("events", serde_json::to_value(event).map_err(|error| CallError::Garbled(error.to_string()))?),
        };
        let body = Body { id: &mark.id, by: mark.by.as_deref(), what };
        let answer = self.post(&format!("/api/pieces/{}/{path}", mark.code), &body)?;
        Ok(match mark.event {
            MarkedEvent::Remake { .. } => Taken::Remade(parse(&answer)?),
            MarkedEvent::Print { .. } => Taken::Print(parse(&answer)?),
            _ => Taken::Row(parse(&answer)?),
        })
    }

    /// # Errors
    /// [`CallError`]
    pub fn print_do(&self, print: i64, what: PrintDo) -> Result<Print, CallError> {
        parse(&self.post(&format!("/api/prints/{print}"), &json!({ "do": what }))?)
    }

    /// Prints the test label, once for each `id`.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn print_test(&self, id: &str) -> Result<Print, CallError> {
        parse(&self.post("/api/prints", &json!({ "id": id, "test": true }))?)
    }

    /// Asks whether this PIN is that person's.
    ///
    /// # Errors
    /// [`CallError`]
    pub fn enter(&self, person: i64, pin: &str) -> Result<(), CallError> {
        self.post(&format!("/api/people/{person}"), &json!({ "do": "enter", "pin": pin })).map(drop)
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
        let mut request = self.agent.get(format!("{}{path}", self.base)).header("Authorization", self.bearer());
        if let Some(tag) = tag {
            request = request.header("If-None-Match", tag);
        }
        read(request.call())
    }

    fn post(&self, path: &str, body: &impl Serialize) -> Result<String, CallError> {
        let body = serde_json::to_string(body).map_err(|error| CallError::Garbled(error.to_string()))?;
        let request = self.agent.post(format!("{}{path}", self.base)).header("Authorization", self.bearer());
        Ok(read(request.content_type("application/json").send(body))?.body)
    }

    fn bearer(&self) -> String {
        format!("Bearer {}", self.key)
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
    if matches!(status, 200..=299 | 304) {
        return Ok(Answer { status, tag, body });
    }
    let Problem { detail, refusal, faults } = serde_json::from_str(&body).unwrap_or_default();
    Err(match status {
        401 => CallError::Key,
        // In trouble of its own: the same call may do later.
        500..=599 => CallError::Away,
        _ if !refusal.is_empty() => CallError::Refused { word: refusal, detail },
        422 if !faults.is_empty() => CallError::Refused { word: FAULTY.into(), detail },
        // Too busy.
        429 => CallError::Away,
        // Said by its door, by an endpoint of other days, or by what else is at its address: no answer to what was asked.
        _ => CallError::Garbled(format!("the endpoint answered {status}")),
    })
}

fn parse<T: DeserializeOwned>(body: &str) -> Result<T, CallError> {
    serde_json::from_str(body).map_err(|error| CallError::Garbled(error.to_string()))
}

#[cfg(test)]
mod tests {
    use std::io::{BufRead, BufReader, Write};
    use std::net::TcpListener;
    use std::thread;

    use super::*;

    /// Answers each request in turn with a status and a body; a request that shows the tag is told that nothing changed.
    fn endpoint(answers: Vec<(u16, String)>) -> Client {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        thread::spawn(move || {
            for (status, body) in answers {
                let (mut stream, _) = listener.accept().unwrap();
                let head: Vec<String> = BufReader::new(&stream)
                    .lines()
                    .map(Result::unwrap)
                    .take_while(|line| !line.is_empty())
                    .map(|line| line.to_lowercase())
                    .collect();
                let known = head.iter().any(|line| line.starts_with("if-none-match"));
                let (status, body) = if known { (304, String::new()) } else { (status, body) };
                let length = body.len();
                let answer = format!(
                    "HTTP/1.1 {status} -\r\nETag: \"1\"\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n{body}"
                );
                stream.write_all(answer.as_bytes()).unwrap();
            }
        });
        Client::new(&base, "key")
    }

    fn page(seq: usize) -> (u16, String) {
        let row = json!({
            "code": format!("C{seq}"), "seq": seq, "mark": "A-EW-1", "wall": "A", "trim": "end-wall", "place": 1, "of": 2,
            "length": { "mm": 2540.0, "text": "8' 4\"" }, "state": "waiting", "done": 0, "steps": 9, "label": "C", "said": ""
        });
        (200, json!({ "total": 2, "pieces": [row] }).to_string())
    }

    #[test]
    fn a_list_of_which_a_later_page_fails_comes_whole_the_next_time() {
        let mut client = endpoint(vec![page(0), (503, String::new()), page(0), page(1), page(0)]);
        assert_eq!(client.pieces("7"), Err(CallError::Away));
        let codes = |rows: Vec<Row>| rows.into_iter().map(|row| row.code).collect::<Vec<_>>();
        assert_eq!(client.pieces("7").unwrap().map(codes), Some(vec!["C0".into(), "C1".into()]));
        assert_eq!(client.pieces("7"), Ok(None), "heard whole, it is known");
    }

    /// What the door, another device, or an endpoint of other days says is no answer to what was asked.
    #[test]
    fn only_the_endpoints_own_no_is_one() {
        let detail = "Brake 2 is making this piece";
        let rule = json!({ "detail": detail, "refusal": "held" }).to_string();
        let faulty = json!({ "detail": detail, "faults": [{ "pointer": "/mm" }] }).to_string();
        let door = json!({ "title": "-", "status": 408, "detail": "Send the whole request." }).to_string();
        let refused = |word: &str| Err(CallError::Refused { word: word.into(), detail: detail.into() });
        let garbled = |status: u16| Err(CallError::Garbled(format!("the endpoint answered {status}")));
        for (status, body, answer) in [
            (409, &rule, refused("held")),
            (422, &faulty, refused("faulty")),
            (400, &door, garbled(400)),
            (408, &door, garbled(408)),
            (431, &door, garbled(431)),
            (404, &"<html>Login</html>".into(), garbled(404)),
            (422, &door, garbled(422)),
            (429, &door, Err(CallError::Away)),
            (503, &door, Err(CallError::Away)),
            (401, &door, Err(CallError::Key)),
        ] {
            let client = endpoint(vec![(status, body.clone())]);
            assert_eq!(client.enter(1, "2468"), answer, "{status} {body}");
        }
    }
}
