//! The desk's two threads: one that thinks and never waits, one that waits for the network.
//!
//! Touches and answers meet in one queue before the desk, so it needs no locks; what it wants goes to the network thread
//! in order, and each screen goes to whoever shows it.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant};

use jiff::civil::Date;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};

use super::api::{CallError, Client};
use super::desk::{Answer, Canvas, Desk, Ids, Message, Request, Start};
use super::last_heard::LastHeard;
use super::memory::{Memory, MemoryError};
use super::screen::{Intent, Looks, Picture, Screen};
use crate::drawing::raster;

/// How often the endpoint is asked for news.
const POLL: Duration = Duration::from_secs(2);

/// What the worker is made of.
pub struct Setup {
    pub client: Client,
    /// Where the bench's memory is kept.
    pub memory: PathBuf,
    pub today: fn() -> Date,
    pub ids: Ids,
    /// What people call this bench.
    pub bench: String,
    /// How it looks until a hand sets it otherwise.
    pub looks: Looks,
    /// How large the screen's text is, in pixels; that of the drawings follows it.
    pub text: u32,
}

/// Sends touches to the desk. When it is dropped, the worker ends.
pub struct Desktop {
    inbox: Sender<Inbox>,
}

enum Inbox {
    Message(Box<Message>),
    Stop,
}

impl Desktop {
    /// Hands a touch to the desk.
    pub fn intend(&self, intent: Intent) {
        // The desk is gone only when the program is ending.
        let _ = self.inbox.send(Inbox::Message(Box::new(Message::Intent(intent))));
    }
}

impl Drop for Desktop {
    fn drop(&mut self) {
        let _ = self.inbox.send(Inbox::Stop);
    }
}

/// Starts the desk where its memory says; `show` is called with every new screen, from the desk's thread.
///
/// # Errors
/// [`MemoryError`] when the memory cannot be read.
pub fn start(setup: Setup, show: impl FnMut(Screen) + Send + 'static) -> Result<Desktop, MemoryError> {
    let memory = Memory::load(&setup.memory)?;
    let (sender, inbox) = mpsc::channel();
    let (requests, asked) = mpsc::channel();
    let start = Start { bench: setup.bench, endpoint: setup.client.base().to_owned(), looks: setup.looks };
    let open = LastHeard::beside(&setup.memory);
    let heard = LastHeard::load(&open);
    let desk = Desk::new(memory.clone(), setup.ids, start).recalling(heard.clone(), &memory.done);

    let answers = sender.clone();
    let (client, text) = (setup.client, setup.text);
    thread::spawn(move || serve(client, text, &asked, &answers));
    thread::spawn(move || {
        let kept = Kept { memory, path: setup.memory, heard, open };
        Thinking { desk, kept, today: setup.today, requests, show }.run(&inbox);
    });
    Ok(Desktop { inbox: sender })
}

/// What the two files hold now.
struct Kept {
    memory: Memory,
    path: PathBuf,
    heard: LastHeard,
    open: PathBuf,
}

struct Thinking<Show> {
    desk: Desk,
    kept: Kept,
    today: fn() -> Date,
    requests: Sender<Request>,
    show: Show,
}

impl<Show: FnMut(Screen)> Thinking<Show> {
    fn run(mut self, inbox: &Receiver<Inbox>) {
        let mut shown = None;
        let mut next_tick = Instant::now();
        loop {
            let message = match inbox.recv_timeout(next_tick.saturating_duration_since(Instant::now())) {
                Ok(Inbox::Message(message)) => *message,
                Err(RecvTimeoutError::Timeout) => {
                    next_tick = Instant::now() + POLL;
                    Message::Tick
                }
                Ok(Inbox::Stop) | Err(RecvTimeoutError::Disconnected) => return,
            };
            let ticks = message == Message::Tick;
            let wanted = self.desk.update(message);
            let screen = self.desk.screen((self.today)());
            if shown.as_ref() != Some(&screen) {
                shown = Some(screen.clone());
                (self.show)(screen);
            }
            // The hand need not wait for the disk, but a mark is on it before it is on its way; where the disk takes
            // nothing it goes all the same: the endpoint is then the only one that can keep it.
            self.remember();
            // The larger file is not written at each touch: what is done here while the endpoint is away is in the memory.
            if ticks {
                self.keep_heard();
            }
            for request in wanted {
                if self.requests.send(request).is_err() {
                    return;
                }
            }
        }
    }

    fn remember(&mut self) {
        let memory = self.desk.memory();
        if memory == self.kept.memory {
            return;
        }
        match memory.save(&self.kept.path) {
            Ok(()) => self.kept.memory = memory,
            // The bench still works without its memory; the next message, at the latest the next tick, tries again.
            Err(error) => eprintln!("brakeside: {error}"),
        }
    }

    fn keep_heard(&mut self) {
        let heard = self.desk.last_heard();
        if heard == self.kept.heard {
            return;
        }
        match heard.save(&self.kept.open) {
            Ok(()) => self.kept.heard = heard,
            Err(error) => eprintln!("brakeside: {error}"),
        }
    }
}

/// Answers requests one by one until the desk is gone.
fn serve(mut client: Client, text: u32, requests: &Receiver<Request>, answers: &Sender<Inbox>) {
    for request in requests {
        let answer = call(&mut client, text, &request);
        if answers.send(Inbox::Message(Box::new(Message::Answer(request, answer)))).is_err() {
            return;
        }
    }
}

fn call(client: &mut Client, text: u32, request: &Request) -> Result<Answer, CallError> {
    Ok(match request {
        Request::Orders => Answer::Orders(client.orders()?),
        Request::Pieces { order, afresh } => {
            if *afresh {
                client.forget();
            }
            Answer::Pieces(client.pieces(order)?)
        }
        Request::Piece { code } => Answer::Piece(Box::new(client.piece(code)?)),
        Request::Picture { code, step, canvas, language } => {
            let (query, lang) = (query(*canvas), language.code());
            let path = format!("/api/pieces/{code}/drawing.svg?step={step}&{query}&lang={lang}&em={text}");
            Answer::Picture(picture(&client.drawing(&path)?)?)
        }
        Request::Prints => Answer::Prints(client.prints()?),
        Request::People => Answer::People(client.people()?),
        Request::Address => Answer::Address(client.address()?),
        Request::Door { to, canvas } => {
            let to = utf8_percent_encode(to, NON_ALPHANUMERIC);
            Answer::Picture(picture(&client.drawing(&format!("/api/qr.svg?to={to}&{}", query(*canvas)))?)?)
        }
        Request::TestLabel { canvas } => Answer::Picture(fitted(&client.drawing("/api/test-label.svg")?, *canvas)?),
        Request::Send(mark) => Answer::Sent(client.send(mark)?),
        Request::Scan { code } => Answer::Found(Box::new(client.scan(code)?)),
        Request::PrintDo { print, what } => Answer::Print(Box::new(client.print_do(*print, *what)?)),
        Request::PrintTest { id } => Answer::Print(Box::new(client.print_test(id)?)),
        Request::Enter { person, pin } => {
            client.enter(*person, &pin.0)?;
            Answer::Entered
        }
    })
}

fn query(canvas: Canvas) -> String {
    let theme = if canvas.dark { "dark" } else { "light" };
    format!("width={}&height={}&theme={theme}", canvas.width, canvas.height)
}

fn picture(svg: &str) -> Result<Picture, CallError> {
    scaled(svg, 1.0)
}

/// As large as the canvas takes, each dot a whole number of pixels wide: a scanner reads it off the screen.
fn fitted(svg: &str, canvas: Canvas) -> Result<Picture, CallError> {
    let plain = picture(svg)?;
    let times = (canvas.width / plain.width.max(1)).min(canvas.height / plain.height.max(1));
    if times > 1 { scaled(svg, times as f32) } else { Ok(plain) }
}

fn scaled(svg: &str, scale: f32) -> Result<Picture, CallError> {
    let pixels = raster::draw(svg, scale).map_err(|error| CallError::Garbled(error.to_string()))?;
    Ok(Picture { width: pixels.width(), height: pixels.height(), rgba: Arc::new(pixels.take()) })
}
