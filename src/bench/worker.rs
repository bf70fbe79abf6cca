//! The desk's two threads: one that thinks and never waits, one that waits for the network.
//!
//! Touches and answers meet in one queue before the desk, so it needs no locks; what it wants goes to the network thread
//! in order, and each screen goes to whoever shows it.

use std::any::Any;
use std::panic::{self, AssertUnwindSafe};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use jiff::civil::Date;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};

use super::api::{CallError, Client};
use super::desk::{Answer, Canvas, Desk, Ids, Message, Request, Start};
use super::last_heard::LastHeard;
use super::memory::{Hold, Memory, MemoryError};
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

/// A thread of the worker broke off: what is on the screen stands still from then on.
#[derive(Debug, thiserror::Error)]
#[error("the bench broke off in its {thread} thread ({why}); started again, it stands at the card it left")]
pub struct Broken {
    thread: &'static str,
    why: String,
}

/// Sends touches to the desk. When it is dropped, the desk ends, with every touch before on the disk.
pub struct Desktop {
    inbox: Sender<Inbox>,
    desk: Option<JoinHandle<()>>,
}

enum Inbox {
    Message(Box<Message>),
    Stop,
}

impl Desktop {
    /// Hands a touch to the desk.
    pub fn intend(&self, intent: Intent) {
        // Refused only by a desk that broke off, which was told.
        let _ = self.inbox.send(Inbox::Message(Box::new(Message::Intent(intent))));
    }
}

impl Drop for Desktop {
    /// Waits for the desk, which waits for the disk alone; a call that the network thread is in may end after it.
    fn drop(&mut self) {
        let _ = self.inbox.send(Inbox::Stop);
        if let Some(desk) = self.desk.take() {
            // It fails in no other way than the one that is told.
            let _ = desk.join();
        }
    }
}

/// Starts the desk where its memory says. `show` is called with every new screen, from the desk's thread; it must not
/// wait for whoever drops the [`Desktop`]. `broken` is called, once or twice, by a thread that ends untold: what is to
/// become of the program then is not the worker's to say.
///
/// # Errors
/// [`MemoryError`] when the memory cannot be read, or another program has it.
pub fn start(
    setup: Setup,
    show: impl FnMut(Screen) + Send + 'static,
    broken: impl Fn(Broken) + Clone + Send + 'static,
) -> Result<Desktop, MemoryError> {
    let kept = Kept::load(setup.memory)?;
    let start = Start { bench: setup.bench, endpoint: setup.client.base().to_owned(), looks: setup.looks };
    let desk = Desk::new(kept.memory.clone(), setup.ids, start).recalling(kept.heard.clone(), &kept.memory.done);
    let (mut client, text) = (setup.client, setup.text);
    let call = move |request: &Request| call(&mut client, text, request);
    Ok(Threads { desk, kept, today: setup.today, call, show }.start(broken))
}

/// All that the two threads are given.
struct Threads<Call, Show> {
    desk: Desk,
    kept: Kept,
    today: fn() -> Date,
    call: Call,
    show: Show,
}

impl<Call, Show> Threads<Call, Show>
where
    Call: FnMut(&Request) -> Result<Answer, CallError> + Send + 'static,
    Show: FnMut(Screen) + Send + 'static,
{
    fn start(self, broken: impl Fn(Broken) + Clone + Send + 'static) -> Desktop {
        let Self { desk, kept, today, call, show } = self;
        let (sender, inbox) = mpsc::channel();
        let (requests, asked) = mpsc::channel();
        let answers = sender.clone();
        watched("network", broken.clone(), move || serve(call, &asked, &answers));
        let desk = watched("desk", broken, move || Thinking { desk, kept, today, requests, show }.run(&inbox));
        Desktop { inbox: sender, desk: Some(desk) }
    }
}

/// Does `work` on a thread of its own, and says so if it breaks off.
fn watched(
    thread: &'static str,
    broken: impl FnOnce(Broken) + Send + 'static,
    work: impl FnOnce() + Send + 'static,
) -> JoinHandle<()> {
    thread::spawn(move || {
        // What it had in hand goes with it, so nobody meets that half done.
        if let Err(panic) = panic::catch_unwind(AssertUnwindSafe(work)) {
            broken(Broken { thread, why: said(&*panic).to_owned() });
        }
    })
}

/// What a panic says.
fn said(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("it does not say why")
}

/// What the two files hold now.
struct Kept {
    memory: Memory,
    path: PathBuf,
    heard: LastHeard,
    open: PathBuf,
    _hold: Hold,
}

impl Kept {
    fn load(path: PathBuf) -> Result<Self, MemoryError> {
        let hold = Memory::hold(&path)?;
        let open = LastHeard::beside(&path);
        Ok(Self { memory: Memory::load(&path)?, heard: LastHeard::load(&open), path, open, _hold: hold })
    }
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
                // Nobody takes it only where the network thread broke off, which was told.
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
fn serve(
    mut call: impl FnMut(&Request) -> Result<Answer, CallError>,
    requests: &Receiver<Request>,
    answers: &Sender<Inbox>,
) {
    for request in requests {
        let answer = call(&request);
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

#[cfg(test)]
mod tests {
    use std::path::Path;

    use jiff::civil::date;
    use tempfile::TempDir;

    use super::*;
    use crate::bench::screen::Language;

    const PATIENCE: Duration = Duration::from_secs(20);

    /// A bench at an endpoint that is away, unless `call` says otherwise.
    fn threads<Call, Show>(memory: &Path, call: Call, show: Show) -> Threads<Call, Show> {
        let kept = Kept::load(memory.into()).unwrap();
        let looks = Looks { language: Language::English, dark: false };
        let start = Start { bench: "Bench".into(), endpoint: "http://127.0.0.1".into(), looks };
        let desk = Desk::new(kept.memory.clone(), Ids::new("start-01".into()), start);
        Threads { desk, kept, today: || date(2026, 11, 25), call, show }
    }

    fn away(_: &Request) -> Result<Answer, CallError> {
        Err(CallError::Away)
    }

    fn memory() -> (TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.json");
        (folder, path)
    }

    fn whole(broken: Broken) {
        panic!("{broken}");
    }

    #[test]
    fn whichever_thread_breaks_off_it_is_told_and_the_other_ends() {
        let (_folder, memory) = memory();
        let (tell, told) = mpsc::channel();
        let broken = move |broken: Broken| tell.send(broken.to_string()).unwrap();

        let bench = threads(&memory, away, |_| panic!("no screen")).start(broken.clone());
        assert!(told.recv_timeout(PATIENCE).unwrap().contains("in its desk thread (no screen)"));
        bench.intend(Intent::Dark(true));
        drop(bench);

        let call = |request: &Request| panic!("cannot ask for {request:?}");
        let bench = threads(&memory, call, drop).start(broken);
        assert!(told.recv_timeout(PATIENCE).unwrap().contains("in its network thread (cannot ask for Orders)"));
        drop(bench);
        assert_eq!(told.recv_timeout(PATIENCE), Err(RecvTimeoutError::Disconnected), "both threads are gone");
    }

    #[test]
    fn a_bench_that_is_told_to_stop_breaks_nothing_off() {
        let (_folder, memory) = memory();
        let (tell, told) = mpsc::channel();
        drop(threads(&memory, away, drop).start(move |broken| tell.send(broken.to_string()).unwrap()));
        assert_eq!(told.recv_timeout(PATIENCE), Err(RecvTimeoutError::Disconnected));
    }

    #[test]
    fn the_last_touch_is_on_the_disk_when_the_program_ends() {
        let (_folder, memory) = memory();
        let slow = |_| thread::sleep(Duration::from_millis(100));
        let bench = threads(&memory, away, slow).start(whole);
        bench.intend(Intent::Dark(true));
        drop(bench);
        assert!(Memory::load(&memory).unwrap().looks.unwrap().dark);
    }

    #[test]
    fn one_bench_at_a_time_has_a_memory() {
        let (_folder, memory) = memory();
        let setup = || Setup {
            client: Client::new("http://127.0.0.1:9", "key"),
            memory: memory.clone(),
            today: || date(2026, 11, 25),
            ids: Ids::new("start-01".into()),
            bench: "Bench".into(),
            looks: Looks { language: Language::English, dark: false },
            text: 37,
        };
        let bench = start(setup(), drop, whole).unwrap();
        let error = start(setup(), drop, whole).err().unwrap().to_string();
        assert!(
            error.contains("another bench is using") && error.contains("bench.json: end that one first"),
            "{error}"
        );
        drop(bench);
        start(setup(), drop, whole).unwrap();
    }
}
