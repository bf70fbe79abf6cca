//! Black and white dots, as a thermal head burns them: no greys to be dithered by a printer that knows no better.

use crate::drawing::raster;
use crate::label::LabelError;

/// One bit a dot, 1 is white; rows from the top, each filled up to a whole byte: what both PNG and PDF take as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bitmap {
    pub width: u32,
    pub height: u32,
    pub rows: Vec<u8>,
}

impl Bitmap {
    /// Draws an SVG, one unit to a dot; what covers half a dot or more blackens it.
    ///
    /// # Errors
    /// [`LabelError::Raster`] when the text is not SVG.
    pub fn draw(svg: &str) -> Result<Self, LabelError> {
        let pixels = raster::draw(svg, 1.0)?;
        let (width, height) = (pixels.width(), pixels.height());
        let mut rows = Vec::with_capacity(bytes_a_row(width) * height as usize);
        for row in pixels.pixels().chunks(width as usize) {
            for dots in row.chunks(8) {
                // Premultiplied, so bare paper shows as white minus what the ink covers.
                let white = |at: usize| {
                    dots.get(at).is_none_or(|dot| u16::from(dot.green()) + 255 - u16::from(dot.alpha()) > 127)
                };
                rows.push((0..8).fold(0, |byte, at| byte << 1 | u8::from(white(at))));
            }
        }
        Ok(Self { width, height, rows })
    }

    pub fn is_black(&self, x: u32, y: u32) -> bool {
        let byte = self.rows[bytes_a_row(self.width) * y as usize + (x / 8) as usize];
        byte & (0x80 >> (x % 8)) == 0
    }

    /// A PNG that says how large it is in print.
    ///
    /// # Errors
    /// When the encoder refuses, which for a whole bitmap it does not.
    pub fn png(&self, dpi: u32) -> Result<Vec<u8>, png::EncodingError> {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, self.width, self.height);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::One);
        // Filters are for shades; bits are best left as they are.
        encoder.set_filter(png::Filter::NoFilter);
        let per_metre = (f64::from(dpi) / 0.0254).round() as u32;
        encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.rows)?;
        writer.finish()?;
        Ok(file)
    }
}

fn bytes_a_row(width: u32) -> usize {
    width.div_ceil(8) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_are_black_where_ink_covers_half() {
        let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="10" height="2"><rect x="1" y="0" width="8" height="1"/>
            <rect x="0" y="1" width="1.25" height="1"/><rect x="4" y="1" width="1.75" height="1"/></svg>"#;
        let bitmap = Bitmap::draw(svg).unwrap();
        assert_eq!(bitmap.rows, [0b1000_0000, 0b0111_1111, 0b0111_0011, 0b1111_1111]);
        assert!(bitmap.is_black(8, 0) && !bitmap.is_black(9, 0) && bitmap.is_black(5, 1));
    }
}
