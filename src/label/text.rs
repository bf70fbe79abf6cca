//! Text that is sure to fit, and to show something for every character.
//!
//! Job names come from anywhere: long, in scripts the embedded typeface does not have, with marks that turn the
//! reading direction. None of that may push the length off the label.

use crate::drawing::raster::measure;
use crate::drawing::svg::Weight;

/// Stands for what the typeface cannot show.
const SUBSTITUTE: char = '□';

/// One line of text and the size it is set in.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    pub text: String,
    pub size: f64,
}

/// Sets `text` as large as fits in `width`, at most `largest`; below `least` it is cut off with an ellipsis instead.
pub fn fit(text: &str, weight: Weight, width: f64, largest: f64, least: f64) -> Fitted {
    let size = (width / measure(text, weight).ems.max(f64::MIN_POSITIVE)).min(largest);
    if size >= least {
        return Fitted { text: text.into(), size };
    }
    let cut = |kept: usize| {
        let kept: String = text.chars().take(kept).collect();
        format!("{}…", kept.trim_end())
    };
    let fits = |kept: usize| measure(&cut(kept), weight).ems * least <= width;
    let (mut kept, mut too_many) = (0, text.chars().count());
    while too_many - kept > 1 {
        let middle = usize::midpoint(kept, too_many);
        if fits(middle) { kept = middle } else { too_many = middle }
    }
    Fitted { text: cut(kept), size: least }
}

/// Text as the typeface can show it: one line, no invisible marks, and one [`SUBSTITUTE`] for each stretch of
/// characters it lacks.
pub fn showable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|&c| !is_invisible(c)) {
        let c = if c.is_whitespace() || c.is_control() {
            ' '
        } else if c.is_ascii() || measure(c.encode_utf8(&mut [0; 4]), Weight::Bold).complete {
            c
        } else {
            SUBSTITUTE
        };
        if !(matches!(c, ' ' | SUBSTITUTE) && out.ends_with(c)) {
            out.push(c);
        }
    }
    out.trim().into()
}

/// Format characters, variation selectors and noncharacters: direction marks, joiners, byte order marks.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e0fff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_character_shows_or_has_a_substitute() {
        assert_eq!(showable("Käserei Ősz, Łódź № 5½"), "Käserei Ősz, Łódź № 5½");
        assert_eq!(showable("Barn 🏠🏠 7"), "Barn □ 7");
        assert_eq!(showable("سقف 12"), "□ 12");
        assert_eq!(showable("A\u{202e}BC\u{200b}\n\tD\u{ffff}"), "ABC D");
    }

    #[test]
    fn text_shrinks_then_is_cut_and_never_overflows() {
        let width = |line: &Fitted| measure(&line.text, Weight::Bold).ems * line.size;
        assert_eq!(fit("A-EW-3", Weight::Bold, 500.0, 40.0, 20.0), Fitted { text: "A-EW-3".into(), size: 40.0 });
        let smaller = fit("A barn by the old quarry road", Weight::Bold, 400.0, 40.0, 20.0);
        assert!(smaller.size < 40.0 && width(&smaller) < 400.01 && !smaller.text.ends_with('…'));
        let cut = fit(&"W".repeat(500), Weight::Bold, 400.0, 40.0, 20.0);
        assert!(cut.size == 20.0 && cut.text.ends_with('…') && (370.0..400.01).contains(&width(&cut)), "{cut:?}");
        assert_eq!(fit("", Weight::Bold, 400.0, 40.0, 20.0).text, "");
    }
}
