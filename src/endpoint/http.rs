//! The plain request and response that the router works with.
//!
//! The router is a pure function from one to the other, so both are data: no sockets, no streams, nothing borrowed
//! from a server library. What must never leave the kiosk (a header value with a line break in it, a length that
//! contradicts the body) cannot be put into a [`Response`].

use std::fmt;
use std::net::{IpAddr, Ipv4Addr};

use percent_encoding::percent_decode_str;
use serde::Serialize;
use serde_json::json;

/// The request methods the endpoint knows (RFC 9110 §9.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    Get,
    Head,
    Post,
    Put,
    Delete,
    Options,
}

impl Method {
    /// Every method, in the order an `Allow` header lists them.
    pub const ALL: [Method; 6] =
        [Method::Get, Method::Head, Method::Post, Method::Put, Method::Delete, Method::Options];

    /// The method's name on the wire.
    pub fn as_str(self) -> &'static str {
        match self {
            Method::Get => "GET",
            Method::Head => "HEAD",
            Method::Post => "POST",
            Method::Put => "PUT",
            Method::Delete => "DELETE",
            Method::Options => "OPTIONS",
        }
    }

    /// The method with this name; names are case-sensitive (RFC 9110 §9.1).
    pub fn from_name(name: &str) -> Option<Method> {
        Method::ALL.into_iter().find(|method| method.as_str() == name)
    }
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// Header fields in the order they came; names compare without regard to case.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Headers(Vec<(String, String)>);

impl Headers {
    /// The first value under this name.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.get_all(name).next()
    }

    /// Every value under this name.
    pub fn get_all<'s>(&'s self, name: &str) -> impl Iterator<Item = &'s str> {
        self.0.iter().filter(move |(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.as_str())
    }

    /// Adds one field; fields already there stay.
    pub fn push(&mut self, name: impl Into<String>, value: impl Into<String>) {
        self.0.push((name.into(), value.into()));
    }
}

/// One request, whole: the body has been read to its last byte.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    pub method: Method,
    /// As sent: percent-encoded, without the query, starting with `/`.
    pub path: String,
    /// The query's pairs, decoded, in order.
    pub query: Vec<(String, String)>,
    pub headers: Headers,
    pub body: Vec<u8>,
    /// Who sent it, as the door saw it.
    pub peer: IpAddr,
}

impl Request {
    /// A request for `target` (a path with or without a query) from this machine, with neither headers nor body.
    pub fn new(method: Method, target: &str) -> Request {
        let (path, query) = target.split_once('?').unwrap_or((target, ""));
        Request {
            method,
            path: path.to_owned(),
            query: decode_pairs(query),
            headers: Headers::default(),
            body: Vec::new(),
            peer: IpAddr::V4(Ipv4Addr::LOCALHOST),
        }
    }

    /// The same request with one more header.
    #[must_use]
    pub fn with_header(mut self, name: &str, value: &str) -> Request {
        self.headers.push(name, value);
        self
    }

    /// The same request with a body of this media type.
    #[must_use]
    pub fn with_body(self, content_type: &str, body: impl Into<Vec<u8>>) -> Request {
        Request { body: body.into(), ..self.with_header("Content-Type", content_type) }
    }

    /// The path's parts, decoded; empty ones are passed over.
    pub fn parts(&self) -> impl Iterator<Item = String> {
        let parts = self.path.split('/').filter(|part| !part.is_empty());
        parts.map(|part| percent_decode_str(part).decode_utf8_lossy().into_owned())
    }

    /// The first value of this name in the query.
    pub fn query_value(&self, name: &str) -> Option<&str> {
        self.query.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// The pairs of a form a browser sent; none when the body is of another media type.
    pub fn form(&self) -> Option<Vec<(String, String)>> {
        let content_type = self.headers.get("Content-Type")?;
        let media_type = content_type.split(';').next()?.trim();
        media_type
            .eq_ignore_ascii_case("application/x-www-form-urlencoded")
            .then(|| decode_pairs(&String::from_utf8_lossy(&self.body)))
    }

    /// The value of this cookie, as sent.
    pub fn cookie(&self, name: &str) -> Option<&str> {
        self.headers
            .get_all("Cookie")
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.split_once('='))
            .find(|(known, _)| known.trim() == name)
            .map(|(_, value)| value.trim().trim_matches('"'))
    }
}

/// One answer. It holds no length and nothing about the connection: those belong to whoever sends it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Response {
    pub status: u16,
    headers: Vec<(&'static str, String)>,
    pub body: Vec<u8>,
}

/// Fields that say how a message is carried, not what it says.
const CARRIAGE: [&str; 5] = ["Connection", "Content-Length", "Trailer", "Transfer-Encoding", "Upgrade"];

impl Response {
    /// An answer without a body or headers.
    pub fn new(status: u16) -> Response {
        Response { status, headers: Vec::new(), body: Vec::new() }
    }

    /// 200 with a body of this media type.
    pub fn bytes(content_type: &str, body: impl Into<Vec<u8>>) -> Response {
        Response { body: body.into(), ..Response::new(200).with_header("Content-Type", content_type) }
    }

    /// 200 with a page.
    pub fn html(page: impl Into<String>) -> Response {
        Response::bytes("text/html; charset=utf-8", page.into())
    }

    /// 200 with plain text.
    pub fn text(text: impl Into<String>) -> Response {
        Response::bytes("text/plain; charset=utf-8", text.into())
    }

    /// 200 with a JSON document; 500 if the value has no JSON form (a map with keys that are not text).
    pub fn json(value: &impl Serialize) -> Response {
        match serde_json::to_vec(value) {
            Ok(body) => Response::bytes("application/json", body),
            Err(error) => Response::problem(500, &format!("the answer has no JSON form: {error}")),
        }
    }

    /// A problem document (RFC 9457) that says no more than its status, and in `detail` what would be right.
    pub fn problem(status: u16, detail: &str) -> Response {
        let document = json!({ "type": "about:blank", "title": phrase(status), "status": status, "detail": detail });
        Response::bytes("application/problem+json", document.to_string()).with_status(status)
    }

    /// The same answer with another status.
    #[must_use]
    pub fn with_status(mut self, status: u16) -> Response {
        self.status = status;
        self
    }

    /// The same answer with this header, in place of one of the same name; only `Set-Cookie` repeats.
    ///
    /// Anything but printable ASCII becomes a space, so a value can never end its line: percent-encode text that
    /// needs more. Fields that say how a message is carried (its length, the connection) are left out.
    #[must_use]
    pub fn with_header(mut self, name: &'static str, value: impl AsRef<str>) -> Response {
        if CARRIAGE.iter().any(|field| field.eq_ignore_ascii_case(name)) {
            return self;
        }
        if !name.eq_ignore_ascii_case("Set-Cookie") {
            self.headers.retain(|(known, _)| !known.eq_ignore_ascii_case(name));
        }
        let printable = |c: char| if matches!(c, ' '..='~') { c } else { ' ' };
        let value: String = value.as_ref().chars().map(printable).collect();
        self.headers.push((name, value.trim().to_owned()));
        self
    }

    /// The headers, in the order they were set.
    pub fn headers(&self) -> &[(&'static str, String)] {
        &self.headers
    }

    /// The first value under this name, whatever its case.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.as_str())
    }
}

/// The status's phrase (RFC 9110 §15; 429, 431 RFC 6585 §4, §5; 507 RFC 4918 §11.5); empty for one that is not answered here.
pub(super) fn phrase(status: u16) -> &'static str {
    match status {
        200 => "OK",
        201 => "Created",
        202 => "Accepted",
        303 => "See Other",
        304 => "Not Modified",
        400 => "Bad Request",
        401 => "Unauthorized",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        410 => "Gone",
        411 => "Length Required",
        413 => "Content Too Large",
        417 => "Expectation Failed",
        422 => "Unprocessable Content",
        429 => "Too Many Requests",
        431 => "Request Header Fields Too Large",
        500 => "Internal Server Error",
        501 => "Not Implemented",
        503 => "Service Unavailable",
        505 => "HTTP Version Not Supported",
        507 => "Insufficient Storage",
        _ => "",
    }
}

/// The pairs of an `application/x-www-form-urlencoded` text (WHATWG URL §5.1), which a query is too.
fn decode_pairs(text: &str) -> Vec<(String, String)> {
    text.split('&')
        .filter(|pair| !pair.is_empty())
        .map(|pair| {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            (decode(name), decode(value))
        })
        .collect()
}

fn decode(text: &str) -> String {
    let spaced = text.replace('+', " ");
    percent_decode_str(&spaced).decode_utf8_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_is_split_and_its_query_decoded() {
        let request = Request::new(Method::Get, "/walls/A%20B?trim=end-wall&note=1%2F2+in&&x");
        assert_eq!(request.path, "/walls/A%20B");
        assert_eq!(request.query_value("trim"), Some("end-wall"));
        assert_eq!(request.query_value("note"), Some("1/2 in"));
        assert_eq!(request.query_value("x"), Some(""));
        assert_eq!(request.query.len(), 3);
    }

    /// `+`, `%25` and a stray `%` as the WHATWG URL Standard §5.1 decodes them (from memory).
    #[test]
    fn a_form_is_read_only_from_a_form_body() {
        let body = "who=Ana+M&why=bent%20wrong%0D%0A&pct=%25%";
        let form = Request::new(Method::Post, "/")
            .with_body("Application/X-WWW-Form-Urlencoded; charset=UTF-8", body)
            .form()
            .unwrap();
        let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        assert_eq!(form, [pair("who", "Ana M"), pair("why", "bent wrong\r\n"), pair("pct", "%%")]);
        let other = Request::new(Method::Post, "/").with_body("text/plain", body);
        assert_eq!(other.form(), None);
    }

    #[test]
    fn cookies_are_found_in_any_line_and_only_by_their_whole_name() {
        let request = Request::new(Method::Get, "/")
            .with_header("cookie", "xlang=de; lang=es;theme=\"dark\"")
            .with_header("Cookie", "bench=2");
        assert_eq!(request.cookie("lang"), Some("es"));
        assert_eq!(request.cookie("theme"), Some("dark"));
        assert_eq!(request.cookie("bench"), Some("2"));
        assert_eq!(request.cookie("them"), None);
    }

    #[test]
    fn no_header_value_can_end_its_line() {
        let response = Response::new(303)
            .with_header("Location", "/a\r\nSet-Cookie: b=c\0\u{7f}\u{e9}")
            .with_header("Content-Length", "99")
            .with_header("transfer-encoding", "chunked");
        assert_eq!(response.header("location"), Some("/a  Set-Cookie: b=c"));
        assert_eq!(response.headers().len(), 1);
    }

    #[test]
    fn a_header_replaces_its_namesake_but_cookies_add_up() {
        let response = Response::text("x")
            .with_header("content-type", "text/css")
            .with_header("Set-Cookie", "a=1")
            .with_header("Set-Cookie", "b=2");
        assert_eq!(response.header("Content-Type"), Some("text/css"));
        assert_eq!(response.headers().len(), 3);
    }

    #[test]
    fn a_problem_is_a_problem_document() {
        let response = Response::problem(400, "give \"eave\", ridge");
        assert_eq!(response.header("Content-Type"), Some("application/problem+json"));
        let document: serde_json::Value = serde_json::from_slice(&response.body).unwrap();
        assert_eq!(document["status"], 400);
        assert_eq!(document["detail"], "give \"eave\", ridge");
        // RFC 9457 §4.2.1: with about:blank the title is the status's phrase.
        assert_eq!((&document["type"], &document["title"]), (&json!("about:blank"), &json!("Bad Request")));
    }
}
