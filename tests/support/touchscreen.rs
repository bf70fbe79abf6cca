//! The real bench at a real endpoint, without a monitor: its window is drawn in memory and touched by label.
//!
//! Slint's clock stands still unless it is told to go on, so nothing here depends on how fast the machine is.

// Each test file uses a part of this.
#![allow(dead_code)]

use std::path::Path;
use std::rc::Rc;
use std::sync::mpsc::{self, Receiver};
use std::time::{Duration, Instant};

use brakeside::bench::adapters::App;
use brakeside::bench::api::Client;
use brakeside::bench::desk::Ids;
use brakeside::bench::screen::{Card, Language, Looks, Screen, View};
use brakeside::bench::window::{self, pixels_per_mm};
use brakeside::bench::worker::{self, Desktop};
use brakeside::label::code::Code;
use i_slint_backend_testing::{
    AccessibleRole, ElementHandle, TestingBackend, TestingBackendOptions, mock_elapsed_time,
};
use jiff::civil::date;
use slint::platform::{Key, PointerEventButton, WindowEvent};
use slint::{ComponentHandle, PhysicalSize, SharedString};

use crate::support::{PATIENCE, wait_for};

/// A 10.1-inch screen.
const SIZE: PhysicalSize = PhysicalSize { width: 1280, height: 800 };
const DIAGONAL_INCHES: f32 = 10.1;

/// Longer than any touch is held back because it could be the one before, bouncing.
const BETWEEN_TOUCHES: Duration = Duration::from_secs(1);

/// Longer than the pause between two keys of one scan.
const BREATH: Duration = Duration::from_millis(300);

/// The bench. When it is dropped it is gone, as when its own power goes: all it knows then is in its memory's file.
pub struct Touchscreen {
    app: App,
    screens: Receiver<Screen>,
    screen: Screen,
    _desktop: Rc<Desktop>,
}

impl Touchscreen {
    /// Starts it where its memory says, and waits for its first screen.
    pub fn start(endpoint: &str, key: &str, memory: &Path) -> Self {
        Self::named("Bench", endpoint, key, memory)
    }

    /// One of several.
    pub fn named(name: &str, endpoint: &str, key: &str, memory: &Path) -> Self {
        thread_local! {
            static PLATFORM: () = set_platform();
        }
        PLATFORM.with(|()| ());

        let (show, screens) = mpsc::channel();
        let setup = worker::Setup {
            client: Client::new(endpoint, key),
            memory: memory.into(),
            today: || date(2026, 11, 25),
            ids: Ids::new(Code::random().unwrap().to_string()),
            bench: name.into(),
            looks: Looks { language: Language::English, dark: false },
            text: 37,
        };
        // It says its screens until it is dropped, whether or not anybody looks.
        let show = move |screen| drop(show.send(screen));
        let desktop = Rc::new(worker::start(setup, show, |broken| eprintln!("{broken}")).unwrap());
        // A window that is shown outlives its app; the desk must not.
        let hand = Rc::downgrade(&desktop);
        let setup = window::Setup {
            pixels_per_mm: pixels_per_mm(SIZE.width, SIZE.height, DIAGONAL_INCHES),
            dark: false,
            fills_screen: false,
        };
        let tell = move |intent| {
            if let Some(desktop) = hand.upgrade() {
                desktop.intend(intent);
            }
        };
        let app = window::open(setup, tell).unwrap();
        app.window().set_size(SIZE);
        app.show().unwrap();
        let screen = screens.recv_timeout(PATIENCE).expect("the bench shows nothing");
        window::show(&app, &screen);
        Self { app, screens, screen, _desktop: desktop }
    }

    /// What it shows now.
    pub fn screen(&mut self) -> &Screen {
        while let Ok(screen) = self.screens.try_recv() {
            window::show(&self.app, &screen);
            self.screen = screen;
        }
        mock_elapsed_time(Duration::from_millis(1));
        &self.screen
    }

    /// Looks until the screen is as wanted.
    #[track_caller]
    pub fn see<T>(&mut self, what: &str, wanted: impl Fn(&Screen) -> Option<T>) -> T {
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Some(seen) = wanted(self.screen()) {
                return seen;
            }
            assert!(
                Instant::now() < deadline,
                "waited in vain for the bench to show {what}; it shows {}",
                self.brief()
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// What it shows, in a few words.
    fn brief(&self) -> String {
        let Screen { view, link, unsent, message, .. } = &self.screen;
        let view = match view {
            View::Card(card) => {
                format!("card {} of {}, {:?}, drawn: {}", card.step, card.mark, card.on, card.picture.is_some())
            }
            view => format!("{view:?}").chars().take(200).collect(),
        };
        format!("{view}; link {link:?}, unsent {unsent}, message {:?}", message.as_ref().map(|message| &message.text))
    }

    /// Looks until a card is shown, drawing and all, that is this step of its piece, 0 first.
    #[track_caller]
    pub fn see_card(&mut self, step: usize) -> Card {
        self.see(&format!("card {step} with its drawing"), |screen| match &screen.view {
            View::Card(card) if card.step == step && card.picture.is_some() => Some((**card).clone()),
            _ => None,
        })
    }

    /// Touches the one thing on the screen with this label, as soon as it is there.
    #[track_caller]
    pub fn touch(&mut self, label: &str) {
        mock_elapsed_time(BETWEEN_TOUCHES);
        let target = wait_for(&format!("‘{label}’ to touch"), || {
            self.screen();
            let mut found = ElementHandle::find_by_accessible_label(&self.app, label)
                .filter(|element| element.accessible_role() == Some(AccessibleRole::Button));
            let first = found.next();
            assert!(found.next().is_none(), "‘{label}’ is there twice");
            first
        });
        target.mock_single_click(PointerEventButton::Left);
    }

    /// Presses one key, as a hand does.
    pub fn press(&mut self, key: impl Into<SharedString>) {
        mock_elapsed_time(BETWEEN_TOUCHES);
        // Nothing typed before it belongs to it.
        std::thread::sleep(BREATH);
        self.strike(key.into());
        // Nor does anything follow it as a scanner's second key would.
        mock_elapsed_time(BREATH);
        self.screen();
    }

    /// Types as a wedge scanner does: fast, and Enter at the end.
    pub fn scan(&mut self, text: &str) {
        mock_elapsed_time(BETWEEN_TOUCHES);
        std::thread::sleep(BREATH);
        for character in text.chars() {
            self.strike(character.into());
        }
        self.strike(Key::Return.into());
        self.screen();
    }

    fn strike(&self, text: SharedString) {
        self.app.window().dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        self.app.window().dispatch_event(WindowEvent::KeyReleased { text });
    }

    /// Whether this text, or something labelled so, is on the screen.
    pub fn reads(&mut self, label: &str) -> bool {
        self.screen();
        ElementHandle::find_by_accessible_label(&self.app, label).next().is_some()
    }
}

fn set_platform() {
    let options = TestingBackendOptions { mock_time: true, threading: false, renderer_name: Some("software".into()) };
    slint::platform::set_platform(Box::new(TestingBackend::new(options))).unwrap();
}
