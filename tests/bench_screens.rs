//! The bench's screens, drawn headless: what a hand touches becomes the right intent, and hands and eyes get their
//! millimetres.
//!
//! Sizes are measured on what is drawn, not read back from the tokens that ask for them.

use std::cell::{OnceCell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use brakeside::bench::adapters::{App, Tokens};
use brakeside::bench::screen::{Card, Intent, Link, Order, PieceLine, Progress, Queue, QueueLine, Screen, View};
use brakeside::bench::window::{self, Setup, pixels_per_mm};
use brakeside::order::plan::Action;
use brakeside::order::{parse, planner};
use brakeside::trade::caution::{Caution, Signal};
use brakeside::trade::working::Working;
use i_slint_backend_testing::{
    AccessibleRole, ElementHandle, ElementQuery, TestingBackend, TestingBackendOptions, mock_elapsed_time,
};
use slint::platform::{Key, PointerEventButton, WindowEvent};
use slint::{Color, ComponentHandle, PhysicalSize, SharedString};

/// Width and height in pixels, diagonal in inches: a small, a usual and a large kiosk, and the small one upright.
const KIOSKS: [(u32, u32, f32); 4] = [(1280, 800, 10.1), (1920, 1080, 15.6), (1920, 1080, 21.5), (800, 1280, 10.1)];
const SMALL: (u32, u32, f32) = KIOSKS[0];

/// A window under test, and what was asked of it.
struct Bench {
    app: App,
    intents: Rc<RefCell<Vec<Intent>>>,
    px_per_mm: f32,
}

impl Bench {
    #[must_use]
    fn new((width, height, inches): (u32, u32, f32), screen: &Screen) -> Self {
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

    fn show(&self, screen: &Screen) {
        window::show(&self.app, screen);
        self.settle();
    }

    /// Lets the layout and its change handlers come to rest.
    fn settle(&self) {
        for _ in 0..4 {
            self.app.window().take_snapshot().unwrap();
            mock_elapsed_time(Duration::from_millis(1));
        }
    }

    fn find(&self, label: &str) -> Option<ElementHandle> {
        ElementHandle::find_by_accessible_label(&self.app, label).next()
    }

    #[track_caller]
    fn get(&self, label: &str) -> ElementHandle {
        self.find(label).unwrap_or_else(|| panic!("nothing is called {label:?}"))
    }

    #[track_caller]
    fn click(&self, label: &str) -> Vec<Intent> {
        self.get(label).mock_single_click(PointerEventButton::Left);
        self.heard()
    }

    fn press(&self, key: impl Into<SharedString>) -> Vec<Intent> {
        let text = key.into();
        self.app.window().dispatch_event(WindowEvent::KeyPressed { text: text.clone() });
        self.app.window().dispatch_event(WindowEvent::KeyReleased { text });
        self.heard()
    }

    /// What was asked since the last time, once the glove has stopped bouncing. The drawing's size is another matter.
    fn heard(&self) -> Vec<Intent> {
        let heard = self.intents.take().into_iter().filter(|intent| !matches!(intent, Intent::Canvas { .. })).collect();
        mock_elapsed_time(Duration::from_secs(1));
        heard
    }

    /// What can be touched, as far as a list shows it.
    fn touch_targets(&self) -> Vec<Target> {
        let list = ElementHandle::find_by_element_type_name(&self.app, "ListView").next().map(|list| Target::of(&list));
        let is_row = |target: &Target| target.label.starts_with("Piece ") || target.label.starts_with("Order ");
        ElementQuery::from_root(&self.app)
            .match_accessible_role(AccessibleRole::Button)
            .find_all()
            .iter()
            .filter(|element| element.accessible_enabled() != Some(false))
            .map(Target::of)
            .map(|target| match &list {
                Some(list) if is_row(&target) => target.within(list),
                _ => target,
            })
            .filter(|target| target.top < target.bottom)
            .collect()
    }

    /// The heights of the bands of ink in what bears this label, from the top: letters, or a fraction's figures.
    fn ink(&self, label: &str) -> Vec<f32> {
        let Target { left, top, right, bottom, .. } = Target::of(&self.get(label));
        let shot = self.app.window().take_snapshot().unwrap();
        let paper = shot.as_slice()[(top as u32 * shot.width() + left as u32) as usize];
        let inked = |y: u32| {
            (left as u32..right as u32)
                .any(|x| shot.as_slice()[(y * shot.width() + x) as usize].g.abs_diff(paper.g) > 60)
        };
        let mut bands = vec![];
        let mut height = 0;
        for y in top as u32..=bottom.ceil() as u32 {
            match inked(y) {
                true => height += 1,
                false if height > 0 => bands.push(std::mem::take(&mut height) as f32 / self.px_per_mm),
                false => {}
            }
        }
        bands
    }
}

#[derive(Debug)]
struct Target {
    label: String,
    left: f32,
    top: f32,
    right: f32,
    bottom: f32,
    /// Whether a list shows only a part of it.
    cut: bool,
}

impl Target {
    fn of(element: &ElementHandle) -> Self {
        let (at, size) = (element.absolute_position(), element.size());
        Self {
            label: element.accessible_label().unwrap_or_default().into(),
            left: at.x,
            top: at.y,
            right: at.x + size.width,
            bottom: at.y + size.height,
            cut: false,
        }
    }

    fn within(mut self, list: &Self) -> Self {
        self.cut = self.top < list.top || self.bottom > list.bottom;
        self.top = self.top.max(list.top);
        self.bottom = self.bottom.min(list.bottom);
        self
    }

    /// The clear space between two, 0 when they overlap.
    fn apart(&self, other: &Self) -> f32 {
        let across = (self.left - other.right).max(other.left - self.right).max(0.0);
        let down = (self.top - other.bottom).max(other.top - self.bottom).max(0.0);
        across.hypot(down)
    }
}

fn screen(view: View) -> Screen {
    Screen { view, link: Link::Up, unsent: 0, message: None }
}

fn queue(count: usize) -> Screen {
    let line = |n: usize| QueueLine {
        number: (2041 + n).to_string(),
        job: "Porch and awning".into(),
        site: "12 Mill Lane".into(),
        due: "Fri 4 Dec".into(),
        due_in_days: Some(9),
        pieces: 31,
        bent: 9,
        loaded: 0,
    };
    screen(View::Queue(Queue { orders: (0..count).map(line).collect(), next: (count > 0).then_some(0) }))
}

fn order(count: usize, next: Option<usize>) -> Screen {
    let line = |n: usize| PieceLine {
        code: format!("CODE{n}"),
        mark: format!("A-EW-{}", n + 1),
        trim: "end wall".into(),
        length: "8′ 10⅝″".into(),
        progress: match next {
            Some(next) if n == next => Progress::Started { done: 3, of: 11 },
            Some(next) if n > next => Progress::Waiting,
            _ => Progress::Bent,
        },
        reported: None,
    };
    screen(View::Order(Order {
        number: "2041".into(),
        job: "Porch and awning".into(),
        due: "Fri 4 Dec".into(),
        pieces: (0..count).map(line).collect(),
        next,
        bent: next.unwrap_or(count),
    }))
}

fn card() -> Card {
    Card {
        order: "2041".into(),
        job: "Porch and awning".into(),
        mark: "A-EW-3".into(),
        place: "A · end wall · 3 of 5".into(),
        step: 4,
        steps: 11,
        action: Action::NotchLap,
        title: "Notch the lap, left end".into(),
        number: "6″".into(),
        number_caption: "along the lower edge, from the left end".into(),
        text: "The left end goes under.".into(),
        caution: Some(Caution::new(Signal::Caution, "Sheared edges cut: wear gloves and eye protection.")),
        working: Some(Working::new(
            "lap notch",
            "ℓ along, h + ⅛ in up from the lower edge",
            [("ℓ, lap", "6 in".into()), ("h, hem", "½ in".into())],
            "6″ × ⅝″".into(),
            "common practice, no source",
        )),
        working_open: false,
        picture: None,
    }
}

fn on_card(card: Card) -> Screen {
    screen(View::Card(Box::new(card)))
}

#[test]
fn the_queue_opens_an_order() {
    let bench = Bench::new(SMALL, &queue(3));
    assert_eq!(bench.click("Order 2042"), [Intent::OpenOrder("2042".into())]);
    assert_eq!(bench.click("Open order 2041"), [Intent::On]);
    assert!(bench.find("Back").is_none());
    assert_eq!(bench.press(Key::Escape), []);

    bench.show(&queue(0));
    assert!(bench.find("Open order 2041").is_none());
    assert_eq!(bench.press(Key::Return), []);
}

#[test]
fn an_order_starts_its_next_piece_or_any_other() {
    let bench = Bench::new(SMALL, &order(5, Some(2)));
    assert_eq!(bench.click("Piece A-EW-2"), [Intent::OpenPiece("CODE1".into())]);
    assert_eq!(bench.click("Go on with A-EW-3 (step 4 of 11)"), [Intent::On]);
    assert_eq!(bench.click("Back"), [Intent::Back]);

    bench.show(&order(5, None));
    bench.get("All 5 pieces are bent");
    assert_eq!(bench.press(Key::Return), [], "there is nothing to go on to");
    assert_eq!(bench.press(Key::Escape), [Intent::Back]);
}

#[test]
fn a_card_goes_on_goes_back_and_explains_its_number() {
    let bench = Bench::new(SMALL, &on_card(card()));
    assert_eq!(bench.click("Done"), [Intent::On]);
    assert_eq!(bench.click("Back"), [Intent::Back]);
    assert_eq!(bench.click("Why this number"), [Intent::Working]);

    bench.show(&on_card(Card { working_open: true, ..card() }));
    bench.get("ℓ along, h + ⅛ in up from the lower edge");
    bench.get("Source: common practice, no source");
    assert!(bench.find("Done").is_none(), "a step is not done while its number is doubted");
    assert_eq!(bench.click("Back to the step"), [Intent::Working]);
    assert_eq!(bench.press(Key::Space), [Intent::Working]);
    assert_eq!(bench.press(Key::Escape), [Intent::Working]);

    bench.show(&on_card(Card { working: None, ..card() }));
    assert_eq!(bench.click("Why this number"), []);

    bench.show(&on_card(Card { step: 10, ..card() }));
    assert_eq!(bench.click("Label is on: piece finished"), [Intent::On]);
}

#[test]
fn keys_drive_it_and_a_bounce_does_not() {
    let bench = Bench::new(SMALL, &on_card(card()));
    for (key, intent) in [
        (Key::Space, Intent::On),
        (Key::Return, Intent::On),
        (Key::Escape, Intent::Back),
        (Key::Backspace, Intent::Back),
    ] {
        assert_eq!(bench.press(key), [intent]);
    }
    let done = bench.get("Done");
    done.mock_single_click(PointerEventButton::Left);
    done.mock_single_click(PointerEventButton::Left);
    assert_eq!(bench.heard(), [Intent::On]);
    assert_eq!(bench.click("Done"), [Intent::On]);
}

#[test]
fn a_message_is_read_before_anything_else() {
    let message = Some("This mark was not taken.".to_string());
    let bench = Bench::new(SMALL, &Screen { message, ..on_card(card()) });
    bench.get("This mark was not taken.");
    assert_eq!(bench.click("Back"), [], "it lies under the message");
    assert_eq!(bench.press(Key::Space), [Intent::DismissMessage]);
    assert_eq!(bench.press(Key::Escape), [Intent::DismissMessage]);
    assert_eq!(bench.click("OK"), [Intent::DismissMessage]);
}

#[test]
fn a_lost_link_is_said_and_work_goes_on() {
    let bench = Bench::new(SMALL, &Screen { link: Link::Down, unsent: 3, ..on_card(card()) });
    bench.get("No answer from the endpoint — working on; marks wait here: 3");
    assert_eq!(bench.click("Done"), [Intent::On]);
    bench.show(&Screen { link: Link::Refused, unsent: 3, ..queue(1) });
    bench.get("The endpoint does not take this bench’s key — working on; marks wait here: 3");
}

/// The size is told once, and stays through an ordinary step: a new one costs a new drawing.
#[test]
fn the_drawing_is_asked_for_at_its_size() {
    let bench = Bench::new(SMALL, &on_card(card()));
    let told = |bench: &Bench| -> Vec<_> {
        bench.intents.take().into_iter().filter(|intent| matches!(intent, Intent::Canvas { .. })).collect()
    };
    let size = bench.get("Drawing").size();
    let last = Intent::Canvas { width: size.width as u32, height: size.height as u32, dark: false };
    assert_eq!(told(&bench).last(), Some(&last));

    bench.show(&on_card(Card { caution: None, step: 5, text: "Fold it.".into(), ..card() }));
    assert_eq!(told(&bench), []);
}

/// Gloves: 22 mm, 4 mm apart (keys of standing kiosks and gloved use, common practice).
#[test]
fn whatever_is_touched_is_large_enough_and_far_enough_apart() {
    let message = Some("This mark was not taken.".to_string());
    let screens = [
        queue(3),
        queue(500),
        order(31, Some(9)),
        order(31, None),
        on_card(card()),
        on_card(Card { number: "10′ 11¹⁵⁄₁₆″".into(), ..card() }),
        on_card(Card { working_open: true, ..card() }),
        Screen { link: Link::Down, unsent: 12, ..order(31, Some(9)) },
    ];
    for kiosk in KIOSKS {
        let bench = Bench::new(kiosk, &screens[0]);
        let mm = |pixels: f32| pixels / bench.px_per_mm + 0.01;
        for screen in &screens {
            bench.show(screen);
            let targets = bench.touch_targets();
            assert!(!targets.is_empty());
            for (n, target) in targets.iter().enumerate() {
                assert!(mm(target.right - target.left) >= 22.0, "{kiosk:?}: {target:?}");
                assert!(mm(target.bottom - target.top) >= 22.0 || target.cut, "{kiosk:?}: {target:?}");
                assert!(target.left >= 0.0 && target.right <= kiosk.0 as f32, "{kiosk:?}: {target:?}");
                assert!(target.top >= 0.0 && target.bottom <= kiosk.1 as f32, "{kiosk:?}: {target:?}");
                for other in &targets[n + 1..] {
                    assert!(mm(target.apart(other)) >= 4.0, "{kiosk:?}: {target:?} and {other:?}");
                }
            }
        }
        bench.show(&Screen { message: message.clone(), ..on_card(card()) });
        let ok = Target::of(&bench.get("OK"));
        assert!(mm(ok.bottom - ok.top) >= 22.0 && mm(ok.right - ok.left) >= 22.0);
    }
}

/// 20 arc minutes (MIL-STD-1472's preferred character height, from memory) are 11.6 mm at 2 m and 4.1 mm at 700 mm.
#[test]
fn what_is_read_is_large_enough() {
    for kiosk in KIOSKS {
        let text = "HEH".to_string();
        let bench = Bench::new(kiosk, &on_card(Card { number: "8".into(), text, ..card() }));
        let [figure] = bench.ink("8")[..] else { panic!("one figure, one band") };
        assert!(figure >= 18.0, "{kiosk:?}: the number is {figure} mm high");
        let [capital] = bench.ink("HEH")[..] else { panic!("one line, one band") };
        // One pixel is the edge's grey.
        assert!(capital + 1.0 / bench.px_per_mm >= 4.1, "{kiosk:?}: capitals are {capital} mm high");

        bench.show(&on_card(Card { number: "¹⁵⁄₁₆".into(), ..card() }));
        let [over, _bar, under] = bench.ink("15/16")[..] else { panic!("{:?} is no fraction", bench.ink("15/16")) };
        assert!(over >= 11.6 && under >= 11.6, "{kiosk:?}: the fraction's figures are {over} and {under} mm high");
    }
}

/// WCAG 2.1, definitions of relative luminance and contrast ratio; success criterion 1.4.6 asks for 7:1.
#[test]
fn ink_stands_out_from_paper() {
    fn luminance(color: Color) -> f64 {
        let linear = |channel: u8| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(color.red()) + 0.7152 * linear(color.green()) + 0.0722 * linear(color.blue())
    }
    let bench = Bench::new(SMALL, &queue(1));
    let tokens = bench.app.global::<Tokens>();
    for dark in [false, true] {
        tokens.set_dark(dark);
        let papers = [tokens.get_paper(), tokens.get_panel(), tokens.get_wash()];
        let inks = [tokens.get_ink(), tokens.get_faint(), tokens.get_accent()];
        let pairs = inks.iter().flat_map(|ink| papers.iter().map(move |paper| (*ink, *paper))).chain([
            (tokens.get_on_accent(), tokens.get_accent()),
            (tokens.get_on_accent(), tokens.get_accent_pressed()),
            (tokens.get_on_caution(), tokens.get_caution()),
            (tokens.get_on_caution(), tokens.get_warning()),
        ]);
        for (ink, paper) in pairs {
            let (a, b) = (luminance(ink), luminance(paper));
            let ratio = (a.max(b) + 0.05) / (a.min(b) + 0.05);
            assert!(ratio >= 7.0, "{ink:?} on {paper:?}: {ratio:.2}");
        }
    }
}

/// Every card of a real order, on the smallest screen, with the banner across it.
#[test]
fn nothing_a_step_says_is_cut_off() {
    let text = r#"{ "format": "brakeside-order/1", "order": "2041", "job": { "name": "Porch" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": "10' 0\"",
        "runs": [
            { "wall": "A", "trim": "end-wall", "length": "42' 7-1/4\"", "measured": "outside", "pitch": "2:12",
              "left": { "end": "gable", "width": 4 }, "right": { "end": "gable", "width": 4 } },
            { "wall": "A", "trim": "reglet", "length": "42' 7-1/4\"",
              "left": { "end": "return", "depth": "1-1/2" }, "right": { "end": "return", "depth": "1-1/2" } }
        ] }"#;
    let (parsed, _) = parse::parse(text.as_bytes(), &Default::default()).unwrap();
    let plan = planner::plan(&parsed).unwrap();
    let bench = Bench::new(SMALL, &queue(0));
    for step in plan.pieces.iter().flat_map(|piece| &piece.steps) {
        let number = step.number.as_ref().map(|_| "8′ 11¹⁵⁄₁₆″".to_string()).unwrap_or_default();
        let card = Card { text: step.text.clone(), caution: step.caution.clone(), number, ..card() };
        bench.show(&Screen { link: Link::Down, unsent: 12, ..on_card(card) });
        let foot = Target::of(&bench.get("Done")).top;
        let text = Target::of(&bench.get(&step.text));
        assert!(text.bottom <= foot, "{}: ends at {}, the way on begins at {foot}", step.text, text.bottom);
        if let Some(caution) = &step.caution {
            let word = if caution.signal == Signal::Warning { "WARNING" } else { "CAUTION" };
            let caution = Target::of(&bench.get(&format!("{word} {}", caution.text)));
            assert!(caution.bottom <= foot && caution.left >= text.right);
            assert!(caution.top >= Target::of(&bench.get("Drawing")).bottom);
        }
    }
}

#[test]
fn a_long_order_makes_only_the_rows_in_sight() {
    let bench = Bench::new(SMALL, &order(20_000, Some(15_000)));
    let rows = |bench: &Bench| -> Vec<String> {
        let targets = bench.touch_targets().into_iter().map(|target| target.label);
        targets.filter(|label| label.starts_with("Piece")).collect()
    };
    assert!(rows(&bench).len() < 10, "{:?}", rows(&bench));
    assert!(rows(&bench).contains(&"Piece A-EW-15001".to_string()), "the next piece is in sight");
    bench.click("Down");
    bench.settle();
    assert!(!rows(&bench).contains(&"Piece A-EW-15001".to_string()), "the page was turned");
    bench.click("Up");
    bench.settle();
    assert_eq!(bench.click("Piece A-EW-15001"), [Intent::OpenPiece("CODE15000".into())]);
}

#[test]
fn the_last_piece_is_seen_whole() {
    for kiosk in KIOSKS {
        let bench = Bench::new(kiosk, &order(31, Some(30)));
        let last = bench.touch_targets().into_iter().find(|target| target.label == "Piece A-EW-31").unwrap();
        assert!(!last.cut, "{kiosk:?}: {last:?}");
    }
}
