//! What is on the screen is what was last shown: frame by frame into one buffer, as a kiosk draws all day.
//!
//! The toolkit repaints only what it knows to have changed, and after some thousand texts it forgets to watch those that have
//! stood still (Slint 1.18.1, `TextLayoutCache::sweep`): a mark that stayed on the screen would stand over the next piece.

#[path = "support/gallery.rs"]
mod gallery;

use std::rc::Rc;
use std::time::Duration;

use brakeside::bench::adapters::Shell;
use brakeside::bench::screen::Card;
use brakeside::bench::window::{self, Setup, pixels_per_mm};
use gallery::{card, on_card};
use slint::platform::software_renderer::{MinimalSoftwareWindow, RepaintBufferType};
use slint::platform::{Platform, PlatformError, WindowAdapter};
use slint::{ComponentHandle, PhysicalSize, Rgb8Pixel, Rgba8Pixel, SharedPixelBuffer};

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;

/// As many texts as the toolkit remembers, and some.
const TEXTS: usize = 1500;

struct OneWindow(Rc<MinimalSoftwareWindow>);

impl Platform for OneWindow {
    fn create_window_adapter(&self) -> Result<Rc<dyn WindowAdapter>, PlatformError> {
        Ok(self.0.clone())
    }

    fn duration_since_start(&self) -> Duration {
        Duration::ZERO
    }
}

#[test]
fn what_stood_still_for_a_day_still_changes() {
    let kept = MinimalSoftwareWindow::new(RepaintBufferType::ReusedBuffer);
    slint::platform::set_platform(Box::new(OneWindow(kept.clone()))).unwrap();
    kept.set_size(PhysicalSize::new(WIDTH, HEIGHT));
    let setup = Setup { pixels_per_mm: pixels_per_mm(WIDTH, HEIGHT, 10.1), dark: false, fills_screen: false };
    let app = window::open(setup, |_| ()).unwrap();
    app.show().unwrap();

    let mut screen = vec![Rgb8Pixel::default(); (WIDTH * HEIGHT) as usize];
    // What follows from the first frame, as a layout does, is in the second.
    let mut draw = || {
        for _ in 0..2 {
            kept.draw_if_needed(|renderer| _ = renderer.render(&mut screen, WIDTH as usize));
        }
        screen.clone()
    };
    let whole = || app.window().take_snapshot().unwrap();
    let show = |mark: &str, number: usize| {
        window::show(&app, &on_card(Card { mark: mark.into(), number: format!("{number}″"), ..card() }));
    };
    show("A-EW-3", 0);
    let long_ago = draw();
    for number in 1..TEXTS {
        show("A-EW-3", number % 10);
        draw();
    }
    show("A-EW-3", 0);
    assert!(draw() == long_ago);
    show("A-EW-8", 0);
    let next = draw();
    assert!(next != long_ago, "the mark of the piece before still stands there");
    assert!(same(&next, &whole()), "not all of it is as a whole new frame");

    // More lies over it, and its way on says another thing.
    app.global::<Shell>().set_layer(true);
    assert!(same(&draw(), &whole()), "not all of it is as a whole new frame");
}

fn same(screen: &[Rgb8Pixel], whole: &SharedPixelBuffer<Rgba8Pixel>) -> bool {
    screen.iter().zip(whole.as_slice()).all(|(is, wanted)| (is.r, is.g, is.b) == (wanted.r, wanted.g, wanted.b))
}
