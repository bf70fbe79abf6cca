//! What a printer can do, as it says itself, and what of that suits a label.
//!
//! Formats are taken in this order. PWG raster first: its dots are the head's own, nothing is drawn or scaled again.
//! Then PDF: it says its true size, but the printer draws it anew. PNG last: some printers do not heed the size in it.

use std::fmt;

use thiserror::Error;

use super::media::{Medium, nearest};
use super::raster::Dots;
use super::wire::Told;
use crate::label::stock::{Size, Stock};

/// What the printer says it can do.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Abilities {
    pub formats: Vec<String>,
    pub media_ready: Vec<String>,
    pub media: Vec<String>,
    /// Dots per inch; the first is what it uses when not told otherwise.
    pub resolutions: Vec<u32>,
    pub raster_resolutions: Vec<u32>,
    pub raster_types: Vec<String>,
    pub color_modes: Vec<String>,
    pub scalings: Vec<String>,
    /// Numbers of RFC 8011 §5.4.15.
    pub operations: Vec<i32>,
}

/// What is asked of the printer to know it.
pub(super) const ATTRIBUTES: [&str; 10] = [
    "document-format-supported",
    "media-ready",
    "media-supported",
    "printer-resolution-default",
    "printer-resolution-supported",
    "pwg-raster-document-resolution-supported",
    "pwg-raster-document-type-supported",
    "print-color-mode-supported",
    "print-scaling-supported",
    "operations-supported",
];

/// A document format both sides know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    PwgRaster(Dots),
    Pdf,
    Png,
}

/// How a label goes to this printer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setup {
    pub format: Format,
    pub medium: Medium,
    /// The shop's label at the printer's own size and dots: to draw it on.
    pub stock: Stock,
}

/// Why no label can go to this printer. It says what the printer has, so that somebody can change the one or the other.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Unfit {
    #[error("the printer has no labels of {wanted}: it has {}", list(.has))]
    Media { wanted: Size, has: Vec<String> },
    #[error("the printer takes no PWG raster, PDF or PNG: it takes {}", list(.has))]
    Format { has: Vec<String> },
    #[error("the printer does not say how its jobs end: it cannot be used for labels")]
    Operations,
}

/// RFC 8011 §5.4.15: Print-Job, Get-Job-Attributes.
const NEEDED: [i32; 2] = [0x02, 0x09];
/// What a printed picture is drawn at for a printer that names no resolution.
const USUAL_DPI: u32 = 300;
/// Finer than this gains nothing on a label; coarser does not read.
const USEFUL_DPI: std::ops::RangeInclusive<u32> = 150..=1200;

impl Abilities {
    pub(super) fn read(told: Told) -> Self {
        let both = |default: &str, all: &str| {
            let default = told.resolutions(default);
            let others = told.resolutions(all).into_iter().filter(|dpi| !default.contains(dpi));
            default.iter().copied().chain(others).collect()
        };
        Self {
            formats: told.texts("document-format-supported"),
            media_ready: told.texts("media-ready"),
            media: told.texts("media-supported"),
            resolutions: both("printer-resolution-default", "printer-resolution-supported"),
            raster_resolutions: told.resolutions("pwg-raster-document-resolution-supported"),
            raster_types: told.texts("pwg-raster-document-type-supported"),
            color_modes: told.texts("print-color-mode-supported"),
            scalings: told.texts("print-scaling-supported"),
            operations: told.numbers("operations-supported"),
        }
    }

    /// How to print a label of this stock.
    ///
    /// # Errors
    /// [`Unfit`] when nothing of what the printer has suits.
    pub fn setup(&self, stock: Stock) -> Result<Setup, Unfit> {
        if !self.operations.is_empty() && NEEDED.iter().any(|needed| !self.operations.contains(needed)) {
            return Err(Unfit::Operations);
        }
        let (format, dpi) = self.format().ok_or_else(|| Unfit::Format { has: self.formats.clone() })?;
        let medium = nearest(stock.size, &self.media_ready, &self.media).ok_or_else(|| {
            let has = if self.media.is_empty() { &self.media_ready } else { &self.media };
            Unfit::Media { wanted: stock.size, has: has.clone() }
        })?;
        Ok(Setup { format, stock: stock.at(medium.size, dpi), medium })
    }

    fn format(&self) -> Option<(Format, u32)> {
        let takes = |format: Format| self.formats.iter().any(|taken| taken.eq_ignore_ascii_case(format.media_type()));
        let drawn = self.dpi(&self.resolutions).unwrap_or(USUAL_DPI);
        let dots = [(Dots::Black1, "black_1"), (Dots::Gray8, "sgray_8")];
        let dots = dots.into_iter().find(|(_, word)| self.raster_types.iter().any(|known| known == word));
        if let (Some((dots, _)), Some(dpi)) = (dots, self.dpi(&self.raster_resolutions))
            && takes(Format::PwgRaster(dots))
        {
            return Some((Format::PwgRaster(dots), dpi));
        }
        [Format::Pdf, Format::Png].into_iter().find(|format| takes(*format)).map(|format| (format, drawn))
    }

    /// Of these resolutions, the printer's own if it is among them, else the coarsest useful one: a label printer's head
    /// has just one, and whatever has more has them by doubling.
    fn dpi(&self, resolutions: &[u32]) -> Option<u32> {
        let useful = || resolutions.iter().copied().filter(|dpi| USEFUL_DPI.contains(dpi));
        useful().find(|dpi| self.resolutions.first() == Some(dpi)).or_else(|| useful().min())
    }
}

impl Format {
    pub fn media_type(self) -> &'static str {
        match self {
            Self::PwgRaster(_) => "image/pwg-raster",
            Self::Pdf => "application/pdf",
            Self::Png => "image/png",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.media_type())
    }
}

fn list(names: &[String]) -> String {
    const MOST: usize = 6;
    let shown = names.iter().take(MOST).map(String::as_str).collect::<Vec<_>>().join(", ");
    match names.len() {
        0 => "nothing that it names".into(),
        count if count > MOST => format!("{shown} and {} more", count - MOST),
        _ => shown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn own(words: &[&str]) -> Vec<String> {
        words.iter().map(|&word| word.to_owned()).collect()
    }

    fn label_printer() -> Abilities {
        Abilities {
            formats: own(&["application/octet-stream", "image/pwg-raster", "application/pdf", "image/png"]),
            media: own(&["oe_4x6-label_4x6in", "oe_4x2-label_4x2in"]),
            resolutions: vec![300, 203, 600],
            raster_resolutions: vec![203, 300],
            raster_types: own(&["sgray_8", "black_1"]),
            operations: vec![2, 4, 8, 9, 10, 11],
            ..Abilities::default()
        }
    }

    fn setup(change: impl FnOnce(&mut Abilities)) -> Result<Setup, Unfit> {
        let mut abilities = label_printer();
        change(&mut abilities);
        abilities.setup(Stock::INCH)
    }

    #[test]
    fn the_surest_format_is_taken_at_the_printers_own_dots() {
        let chosen = |change: fn(&mut Abilities)| setup(change).map(|setup| (setup.format, setup.stock.dpi)).unwrap();
        let without = |words: &'static [&str]| {
            move |abilities: &mut Abilities| abilities.formats.retain(|format| !words.contains(&format.as_str()))
        };
        assert_eq!(chosen(|_| ()), (Format::PwgRaster(Dots::Black1), 300));
        assert_eq!(chosen(|a| a.resolutions = vec![600]), (Format::PwgRaster(Dots::Black1), 203));
        assert_eq!(chosen(|a| _ = a.raster_types.pop()), (Format::PwgRaster(Dots::Gray8), 300));
        assert_eq!(chosen(|a| a.raster_types = own(&["srgb_8"])), (Format::Pdf, 300));
        assert_eq!(chosen(|a| a.raster_resolutions.clear()), (Format::Pdf, 300));
        let format = |words| setup(without(words)).unwrap().format;
        assert_eq!(format(&["image/pwg-raster"]), Format::Pdf);
        assert_eq!(format(&["image/pwg-raster", "application/pdf"]), Format::Png);
        let refused = setup(without(&["image/pwg-raster", "application/pdf", "image/png"])).unwrap_err();
        assert!(refused.to_string().ends_with("it takes application/octet-stream"), "{refused}");
    }

    #[test]
    fn the_label_is_drawn_at_the_mediums_size() {
        let metric = setup(|a| a.media_ready = own(&["om_100x50-label_100x50mm"])).unwrap();
        assert_eq!((metric.stock.width, metric.stock.height, metric.stock.dpi), (1181, 590, 300));
        let refused = setup(|a| a.media = own(&["na_letter_8.5x11in"])).unwrap_err();
        assert_eq!(refused.to_string(), "the printer has no labels of 101.6 × 50.8 mm: it has na_letter_8.5x11in");
    }

    #[test]
    fn a_printer_that_never_says_how_a_job_ends_is_refused() {
        assert_eq!(setup(|a| a.operations = vec![2, 11]), Err(Unfit::Operations));
    }
}
