//! An answer on its way to the client: the head the door writes, and the body.
//!
//! A worker's answer is read whole before a byte of it goes out, so a slow client never holds a worker.

use std::fmt::Write as _;
use std::io::{self, Read, Write};

use super::budget::{Budget, Share};
use super::limits::Limits;
use super::refusal::Refusal;
use super::socket::{ReadFault, read_body, read_head};
use crate::endpoint::http::{Method, Response, phrase};

/// An answer, ready to be written.
pub(super) struct Reply<'a> {
    head: String,
    body: Vec<u8>,
    /// Held while the body is in memory.
    _share: Option<Share<'a>>,
}

impl<'a> Reply<'a> {
    /// An answer of the door's own.
    pub fn from_response(response: Response, to_head: bool) -> Reply<'a> {
        let headers = response.headers().iter();
        let headers = headers.map(|(name, value)| (*name, value.as_str()));
        let head = render_head(response.status, headers, response.body.len());
        let body = if to_head { Vec::new() } else { response.body };
        Reply { head, body, _share: None }
    }

    /// A worker's answer to a request with this method.
    pub fn read(
        source: &mut impl Read,
        method: Method,
        limits: &Limits,
        budget: &'a Budget,
    ) -> Result<Reply<'a>, Refusal> {
        let refusal = |fault| match fault {
            ReadFault::NoRoom => Refusal::NoRoom,
            _ => Refusal::NoAnswer,
        };
        let (head, mut body) = read_head(source, limits.head_bytes).map_err(refusal)?;
        let mut fields = [httparse::EMPTY_HEADER; 64];
        let mut answer = httparse::Response::new(&mut fields);
        let parsed = answer.parse(&head).map_err(|_| Refusal::NoAnswer)?;
        let status = answer.code.filter(|_| parsed.is_complete());
        let status = status.ok_or(Refusal::NoAnswer)?;

        let mut length = 0;
        let mut headers = Vec::new();
        for field in answer.headers.iter() {
            let value = std::str::from_utf8(field.value).map_err(|_| Refusal::NoAnswer)?;
            match field.name {
                "Content-Length" => length = value.parse().map_err(|_| Refusal::NoAnswer)?,
                // tiny_http's own; which library answers is nobody's business.
                "Server" => {}
                name => headers.push((name, value)),
            }
        }
        if length > limits.answer_bytes {
            return Err(Refusal::AnswerTooLarge { limit: limits.answer_bytes });
        }
        let head = render_head(status, headers.into_iter(), length);
        let mut share = budget.share();
        let bodiless = method == Method::Head || is_bodiless(status);
        let body_length = if bodiless { 0 } else { length };
        read_body(source, &mut body, body_length, &mut share).map_err(refusal)?;
        Ok(Reply { head, body, _share: Some(share) })
    }

    /// Writes the answer.
    pub fn write_to(&self, sink: &mut impl Write) -> io::Result<()> {
        sink.write_all(self.head.as_bytes())?;
        sink.write_all(&self.body)
    }

    /// The answer in one piece, for a single write.
    pub fn to_bytes(&self) -> Vec<u8> {
        [self.head.as_bytes(), &self.body].concat()
    }
}

/// Statuses whose answers end with their head (RFC 9112 §6.3).
fn is_bodiless(status: u16) -> bool {
    matches!(status, 100..=199 | 204 | 304)
}

fn render_head<'h>(status: u16, headers: impl Iterator<Item = (&'h str, &'h str)>, length: usize) -> String {
    let mut head = format!("HTTP/1.1 {status} {}\r\n", phrase(status));
    for (name, value) in headers {
        // Writing to a String cannot fail.
        let _ = write!(head, "{name}: {value}\r\n");
    }
    if !is_bodiless(status) {
        let _ = write!(head, "Content-Length: {length}\r\n");
    }
    head.push_str("Connection: close\r\n\r\n");
    head
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(answer: &str, method: Method, answer_bytes: usize) -> Result<String, Refusal> {
        let limits = Limits { answer_bytes, ..Limits::default() };
        let budget = Budget::new(0);
        let reply = Reply::read(&mut answer.as_bytes(), method, &limits, &budget)?;
        Ok(String::from_utf8(reply.to_bytes()).unwrap())
    }

    #[test]
    fn a_workers_answer_is_rewritten_for_the_client() {
        let answer = "HTTP/1.1 200 OK\r\nServer: x\r\nETag: \"1\"\r\nContent-Length: 2\r\n\r\nhi, and more";
        let head = "HTTP/1.1 200 OK\r\nETag: \"1\"\r\nContent-Length: 2\r\nConnection: close\r\n\r\n";
        assert_eq!(read(answer, Method::Get, 2).unwrap(), format!("{head}hi"));
        let only_head = answer.split_inclusive("\r\n\r\n").next().unwrap();
        assert_eq!(read(only_head, Method::Head, 2).unwrap(), head);
        let unchanged = "HTTP/1.1 304 Not Modified\r\nContent-Length: 0\r\n\r\n";
        assert_eq!(read(unchanged, Method::Get, 2).unwrap(), "HTTP/1.1 304 Not Modified\r\nConnection: close\r\n\r\n");
    }

    #[test]
    fn a_broken_or_oversize_answer_is_refused() {
        let cut = "HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\nhi";
        assert_eq!(read(cut, Method::Get, 9), Err(Refusal::NoAnswer));
        assert_eq!(read(cut, Method::Get, 4), Err(Refusal::AnswerTooLarge { limit: 4 }));
        assert_eq!(read("", Method::Get, 4), Err(Refusal::NoAnswer));
    }
}
