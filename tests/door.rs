//! The door under attack: whatever a client sends, the next honest request is answered.
//!
//! The attacks are those that stop a bare tiny_http 0.12 (huge or missing bodies, slow readers, HTTP/2.0, aborted
//! connections, no file handles left, endless headers) and the ambiguous messages of RFC 9112 §11.2 and §6.3. All
//! of it goes through raw sockets, so no client library tidies it up.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::net::{Shutdown, SocketAddr, TcpStream};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use brakeside::endpoint::door::{Limits, Server, StartError};
use brakeside::endpoint::http::{Method, Request, Response};

/// Nothing here should take this long; a test that waits for it fails.
const FAR_TOO_LONG: Duration = Duration::from_secs(30);

/// More than there are workers.
const CROWD: usize = 12;

/// Short deadlines, so that a test sees them pass.
fn limits() -> Limits {
    Limits {
        head_time: Duration::from_secs(2),
        request_time: Duration::from_secs(3),
        write_time: Duration::from_secs(3),
        linger_time: Duration::from_millis(300),
        ..Limits::default()
    }
}

/// A server, and the paths its handler was asked for.
struct Fixture {
    server: Server,
    asked: Arc<Mutex<Vec<String>>>,
}

fn start() -> Fixture {
    start_with(limits())
}

fn start_with(limits: Limits) -> Fixture {
    let asked = Arc::new(Mutex::new(Vec::new()));
    let log = Arc::clone(&asked);
    let handler = move |request: &Request| {
        log.lock().unwrap().push(request.path.clone());
        match request.path.as_str() {
            "/echo" => Response::bytes("application/octet-stream", request.body.clone()),
            "/big" => Response::bytes("application/octet-stream", vec![b'x'; 7 << 20]),
            "/too-big" => Response::bytes("application/octet-stream", vec![b'x'; 9 << 20]),
            "/inject" => Response::new(303).with_header("Location", request.query_value("to").unwrap()),
            "/peer" => Response::text(format!(
                "{} {:?} {:?}",
                request.peer,
                request.headers.get("host"),
                request.headers.get("x-forwarded-for")
            )),
            "/not-modified" => Response::new(304).with_header("ETag", "\"7\""),
            "/slow" => {
                thread::sleep(Duration::from_secs(2));
                Response::text("late")
            }
            "/panic" => panic!("a panic on purpose"),
            _ => Response::text("ok"),
        }
    };
    let listen = "127.0.0.1:0".parse().unwrap();
    let server = Server::with_limits(listen, handler, limits).unwrap();
    Fixture { server, asked }
}

/// What came back, as far as it came.
struct Answer {
    head: String,
    body: Vec<u8>,
}

impl Answer {
    fn read_from(stream: &mut TcpStream) -> Answer {
        let mut bytes = Vec::new();
        // A reset ends the answer as a close does; what has come by then is looked at.
        let _ = stream.read_to_end(&mut bytes);
        let end = bytes.windows(4).position(|w| w == b"\r\n\r\n");
        let body = end.map_or(Vec::new(), |end| bytes.split_off(end + 4));
        Answer { head: String::from_utf8(bytes).unwrap(), body }
    }

    fn status(&self) -> u16 {
        let word = self.head.split(' ').nth(1);
        word.and_then(|word| word.parse().ok()).unwrap_or(0)
    }

    fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (known, value) = line.split_once(": ")?;
            known.eq_ignore_ascii_case(name).then_some(value)
        })
    }

    /// The status, if the answer is a whole problem document that says so too.
    fn problem(&self) -> u16 {
        assert_eq!(self.header("Content-Type"), Some("application/problem+json"), "{}", self.head);
        let document: serde_json::Value = serde_json::from_slice(&self.body).unwrap();
        assert_eq!(document["status"], self.status());
        assert!(document["detail"].as_str().unwrap().len() > 10);
        self.status()
    }
}

impl Fixture {
    fn connect(&self) -> TcpStream {
        connect(self.server.address())
    }

    /// Sends these bytes on a connection of their own and reads to its end.
    fn send(&self, bytes: impl AsRef<[u8]>) -> Answer {
        let mut stream = self.connect();
        // The door may have answered and closed before all is written.
        let _ = stream.write_all(bytes.as_ref());
        Answer::read_from(&mut stream)
    }

    fn get(&self, path: &str) -> Answer {
        self.send(format!("GET {path} HTTP/1.1\r\nHost: kiosk\r\n\r\n"))
    }

    /// Connections that have sent these bytes and neither read nor close.
    fn crowd(&self, bytes: &str) -> Vec<TcpStream> {
        let mut streams: Vec<_> = (0..CROWD).map(|_| self.connect()).collect();
        for stream in &mut streams {
            stream.write_all(bytes.as_bytes()).unwrap();
        }
        streams
    }

    /// An honest request is answered.
    #[track_caller]
    fn is_well(&self) {
        let begun = Instant::now();
        let answer = self.get("/honest");
        assert_eq!((answer.status(), answer.body.as_slice()), (200, &b"ok"[..]));
        assert!(begun.elapsed() < FAR_TOO_LONG);
    }

    fn was_asked_for(&self, path: &str) -> bool {
        self.asked.lock().unwrap().iter().any(|asked| asked == path)
    }
}

/// Waits until this holds.
#[track_caller]
fn eventually(condition: impl Fn() -> bool) {
    let begun = Instant::now();
    while !condition() {
        assert!(begun.elapsed() < FAR_TOO_LONG, "it never came about");
        thread::sleep(Duration::from_millis(20));
    }
}

fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(FAR_TOO_LONG)).unwrap();
    stream.set_write_timeout(Some(FAR_TOO_LONG)).unwrap();
    stream
}

#[test]
fn many_honest_requests_one_after_another_and_at_once() {
    let fixture = start();
    for _ in 0..200 {
        fixture.is_well();
    }
    thread::scope(|scope| {
        for _ in 0..50 {
            scope.spawn(|| fixture.is_well());
        }
    });
    assert_eq!(fixture.asked.lock().unwrap().len(), 250);
}

#[test]
fn a_large_body_comes_back_intact() {
    let fixture = start();
    let body: Vec<u8> = (0..5_000_000_u32).map(|n| (n % 251) as u8).collect();
    let mut message =
        format!("POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: {}\r\n\r\n", body.len()).into_bytes();
    message.extend_from_slice(&body);
    let answer = fixture.send(message);
    assert_eq!(answer.status(), 200);
    assert_eq!(answer.header("Content-Length"), Some("5000000"));
    assert!(answer.body == body);
}

#[test]
fn head_has_the_length_but_no_body() {
    let fixture = start();
    let answer = fixture.send("HEAD /big HTTP/1.1\r\nHost: kiosk\r\n\r\n");
    assert_eq!(answer.status(), 200);
    assert_eq!(answer.header("Content-Length"), Some("7340032"));
    assert_eq!(answer.body, b"");
    let refused = fixture.send("HEAD / HTTP/1.1\r\n\r\n");
    assert_eq!((refused.status(), refused.body.as_slice()), (400, &b""[..]));
    let unchanged = fixture.get("/not-modified");
    assert_eq!((unchanged.status(), unchanged.body.len()), (304, 0));
    assert_eq!(unchanged.header("ETag"), Some("\"7\""));
    fixture.is_well();
}

#[test]
fn a_panic_answers_500_and_more_panics_than_workers_harm_nobody() {
    let fixture = start();
    for _ in 0..CROWD {
        assert_eq!(fixture.get("/panic").problem(), 500);
    }
    fixture.is_well();
}

#[test]
fn a_handler_that_takes_too_long_is_not_waited_for() {
    let fixture = start_with(Limits { answer_time: Duration::from_millis(500), ..limits() });
    assert_eq!(fixture.get("/slow").problem(), 503);
    // With time enough, it is.
    assert_eq!(start().get("/slow").body, b"late");
}

#[test]
fn a_huge_content_length_is_refused_unread() {
    let fixture = start();
    for length in ["8388609", "64000000000", "18446744073709551615", "99999999999999999999999"] {
        let answer = fixture.send(format!("POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: {length}\r\n\r\n"));
        assert_eq!(answer.problem(), 413, "{length}");
        fixture.is_well();
    }
    assert!(!fixture.was_asked_for("/echo"));
}

#[test]
fn a_refusal_reaches_a_client_that_is_still_sending() {
    let fixture = start();
    for _ in 0..5 {
        let mut stream = fixture.connect();
        let head = "POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 9000000\r\n\r\n";
        stream.write_all(head.as_bytes()).unwrap();
        stream.write_all(&vec![b'x'; 9_000_000]).unwrap();
        assert_eq!(Answer::read_from(&mut stream).problem(), 413);
    }
}

#[test]
fn posts_without_their_bodies_hold_up_nobody_and_are_told_so() {
    let fixture = start();
    let crowd = fixture.crowd("POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 5000\r\n\r\nonly this");
    fixture.is_well();
    for mut stream in crowd {
        assert_eq!(Answer::read_from(&mut stream).problem(), 408);
    }
    let cut_off = fixture.crowd("POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 5000\r\n\r\nonly this");
    drop(cut_off);
    fixture.is_well();
    assert!(!fixture.was_asked_for("/echo"), "a cut body is not handled");
}

#[test]
fn slow_readers_hold_up_nobody() {
    // Memory for the answers of the crowd, and not for one more.
    let fixture =
        start_with(Limits { answers_bytes: CROWD * (7 << 20), write_time: Duration::from_secs(8), ..limits() });
    let crowd: Vec<_> = (0..CROWD)
        .map(|_| {
            let mut stream = fixture.connect();
            stream.write_all(b"GET /big HTTP/1.1\r\nHost: kiosk\r\n\r\n").unwrap();
            // One byte has come: the whole answer is waiting to be read.
            stream.read_exact(&mut [0]).unwrap();
            stream
        })
        .collect();
    fixture.is_well();
    assert_eq!(fixture.get("/big").problem(), 503);
    // Once the time for writing has passed they are cut off, and what they held is free.
    eventually(|| fixture.get("/big").status() == 200);
    drop(crowd);
}

#[test]
fn only_http_1_is_spoken() {
    let fixture = start();
    for line in ["GET / HTTP/2.0", "PRI * HTTP/2.0", "GET / HTTP/3.0", "GET / HTTP/1.2"] {
        for _ in 0..CROWD {
            let answer = fixture.send(format!("{line}\r\nHost: kiosk\r\n\r\n"));
            assert_eq!(answer.problem(), 505, "{line}");
        }
        fixture.is_well();
    }
    let tls = fixture.send(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03");
    assert_eq!(tls.problem(), 400);
    let old = fixture.send("GET / HTTP/1.0\r\nHost: kiosk\r\n\r\n");
    assert_eq!(old.status(), 200);
}

#[test]
fn connections_aborted_early_hold_up_nobody() {
    let fixture = start();
    for start in ["", "G", "GET / HTTP/1.1\r\nHost: ki", "GET /big HTTP/1.1\r\nHost: kiosk\r\n\r\n"] {
        for _ in 0..50 {
            let mut stream = fixture.connect();
            stream.write_all(start.as_bytes()).unwrap();
            // Closed with the answer unread, which resets the connection.
            stream.shutdown(Shutdown::Write).unwrap();
            drop(stream);
        }
        // As many may still be open as were sent in; they go as the door sees them closed.
        eventually(|| fixture.get("/").status() == 200);
        fixture.is_well();
    }
}

#[test]
fn endless_headers_are_refused() {
    let fixture = start();
    let long = format!("GET / HTTP/1.1\r\nHost: kiosk\r\nA: {}\r\n\r\n", "b".repeat(20_000));
    assert_eq!(fixture.send(long).problem(), 431);
    let many = "A: b\r\n".repeat(64);
    let many = format!("GET / HTTP/1.1\r\nHost: kiosk\r\n{many}\r\n");
    assert_eq!(fixture.send(many).problem(), 431);
    let mut flood = b"GET / HTTP/1.1\r\nHost: kiosk\r\n".to_vec();
    flood.extend(b"A: 0123456789abcdef\r\n".iter().cycle().take(30 << 20));
    fixture.send(flood);
    fixture.is_well();
}

#[test]
fn a_head_that_never_ends_meets_its_deadline() {
    let fixture = start();
    let crowd = fixture.crowd("GET / HTTP/1.1\r\nHost: kiosk\r\n");
    let silent: Vec<_> = (0..CROWD).map(|_| fixture.connect()).collect();
    fixture.is_well();
    for mut stream in crowd {
        assert_eq!(Answer::read_from(&mut stream).problem(), 408);
    }
    for mut stream in silent {
        assert_eq!(Answer::read_from(&mut stream).head, "", "nothing asked, nothing said");
    }
}

/// RFC 9112 §11.2, §6.1, §6.3, §5.1, §5.2, §2.2; RFC 9110 §8.6.
#[test]
fn ambiguous_messages_are_refused_and_nothing_is_smuggled() {
    let fixture = start();
    let smuggled = "GET /smuggled HTTP/1.1\r\nHost: kiosk\r\n\r\n";
    let length = smuggled.len();
    for (status, lines) in [
        (400, "Content-Length: 0\r\nContent-Length: 44".to_owned()),
        (400, "Content-Length: 5\r\nContent-Length: 5".to_owned()),
        (400, "Content-Length: 0, 44".to_owned()),
        (400, "Content-Length: +0".to_owned()),
        (400, "Content-Length: 0x10".to_owned()),
        (400, "Content-Length : 0".to_owned()),
        (411, "Transfer-Encoding: chunked".to_owned()),
        (411, "Transfer-Encoding: xchunked".to_owned()),
        (411, "Transfer-Encoding: identity".to_owned()),
        (411, "TRANSFER-ENCODING:\tchunked".to_owned()),
        (411, "Transfer-Encoding: gzip, chunked".to_owned()),
        (400, format!("Content-Length: {length}\r\nTransfer-Encoding: chunked")),
        (400, format!("Transfer-Encoding: chunked\r\nContent-Length: {length}")),
        (400, "Transfer-Encoding : chunked".to_owned()),
        (400, "Transfer-Encoding\r\n : chunked".to_owned()),
        (400, "X: y\r\n Transfer-Encoding: chunked".to_owned()),
        (400, "X: y\nTransfer-Encoding: chunked".to_owned()),
        (400, "X: y\rTransfer-Encoding: chunked".to_owned()),
        (400, "X: y\0".to_owned()),
        (400, "no colon".to_owned()),
        (400, ": no name".to_owned()),
        (417, "Expect: something".to_owned()),
    ] {
        let answer = fixture.send(format!("POST /first HTTP/1.1\r\nHost: kiosk\r\n{lines}\r\n\r\n0\r\n\r\n{smuggled}"));
        assert_eq!(answer.problem(), status, "{lines:?}");
        fixture.is_well();
    }
    assert!(!fixture.was_asked_for("/first"));
    // A second request behind an honest first is never read: one request, one connection.
    for first in [
        "GET /one HTTP/1.1\r\nHost: kiosk\r\nConnection: keep-alive\r\n\r\n",
        "POST /one HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 2\r\n\r\nhi",
        "GET /one HTTP/1.1\r\nHost: kiosk\r\nConnection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\n\r\n",
    ] {
        let answer = fixture.send(format!("{first}{smuggled}"));
        assert_eq!((answer.status(), answer.body.as_slice()), (200, &b"ok"[..]));
        assert_eq!(answer.header("Connection"), Some("close"));
    }
    assert!(!fixture.was_asked_for("/smuggled"));
}

#[test]
fn a_bad_host_is_refused() {
    let fixture = start();
    for host in [
        "",
        "Host:\r\n",
        "Host: a\r\nHost: a\r\n",
        "Host: a b\r\n",
        "Host: a/b\r\n",
        "Host: a:port\r\n",
        "Host: [::1\r\n",
        "Host: a\u{7f}\r\n",
    ] {
        for version in ["1.0", "1.1"] {
            let answer = fixture.send(format!("GET / HTTP/{version}\r\n{host}\r\n"));
            assert_eq!(answer.problem(), 400, "{host:?}");
        }
    }
    fixture.is_well();
}

#[test]
fn the_client_cannot_say_who_it_is_or_write_headers() {
    let fixture = start();
    let answer = fixture.send(
        "GET /peer HTTP/1.1\r\nHost: kiosk:8080\r\nBrakeside-Peer: 10.0.0.1\r\nX-Forwarded-For: 10.0.0.1\r\n\r\n",
    );
    assert_eq!(answer.body, b"127.0.0.1 Some(\"kiosk:8080\") None");
    let answer = fixture.get("/inject?to=/a%0D%0ASet-Cookie:%20b=c%0D%0A%0D%0A<h1>");
    assert_eq!(answer.status(), 303);
    assert_eq!(answer.header("Set-Cookie"), None);
    assert_eq!(answer.header("Location"), Some("/a  Set-Cookie: b=c    <h1>"));
    assert_eq!(answer.body, b"");
    fixture.is_well();
}

#[test]
fn a_waiting_client_is_told_to_go_on() {
    let fixture = start();
    let mut stream = fixture.connect();
    let head = "PUT /echo HTTP/1.1\r\nHost: kiosk\r\nExpect: 100-continue\r\nContent-Length: 4\r\n\r\n";
    stream.write_all(head.as_bytes()).unwrap();
    let mut go_ahead = [0; 25];
    stream.read_exact(&mut go_ahead).unwrap();
    assert_eq!(&go_ahead, b"HTTP/1.1 100 Continue\r\n\r\n");
    stream.write_all(b"trim").unwrap();
    assert_eq!(Answer::read_from(&mut stream).body, b"trim");
}

#[test]
fn a_full_house_turns_clients_away_until_there_is_room() {
    let fixture = start_with(Limits { connections: 4, head_time: FAR_TOO_LONG, ..limits() });
    let inside: Vec<_> = (0..4)
        .map(|_| {
            let mut stream = fixture.connect();
            stream.write_all(b"G").unwrap();
            stream
        })
        .collect();
    let answer = fixture.get("/");
    assert_eq!(answer.problem(), 503);
    assert!(answer.header("Retry-After").is_some());
    drop(inside);
    eventually(|| fixture.get("/").status() == 200);
    fixture.is_well();
}

#[test]
fn large_bodies_and_answers_share_their_memory_and_small_ones_need_none() {
    let fixture = start_with(Limits { bodies_bytes: 100_000, answers_bytes: 150_000, ..limits() });
    let post = |length: usize| {
        let head = format!("POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: {length}\r\n\r\n");
        fixture.send(head + &"x".repeat(length))
    };
    let held = |length: usize| {
        let head = "POST /echo HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 900000\r\n\r\n";
        let mut stream = fixture.connect();
        let _ = stream.write_all((head.to_owned() + &"x".repeat(length)).as_bytes());
        stream
    };
    assert_eq!(post(160_000).status(), 200);
    assert_eq!(post(500_000).problem(), 503);
    assert_eq!(fixture.get("/big").problem(), 503);
    assert_eq!(post(160_000).status(), 200, "it is given back");

    // An announcement takes nothing; what is held does, yet never from small bodies.
    let announced: Vec<_> = (0..CROWD).map(|_| held(0)).collect();
    assert_eq!(post(160_000).status(), 200);
    eventually(|| {
        let _arrived = held(95_000);
        post(160_000).status() == 503 && post(50_000).status() == 200
    });
    drop(announced);

    assert_eq!(start().get("/too-big").problem(), 500);
}

#[test]
fn stopping_is_prompt_whatever_clients_do() {
    let fixture = start_with(Limits {
        head_time: FAR_TOO_LONG,
        request_time: FAR_TOO_LONG,
        write_time: FAR_TOO_LONG,
        ..limits()
    });
    let address = fixture.server.address();
    let writers = fixture.crowd("POST / HTTP/1.1\r\nHost: kiosk\r\nContent-Length: 9\r\n\r\n");
    let _readers = fixture.crowd("GET /big HTTP/1.1\r\nHost: kiosk\r\n\r\n");
    fixture.is_well();
    let begun = Instant::now();
    fixture.server.stop();
    for mut stream in writers {
        assert_eq!(Answer::read_from(&mut stream).head, "", "closed unanswered");
    }
    assert!(begun.elapsed() < FAR_TOO_LONG / 2);
    assert!(TcpStream::connect(address).is_err());
}

#[test]
fn a_taken_port_is_a_start_error_that_names_it() {
    let fixture = start();
    let address = fixture.server.address();
    let Err(error) = Server::start(address, |_: &Request| Response::new(204)) else {
        panic!("two servers on one port");
    };
    assert!(matches!(error, StartError::Listen { .. }));
    assert!(error.to_string().contains(&address.to_string()));
}

/// Takes every file handle and gives back one more each time, so that accepting, connecting and tiny_http's own
/// accepting and duplicating each run out in turn (its accept thread dies of that). With the handles back, all must
/// be well; and in the end no handle, thread or file is left.
///
/// It needs a process of its own: the test calls itself with few handles allowed.
#[test]
fn running_out_of_file_handles_passes() {
    const CHILD: &str = "BRAKESIDE_TEST_FEW_HANDLES";
    if std::env::var_os(CHILD).is_none() {
        let temporary = tempfile::tempdir().unwrap();
        let status = Command::new("sh")
            .args(["-c", "ulimit -n 60 && exec \"$0\" --exact running_out_of_file_handles_passes"])
            .arg(std::env::current_exe().unwrap())
            .env(CHILD, "1")
            .env("TMPDIR", temporary.path())
            .status()
            .unwrap();
        assert!(status.success());
        assert_eq!(fs::read_dir(temporary.path()).unwrap().count(), 0, "files are left");
        return;
    }

    let count = |what: &str| fs::read_dir(format!("/proc/self/{what}")).unwrap().count();
    let (handles, threads) = (count("fd"), count("task"));
    let fixture = start();
    fixture.is_well();
    for spare in (0..8).cycle().take(40) {
        let mut taken: Vec<File> = std::iter::from_fn(|| File::open("/dev/null").ok()).collect();
        taken.truncate(taken.len() - spare);
        let attempts: Vec<_> = (0..3)
            .filter_map(|_| {
                let mut stream = TcpStream::connect(fixture.server.address()).ok()?;
                let _ = stream.write_all(b"GET / HTTP/1.1\r\nHost: kiosk\r\n\r\n");
                Some(stream)
            })
            .collect();
        thread::sleep(Duration::from_millis(30));
        drop(taken);
        drop(attempts);
        // A request that meets the dying accept thread is told to try again; the next one finds a new one.
        eventually(|| fixture.get("/").status() == 200);
        fixture.is_well();
    }
    drop(fixture);
    // tiny_http's idle threads go after five seconds.
    eventually(|| count("task") <= threads);
    assert_eq!(count("fd"), handles, "handles are left");
}

#[test]
fn every_method_arrives_as_sent() {
    let fixture = start();
    for method in Method::ALL {
        let answer = fixture.send(format!("{method} / HTTP/1.1\r\nHost: kiosk\r\n\r\n"));
        assert_eq!(answer.status(), 200, "{method}");
    }
    let unknown = fixture.send("PATCH / HTTP/1.1\r\nHost: kiosk\r\n\r\n");
    assert_eq!(unknown.problem(), 501);
}
