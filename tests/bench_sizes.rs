//! Every screen of the bench on every kiosk, in both languages and both lights, measured: what a hand touches, what an eye
//! reads, how ink stands out from paper.
//!
//! Sizes and colours are measured on what is drawn, not read back from the tokens that ask for them. The numbers are those
//! of the design: gloved touch 22 mm and 4 mm apart, what destroys 13 mm (keys of standing kiosks; MIL-STD-1472 for gloves),
//! capitals of 20 arc minutes at 700 mm, 4.1 mm (MIL-STD-1472's preferred character height, from memory), contrast 7:1
//! (WCAG 2.1, success criterion 1.4.6).

#[path = "support/gallery.rs"]
mod gallery;
#[path = "support/headless.rs"]
mod headless;

use brakeside::bench::screen::{Language, Screen};
use headless::{Bench, KIOSKS, Target};
use slint::{Rgba8Pixel, SharedPixelBuffer};

/// Shows every screen in every way of looking, and hands each to `look`.
fn walk(mut look: impl FnMut(&Bench, &str, &Screen)) {
    for kiosk in KIOSKS {
        let screens = gallery::all();
        let bench = Bench::new(kiosk, &screens[0].1);
        for language in [Language::English, Language::Spanish] {
            for dark in [false, true] {
                for (name, screen) in &screens {
                    let screen = gallery::looking(screen, language, dark);
                    bench.show(&screen);
                    look(&bench, &format!("{name} on {kiosk:?} in {language:?}, dark: {dark}"), &screen);
                }
            }
        }
    }
}

/// All faults of all screens at once: a look at one often explains the next.
#[track_caller]
fn none(faults: &[String]) {
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults[..faults.len().min(60)].join("\n"));
}

#[test]
fn whatever_is_touched_is_large_enough_and_far_enough_apart() {
    let mut faults = Vec::new();
    let mut destroying = 0;
    walk(|bench, name, _| {
        let mm = |pixels: f32| pixels / bench.px_per_mm + 0.01;
        let size = bench.app_size();
        let targets = bench.touch_targets();
        for (n, target) in targets.iter().enumerate() {
            let Target { label, left, top, right, bottom, .. } = target;
            destroying += usize::from(target.destroys);
            let mut fault = |what: String| faults.push(format!("{name}: ‘{label}’ {what}"));
            let (width, height) = (mm(right - left), mm(bottom - top));
            if width < 22.0 || (height < 22.0 && !target.cut) {
                fault(format!("is {width:.1} × {height:.1} mm"));
            }
            if *left < 0.0 || *right > size.0 + 0.5 || *top < 0.0 || *bottom > size.1 + 0.5 {
                fault(format!("is not all on the screen: {left} {top} {right} {bottom}"));
            }
            for other in &targets[n + 1..] {
                let apart = mm(target.apart(other));
                let least = if target.destroys || other.destroys { 13.0 } else { 4.0 };
                if apart < least {
                    fault(format!("is {apart:.1} mm from ‘{}’", other.label));
                }
            }
        }
    });
    none(&faults);
    // Making a piece again, on its own screen and as an answer.
    assert_eq!(destroying, 2 * KIOSKS.len() * 4);
}

#[test]
fn whatever_is_read_is_large_enough() {
    let mut faults = Vec::new();
    let (mut texts, mut measured) = (0, 0);
    walk(|bench, name, _| {
        let shot = bench.snapshot();
        for text in bench.texts() {
            texts += 1;
            // Of a row that the list shows in part, there may be half a letter.
            if text.cut {
                continue;
            }
            // Letters that reach up to a capital's height or nearly: without one there is nothing to measure.
            let tall = |c: char| c.is_uppercase() || c.is_ascii_digit();
            if !text.label.chars().any(tall) {
                continue;
            }
            let Some(tallest) = text.bands(&shot).into_iter().reduce(f32::max) else {
                continue;
            };
            measured += 1;
            // One pixel at either edge is grey.
            let capital = (tallest + 2.0) / bench.px_per_mm;
            if capital < 4.1 {
                faults.push(format!("{name}: ‘{}’ is {capital:.2} mm high", text.label));
            }
        }
    });
    none(&faults);
    assert!(measured * 10 > texts * 7, "of {texts} texts only {measured} were measured");
}

#[test]
fn ink_stands_out_from_paper() {
    let mut faults = Vec::new();
    let (mut texts, mut measured) = (0, 0);
    walk(|bench, name, _| {
        let shot = bench.snapshot();
        for text in bench.texts() {
            texts += 1;
            measured += usize::from(!text.cut && contrast(&text, &shot).is_some());
            if let Some((ratio, ink, paper)) = contrast(&text, &shot).filter(|_| !text.cut)
                && ratio < 6.95
            {
                faults.push(format!("{name}: ‘{}’ has {ratio:.2}:1, {ink:?} on {paper:?}", text.label));
            }
        }
    });
    none(&faults);
    assert!(measured * 10 > texts * 9, "of {texts} texts only {measured} were measured");
}

/// No two texts lie on one another, and none leaves the screen.
#[test]
fn nothing_is_cut_off_or_covered() {
    let mut faults = Vec::new();
    walk(|bench, name, screen| {
        let size = bench.app_size();
        let texts = bench.texts();
        for (n, text) in texts.iter().enumerate() {
            if text.left < -0.5 || text.right > size.0 + 0.5 || text.top < -0.5 || text.bottom > size.1 + 0.5 {
                faults.push(format!("{name}: ‘{}’ leaves the screen: {text:?}", text.label));
            }
            // What lies under a message is covered on purpose.
            if screen.message.is_some() {
                continue;
            }
            for other in &texts[n + 1..] {
                // Above and below its letters a line has air, which may lie over another's.
                let shared = text.without_air().overlap(&other.without_air());
                if shared > 2.0 * bench.px_per_mm * bench.px_per_mm {
                    faults.push(format!("{name}: ‘{}’ and ‘{}’ share {shared:.0} px", text.label, other.label));
                }
            }
        }
    });
    none(&faults);
}

/// WCAG 2.1's ratio between the commonest colour within a text's bounds and the one that differs most from it in light.
fn contrast(text: &Target, shot: &SharedPixelBuffer<Rgba8Pixel>) -> Option<(f64, [u8; 3], [u8; 3])> {
    let mut counts = std::collections::HashMap::<[u8; 3], usize>::new();
    for y in text.top.max(0.0) as u32..(text.bottom as u32).min(shot.height()) {
        for x in text.left.max(0.0) as u32..(text.right as u32).min(shot.width()) {
            let dot = shot.as_slice()[(y * shot.width() + x) as usize];
            *counts.entry([dot.r, dot.g, dot.b]).or_default() += 1;
        }
    }
    let (paper, _) = counts.iter().max_by_key(|(_, count)| **count)?;
    // A stray dot is no ink.
    let inks = counts.iter().filter(|(colour, count)| **count >= 4 && *colour != paper);
    let ratio = |ink: &[u8; 3]| {
        let (a, b) = (luminance(*ink), luminance(*paper));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    };
    inks.map(|(ink, _)| (ratio(ink), *ink, *paper)).max_by(|a, b| a.0.total_cmp(&b.0))
}

fn luminance(colour: [u8; 3]) -> f64 {
    let linear = |channel: u8| {
        let c = f64::from(channel) / 255.0;
        if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    let [red, green, blue] = colour.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}
