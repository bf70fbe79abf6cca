//! Reading and writing a socket against one deadline for the whole exchange.
//!
//! A socket's own timeout starts anew with every byte, so a client that sends one byte a second would hold a thread
//! for hours. Here each call gets only what is left until the deadline.

use std::io::{self, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::os::unix::net::UnixStream;
use std::time::{Duration, Instant};

use super::budget::Share;

/// A socket whose calls can be timed.
pub(super) trait Socket {
    fn set_read_timeout(&self, timeout: Duration) -> io::Result<()>;
    fn set_write_timeout(&self, timeout: Duration) -> io::Result<()>;
}

impl Socket for TcpStream {
    fn set_read_timeout(&self, timeout: Duration) -> io::Result<()> {
        TcpStream::set_read_timeout(self, Some(timeout))
    }

    fn set_write_timeout(&self, timeout: Duration) -> io::Result<()> {
        TcpStream::set_write_timeout(self, Some(timeout))
    }
}

impl Socket for UnixStream {
    fn set_read_timeout(&self, timeout: Duration) -> io::Result<()> {
        UnixStream::set_read_timeout(self, Some(timeout))
    }

    fn set_write_timeout(&self, timeout: Duration) -> io::Result<()> {
        UnixStream::set_write_timeout(self, Some(timeout))
    }
}

/// A socket until a point in time; after it, every call is [`ErrorKind::TimedOut`].
pub(super) struct Until<'a, S> {
    socket: &'a S,
    deadline: Instant,
}

impl<'a, S: Socket> Until<'a, S> {
    pub fn new(socket: &'a S, deadline: Instant) -> Until<'a, S> {
        Until { socket, deadline }
    }

    fn left(&self) -> io::Result<Duration> {
        let left = self.deadline.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(ErrorKind::TimedOut.into());
        }
        Ok(left)
    }
}

/// Unix reports a socket's timeout as `WouldBlock`.
fn timed_out(error: io::Error) -> io::Error {
    match error.kind() {
        ErrorKind::WouldBlock => ErrorKind::TimedOut.into(),
        _ => error,
    }
}

impl<'a, S: Socket> Read for Until<'a, S>
where
    &'a S: Read,
{
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.socket.set_read_timeout(self.left()?)?;
        let mut socket = self.socket;
        socket.read(buffer).map_err(timed_out)
    }
}

impl<'a, S: Socket> Write for Until<'a, S>
where
    &'a S: Write,
{
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        self.socket.set_write_timeout(self.left()?)?;
        let mut socket = self.socket;
        socket.write(buffer).map_err(timed_out)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Why a message could not be read whole.
#[derive(Debug)]
pub(super) enum ReadFault {
    /// The other side went away, or the socket failed.
    Gone,
    /// The deadline passed; `silent` if not one byte had come.
    TooSlow { silent: bool },
    /// A line ended in a line feed alone (RFC 9112 §2.2 lets a recipient be strict; two readings of where a line ends
    /// are what request smuggling lives on).
    BareLineFeed,
    /// The first byte cannot start a request line: a TLS handshake, for instance.
    NotHttp,
    /// No end of the headers within the limit.
    HeadTooLarge,
    /// The memory for bodies is taken.
    NoRoom,
}

impl ReadFault {
    fn from_io(error: &io::Error, silent: bool) -> ReadFault {
        match error.kind() {
            ErrorKind::TimedOut => ReadFault::TooSlow { silent },
            _ => ReadFault::Gone,
        }
    }
}

/// Reads to the empty line after the headers, at most `limit` bytes of them. Returns the head with that empty line, and
/// what of the body came along.
pub(super) fn read_head(source: &mut impl Read, limit: usize) -> Result<(Vec<u8>, Vec<u8>), ReadFault> {
    let mut head = Vec::new();
    let mut chunk = [0; 4096];
    loop {
        let count = match source.read(&mut chunk) {
            Ok(0) => return Err(ReadFault::Gone),
            Ok(count) => count,
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(error) => return Err(ReadFault::from_io(&error, head.is_empty())),
        };
        let seen = head.len();
        head.extend_from_slice(&chunk[..count]);
        if let Some(end) = head_end(&head, seen)? {
            if end > limit {
                return Err(ReadFault::HeadTooLarge);
            }
            let rest = head.split_off(end);
            return Ok((head, rest));
        }
        if head.len() > limit {
            return Err(ReadFault::HeadTooLarge);
        }
    }
}

/// Where the head ends, looking from `seen` on.
fn head_end(bytes: &[u8], seen: usize) -> Result<Option<usize>, ReadFault> {
    if !matches!(bytes.first(), Some(b'\r' | b'A'..=b'Z' | b'a'..=b'z')) {
        return Err(ReadFault::NotHttp);
    }
    for at in seen..bytes.len() {
        if bytes[at] == b'\n' {
            let line = &bytes[..=at];
            if !line.ends_with(b"\r\n") {
                return Err(ReadFault::BareLineFeed);
            }
            if line.ends_with(b"\r\n\r\n") {
                return Ok(Some(at + 1));
            }
        }
    }
    Ok(None)
}

/// Reads on until `body` is `length` bytes long; drops what is beyond. The budget is drawn on as bytes arrive.
pub(super) fn read_body(
    source: &mut impl Read,
    body: &mut Vec<u8>,
    length: usize,
    share: &mut Share<'_>,
) -> Result<(), ReadFault> {
    const STEP: usize = 64 * 1024;
    body.truncate(length);
    while body.len() < length {
        let start = body.len();
        let end = length.min(start + STEP);
        if !share.grow_to(end) {
            return Err(ReadFault::NoRoom);
        }
        body.reserve_exact(end - start);
        body.resize(end, 0);
        let read = source.read(&mut body[start..]);
        body.truncate(start + *read.as_ref().unwrap_or(&0));
        match read {
            Ok(0) => return Err(ReadFault::Gone),
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => return Err(ReadFault::from_io(&error, false)),
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::endpoint::door::budget::Budget;
    use std::net::TcpListener;

    /// Gives one byte a call, as a slow network does.
    struct Drip<'a>(&'a [u8]);

    impl Read for Drip<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            self.0.read(&mut buffer[..1])
        }
    }

    #[test]
    fn a_head_ends_at_its_empty_line_however_it_comes() {
        let message = b"\r\nPUT / HTTP/1.1\r\nHost: a\r\n\r\nbody\n";
        let (head, rest) = read_head(&mut &message[..], 100).unwrap();
        assert!(head.ends_with(b"a\r\n\r\n"));
        assert_eq!(rest, b"body\n");
        let (dripped, rest) = read_head(&mut Drip(message), 100).unwrap();
        assert_eq!(dripped, head);
        assert_eq!(rest, b"");
    }

    #[test]
    fn what_is_no_head_is_refused_at_once() {
        let fault = |bytes: &[u8], limit| read_head(&mut &bytes[..], limit).unwrap_err();
        assert!(matches!(fault(b"\x16\x03\x01\x02", 99), ReadFault::NotHttp));
        assert!(matches!(fault(b"GET / HTTP/1.1\n", 99), ReadFault::BareLineFeed));
        let exact = b"GET / HTTP/1.1\r\n\r\n";
        assert!(read_head(&mut &exact[..], exact.len()).is_ok());
        let tight = exact.len() - 1;
        assert!(matches!(fault(exact, tight), ReadFault::HeadTooLarge));
        assert!(matches!(fault(b"GET / HTTP", 9), ReadFault::HeadTooLarge));
        assert!(matches!(fault(b"GET / HTTP", 99), ReadFault::Gone));
    }

    #[test]
    fn a_body_is_read_to_its_length_and_within_the_budget() {
        let budget = Budget::new(0);
        let mut body = b"ab".to_vec();
        read_body(&mut Drip(b"cdef"), &mut body, 5, &mut budget.share()).unwrap();
        assert_eq!(body, b"abcde");
        let short = read_body(&mut &b"f"[..], &mut body, 7, &mut budget.share());
        assert!(matches!(short, Err(ReadFault::Gone)));
        let large = read_body(&mut io::repeat(b'x'), &mut body, 1 << 20, &mut budget.share());
        assert!(matches!(large, Err(ReadFault::NoRoom)));
    }

    /// A byte every few milliseconds keeps any per-read timeout from firing; the deadline must.
    #[test]
    fn a_dripping_client_meets_the_deadline() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let mut client = TcpStream::connect(listener.local_addr().unwrap()).unwrap();
        let (socket, _) = listener.accept().unwrap();
        let dripping = std::thread::spawn(move || {
            for _ in 0..500 {
                if client.write_all(b"G").is_err() {
                    break;
                }
                std::thread::sleep(Duration::from_millis(10));
            }
        });
        let deadline = Instant::now() + Duration::from_millis(200);
        let fault = read_head(&mut Until::new(&socket, deadline), 1 << 20).unwrap_err();
        assert!(matches!(fault, ReadFault::TooSlow { silent: false }));
        drop(socket);
        dripping.join().unwrap();
    }
}
