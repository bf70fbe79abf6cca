//! SVG to pixels, with the embedded typeface and no other, so that a drawing looks the same on every machine.

use std::sync::{Arc, LazyLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb};

use super::svg::{Anchor, Svg, Type, Weight};

static FONTS: LazyLock<Arc<fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    for face in [
        include_bytes!("../../ui/fonts/SourceSans3-Regular.ttf").as_slice(),
        include_bytes!("../../ui/fonts/SourceSans3-SemiBold.ttf"),
        include_bytes!("../../ui/fonts/SourceSans3-Bold.ttf"),
    ] {
        fonts.load_font_data(face.to_vec());
    }
    fonts.set_sans_serif_family("Source Sans 3");
    Arc::new(fonts)
});

/// Why a drawing could not be turned into pixels.
#[derive(Debug, thiserror::Error)]
pub enum RasterError {
    #[error("the drawing is not valid SVG: {0}")]
    Svg(#[from] usvg::Error),
    #[error("a picture of {width} × {height} pixels is too small or too large to draw")]
    Size { width: u32, height: u32 },
}

/// Draws `svg` scaled by `scale` (pixels per user unit) onto transparent pixels, RGBA premultiplied.
///
/// # Errors
/// [`RasterError`] when the text is not SVG or the size is out of reach.
pub fn draw(svg: &str, scale: f32) -> Result<Pixmap, RasterError> {
    let tree = tree(svg)?;
    let size = tree.size();
    let (width, height) = ((size.width() * scale).round() as u32, (size.height() * scale).round() as u32);
    let mut pixels = Pixmap::new(width, height).ok_or(RasterError::Size { width, height })?;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    Ok(pixels)
}

/// A line of text as [`draw`] sets it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Width in ems: times the size, in user units.
    pub ems: f64,
    /// Every character has a glyph in the typeface.
    pub complete: bool,
}

/// Measures one line of text; what draws no glyph at all is 0 wide and complete.
pub fn measure(text: &str, weight: Weight) -> Line {
    // A thousandth of an em is the typeface's own unit.
    const EM: f64 = 1000.0;
    let mut svg = Svg::new(1.0, 1.0);
    svg.text([0.0, 0.0], text, Type { size: EM, weight, anchor: Anchor::Start, colour: "#000000" });
    let mut line = Line { ems: 0.0, complete: true };
    // Svg escapes its text, so the parser has nothing to refuse; an empty line has no text node.
    if let Ok(tree) = tree(&svg.finish())
        && let Some(usvg::Node::Text(text)) = tree.root().children().first()
    {
        line.ems = f64::from(text.bounding_box().width()) / EM;
        line.complete = text.layouted().iter().flat_map(|span| &span.positioned_glyphs).all(|glyph| glyph.id.0 != 0);
    }
    line
}

/// The drawing as read back: every shape and line of text where it stands.
pub(super) fn tree(svg: &str) -> Result<usvg::Tree, usvg::Error> {
    let options = usvg::Options { fontdb: FONTS.clone(), ..usvg::Options::default() };
    usvg::Tree::from_str(svg, &options)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advance widths and coverage read from the typeface's own `hmtx` and `cmap` tables with the package fontTools.
    #[test]
    fn lines_are_as_wide_as_the_typeface_says() {
        for (weight, digit) in [(Weight::Regular, 0.497), (Weight::SemiBold, 0.513), (Weight::Bold, 0.528)] {
            let line = measure("0123456789", weight);
            assert!((line.ems - 10.0 * digit).abs() < 0.001, "{weight:?}: {line:?}");
            assert!(line.complete);
        }
        assert!(measure("½ □ …", Weight::Bold).complete);
        assert!(!measure("שלום", Weight::Bold).complete);
        assert_eq!(measure("", Weight::Bold), Line { ems: 0.0, complete: true });
    }
}
