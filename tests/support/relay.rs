//! The cable between kiosk and printer, which can be cut at the worst moment.
//!
//! It carries everything as it is, and knows a Print-Job (RFC 8011 §4.2.1) and a Get-Jobs (§4.2.6) by their operations'
//! numbers (§5.4.15) when they pass.

use std::io::{self, Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard};
use std::thread;
use std::time::Duration;

/// What happens to the next Print-Job, or Get-Jobs, once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mishap {
    /// It is lost on the way.
    RequestLost,
    /// The printer has it, and its answer is lost.
    AnswerLost,
    /// The printer has it, and its answer never comes.
    AnswerHeld,
    /// Answered with this IPP status, by a printer that does not take it.
    Refused(u16),
    /// A Get-Jobs is answered with this IPP status.
    JobsRefused(u16),
}

impl Mishap {
    fn operation(self) -> [u8; 2] {
        match self {
            Self::JobsRefused(_) => [0, 0x0a],
            _ => [0, 0x02],
        }
    }
}

/// The cable. It stays as long as the test.
pub struct Relay {
    port: u16,
    next: Arc<Mutex<Option<Mishap>>>,
    refusals: Arc<Mutex<()>>,
}

impl Relay {
    /// To the printer at this port of this machine.
    pub fn to(printer: u16) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let next = Arc::new(Mutex::new(None));
        let mishaps = Arc::clone(&next);
        let refusals = Arc::new(Mutex::new(()));
        let held = Arc::clone(&refusals);
        thread::spawn(move || {
            for kiosk in listener.incoming().flatten() {
                let (mishaps, held) = (Arc::clone(&mishaps), Arc::clone(&held));
                // An error is a side that hung up, which is what cables are for.
                thread::spawn(move || _ = carry(kiosk, printer, &mishaps, &held));
            }
        });
        Self { port, next, refusals }
    }

    pub fn address(&self) -> String {
        format!("ipp://127.0.0.1:{}/ipp/print", self.port)
    }

    pub fn next_print(&self, mishap: Mishap) {
        *self.next.lock().unwrap() = Some(mishap);
    }

    /// No refusal is answered while this is held.
    pub fn hold_refusals(&self) -> MutexGuard<'_, ()> {
        self.refusals.lock().unwrap()
    }

    /// Whether the mishap has happened.
    pub fn happened(&self) -> bool {
        self.next.lock().unwrap().is_none()
    }
}

fn carry(mut kiosk: TcpStream, printer: u16, next: &Mutex<Option<Mishap>>, refusals: &Mutex<()>) -> io::Result<()> {
    let (request, body) = read_request(&mut kiosk)?;
    let mishap = next.lock().unwrap().take_if(|mishap| request[body + 2..].starts_with(&mishap.operation()));
    if mishap == Some(Mishap::RequestLost) {
        return kiosk.shutdown(Shutdown::Both);
    }
    if let Some(Mishap::Refused(status) | Mishap::JobsRefused(status)) = mishap {
        drop(refusals.lock());
        let [high, low] = status.to_be_bytes();
        kiosk.write_all(b"HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\nContent-Length: 9\r\n\r\n")?;
        return kiosk.write_all(&[1, 1, high, low, 0, 0, 0, 1, 3]);
    }
    let mut printer = TcpStream::connect(("127.0.0.1", printer))?;
    printer.write_all(&request)?;
    printer.set_read_timeout(Some(Duration::from_secs(5)))?;
    let mut answer = [0; 65_536];
    if mishap.is_some() {
        let _ = printer.read(&mut answer)?;
        if mishap == Some(Mishap::AnswerHeld) {
            // Until the kiosk hangs up.
            let _ = kiosk.read(&mut answer)?;
        }
        return kiosk.shutdown(Shutdown::Both);
    }
    loop {
        match printer.read(&mut answer)? {
            0 => return Ok(()),
            count => kiosk.write_all(&answer[..count])?,
        }
    }
}

/// One whole HTTP request of a stated length, and where its body begins.
fn read_request(kiosk: &mut TcpStream) -> io::Result<(Vec<u8>, usize)> {
    let mut request = Vec::new();
    let mut some = [0; 65_536];
    loop {
        let count = kiosk.read(&mut some)?;
        if count == 0 {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        request.extend(&some[..count]);
        let text = String::from_utf8_lossy(&request).to_ascii_lowercase();
        let Some(head) = request.windows(4).position(|four| four == b"\r\n\r\n") else { continue };
        let length = text.split("content-length:").nth(1).and_then(|rest| rest.lines().next());
        let length: usize =
            length.and_then(|length| length.trim().parse().ok()).expect("a request that says its length");
        if request.len() >= head + 4 + length {
            return Ok((request, head + 4));
        }
    }
}
