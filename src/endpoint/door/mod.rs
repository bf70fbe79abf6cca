//! The door: the only part of the endpoint that faces the network.
//!
//! It owns the listening socket, the limits and the deadlines. A request is let in only whole, unambiguous and within
//! bounds; then it is written anew and handed to workers behind a private socket, and their answer, read whole,
//! is written back. Every connection carries one request and is closed.
//!
//! ```text
//! client ─ TCP ─▶ slots ─▶ connection ─▶ head, body ─▶ backend ─ Unix socket ─▶ tiny_http ─▶ workers ─▶ Handler
//! client ◀─ TCP ────────── connection ◀─ reply ◀────── backend ◀─ Unix socket ─ tiny_http ◀─ workers ◀─ Handler
//! ```
//!
//! Each file is one step of that: `limits` how much and how long, `slots` who is inside, `socket` reading against a
//! deadline, `head` what a request may look like, `budget` memory for bodies, `refusal` what is said when it may not
//! come in, `connection` the course of one exchange, `backend` the workers, `reply` their answer.

mod backend;
mod budget;
mod connection;
mod head;
mod limits;
mod refusal;
mod reply;
mod slots;
mod socket;

use std::io::{self, ErrorKind};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use thiserror::Error;

use super::http::{Request, Response};
use backend::Backend;
use budget::Budget;
pub use limits::Limits;
use slots::Slots;

/// What answers requests. It is called from several threads at once; a panic answers 500 and harms no other request.
pub trait Handler: Send + Sync + 'static {
    fn handle(&self, request: &Request) -> Response;
}

impl<H: Handler> Handler for Arc<H> {
    fn handle(&self, request: &Request) -> Response {
        (**self).handle(request)
    }
}

impl<F: Fn(&Request) -> Response + Send + Sync + 'static> Handler for F {
    fn handle(&self, request: &Request) -> Response {
        self(request)
    }
}

/// Why the endpoint cannot start.
#[derive(Debug, Error)]
pub enum StartError {
    #[error("cannot listen on {address}: {source}")]
    Listen { address: SocketAddr, source: io::Error },
    #[error("cannot tell which address it listens on: {0}")]
    Address(io::Error),
    #[error("cannot open the private socket in the temporary folder: {0}")]
    Private(io::Error),
    #[error("cannot start a thread: {0}")]
    Thread(io::Error),
}

/// How long stopping waits for a handler to return.
const PATIENCE: Duration = Duration::from_secs(2);

/// How long to wait when the system has no handle or memory for a new client.
const BACK_OFF: Duration = Duration::from_millis(50);

/// Connection threads keep bodies on the heap; this much stack is ample.
const CONNECTION_STACK: usize = 256 * 1024;

/// What all connections share.
struct House {
    limits: Limits,
    slots: Arc<Slots>,
    bodies: Budget,
    answers: Budget,
    backend: Arc<Backend>,
    stopping: AtomicBool,
}

/// A running endpoint; it stops when dropped.
pub struct Server {
    address: SocketAddr,
    house: Arc<House>,
    accepting: Option<JoinHandle<()>>,
    workers: Vec<JoinHandle<()>>,
}

impl Server {
    /// Listens on this address with the default [`Limits`]; port 0 takes any free port.
    pub fn start(listen: SocketAddr, handler: impl Handler) -> Result<Server, StartError> {
        Server::with_limits(listen, handler, Limits::default())
    }

    /// Answers on a socket that listens already: its port is then known before the handler is made.
    pub fn on(listener: TcpListener, handler: impl Handler) -> Result<Server, StartError> {
        Server::serve(listener, handler, Limits::default())
    }

    /// Listens on this address with limits of the caller's.
    pub fn with_limits(listen: SocketAddr, handler: impl Handler, limits: Limits) -> Result<Server, StartError> {
        let listener = TcpListener::bind(listen).map_err(|source| StartError::Listen { address: listen, source })?;
        Server::serve(listener, handler, limits)
    }

    fn serve(listener: TcpListener, handler: impl Handler, limits: Limits) -> Result<Server, StartError> {
        let address = listener.local_addr().map_err(StartError::Address)?;
        let (backend, workers) = Backend::start(limits.workers, Arc::new(handler))?;
        let house = Arc::new(House {
            slots: Arc::new(Slots::new(&limits)),
            bodies: Budget::new(limits.bodies_bytes),
            answers: Budget::new(limits.answers_bytes),
            backend,
            stopping: AtomicBool::new(false),
            limits,
        });
        let mut server = Server { address, house: Arc::clone(&house), accepting: None, workers };
        let accepting = thread::Builder::new()
            .name("door".into())
            .spawn(move || accept(&listener, &house))
            .map_err(StartError::Thread)?;
        server.accepting = Some(accepting);
        Ok(server)
    }

    /// Where it listens, with the real port.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Closes every connection and ends the threads; waits at most a few seconds for handlers to return.
    pub fn stop(self) {
        drop(self);
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.house.stopping.store(true, Ordering::SeqCst);
        if let Some(accepting) = self.accepting.take() {
            wake(&accepting, self.address);
            backend::join(vec![accepting], Duration::ZERO);
        }
        self.house.slots.close_all();
        self.house.slots.wait_empty(PATIENCE);
        self.house.backend.stop();
        backend::join(std::mem::take(&mut self.workers), PATIENCE);
    }
}

/// Connects to our own listener until its thread has seen that it is to end; accept() knows no other interruption.
fn wake(accepting: &JoinHandle<()>, mut address: SocketAddr) {
    if address.ip().is_unspecified() {
        address.set_ip(match address.ip() {
            IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
            IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
        });
    }
    let deadline = Instant::now() + PATIENCE;
    while !accepting.is_finished() && Instant::now() < deadline {
        // A failure means that clients, or errors, keep the thread awake already.
        let _ = TcpStream::connect_timeout(&address, BACK_OFF);
        thread::sleep(Duration::from_millis(2));
    }
}

/// Lets clients in until told to stop. No error ends this loop: out of handles now, there may be some in a moment.
fn accept(listener: &TcpListener, house: &Arc<House>) {
    loop {
        let accepted = listener.accept();
        if house.stopping.load(Ordering::SeqCst) {
            return;
        }
        match accepted {
            Ok((client, from)) => let_in(client, from.ip().to_canonical(), house),
            // The client's doing, and over.
            Err(error) if matches!(error.kind(), ErrorKind::ConnectionAborted | ErrorKind::Interrupted) => {}
            Err(_) => thread::sleep(BACK_OFF),
        }
    }
}

/// Gives this client a thread of its own, or turns it away. The slots bound the threads.
fn let_in(client: TcpStream, peer: IpAddr, house: &Arc<House>) {
    let client = Arc::new(client);
    let Some(slot) = house.slots.admit(peer, &client) else {
        return connection::turn_away(&client);
    };
    // Head and body of an answer are two writes; without this the second could wait for the client's delayed ACK.
    let _ = client.set_nodelay(true);
    let house = Arc::clone(house);
    let thread = thread::Builder::new().name("connection".into()).stack_size(CONNECTION_STACK);
    // Without a thread the closure is dropped, and with it the slot and the connection: nothing else to be done.
    let _ = thread.spawn(move || {
        connection::serve(&client, peer, &house);
        drop(slot);
    });
}
