//! Room for words among lines: each as near its place as the lines and the words before it allow.

use crate::trade::plane::{along, less};

/// What is in the way, all in user units.
pub struct Spots {
    lines: Vec<[[f64; 2]; 2]>,
    /// Words placed: their middles, and half their widths and heights.
    placed: Vec<[[f64; 2]; 2]>,
    /// Left, top, right and bottom of where words may stand.
    inside: [f64; 4],
}

/// A line is looked at in so many places.
const SAMPLES: u32 = 16;

impl Spots {
    pub fn new(lines: Vec<[[f64; 2]; 2]>, inside: [f64; 4]) -> Self {
        Self { lines, placed: Vec::new(), inside }
    }

    /// The first of `candidates` where words of half that width and height stand `clear` of everything, or else the one
    /// with most room; from now on taken.
    pub fn take(&mut self, candidates: &[[f64; 2]], half: [f64; 2], clear: f64) -> Option<[f64; 2]> {
        let room = |at: &[f64; 2]| self.room(*at, half, clear);
        let free = candidates.iter().find(|at| room(at) >= 0.0);
        let most = || candidates.iter().max_by(|a, b| room(a).total_cmp(&room(b)));
        let at = free.or_else(most).copied()?;
        self.placed.push([at, half]);
        Some(at)
    }

    /// One more line to stay clear of.
    pub fn block(&mut self, line: [[f64; 2]; 2]) {
        self.lines.push(line);
    }

    /// As [`take`](Self::take), for words that a line leads to from a point: that line too is clear of the words before.
    pub fn take_led(
        &mut self,
        from: [f64; 2],
        candidates: &[[f64; 2]],
        half: [f64; 2],
        clear: f64,
    ) -> Option<[f64; 2]> {
        let free = |to: &&[f64; 2]| {
            let mut samples =
                (0..=SAMPLES).map(|step| along(from, less(**to, from), f64::from(step) / f64::from(SAMPLES)));
            samples.all(|[x, y]| {
                self.placed.iter().all(|&[at, half]| (x - at[0]).abs() > half[0] || (y - at[1]).abs() > half[1])
            })
        };
        let led: Vec<[f64; 2]> = candidates.iter().filter(free).copied().collect();
        self.take(if led.is_empty() { candidates } else { &led }, half, clear)
    }

    fn room(&self, at: [f64; 2], half: [f64; 2], clear: f64) -> f64 {
        let away = |[x, y]: [f64; 2], half: [f64; 2]| ((x - at[0]).abs() - half[0]).max((y - at[1]).abs() - half[1]);
        let on_line = |&[a, b]: &[[f64; 2]; 2]| {
            let samples = (0..=SAMPLES).map(|step| f64::from(step) / f64::from(SAMPLES));
            samples.map(|part| along(a, less(b, a), part)).map(|point| away(point, half)).fold(f64::MAX, f64::min)
        };
        let from_lines = self.lines.iter().map(on_line).fold(f64::MAX, f64::min) - clear;
        let others =
            self.placed.iter().map(|&[other, by]| away(other, [half[0] + by[0], half[1] + by[1]]) - clear / 2.0);
        let [left, top, right, bottom] = self.inside;
        // Outside, or on other words, is worse than on any line.
        let inside = (at[0] - half[0] - left)
            .min(right - at[0] - half[0])
            .min(at[1] - half[1] - top)
            .min(bottom - at[1] - half[1]);
        let hard = others.fold(inside, f64::min);
        if hard < 0.0 { hard - 1e6 } else { from_lines }
    }
}

/// The lines from each point to the next.
pub fn pairs(points: &[[f64; 2]]) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
    points.windows(2).map(|pair| [pair[0], pair[1]])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_make_way_for_lines_edges_and_words() {
        let mut spots = Spots::new(vec![[[0.0, 0.0], [10.0, 0.0]]], [0.0, -5.0, 10.0, 5.0]);
        let candidates = [[5.0, 0.5], [5.0, 20.0], [5.0, 1.5], [5.0, -1.5], [5.0, 4.0]];
        let mut take = |candidates: &[[f64; 2]]| spots.take(candidates, [1.0, 0.5], 0.5);
        assert_eq!(take(&candidates), Some([5.0, 1.5]));
        assert_eq!(take(&candidates), Some([5.0, -1.5]));
        assert_eq!(take(&candidates), Some([5.0, 4.0]));
        // No room is left: on a line is better than on words or outside.
        assert_eq!(take(&[[5.0, 20.0], [5.0, 2.0], [2.0, 0.1]]), Some([2.0, 0.1]));
    }
}
