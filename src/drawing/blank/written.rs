//! What is written on the metal: which end it is, which side lies up, and where the label is stuck: near the left end, past what
//! a neighbour will cover.

use super::showing::{Stage, Voice};
use super::view::{self, Stretch};
use super::{BOTH, Drawing, LEFT, NAMES, RIGHT};
use crate::drawing::pen::Words;
use crate::drawing::side_up;
use crate::drawing::spots::{Spots, pairs};
use crate::drawing::svg::{Paint, Weight};
use crate::order::Side;
use crate::trade::bend_order::Face;
use crate::trade::plane::{length, less};

/// The label's width over its height.
const LABEL: f64 = 1.7;

impl Drawing<'_> {
    /// The end's name, written on the metal, and the label where it will be stuck.
    pub(super) fn words_on_metal(&mut self) {
        let (side, inward) = if self.showing.end == Some(Side::Right) { (RIGHT, -1.0) } else { (LEFT, 1.0) };
        let Some(stretch) = self.view.at_end(side) else { return };
        if self.view.points.is_some() {
            // The metal is full of marks: under it.
            let words = [Words { ems: 1.2, weight: Weight::Bold, ..self.pen.quiet(NAMES[side]) }];
            let at = [self.x(&stretch, side, 0.0), self.pen.height - self.pen.em * 1.02];
            self.pen.place(at, [inward, 0.0], 0.0, &words);
            return;
        }
        let (band, inset) = self.free_band(side);
        let y = self.view.y(f64::midpoint(band[0], band[1]));
        let space = self.pen.em * 0.7;
        let mut x = self.x(&stretch, side, inset) + inward * space;
        let marking = self.showing.lines == Voice::Now;
        let colour = if marking { self.pen.theme.now } else { self.pen.theme.ink };
        // Between two lines that are close it is as small as other words.
        let ems = ((band[1] - band[0]) * self.view.scale / self.pen.em * 0.8).clamp(1.0, 1.2);
        let words = [Words { ems, weight: Weight::Bold, colour, ..self.pen.quiet(NAMES[side]) }];
        let mut spots = Spots::new(self.lines_on(&stretch), self.inside(&stretch));
        if self.showing.label {
            let name = self.pen.row_width(&words) + space;
            let covered = self.covered(&stretch, side);
            let from = covered.map_or(x, |[_, to]| to + space);
            let beside = if covered.is_some() { 0.0 } else { name };
            let room = self.edge(&stretch, RIGHT, band[0]) - from - 2.0 * space - beside;
            let height = ((band[1] - band[0]) * self.view.scale * 0.6).min(room / LABEL);
            let right = self.label([from, y], height);
            spots.take(&[[f64::midpoint(from, right), y]], [(right - from) / 2.0, height / 2.0], 0.0);
            match covered {
                None => x = right + space,
                // The name stands at the end itself, and nothing else.
                Some([end, to]) => {
                    let half = [(to - end) / 2.0, self.pen.height];
                    spots.take(&[[f64::midpoint(end, to), y]], half, 0.0);
                    self.clear([x - 0.15 * self.pen.em, y], [name - space + 0.3 * self.pen.em, 1.1 * self.pen.em]);
                }
            }
        }
        let half = [self.pen.row_width(&words) / 2.0, 0.5 * self.pen.em];
        if marking || self.showing.is_taped() {
            // Lines closer than the word is high stay off it.
            let width = 2.0 * half[0] + 0.3 * self.pen.em;
            // But not the edges and the tape between which it stands.
            let between = (band[1] - band[0]) * self.view.scale - 0.3 * self.pen.em;
            let height = if marking { 1.1 * self.pen.em } else { between.min(1.1 * self.pen.em) };
            self.clear([x.min(x + inward * width) - 0.15 * self.pen.em * inward, y], [width, height]);
        }
        self.pen.place([x, y], [inward, 0.0], 0.0, &words);
        if self.showing.side_up {
            spots.take(&[[x + inward * half[0], y]], half, 0.0);
            self.tell_side_up(&stretch, spots);
        }
    }

    /// Bare metal for a word: from a left edge's middle, so wide and high.
    fn clear(&mut self, [left, middle]: [f64; 2], [width, height]: [f64; 2]) {
        self.pen.svg.rect(left, middle - height / 2.0, width, height, Paint::fill(self.pen.theme.metal));
    }

    /// Hatches what a neighbour will cover of that end; from where to where.
    fn covered(&mut self, stretch: &Stretch, side: usize) -> Option<[f64; 2]> {
        let covered = Some(self.view.covered[side]).filter(|covered| *covered > 0.0)?;
        let [top, bottom] = self.view.ends[side].tab(covered)?.map(|y| self.view.y(y));
        let [end, to] = [0.0, covered].map(|inset| self.x(stretch, side, inset));
        let (theme, line) = (self.pen.theme, self.pen.line());
        self.pen.hatch(&[[end, top], [to, top], [to, bottom], [end, bottom]], 0.6, theme.faint, line * 0.5);
        self.pen.svg.line([to, top], [to, bottom], Paint::stroke(theme.ink, line * 1.4).dashed());
        Some([end, to])
    }

    /// Which side lies up, as near the middle of the metal as there is room.
    fn tell_side_up(&mut self, stretch: &Stretch, mut spots: Spots) {
        let words = [self.pen.quiet(side_up::words(self.piece.section.painted, Face::Seen))];
        let [left, top, right, bottom] = self.inside(stretch);
        let half = [self.pen.row_width(&words) / 2.0, 0.5 * self.pen.em];
        let middle = [f64::midpoint(left, right), f64::midpoint(top, bottom)];
        let parts = || (1..24).map(|part| f64::from(part) / 24.0);
        let mut spot: Vec<[f64; 2]> =
            parts().flat_map(|x| parts().map(move |y| [left + x * (right - left), top + y * (bottom - top)])).collect();
        let away = |at: &[f64; 2]| length(less(*at, middle));
        spot.sort_by(|a, b| away(a).total_cmp(&away(b)));
        if let Some(at) = spots.take(&spot, half, self.pen.em * 0.2) {
            self.pen.place(at, [0.0, 0.0], 0.0, &words);
        }
    }

    /// The metal of a stretch: left, top, right and bottom.
    fn inside(&self, stretch: &Stretch) -> [f64; 4] {
        let [left, right] = [stretch.from, stretch.to].map(|mm| self.view.x(stretch, mm));
        let [top, bottom] = self.view.edges.map(|edge| self.view.y(edge));
        [left, top, right, bottom]
    }

    /// What is drawn on a stretch: its ends, and the lines along it once they are marked.
    fn lines_on(&self, stretch: &Stretch) -> Vec<[[f64; 2]; 2]> {
        let ends = BOTH.map(|side| self.side(stretch, side));
        let [left, _, right, _] = self.inside(stretch);
        let marked = self.piece.bends.iter().filter(|_| self.showing.stage >= Stage::Marked);
        let bends = marked.map(|bend| self.view.y(bend.at.mm)).map(|y| [[left, y], [right, y]]);
        ends.iter().flat_map(|end| pairs(end)).chain(bends).collect()
    }

    /// The leg with most room for words at an end, from and to in mm, and how far in they must stay: one whose middle is
    /// not cut, if there is.
    fn free_band(&self, side: usize) -> ([f64; 2], f64) {
        let hems = [&self.piece.datum_hem, &self.piece.hem].into_iter().flatten().map(|hem| hem.at.mm);
        let bends = self.piece.bends.iter().map(|bend| bend.at.mm);
        let [top, bottom] = self.view.edges;
        let taped = self.under_tape();
        let tape = taped.into_iter().flatten();
        // Beside a tape a word takes what room there is: lines stay off it.
        let drawn = hems.chain(bends).filter(|_| taped.is_none());
        let lines = [top, bottom].into_iter().chain(drawn).chain(tape);
        let mut lines: Vec<f64> = lines.filter(|y| (top..=bottom).contains(y)).collect();
        lines.sort_by(f64::total_cmp);
        // Right under the tape's end, its dimension begins.
        let hook = taped.map_or(0.0, |_| self.view.ends[side].inset(self.measured_at()));
        let bare = |pair: &&[f64]| taped.is_none_or(|[from, to]| pair[1] <= from || pair[0] >= to);
        let tab = view::tab_depth(self.of_piece(side)).unwrap_or(0.0);
        let bands = lines.windows(2).filter(bare).map(|pair| {
            let middle = f64::midpoint(pair[0], pair[1]);
            let half =
                ((pair[1] - pair[0]) * 0.3).max(self.pen.em * 0.5 / self.view.scale).min((pair[1] - pair[0]) / 2.0);
            let inset = self.view.ends[side].deepest(middle - half, middle + half).max(tab).max(hook);
            ([pair[0], pair[1]], inset)
        });
        let preferred = |(band, inset): &([f64; 2], f64)| (*inset <= tab, band[1] - band[0]);
        bands
            .max_by(|a, b| {
                let ((a_free, a_room), (b_free, b_room)) = (preferred(a), preferred(b));
                a_free.cmp(&b_free).then(a_room.total_cmp(&b_room))
            })
            .unwrap_or(([top, bottom], 0.0))
    }

    /// The label, its left edge's middle at a point of the page; gives its right edge.
    fn label(&mut self, [left, middle]: [f64; 2], height: f64) -> f64 {
        let (theme, line) = (self.pen.theme, self.pen.line());
        let (width, top) = (height * LABEL, middle - height / 2.0);
        self.pen.svg.rect(left, top, width, height, Paint::fill(theme.paper).outlined(theme.now, line * 2.4));
        // Enough of a code to know it by, its three corners, and of the lines beside it.
        let (pad, code) = (height * 0.14, height * 0.72);
        let corner = code * 0.34;
        for [x, y] in [[0.0, 0.0], [code - corner, 0.0], [0.0, code - corner]] {
            let [x, y] = [left + pad + x, top + pad + y];
            let ring = corner * 0.25;
            self.pen.svg.rect(x, y, corner, corner, Paint::fill(theme.now));
            self.pen.svg.rect(x + ring, y + ring, corner - 2.0 * ring, corner - 2.0 * ring, Paint::fill(theme.paper));
        }
        let (text, room) = (left + pad * 2.0 + code, width - pad * 3.0 - code);
        for (row, part) in [1.0, 0.75, 0.9].into_iter().enumerate() {
            let y = top + pad + row as f64 * code * 0.38;
            self.pen.svg.rect(text, y, room * part, code * 0.2, Paint::fill(theme.now));
        }
        left + width
    }
}
