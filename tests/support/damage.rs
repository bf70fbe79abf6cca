//! What becomes of a printed symbol between the printer and a scanner's lens: the same damage for the same seed.

/// Picture elements to a dot of the label printer.
const FINENESS: usize = 2;
/// Picture elements to a millimetre, of a label printed at 203 dots per inch.
const PER_MM: f64 = FINENESS as f64 * 203.0 / 25.4;
/// White around the symbol, dots.
const BORDER: usize = 24;

/// A picture in greys from 0, black, to 1, white.
#[derive(Debug, Clone)]
pub struct Picture {
    pub side: usize,
    grey: Vec<f32>,
}

/// One thing that happens to it. Sizes are millimetres on the label.
#[derive(Debug, Clone, Copy)]
pub enum Damage {
    /// Out of focus: the standard deviation of the spread.
    Blur(f64),
    /// So many scratches through the print, right across, bare paper showing.
    Scratches(usize),
    /// Smears over this part of the symbol.
    Dirt(f64),
    /// Seen from the side: each corner is elsewhere by up to this part of the symbol's side.
    Skew(f64),
    /// Faded and badly lit: this much is left between black and white, with the lens's noise over it.
    Contrast(f64),
}

/// SplitMix64 (Steele, Lea and Flood 2014): small, and the same everywhere.
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
}

impl Picture {
    /// A symbol of `dots` on a side with its quiet zone, in the middle of a square that is `place` dots wide.
    pub fn of(dots: usize, place: usize, black: impl Fn(usize, usize) -> bool) -> Self {
        let side = (place + 2 * BORDER) * FINENESS;
        let start = BORDER + (place - dots) / 2;
        let dark = |at: usize| (at / FINENESS).checked_sub(start).filter(|&at| at < dots);
        let grey = |x, y| if matches!((dark(x), dark(y)), (Some(x), Some(y)) if black(x, y)) { 0.0 } else { 1.0 };
        Self { side, grey: (0..side * side).map(|at| grey(at % side, at / side)).collect() }
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.grey.iter().map(|grey| (grey.clamp(0.0, 1.0) * 255.0).round() as u8).collect()
    }

    pub fn damaged(mut self, damages: &[Damage], random: &mut Random) -> Self {
        for damage in damages {
            match *damage {
                Damage::Blur(spread) => self.blur(spread * PER_MM),
                Damage::Scratches(count) => self.scratch(count, random),
                Damage::Dirt(part) => self.soil(part, random),
                Damage::Skew(part) => self.skew(part, random),
                Damage::Contrast(left) => self.fade(left, random),
            }
        }
        self
    }

    /// Where the symbol is, quiet zone and all.
    fn inside(&self) -> (f64, f64) {
        let border = (BORDER * FINENESS) as f64;
        (border, self.side as f64 - border)
    }

    /// Three means in a row are a bell curve to the eye; the variance of one of width w is (w² − 1) / 12.
    fn blur(&mut self, spread: f64) {
        let half = (((4.0 * spread * spread + 1.0).sqrt() - 1.0) / 2.0).round() as usize;
        for _ in 0..3 {
            self.mean_of_rows(half);
            self.transpose();
            self.mean_of_rows(half);
            self.transpose();
        }
    }

    fn mean_of_rows(&mut self, half: usize) {
        for row in self.grey.chunks_mut(self.side) {
            let sums: Vec<f32> = std::iter::once(0.0)
                .chain(row.iter().scan(0.0, |sum, grey| {
                    *sum += grey;
                    Some(*sum)
                }))
                .collect();
            for (at, grey) in row.iter_mut().enumerate() {
                let (from, to) = (at.saturating_sub(half), (at + half + 1).min(self.side));
                *grey = (sums[to] - sums[from]) / (to - from) as f32;
            }
        }
    }

    fn transpose(&mut self) {
        let side = self.side;
        self.grey = (0..side * side).map(|at| self.grey[at % side * side + at / side]).collect();
    }

    /// Straight, at any slant, 0.15 to 0.4 mm wide.
    fn scratch(&mut self, count: usize, random: &mut Random) {
        let (low, high) = self.inside();
        for _ in 0..count {
            let (x, y) = (random.between(low, high), random.between(low, high));
            let (sine, cosine) = random.between(0.0, std::f64::consts::PI).sin_cos();
            let half = random.between(0.075, 0.2) * PER_MM;
            for at in 0..self.side * self.side {
                let [px, py] = self.centre(at);
                if ((px - x) * sine - (py - y) * cosine).abs() < half {
                    self.grey[at] = 1.0;
                }
            }
        }
    }

    /// Smears, round, 0.4 to 2 mm in radius, that let a fifth to four fifths of the light through, until so much is
    /// covered.
    fn soil(&mut self, part: f64, random: &mut Random) {
        let (low, high) = self.inside();
        let side = self.side;
        let mut soiled = vec![false; side * side];
        let (mut covered, wanted) = (0, (part * (high - low) * (high - low)) as usize);
        while covered < wanted {
            let (x, y) = (random.between(low, high), random.between(low, high));
            let (radius, through) = (random.between(0.4, 2.0) * PER_MM, random.between(0.2, 0.8) as f32);
            let rows = |middle: f64| (middle - radius).max(low) as usize..(middle + radius).min(high).ceil() as usize;
            for at in rows(y).flat_map(|row| rows(x).map(move |column| row * side + column)) {
                let [px, py] = self.centre(at);
                if (px - x).hypot(py - y) < radius {
                    covered += usize::from(!std::mem::replace(&mut soiled[at], true));
                    self.grey[at] *= through;
                }
            }
        }
    }

    fn centre(&self, at: usize) -> [f64; 2] {
        [(at % self.side) as f64 + 0.5, (at / self.side) as f64 + 0.5]
    }

    /// Each point of the new picture is looked up in the old: the corners' shifts, mixed as in perspective by how near
    /// each is.
    fn skew(&mut self, part: f64, random: &mut Random) {
        let (low, high) = self.inside();
        let shift = part * (high - low);
        let corners: [[f64; 2]; 4] = std::array::from_fn(|_| [0; 2].map(|_| random.between(-shift, shift)));
        let depth = 1.0 + random.between(-part, part);
        let (old, side) = (self.clone(), self.side);
        for at in 0..side * side {
            let [x, y] = old.centre(at);
            let (u, v) = ((x - low) / (high - low), (y - low) / (high - low));
            // Farther rows are closer together.
            let v = v * depth / (1.0 + v * (depth - 1.0));
            let weights = [(1.0 - u) * (1.0 - v), u * (1.0 - v), (1.0 - u) * v, u * v];
            let moved =
                |axis: usize| weights.iter().zip(corners).map(|(weight, corner)| weight * corner[axis]).sum::<f64>();
            self.grey[at] = old.between([x + moved(0), low + v * (high - low) + moved(1)]);
        }
    }

    /// The grey between four neighbours; white outside.
    fn between(&self, [x, y]: [f64; 2]) -> f32 {
        let (x, y) = (x - 0.5, y - 0.5);
        let grey = |x: f64, y: f64| {
            let inside = (0.0..self.side as f64).contains(&x) && (0.0..self.side as f64).contains(&y);
            if inside { self.grey[y as usize * self.side + x as usize] } else { 1.0 }
        };
        let (left, top) = (x.floor(), y.floor());
        let (right, below) = ((x - left) as f32, (y - top) as f32);
        let row = |y| grey(left, y) * (1.0 - right) + grey(left + 1.0, y) * right;
        row(top) * (1.0 - below) + row(top + 1.0) * below
    }

    fn fade(&mut self, left: f64, random: &mut Random) {
        for grey in &mut self.grey {
            // The sum of four uniform draws is a bell curve to the eye; its deviation is 0.02.
            let noise: f64 = (0..4).map(|_| random.between(-0.0173, 0.0173)).sum();
            *grey = (0.5 + (f64::from(*grey) - 0.5) * left + noise) as f32;
        }
    }
}
