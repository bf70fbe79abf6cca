//! A number in the parts the screen sets apart: a fraction stands as on a tape, one figure over the other.

use super::NumberText;

const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED: &str = "₀₁₂₃₄₅₆₇₈₉";
const FRACTION_SLASH: char = '⁄';

const THIN_SPACE: &str = "\u{2009}";

/// `8′ 10⁵⁄₈″`, `3¹⁵⁄₁₆″`, `225 mm`: what has no fraction is all `before`. At this size a full space is a hole.
pub fn parts(number: &str) -> NumberText {
    let (figures, unit) = match number.strip_suffix(" mm") {
        Some(figures) => (figures, "mm"),
        None => (number, ""),
    };
    let figures = &figures.replace(' ', THIN_SPACE);
    let parts =
        split(figures).unwrap_or_else(|| NumberText { before: figures.as_str().into(), ..NumberText::default() });
    NumberText { unit: unit.into(), ..parts }
}

fn split(number: &str) -> Option<NumberText> {
    let (left, right) = number.split_once(FRACTION_SLASH)?;
    let before = left.trim_end_matches(|c| RAISED.contains(c));
    let after = right.trim_start_matches(|c| LOWERED.contains(c));
    Some(NumberText {
        before: before.into(),
        over: plain(&left[before.len()..], RAISED)?.into(),
        under: plain(&right[..right.len() - after.len()], LOWERED)?.into(),
        after: after.into(),
        ..NumberText::default()
    })
}

/// Figures set up or down, put back on the line. None when there are none.
fn plain(set: &str, figures: &str) -> Option<String> {
    let plain: Option<String> = set
        .chars()
        .map(|c| figures.chars().position(|figure| figure == c).and_then(|value| char::from_digit(value as u32, 10)))
        .collect();
    plain.filter(|plain| !plain.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_set_apart_and_all_else_stays() {
        for (number, before, over, under, after) in [
            ("8′ 10⁵⁄₈″", "8′\u{2009}10", "5", "8", "″"),
            ("¹⁄₂″", "", "1", "2", "″"),
            ("9′ 3¹⁵⁄₁₆″", "9′\u{2009}3", "15", "16", "″"),
            ("10′ 0″", "10′\u{2009}0″", "", "", ""),
            ("3251", "3251", "", "", ""),
            ("⁄₁₆″", "⁄₁₆″", "", "", ""),
            ("", "", "", "", ""),
        ] {
            let parts = parts(number);
            assert_eq!(parts.unit, "");
            assert_eq!([&*parts.before, &*parts.over, &*parts.under, &*parts.after], [before, over, under, after]);
        }
    }
    #[test]
    fn millimetres_are_named_beside_the_figures() {
        let parts = parts("3251.5 mm");
        assert_eq!((parts.before.as_str(), parts.unit.as_str()), ("3251.5", "mm"));
    }
}
