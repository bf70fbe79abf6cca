//! The workers behind the door: tiny_http on a private socket, and the threads that run the handler.
//!
//! tiny_http 0.12 has no timeouts and no limits, and some requests kill it outright (a huge Content-Length aborts the
//! process). It therefore listens only on a Unix socket in a folder that nobody else may enter, and hears only requests
//! that the door has read whole and written anew.
//!
//! Its accept thread ends for good when the process runs out of file handles, at times by a panic that nobody is
//! told of. So the socket is renewable: who finds it dead puts a fresh one in its place.

use std::fs::Permissions;
use std::io::{self, Cursor, ErrorKind};
use std::net::IpAddr;
use std::os::unix::fs::PermissionsExt;
use std::os::unix::net::UnixStream;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use tempfile::TempDir;

use super::head::PEER;
use super::{Handler, StartError};
use crate::endpoint::http::{Method, Request, Response};

/// The private socket and what renews it.
pub(super) struct Backend {
    // Before the folder, so that tiny_http can still remove its socket when all is dropped.
    current: Mutex<Arc<Instance>>,
    folder: TempDir,
    workers: usize,
    stopping: AtomicBool,
}

/// One life of tiny_http.
struct Instance {
    number: u32,
    socket: PathBuf,
    server: tiny_http::Server,
}

impl Instance {
    fn start(folder: &Path, number: u32) -> io::Result<Arc<Instance>> {
        let socket = folder.join(format!("{number}.sock"));
        let server = tiny_http::Server::http_unix(&socket).map_err(io::Error::other)?;
        Ok(Arc::new(Instance { number, socket, server }))
    }
}

impl Backend {
    /// Opens the socket and starts the worker threads.
    pub fn start(workers: usize, handler: Arc<dyn Handler>) -> Result<(Arc<Backend>, Vec<JoinHandle<()>>), StartError> {
        let folder = private_folder().map_err(StartError::Private)?;
        let instance = Instance::start(folder.path(), 0).map_err(StartError::Private)?;
        let backend =
            Arc::new(Backend { current: Mutex::new(instance), folder, workers, stopping: AtomicBool::new(false) });
        let mut threads = Vec::new();
        for _ in 0..workers {
            let (own, handler) = (Arc::clone(&backend), Arc::clone(&handler));
            let thread = thread::Builder::new().name("worker".into()).spawn(move || own.work(handler.as_ref()));
            match thread {
                Ok(thread) => threads.push(thread),
                Err(error) => {
                    backend.stop();
                    return Err(StartError::Thread(error));
                }
            }
        }
        Ok((backend, threads))
    }

    /// A fresh connection to the workers.
    pub fn connect(&self) -> io::Result<UnixStream> {
        let instance = Arc::clone(&self.lock());
        match UnixStream::connect(&instance.socket) {
            Err(error) if matches!(error.kind(), ErrorKind::ConnectionRefused | ErrorKind::NotFound) => {
                UnixStream::connect(&self.renew(&instance)?.socket)
            }
            other => other,
        }
    }

    /// Lets the workers finish what they have, then end.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::SeqCst);
        self.release_workers(&self.lock());
    }

    /// Replaces `failed`, unless somebody has; the one to use from now on.
    fn renew(&self, failed: &Instance) -> io::Result<Arc<Instance>> {
        let mut current = self.lock();
        if current.number == failed.number {
            if self.stopping.load(Ordering::SeqCst) {
                return Err(ErrorKind::ConnectionAborted.into());
            }
            let fresh = Instance::start(self.folder.path(), failed.number.wrapping_add(1))?;
            let old = std::mem::replace(&mut *current, fresh);
            self.release_workers(&old);
        }
        Ok(Arc::clone(&current))
    }

    /// Wakes every worker that waits on this instance, now or the next time it does.
    fn release_workers(&self, instance: &Instance) {
        for _ in 0..self.workers {
            instance.server.unblock();
        }
    }

    fn lock(&self) -> MutexGuard<'_, Arc<Instance>> {
        self.current.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn work(&self, handler: &dyn Handler) {
        loop {
            let instance = Arc::clone(&self.lock());
            match instance.server.recv() {
                Ok(request) => answer(request, handler),
                Err(_) if self.stopping.load(Ordering::SeqCst) => return,
                // Released, or told of the accept thread's end. Where no handle is left for a new socket, the next
                // connection will renew it and release us.
                Err(_) => drop(self.renew(&instance)),
            }
        }
    }
}

/// Handles one request. Whatever the handler does, there is an answer and the worker lives on.
fn answer(mut incoming: tiny_http::Request, handler: &dyn Handler) {
    let response = match read_request(&mut incoming) {
        Some(request) => catch_unwind(AssertUnwindSafe(|| handler.handle(&request))).unwrap_or_else(|_| {
            Response::problem(
                500,
                "Nothing is known to be done. Look, then try again; if it stays, tell whoever looks after the kiosk.",
            )
        }),
        // The door was stopped in the middle of handing the request on: it must not be half done.
        None => Response::problem(400, "Send the whole request."),
    };
    let headers = response.headers().iter();
    let headers =
        headers.filter_map(|(name, value)| tiny_http::Header::from_bytes(*name, value.as_str()).ok()).collect();
    let length = response.body.len();
    let outgoing = tiny_http::Response::new(
        tiny_http::StatusCode(response.status),
        headers,
        Cursor::new(response.body),
        Some(length),
        None,
    );
    // With a length known, chunks only cost. An error here means the door has given up waiting.
    let _ = incoming.respond(outgoing.with_chunked_threshold(usize::MAX));
}

/// The request as plain data; none if its body is cut short.
fn read_request(incoming: &mut tiny_http::Request) -> Option<Request> {
    let method = Method::from_name(incoming.method().as_str())?;
    let mut request = Request::new(method, incoming.url());
    for header in incoming.headers() {
        let value = header.value.as_str();
        match header.field.as_str().as_str() {
            PEER => request.peer = value.parse::<IpAddr>().ok()?,
            "Connection" | "Content-Length" => {}
            name => request.headers.push(name, value),
        }
    }
    let length = incoming.body_length().unwrap_or(0);
    request.body.reserve_exact(length);
    incoming.as_reader().read_to_end(&mut request.body).ok()?;
    (request.body.len() == length).then_some(request)
}

/// Waits for these threads to end; gives up after `patience` on one whose handler does not return.
pub(super) fn join(threads: Vec<JoinHandle<()>>, patience: Duration) {
    let deadline = Instant::now() + patience;
    for thread in threads {
        while !thread.is_finished() && Instant::now() < deadline {
            thread::sleep(Duration::from_millis(2));
        }
        if thread.is_finished() {
            // A panic has said its piece on standard error already.
            let _ = thread.join();
        }
    }
}

/// A temporary folder of our own that only this user may enter; removed when dropped.
fn private_folder() -> io::Result<TempDir> {
    tempfile::Builder::new().prefix("brakeside-").permissions(Permissions::from_mode(0o700)).tempdir()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_is_private_and_goes() {
        let folder = private_folder().unwrap();
        let path = folder.path().to_owned();
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o700);
        drop(folder);
        assert!(!path.exists());
    }
}
