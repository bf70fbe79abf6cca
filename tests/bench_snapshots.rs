//! Every screen as it was last looked at and found good. A picture that differs is a change somebody must look at.
//!
//! `BRAKESIDE_REWRITE=1 cargo test --release --test bench_snapshots` writes the references anew, and fails: rewriting proves
//! nothing. What was drawn and what differs is left in the temporary folder that the failure names.

#[path = "support/gallery.rs"]
mod gallery;
#[path = "support/headless.rs"]
mod headless;

use std::fs::{self, File};
use std::io::{BufReader, BufWriter};
use std::path::{Path, PathBuf};

use brakeside::bench::screen::{Language, Screen, View};
use headless::{Bench, KIOSKS, Kiosk};
use slint::{ComponentHandle, Rgba8Pixel, SharedPixelBuffer};

type Picture = SharedPixelBuffer<Rgba8Pixel>;

/// Each way of looking once on each screen: what is not seen here is measured in `bench_sizes`.
const LOOKS: [(&str, Kiosk, Language, bool); 4] = [
    ("10in", KIOSKS[0], Language::English, false),
    ("15in-es-dark", KIOSKS[1], Language::Spanish, true),
    ("21in-dark", KIOSKS[2], Language::English, true),
    ("10in-es-upright", KIOSKS[3], Language::Spanish, false),
];

/// A channel may differ by so much: rounding differs between processors.
const SHADE: u8 = 24;
/// So many pixels of a tile may differ by more: one digit for another is always more.
const PER_TILE: usize = 8;
/// A tile's side, in pixels: no larger than what must not differ unseen.
const TILE: u32 = 16;

#[test]
fn every_screen_is_as_it_was_looked_at() {
    let rewrite = std::env::var_os("BRAKESIDE_REWRITE").is_some();
    let references = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/snapshots");
    let drawn = std::env::temp_dir().join("brakeside-snapshots");
    let mut wrong = Vec::new();
    for (look, kiosk, language, dark) in LOOKS {
        let screens = gallery::all();
        let bench = Bench::new(kiosk, &screens[0].1);
        for (name, screen) in &screens {
            let picture = picture(&bench, &gallery::looking(screen, language, dark));
            let reference = references.join(format!("{name}-{look}.png"));
            if rewrite {
                write(&reference, &picture);
                continue;
            }
            if let Some(fault) = differs(&reference, &picture) {
                write(&drawn.join(format!("{name}-{look}.png")), &picture);
                wrong.push(format!("{name}-{look}: {fault}"));
            }
        }
    }
    assert!(!rewrite, "the references were written anew: look at them, then run without BRAKESIDE_REWRITE");
    assert!(wrong.is_empty(), "as drawn: {}\n{}", drawn.display(), wrong.join("\n"));
    no_reference_is_left_over(&references);
}

/// Half as large, each dot the mean of four: enough to see by, and a quarter of the repository.
fn picture(bench: &Bench, screen: &Screen) -> Picture {
    bench.show(screen);
    let full = bench.app.window().take_snapshot().unwrap();
    let (width, height) = (full.width() / 2, full.height() / 2);
    let mut half = SharedPixelBuffer::<Rgba8Pixel>::new(width, height);
    let dots = full.as_slice();
    for (at, dot) in (0..).zip(half.make_mut_slice()) {
        let (x, y) = (at % width * 2, at / width * 2);
        let four = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dx, dy)| dots[((y + dy) * full.width() + x + dx) as usize]);
        let mean =
            |channel: fn(&Rgba8Pixel) -> u8| (four.iter().map(|dot| u32::from(channel(dot))).sum::<u32>() / 4) as u8;
        *dot = Rgba8Pixel { r: mean(|dot| dot.r), g: mean(|dot| dot.g), b: mean(|dot| dot.b), a: 255 };
    }
    half
}

/// A wrong number is a wrong picture, however small it stands on the screen.
#[test]
fn one_wrong_digit_is_seen() {
    let line = |screen: &Screen, length: &str| {
        let mut screen = screen.clone();
        let View::Order(order) = &mut screen.view else { panic!("not an order") };
        order.pieces[1].length = length.into();
        screen
    };
    let order = gallery::order(5, Some(0));
    for (look, kiosk, language, dark) in LOOKS {
        let bench = Bench::new(kiosk, &order);
        let draw = |length| picture(&bench, &gallery::looking(&line(&order, length), language, dark));
        let good = draw("8′ 10⁵⁄₈″");
        assert_eq!(worst_tile(good.as_slice(), &draw("8′ 10⁵⁄₈″")), None, "{look}");
        for wrong in ["8′ 10³⁄₈″", "8′ 16⁵⁄₈″", "9′ 10⁵⁄₈″", "8′ 10⁵⁄₆″"] {
            assert!(worst_tile(good.as_slice(), &draw(wrong)).is_some(), "{wrong} is not seen, {look}");
        }
    }
}

/// What is wrong with it, if anything.
fn differs(reference: &Path, picture: &Picture) -> Option<String> {
    let Ok(file) = File::open(reference) else { return Some("there is no reference".into()) };
    let mut reader = png::Decoder::new(BufReader::new(file)).read_info().unwrap();
    let mut seen = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut seen).unwrap();
    if (frame.width, frame.height) != (picture.width(), picture.height()) {
        return Some(format!("{} × {} and not {} × {}", picture.width(), picture.height(), frame.width, frame.height));
    }
    let was: Vec<Rgba8Pixel> =
        seen.chunks(3).map(|dot| Rgba8Pixel { r: dot[0], g: dot[1], b: dot[2], a: 255 }).collect();
    let (count, x, y) = worst_tile(&was, picture)?;
    Some(format!("{count} pixels differ near {x}, {y}"))
}

/// The tile that differs most, if any differs too much: in how many pixels, and where it is.
fn worst_tile(was: &[Rgba8Pixel], is: &Picture) -> Option<(usize, u32, u32)> {
    let across = is.width().div_ceil(TILE);
    let mut tiles = vec![0; (across * is.height().div_ceil(TILE)) as usize];
    for (at, (was, is_now)) in (0..).zip(was.iter().zip(is.as_slice())) {
        let channels = [(was.r, is_now.r), (was.g, is_now.g), (was.b, is_now.b)];
        if channels.iter().any(|(was, is)| was.abs_diff(*is) > SHADE) {
            let (x, y) = (at % is.width() / TILE, at / is.width() / TILE);
            tiles[(y * across + x) as usize] += 1;
        }
    }
    let (tile, most) = (0..).zip(tiles).max_by_key(|(_, count)| *count)?;
    (most > PER_TILE).then_some((most, tile % across * TILE, tile / across * TILE))
}

fn write(path: &Path, picture: &Picture) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    let mut encoder = png::Encoder::new(BufWriter::new(File::create(path).unwrap()), picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::High);
    let rgb: Vec<u8> = picture.as_slice().iter().flat_map(|dot| [dot.r, dot.g, dot.b]).collect();
    encoder.write_header().unwrap().write_image_data(&rgb).unwrap();
}

fn no_reference_is_left_over(folder: &Path) {
    let screens = gallery::all();
    let known: Vec<PathBuf> = LOOKS
        .iter()
        .flat_map(|(look, ..)| screens.iter().map(move |(name, _)| folder.join(format!("{name}-{look}.png"))))
        .collect();
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        assert!(known.contains(&path), "{} is the picture of no screen", path.display());
    }
}
