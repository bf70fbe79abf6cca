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

use brakeside::bench::screen::{Language, Screen};
use headless::{Bench, KIOSKS, Kiosk};
use slint::{ComponentHandle, Rgba8Pixel, SharedPixelBuffer};

/// Each way of looking once on each screen: what is not seen here is measured in `bench_sizes`.
const LOOKS: [(&str, Kiosk, Language, bool); 4] = [
    ("10in", KIOSKS[0], Language::English, false),
    ("15in-es-dark", KIOSKS[1], Language::Spanish, true),
    ("21in-dark", KIOSKS[2], Language::English, true),
    ("10in-es-upright", KIOSKS[3], Language::Spanish, false),
];

/// A channel may differ by so much: rounding differs between processors.
const SHADE: u8 = 24;
/// So many pixels in a million may differ by more.
const PER_MILLION: usize = 300;

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
fn picture(bench: &Bench, screen: &Screen) -> SharedPixelBuffer<Rgba8Pixel> {
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

/// What is wrong with it, if anything.
fn differs(reference: &Path, picture: &SharedPixelBuffer<Rgba8Pixel>) -> Option<String> {
    let Ok(file) = File::open(reference) else { return Some("there is no reference".into()) };
    let mut reader = png::Decoder::new(BufReader::new(file)).read_info().unwrap();
    let mut seen = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut seen).unwrap();
    if (frame.width, frame.height) != (picture.width(), picture.height()) {
        return Some(format!("{} × {} and not {} × {}", picture.width(), picture.height(), frame.width, frame.height));
    }
    let other = seen.chunks(3).zip(picture.as_slice()).filter(|(was, is)| {
        [(was[0], is.r), (was[1], is.g), (was[2], is.b)].iter().any(|(was, is)| was.abs_diff(*is) > SHADE)
    });
    let (differ, all) = (other.count(), picture.as_slice().len());
    (differ * 1_000_000 > PER_MILLION * all).then(|| format!("{differ} of {all} pixels differ"))
}

fn write(path: &Path, picture: &SharedPixelBuffer<Rgba8Pixel>) {
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
