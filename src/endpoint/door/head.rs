//! The head of a request: parsed, checked, and made into what may be handed on.
//!
//! Anything that two readers could read two ways (RFC 9112 §11.2, request smuggling) is refused, and nothing is handed
//! on as it came: the request line is written anew, and of the headers only those the router uses.

use std::net::{IpAddr, Ipv6Addr};

use super::limits::Limits;
use super::refusal::Refusal;
use crate::endpoint::http::Method;

/// The headers the router uses. The rest ends here, and with it any header that means something between the door and
/// the workers.
const HANDED_ON: [&str; 5] = ["Authorization", "Content-Type", "Cookie", "If-None-Match", "Origin"];

/// The header in which the door tells the workers who the client is.
pub(super) const PEER: &str = "Brakeside-Peer";

/// A checked head.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Head {
    pub method: Method,
    /// Path and query, starting with `/`.
    pub target: String,
    pub host: String,
    /// What is handed on beside Host, with our spelling of the names.
    pub headers: Vec<(&'static str, String)>,
    /// Bytes of the body.
    pub length: usize,
    /// Whether the client waits for a go-ahead before sending the body.
    pub expects_continue: bool,
}

impl Head {
    /// Checks a head that ends with its empty line.
    pub fn parse(bytes: &[u8], limits: &Limits) -> Result<Head, Refusal> {
        let mut fields = vec![httparse::EMPTY_HEADER; limits.header_fields];
        let mut request = httparse::Request::new(&mut fields);
        match request.parse(bytes) {
            Ok(httparse::Status::Complete(_)) => {}
            // An empty line where the request line should be.
            Ok(httparse::Status::Partial) => return Err(httparse::Error::NewLine.into()),
            Err(httparse::Error::TooManyHeaders) => {
                return Err(Refusal::TooManyHeaders { limit: limits.header_fields });
            }
            Err(error) => return Err(error.into()),
        }
        let fields = Fields(request.headers);
        let method = request.method.and_then(Method::from_name);
        let method = method.ok_or(Refusal::UnknownMethod)?;
        let length = content_length(&fields, limits.body_bytes)?;
        // Checked even where an absolute target overrides it (RFC 9112 §3.2.2): it must be there and be one.
        let host = host(&fields)?;
        let (authority, target) = split_target(request.path.unwrap_or_default())?;
        Ok(Head {
            method,
            target: target.to_owned(),
            host: authority.unwrap_or(host).to_owned(),
            headers: fields.handed_on(),
            length,
            // HTTP/1.0 knows no go-ahead (RFC 9110 §10.1.1).
            expects_continue: expectation(&fields)? && request.version == Some(1),
        })
    }

    /// The head as handed on to the workers.
    pub fn canonical(&self, peer: IpAddr) -> String {
        let line = |(name, value): &(&str, String)| format!("{name}: {value}\r\n");
        let headers: String = self.headers.iter().map(line).collect();
        format!(
            "{} {} HTTP/1.1\r\nHost: {}\r\n{headers}{PEER}: {peer}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
            self.method, self.target, self.host, self.length
        )
    }
}

/// The parsed header fields.
struct Fields<'a>(&'a [httparse::Header<'a>]);

impl<'a> Fields<'a> {
    /// Every value under this name, in order.
    fn all(&self, name: &str) -> impl Iterator<Item = &'a [u8]> {
        self.0.iter().filter(move |field| field.name.eq_ignore_ascii_case(name)).map(|field| field.value)
    }

    /// What the router uses. A value that is not printable ASCII stays out rather than spoil the request: other
    /// programs on the same host may have left such a cookie.
    fn handed_on(&self) -> Vec<(&'static str, String)> {
        let known =
            |field: &httparse::Header<'_>| HANDED_ON.into_iter().find(|name| name.eq_ignore_ascii_case(field.name));
        self.0.iter().filter_map(|field| Some((known(field)?, printable(field.value)?.to_owned()))).collect()
    }
}

/// The text of these bytes, if they are printable ASCII.
fn printable(bytes: &[u8]) -> Option<&str> {
    let text = std::str::from_utf8(bytes).ok()?;
    text.bytes().all(|b| matches!(b, b' '..=b'~')).then_some(text)
}

fn content_length(fields: &Fields<'_>, limit: usize) -> Result<usize, Refusal> {
    let mut lengths = fields.all("Content-Length");
    let length = lengths.next();
    if fields.all("Transfer-Encoding").next().is_some() {
        return Err(match length {
            Some(_) => Refusal::LengthAndCoding,
            None => Refusal::TransferCoding,
        });
    }
    if lengths.next().is_some() {
        return Err(Refusal::LengthRepeated);
    }
    let Some(digits) = length else { return Ok(0) };
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return Err(Refusal::LengthInvalid);
    }
    // Digits that are no number are too many of them.
    printable(digits)
        .and_then(|digits| digits.parse().ok())
        .filter(|&length: &usize| length <= limit)
        .ok_or(Refusal::BodyTooLarge { limit })
}

fn expectation(fields: &Fields<'_>) -> Result<bool, Refusal> {
    let mut expected = false;
    for value in fields.all("Expect") {
        if !value.eq_ignore_ascii_case(b"100-continue") {
            return Err(Refusal::Expectation);
        }
        expected = true;
    }
    Ok(expected)
}

fn host<'a>(fields: &Fields<'a>) -> Result<&'a str, Refusal> {
    let mut hosts = fields.all("Host");
    let host = hosts.next().ok_or(Refusal::HostMissing)?;
    if hosts.next().is_some() {
        return Err(Refusal::HostRepeated);
    }
    printable(host).filter(|host| is_host(host)).ok_or(Refusal::HostInvalid)
}

/// Whether this is a host name or address, with or without a port.
fn is_host(text: &str) -> bool {
    let (host_is_valid, port) = match text.strip_prefix('[') {
        Some(rest) => match rest.split_once(']') {
            Some((address, port)) => (address.parse::<Ipv6Addr>().is_ok(), port),
            None => return false,
        },
        None => {
            let end = text.find(':').unwrap_or(text.len());
            (is_name(&text[..end]), &text[end..])
        }
    };
    let port_is_valid = match port.strip_prefix(':') {
        Some(digits) => {
            digits.bytes().all(|b| b.is_ascii_digit()) && (digits.is_empty() || digits.parse::<u16>().is_ok())
        }
        None => port.is_empty(),
    };
    host_is_valid && port_is_valid
}

/// Whether this is a host name or an IPv4 address: labels of letters, digits, `-` and `_`, with or without a last dot.
fn is_name(text: &str) -> bool {
    let labels = text.strip_suffix('.').unwrap_or(text);
    let in_label = |b: u8| b.is_ascii_alphanumeric() || b == b'-' || b == b'_';
    text.len() <= 255 && labels.split('.').all(|label| !label.is_empty() && label.bytes().all(in_label))
}

/// The authority, where the target names one, and the path with its query.
fn split_target(target: &str) -> Result<(Option<&str>, &str), Refusal> {
    let is_sound = |b: u8| matches!(b, b'!'..=b'~') && b != b'#';
    if !target.bytes().all(is_sound) {
        return Err(Refusal::Target);
    }
    if target.starts_with('/') {
        return Ok((None, target));
    }
    let scheme = "http://";
    let rest = match target.get(..scheme.len()) {
        Some(start) if start.eq_ignore_ascii_case(scheme) => &target[scheme.len()..],
        _ => return Err(Refusal::Target),
    };
    let end = rest.find(['/', '?']).unwrap_or(rest.len());
    let (authority, path) = rest.split_at(end);
    match path {
        _ if !is_host(authority) => Err(Refusal::HostInvalid),
        "" => Ok((Some(authority), "/")),
        _ if path.starts_with('?') => Err(Refusal::Target),
        _ => Ok((Some(authority), path)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(head: &str) -> Result<Head, Refusal> {
        Head::parse(head.as_bytes(), &Limits::default())
    }

    /// A head that is right but for these lines.
    fn with(lines: &str) -> Result<Head, Refusal> {
        parse(&format!("POST / HTTP/1.1\r\nHost: a\r\n{lines}\r\n"))
    }

    fn with_host(host: &str) -> Result<Head, Refusal> {
        parse(&format!("GET / HTTP/1.1\r\nHost:{host}\r\n\r\n"))
    }

    #[test]
    fn only_what_the_router_uses_is_handed_on_and_the_peer_is_ours() {
        let head = with(
            "cookie: a=1\r\nX-Forwarded-For: 1.2.3.4\r\nbrakeside-peer: 127.0.0.1\r\nUser-Agent: caf\u{e9}\r\n\
             Connection: keep-alive, cookie\r\nTE: chunked\r\nCOOKIE:  b=2 \r\ncontent-length: 007\r\n",
        )
        .unwrap();
        assert_eq!(
            head.canonical("192.0.2.7".parse().unwrap()),
            "POST / HTTP/1.1\r\nHost: a\r\nCookie: a=1\r\nCookie: b=2\r\nBrakeside-Peer: 192.0.2.7\r\n\
             Content-Length: 7\r\nConnection: close\r\n\r\n"
        );
    }

    /// RFC 9110 §8.6, RFC 9112 §6.1, §6.3 and §11.2.
    #[test]
    fn a_length_is_one_number_or_the_request_is_refused() {
        let limit = Limits::default().body_bytes;
        let too_large = Refusal::BodyTooLarge { limit };
        assert_eq!(with("").unwrap().length, 0);
        assert_eq!(with(&format!("Content-Length: {limit}\r\n")).unwrap().length, limit);
        for (lines, refusal) in [
            ("Content-Length: 8388609", too_large),
            ("Content-Length: 64000000000", too_large),
            ("Content-Length: 18446744073709551615", too_large),
            ("Content-Length: 18446744073709551616", too_large),
            ("Content-Length:", Refusal::LengthInvalid),
            ("Content-Length: +5", Refusal::LengthInvalid),
            ("Content-Length: -5", Refusal::LengthInvalid),
            ("Content-Length: 5, 5", Refusal::LengthInvalid),
            ("Content-Length: 0x5", Refusal::LengthInvalid),
            ("Content-Length: 5 5", Refusal::LengthInvalid),
            ("Content-Length: 5\r\ncontent-length: 5", Refusal::LengthRepeated),
            ("Content-Length: 5\r\nContent-Length: 6", Refusal::LengthRepeated),
            ("Transfer-Encoding: chunked", Refusal::TransferCoding),
            ("transfer-encoding: identity", Refusal::TransferCoding),
            ("Transfer-Encoding:\u{b}chunked", Refusal::Malformed(httparse::Error::HeaderValue)),
            ("Transfer-Encoding: x\r\nContent-Length: 5", Refusal::LengthAndCoding),
            ("Content-Length: 5\r\nTransfer-Encoding: chunked", Refusal::LengthAndCoding),
            ("Transfer-Encoding : chunked", Refusal::Malformed(httparse::Error::HeaderName)),
            ("Content-Length : 5", Refusal::Malformed(httparse::Error::HeaderName)),
            ("A: b\r\n Content-Length: 5", Refusal::Malformed(httparse::Error::HeaderName)),
            ("A: b\rContent-Length: 5", Refusal::Malformed(httparse::Error::HeaderValue)),
            ("A: b\0", Refusal::Malformed(httparse::Error::HeaderValue)),
            ("Expect: 200-ok", Refusal::Expectation),
        ] {
            assert_eq!(with(&format!("{lines}\r\n")), Err(refusal), "{lines:?}");
        }
    }

    /// RFC 9112 §3.2 and RFC 3986 §3.2.2.
    #[test]
    fn there_is_one_host_and_it_is_one() {
        for host in ["a", "A.local.", "192.168.1.20:8080", "kiosk_2:80", "[::1]", "[fe80::1]:8080", "a:"] {
            assert_eq!(with_host(&format!(" {host} ")).unwrap().host, host);
        }
        for host in [
            "", ":80", "a b", "a:b", "a:65536", "a:+80", "a:80:80", "a/b", "a@b", "a,b", "a..b", "[::1", "[::g]",
            "[::1]80", "::1", "a\u{e9}", "a\"", "a?b",
        ] {
            assert_eq!(with_host(host), Err(Refusal::HostInvalid), "{host:?}");
        }
        assert_eq!(parse("GET / HTTP/1.1\r\n\r\n"), Err(Refusal::HostMissing));
        assert_eq!(parse("GET / HTTP/1.0\r\n\r\n"), Err(Refusal::HostMissing));
        assert_eq!(with("host: a\r\n"), Err(Refusal::HostRepeated));
    }

    #[test]
    fn the_request_line_is_strict() {
        let line = |line: &str| parse(&format!("{line}\r\nHost: a\r\n\r\n"));
        assert_eq!(line("GET /p/%C3%A9?q=\"1'\" HTTP/1.0").unwrap().target, "/p/%C3%A9?q=\"1'\"");
        let absolute = line("GET HTTP://b:80/p?q HTTP/1.1").unwrap();
        assert_eq!((absolute.host.as_str(), absolute.target.as_str()), ("b:80", "/p?q"));
        assert_eq!(line("GET http://b HTTP/1.1").unwrap().target, "/");
        for (text, refusal) in [
            ("GET / HTTP/2.0", Refusal::Version),
            ("PRI * HTTP/2.0", Refusal::Version),
            ("GET / HTTP/1.2", Refusal::Version),
            ("GET / HTTP/0.9", Refusal::Version),
            ("get / HTTP/1.1", Refusal::UnknownMethod),
            ("BREW / HTTP/1.1", Refusal::UnknownMethod),
            ("GET * HTTP/1.1", Refusal::Target),
            ("CONNECT a:80 HTTP/1.1", Refusal::UnknownMethod),
            ("GET a:80 HTTP/1.1", Refusal::Target),
            ("GET /#a HTTP/1.1", Refusal::Target),
            ("GET /\u{e9} HTTP/1.1", Refusal::Target),
            ("GET https://a/ HTTP/1.1", Refusal::Target),
            ("GET http://a?q HTTP/1.1", Refusal::Target),
            ("GET http://u@a/ HTTP/1.1", Refusal::HostInvalid),
            ("GET  / HTTP/1.1", Refusal::Malformed(httparse::Error::Token)),
            ("GET / HTTP/1.1 ", Refusal::Malformed(httparse::Error::NewLine)),
            ("GET /", Refusal::Malformed(httparse::Error::Token)),
        ] {
            assert_eq!(line(text), Err(refusal), "{text:?}");
        }
    }

    #[test]
    fn too_many_fields_are_refused_and_expectations_are_kept() {
        assert!(with(&"A: b\r\n".repeat(63)).is_ok());
        assert_eq!(with(&"A: b\r\n".repeat(64)), Err(Refusal::TooManyHeaders { limit: 64 }));
        assert!(with("Expect: 100-Continue\r\n").unwrap().expects_continue);
        let old = parse("POST / HTTP/1.0\r\nHost: a\r\nExpect: 100-continue\r\n\r\n");
        assert!(!old.unwrap().expects_continue);
    }
}
