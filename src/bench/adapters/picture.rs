//! Pixels, as the screen takes them.

use slint::{Image, Rgba8Pixel, SharedPixelBuffer};

use crate::bench::screen::Picture;

/// What to show in place of `shown`: itself when it shows this already, so that nothing is drawn again. No picture, and
/// one whose pixels are not as many as its size says, show nothing.
pub fn image(picture: Option<&Picture>, shown: Image) -> Image {
    let Some(picture) = picture.filter(|picture| is_whole(picture)) else { return Image::default() };
    let same = shown.to_rgba8_premultiplied().is_some_and(|pixels| {
        (pixels.width(), pixels.height()) == (picture.width, picture.height) && pixels.as_bytes() == &picture.rgba[..]
    });
    if same {
        return shown;
    }
    let pixels = SharedPixelBuffer::<Rgba8Pixel>::clone_from_slice(&picture.rgba, picture.width, picture.height);
    Image::from_rgba8_premultiplied(pixels)
}

fn is_whole(picture: &Picture) -> bool {
    picture.rgba.len() as u64 == u64::from(picture.width) * u64::from(picture.height) * 4
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[test]
    fn the_same_pixels_stay_and_torn_ones_are_not_shown() {
        let picture = Picture { width: 2, height: 1, rgba: Arc::new(vec![1, 2, 3, 255, 0, 0, 0, 0]) };
        let shown = image(Some(&picture), Image::default());
        assert_eq!((shown.size().width, shown.size().height), (2, 1));
        let again = Picture { rgba: Arc::new(picture.rgba.to_vec()), ..picture.clone() };
        assert_eq!(image(Some(&again), shown.clone()), shown);
        let torn = Picture { height: 2, ..picture };
        assert_eq!(image(Some(&torn), shown.clone()).size(), Default::default());
        assert_eq!(image(None, shown).size(), Default::default());
    }
}
