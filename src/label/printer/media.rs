//! Media by their self-describing names (PWG 5101.1-2013 §5): `oe_4x2-label_4x2in` is 4 × 2 in, whatever it is called.
//!
//! A name is a class, a word for people and a size, parted by `_`. A printer that takes any size between two says so
//! with the words `min` and `max`, and is then asked for `custom_4x2in_4x2in`.

use crate::label::stock::Size;

/// One name, read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Medium {
    pub name: String,
    pub size: Size,
}

/// How far either side of the medium may be from the shop's own label, so that 4 × 2 in and 100 × 50 mm pass for one
/// another and nothing else does. Hundredths of a millimetre.
const NEAR: u32 = 300;

impl Medium {
    /// None for a name that says no size.
    pub fn read(name: &str) -> Option<Self> {
        let (_, size) = name.rsplit_once('_')?;
        let (size, hundredths) = match size.strip_suffix("mm") {
            Some(size) => (size, 100.0),
            None => (size.strip_suffix("in")?, 2540.0),
        };
        let side = |text: &str| {
            let side = text.parse::<f64>().ok().filter(|side| (0.0..10_000.0).contains(side));
            side.map(|side| (side * hundredths).round() as u32)
        };
        let (width, height) = size.split_once('x')?;
        Some(Self { name: name.into(), size: Size { width: side(width)?, height: side(height)? } })
    }

    /// One of two names between which every size is taken.
    fn is_bound(&self, word: &str) -> bool {
        self.name.split('_').nth(1) == Some(word)
    }
}

/// How far the farther side is off.
fn off(one: Size, other: Size) -> u32 {
    one.width.abs_diff(other.width).max(one.height.abs_diff(other.height))
}

/// Of what the printer has, the medium nearest to the shop's label. What is loaded goes before what could be.
pub fn nearest(label: Size, ready: &[String], supported: &[String]) -> Option<Medium> {
    let near = |names: &[String]| {
        let media: Vec<Medium> = names.iter().filter_map(|name| Medium::read(name)).collect();
        let bounds = ["min", "max"].map(|word| media.iter().find(|medium| medium.is_bound(word)));
        let fixed = media.iter().filter(|medium| !medium.is_bound("min") && !medium.is_bound("max"));
        let nearest =
            fixed.filter(|medium| off(medium.size, label) <= NEAR).min_by_key(|medium| off(medium.size, label));
        nearest.cloned().or_else(|| match bounds {
            [Some(least), Some(most)] => custom(label, least.size, most.size),
            _ => None,
        })
    };
    near(ready).or_else(|| near(supported))
}

/// The label's own size, where it lies between two.
fn custom(label: Size, least: Size, most: Size) -> Option<Medium> {
    let between =
        (least.width..=most.width).contains(&label.width) && (least.height..=most.height).contains(&label.height);
    let millimetres = |side: u32| f64::from(side) / 100.0;
    let size = format!("{}x{}mm", millimetres(label.width), millimetres(label.height));
    between.then(|| Medium { name: format!("custom_{size}_{size}"), size: label })
}

#[cfg(test)]
mod tests {
    use super::*;

    const LABEL: Size = Size { width: 10160, height: 5080 };

    fn chosen(ready: &[&str], supported: &[&str]) -> Option<String> {
        let own = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<Vec<_>>();
        nearest(LABEL, &own(ready), &own(supported)).map(|medium| medium.name)
    }

    /// Names from PWG 5101.1-2013, tables 5 and 6, and labels named by its rules.
    #[test]
    fn names_describe_themselves() {
        for (name, width, height) in [
            ("na_letter_8.5x11in", 21590, 27940),
            ("iso_a4_210x297mm", 21000, 29700),
            ("na_number-10_4.125x9.5in", 10478, 24130),
            ("oe_4x2-label_4x2in", 10160, 5080),
            ("om_100x50-label_100x50mm", 10000, 5000),
            ("custom_max_8.5x14in", 21590, 35560),
        ] {
            assert_eq!(Medium::read(name).unwrap().size, Size { width, height }, "{name}");
        }
        for name in ["labels", "auto", "na_letter", "x_y_1x2", "x_y_axbmm", "x_y_-1x2mm", "x_y_1e9x1mm", ""] {
            assert_eq!(Medium::read(name), None, "{name}");
        }
    }

    #[test]
    fn the_nearest_medium_is_taken_and_nothing_far() {
        let (inch, metric) = ("oe_4x2-label_4x2in", "om_100x50-label_100x50mm");
        let (large, letter) = ("oe_4x6-label_4x6in", "na_letter_8.5x11in");
        assert_eq!(chosen(&[], &[large, metric, inch]).as_deref(), Some(inch));
        assert_eq!(chosen(&[metric], &[large, metric, inch]).as_deref(), Some(metric));
        assert_eq!(chosen(&[large], &[large, metric]).as_deref(), Some(metric));
        assert_eq!(chosen(&[letter], &[large, letter, "oe_2x4-label_2x4in"]), None);
    }

    #[test]
    fn a_printer_of_any_size_is_asked_for_the_labels_own() {
        let (least, most) = ("custom_min_19x10mm", "custom_max_104x990mm");
        assert_eq!(chosen(&[], &[least, most]).as_deref(), Some("custom_101.6x50.8mm_101.6x50.8mm"));
        assert_eq!(chosen(&[], &[least, "custom_max_100x990mm"]), None);
        assert_eq!(chosen(&[], &[most]), None);
    }
}
