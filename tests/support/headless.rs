//! The bench's window without a screen: what it shows is drawn for real, what is touched is told.

// Each test file uses a part of this.
#![allow(dead_code)]

use std::cell::{OnceCell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use brakeside::bench::adapters::App;
use brakeside::bench::screen::{Intent, Screen};
use brakeside::bench::window::{self, Setup, pixels_per_mm};
use i_slint_backend_testing::{
    AccessibleRole, ElementHandle, ElementQuery, TestingBackend, TestingBackendOptions, mock_elapsed_time,
};
use slint::platform::{PointerEventButton, WindowEvent};
use slint::{ComponentHandle, PhysicalSize, Rgba8Pixel, SharedPixelBuffer, SharedString};

/// Width and height in pixels, diagonal in inches.
pub type Kiosk = (u32, u32, f32);

/// A small, a usual and a large kiosk, and the small one upright.
pub const KIOSKS: [Kiosk; 4] = [(1280, 800, 10.1), (1920, 1080, 15.6), (1920, 1080, 21.5), (800, 1280, 10.1)];
pub const SMALL: Kiosk = KIOSKS[0];

/// A window under test, and what was asked of it.
pub struct Bench {
    pub app: App,
    pub intents: Rc<RefCell<Vec<Intent>>>,
    pub px_per_mm: f32,
}

impl Bench {
    #[must_use]
    pub fn new((width, height, inches): (u32, u32, f32), screen: &Screen) -> Self {
        thread_local!(static PLATFORM: OnceCell<()> = const { OnceCell::new() });
        PLATFORM.with(|platform| {
            platform.get_or_init(|| {
                let options =
                    TestingBackendOptions { mock_time: true, threading: false, renderer_name: Some("software".into()) };
                slint::platform::set_platform(Box::new(TestingBackend::new(options))).unwrap();
            });
        });
        let intents = Rc::new(RefCell::new(Vec::new()));
        let px_per_mm = pixels_per_mm(width, height, inches);
        let told = intents.clone();
        let setup = Setup { pixels_per_mm: px_per_mm, dark: false, fills_screen: false };
        let app = window::open(setup, move |intent| told.borrow_mut().push(intent)).unwrap();
        app.window().set_size(PhysicalSize::new(width, height));
        app.show().unwrap();
        let bench = Self { app, intents, px_per_mm };
        bench.show(screen);
        bench
    }

    pub fn show(&self, screen: &Screen) {
        window::show(&self.app, screen);
        self.settle();
    }

    /// Lets the layout and its change handlers come to rest.
    pub fn settle(&self) {
        for _ in 0..4 {
            self.app.window().take_snapshot().unwrap();
            mock_elapsed_time(Duration::from_millis(1));
        }
    }

    pub fn find(&self, label: &str) -> Option<ElementHandle> {
        ElementHandle::find_by_accessible_label(&self.app, label).next()
    }

    #[track_caller]
    pub fn get(&self, label: &str) -> ElementHandle {
        self.find(label).unwrap_or_else(|| panic!("nothing is called {label:?}"))
    }

    #[track_caller]
    pub fn click(&self, label: &str) -> Vec<Intent> {
        self.get(label).mock_single_click(PointerEventButton::Left);
        self.heard()
    }

    pub fn press(&self, key: impl Into<SharedString>) -> Vec<Intent> {
        let text = key.into();
        self.app.window().dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        self.app.window().dispatch_event(WindowEvent::KeyReleased { text });
        // Longer than a scanner takes to its second key: nothing follows this one.
        mock_elapsed_time(Duration::from_millis(50));
        self.heard()
    }

    /// What was asked since the last time, once the glove has stopped bouncing. The drawing's size is another matter.
    pub fn heard(&self) -> Vec<Intent> {
        let heard = self.intents.take().into_iter().filter(|intent| !matches!(intent, Intent::Canvas { .. })).collect();
        mock_elapsed_time(Duration::from_secs(1));
        heard
    }

    /// What can be touched, as far as a list shows it, and nothing lies over it.
    pub fn touch_targets(&self) -> Vec<Target> {
        let list = ElementHandle::find_by_element_type_name(&self.app, "ListView").next().map(|list| Target::of(&list));
        let rows = ["Piece ", "Order ", "Pieza ", "Pedido "];
        let is_row = |target: &Target| rows.iter().any(|row| target.label.starts_with(row));
        let touched =
            buttons_of(ElementQuery::from_root(&self.app).match_descendants()).into_iter().map(|target| match &list {
                Some(list) if is_row(&target) => target.within(list),
                _ => target,
            });
        let layers = self.layers(buttons_of);
        touched.filter(|target| target.top < target.bottom && !covered(target, &layers)).collect()
    }

    /// What lies over the view, and what is on it.
    fn layers(&self, on: fn(ElementQuery) -> Vec<Target>) -> Vec<(Target, Vec<Target>)> {
        let layers = ["Message", "WorkingPanel", "CardMore"].into_iter();
        layers
            .flat_map(|name| ElementHandle::find_by_element_type_name(&self.app, name))
            .map(|layer| (Target::of(&layer), on(layer.query_descendants())))
            .collect()
    }

    /// The window's width and height in pixels.
    pub fn app_size(&self) -> (f32, f32) {
        let size = self.app.window().size();
        (size.width as f32, size.height as f32)
    }

    pub fn snapshot(&self) -> SharedPixelBuffer<Rgba8Pixel> {
        self.app.window().take_snapshot().unwrap()
    }

    /// Every text that is shown, as far as a list shows it, and nothing lies over it.
    pub fn texts(&self) -> Vec<Target> {
        let lists: Vec<(Target, Vec<Target>)> = ElementHandle::find_by_element_type_name(&self.app, "Flickable")
            .map(|list| (Target::of(&list), texts_of(list.query_descendants())))
            .collect();
        let clipped = |text: Target| {
            let list = lists.iter().find(|(_, texts)| texts.iter().any(|other| other.is(&text)));
            list.map_or_else(|| text.clone(), |(list, _)| text.clone().within(list))
        };
        let layers = self.layers(texts_of);
        let texts = texts_of(ElementQuery::from_root(&self.app).match_descendants());
        texts
            .into_iter()
            .map(clipped)
            .filter(|text| text.top < text.bottom && text.left < text.right && !covered(text, &layers))
            .collect()
    }

    /// The heights of the bands of ink in what bears this label, from the top, in millimetres: letters, or a fraction's figures.
    #[track_caller]
    pub fn ink(&self, label: &str) -> Vec<f32> {
        let bands = Target::of(&self.get(label)).bands(&self.snapshot());
        bands.into_iter().map(|band| band / self.px_per_mm).collect()
    }
}

/// The texts that a query finds from here on, each once.
fn texts_of(query: ElementQuery) -> Vec<Target> {
    let texts = query.match_inherits("Text").find_all();
    once_each(texts.iter().map(Target::of).filter(|text| !text.label.trim().is_empty()))
}

/// What can be touched, likewise.
fn buttons_of(query: ElementQuery) -> Vec<Target> {
    let buttons = query.match_accessible_role(AccessibleRole::Button).find_all();
    once_each(buttons.iter().filter(|element| element.accessible_enabled() != Some(false)).map(Target::of))
}

fn once_each(found: impl Iterator<Item = Target>) -> Vec<Target> {
    found.fold(Vec::new(), |mut kept, target| {
        if !kept.iter().any(|other: &Target| other.is(&target)) {
            kept.push(target);
        }
        kept
    })
}

/// Whether it lies under a layer that it is not on.
fn covered(target: &Target, layers: &[(Target, Vec<Target>)]) -> bool {
    let (x, y) = ((target.left + target.right) / 2.0, (target.top + target.bottom) / 2.0);
    layers.iter().any(|(layer, on)| {
        let over = (layer.left..layer.right).contains(&x) && (layer.top..layer.bottom).contains(&y);
        over && !on.iter().any(|other| other.label == target.label && other.left == target.left)
    })
}

/// Something on the screen and where it stands, in pixels.
#[derive(Debug, Clone)]
pub struct Target {
    pub label: String,
    pub left: f32,
    pub top: f32,
    pub right: f32,
    pub bottom: f32,
    /// Whether a list shows only a part of it.
    pub cut: bool,
    /// Whether it destroys something.
    pub destroys: bool,
}

impl Target {
    pub fn of(element: &ElementHandle) -> Self {
        let (at, size) = (element.absolute_position(), element.size());
        Self {
            label: element.accessible_label().unwrap_or_default().into(),
            left: at.x,
            top: at.y,
            right: at.x + size.width,
            bottom: at.y + size.height,
            cut: false,
            destroys: element.accessible_description().is_some_and(|said| !said.is_empty()),
        }
    }

    pub fn within(mut self, list: &Self) -> Self {
        self.cut = self.top < list.top || self.bottom > list.bottom;
        self.top = self.top.max(list.top);
        self.bottom = self.bottom.min(list.bottom);
        self
    }

    /// Whether the other is the same element.
    fn is(&self, other: &Self) -> bool {
        (&self.label, self.left, self.top) == (&other.label, other.left, other.top)
    }

    /// Without the room that a line keeps above and below its letters.
    pub fn without_air(&self) -> Self {
        let air = (self.bottom - self.top) * 0.22;
        Self { top: self.top + air, bottom: self.bottom - air, ..self.clone() }
    }

    /// What two have in common, in square pixels.
    pub fn overlap(&self, other: &Self) -> f32 {
        let across = (self.right.min(other.right) - self.left.max(other.left)).max(0.0);
        let down = (self.bottom.min(other.bottom) - self.top.max(other.top)).max(0.0);
        across * down
    }

    /// The heights of the bands of ink within its bounds, from the top, in pixels.
    pub fn bands(&self, shot: &SharedPixelBuffer<Rgba8Pixel>) -> Vec<f32> {
        let (left, right) = (self.left.max(0.0) as u32, (self.right as u32).min(shot.width()));
        let (top, bottom) = (self.top.max(0.0) as u32, (self.bottom.ceil() as u32).min(shot.height()));
        if left >= right || top >= bottom {
            return Vec::new();
        }
        let paper = shot.as_slice()[(top * shot.width() + left) as usize];
        let inked =
            |y: u32| (left..right).any(|x| shot.as_slice()[(y * shot.width() + x) as usize].g.abs_diff(paper.g) > 60);
        let mut bands = vec![];
        let mut height = 0;
        for y in top..bottom {
            match inked(y) {
                true => height += 1,
                false if height > 0 => bands.push(std::mem::take(&mut height) as f32),
                false => {}
            }
        }
        if height > 0 {
            bands.push(height as f32);
        }
        bands
    }

    /// The clear space between two, 0 when they overlap.
    pub fn apart(&self, other: &Self) -> f32 {
        let across = (self.left - other.right).max(other.left - self.right).max(0.0);
        let down = (self.top - other.bottom).max(other.top - self.bottom).max(0.0);
        across.hypot(down)
    }
}
