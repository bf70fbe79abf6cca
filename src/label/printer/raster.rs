//! A label as PWG raster (PWG 5102.4-2012): the one format in which the dots sent are the dots burnt.
//!
//! A file is the word `RaS2`, then for each page a header of 1796 bytes and its rows, each packed on its own. Numbers
//! are big-endian.

use crate::label::bitmap::Bitmap;
use crate::label::stock::Size;

/// How the printer takes its dots, as `pwg-raster-document-type-supported` names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dots {
    /// One bit a dot, 1 is black.
    Black1,
    /// One byte a dot, 255 is white: what printers take that make no difference for black and white.
    Gray8,
}

/// What a page's header says beside its dots.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page<'a> {
    pub dots: Dots,
    /// Dots per inch, both ways.
    pub dpi: u32,
    /// The medium's name.
    pub medium: &'a str,
    pub size: Size,
}

const SYNC: &[u8; 4] = b"RaS2";
const HEADER: usize = 1796;
/// Values of ColorSpace, table 5 of the standard.
const BLACK: u32 = 3;
const GRAY: u32 = 18;

/// One label on one page.
pub fn write(label: &Bitmap, page: &Page) -> Vec<u8> {
    let mut file = Vec::from(SYNC);
    let bits = match page.dots {
        Dots::Black1 => 1,
        Dots::Gray8 => 8,
    };
    let bytes_a_row = (label.width * bits).div_ceil(8);
    file.extend(header(label, page, bits, bytes_a_row));
    let rows: Vec<Vec<u8>> = (0..label.height).map(|y| row(label, y, page.dots)).collect();
    for alike in rows.chunk_by(|a, b| a == b) {
        for rows in alike.chunks(256) {
            // One less than how often the row is repeated: 255 at most.
            file.push((rows.len() - 1) as u8);
            pack(&rows[0], &mut file);
        }
    }
    file
}

/// Every field that is not set here is 0 or empty, which the standard reads as "as the printer does by itself".
fn header(label: &Bitmap, page: &Page, bits: u32, bytes_a_row: u32) -> [u8; HEADER] {
    let mut header = [0; HEADER];
    let mut text = |at: usize, text: &str| {
        // A C string of 64 bytes, its closing zero included.
        let length = text.len().min(63);
        header[at..at + length].copy_from_slice(&text.as_bytes()[..length]);
    };
    text(0, "PwgRaster");
    text(1732, page.medium);
    let space = match page.dots {
        Dots::Black1 => BLACK,
        Dots::Gray8 => GRAY,
    };
    let [points_across, points_along] = page.size.points();
    for (at, number) in [
        (276, page.dpi),
        (280, page.dpi),
        (340, 1), // copies
        (352, points_across),
        (356, points_along),
        (372, label.width),
        (376, label.height),
        (384, bits), // of one colour
        (388, bits), // of one dot
        (392, bytes_a_row),
        (400, space),
        (420, 1), // colours
        (452, 1), // pages in all
        (456, 1), // no mirroring across
        (460, 1), // nor along
        (472, label.width),
        (476, label.height), // the picture's right and lower edge
    ] {
        header[at..at + 4].copy_from_slice(&number.to_be_bytes());
    }
    header
}

fn row(label: &Bitmap, y: u32, dots: Dots) -> Vec<u8> {
    let black = |x: u32| x < label.width && label.is_black(x, y);
    match dots {
        Dots::Black1 => (0..label.width)
            .step_by(8)
            .map(|left| (left..left + 8).fold(0, |byte, x| byte << 1 | u8::from(black(x))))
            .collect(),
        Dots::Gray8 => (0..label.width).map(|x| if black(x) { 0 } else { 255 }).collect(),
    }
}

/// Packs one row as PackBits does, in bytes: `0` to `127` and a byte that comes so often and once more; or, counted down
/// from `257`, how many bytes follow as they are.
fn pack(row: &[u8], file: &mut Vec<u8>) {
    const MOST: usize = 128;
    let mut rest = row;
    while let [first, ..] = rest {
        let alike = rest.iter().take(MOST).take_while(|byte| *byte == first).count();
        if alike > 1 {
            file.extend([(alike - 1) as u8, *first]);
            rest = &rest[alike..];
            continue;
        }
        // As they are, up to where two alike begin. One alone is as well written as one that comes once.
        let unlike = rest.windows(2).take(MOST - 1).take_while(|pair| pair[0] != pair[1]).count();
        let unlike = if unlike + 1 == rest.len().min(MOST) { unlike + 1 } else { unlike };
        match unlike {
            0 | 1 => file.extend([0, *first]),
            many => {
                file.push((257 - many) as u8);
                file.extend(&rest[..many]);
            }
        }
        rest = &rest[unlike.max(1)..];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packed(row: &[u8]) -> Vec<u8> {
        let mut file = Vec::new();
        pack(row, &mut file);
        file
    }

    /// What a reader of the standard makes of it.
    fn unpacked(mut packed: &[u8]) -> Vec<u8> {
        let mut row = Vec::new();
        while let [count, rest @ ..] = packed {
            let (bytes, used) = match count {
                0..=127 => (vec![rest[0]; usize::from(*count) + 1], 1),
                129..=255 => (rest[..257 - usize::from(*count)].to_vec(), 257 - usize::from(*count)),
                128 => panic!("128 is not in the standard"),
            };
            row.extend(bytes);
            packed = &rest[used..];
        }
        row
    }

    #[test]
    fn rows_are_packed_as_the_standard_reads_them() {
        assert_eq!(packed(&[0; 102]), [101, 0]);
        assert_eq!(packed(&[1, 2, 3, 3, 3]), [255, 1, 2, 2, 3]);
        let mixed: Vec<u8> = (0..200).map(|n| if n % 50 < 20 { 7 } else { n as u8 }).collect();
        let long: Vec<u8> = (0..1000_u32).map(|n| ((n * 7919) >> 3) as u8).collect();
        for row in [vec![9], vec![1, 2], vec![1, 1, 2], vec![2, 1, 1], mixed, long, vec![0; 1000]] {
            assert_eq!(unpacked(&packed(&row)), row);
            assert!(packed(&row).len() <= row.len() + row.len().div_ceil(127) + 1);
        }
    }

    #[test]
    fn rows_alike_are_written_once() {
        let label = Bitmap { width: 16, height: 600, rows: vec![0xff; 2 * 600] };
        let size = Size { width: 10160, height: 5080 };
        let file = write(&label, &Page { dots: Dots::Black1, dpi: 203, medium: "m", size });
        assert_eq!(file[4 + HEADER..], [255, 1, 0, 255, 1, 0, 87, 1, 0]);
    }
}
