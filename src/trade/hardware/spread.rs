//! Where the fasteners of one line go along a run: evenly, or on the panels' high seams, pinned at ends and laps.
//!
//! An expansion joint is a lap that must slide, so nothing may pass through it: the run is cut there into **bays**, and
//! each bay is fastened for itself. Exact throughout.

use crate::trade::length::Length;

/// Where one piece covers the next, from the run's left end. Laps lie inside their run and do not overlap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lap {
    pub from: Length,
    pub to: Length,
    /// An expansion joint: sealed, never pinned.
    pub joint: bool,
}

/// The panels' high seams across a run: at `first` from its left end, and from there every `every`, which is positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seams {
    pub first: Length,
    pub every: Length,
}

/// How a line of fasteners treats an ordinary lap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AtLap {
    /// One fastener through both pieces, in the middle of the lap.
    Through,
    /// One on each side of it.
    Beside,
}

/// What a line of fasteners follows. Spacings are positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grid {
    /// None farther from the next than this.
    Evenly(Length),
    /// One on every seam.
    Seams(Seams),
    /// One on every seam, and between them so that none is farther from the next than this.
    SeamsAndBetween(Seams, Length),
}

/// One line of fasteners.
#[derive(Debug, Clone, Copy)]
pub struct Spread<'a> {
    /// The metal of the line, from the run's left end.
    pub from: Length,
    pub to: Length,
    /// How far the first and last keep from the metal's ends and from a joint.
    pub end: Length,
    /// How far a fastener beside a lap keeps from it.
    pub lap_side: Length,
    pub laps: &'a [Lap],
    pub at_laps: AtLap,
    pub grid: Grid,
}

impl Spread<'_> {
    /// The positions from the run's left end, left to right.
    pub fn positions(&self) -> Vec<Length> {
        self.bays().into_iter().flat_map(|bay| self.fasten(bay)).collect()
    }

    /// The stretches between joints that may be fastened, each by its first and last fastener.
    fn bays(&self) -> Vec<(Length, Length)> {
        let mut bays = Vec::new();
        let mut from = (self.from, self.end);
        for joint in self.laps.iter().filter(|lap| lap.joint) {
            bays.extend(bay(from, (joint.from, self.lap_side)));
            from = (joint.to.max(self.from), self.lap_side);
        }
        bays.extend(bay(from, (self.to, self.end)));
        bays
    }

    fn fasten(&self, (first, last): (Length, Length)) -> Vec<Length> {
        let mut pins = vec![first, last];
        for lap in self.laps.iter().filter(|lap| !lap.joint && lap.to > first && lap.from < last) {
            match self.at_laps {
                AtLap::Through => pins.push(middle(lap.from, lap.to)),
                AtLap::Beside => pins.extend([lap.from - self.lap_side, lap.to + self.lap_side]),
            }
        }
        let mut pins: Vec<Length> = pins.into_iter().map(|pin| pin.clamp(first, last)).collect();
        let widest = match self.grid {
            Grid::Evenly(widest) => Some(widest),
            Grid::Seams(seams) => {
                self.move_to_seams(&mut pins, seams, first, last);
                None
            }
            Grid::SeamsAndBetween(seams, widest) => {
                self.move_to_seams(&mut pins, seams, first, last);
                Some(widest)
            }
        };
        pins.sort_unstable();
        pins.dedup();
        widest.map_or(pins.clone(), |widest| fill(&pins, widest))
    }

    /// Every seam of the bay takes a screw; a pin with a seam as near as a lap's side is served by that one.
    fn move_to_seams(&self, pins: &mut Vec<Length>, seams: Seams, first: Length, last: Length) {
        let on_seams = seams.within(first, last);
        pins.retain(|&pin| {
            let after = on_seams.partition_point(|&seam| seam < pin);
            let near = |seam: Option<&Length>| seam.is_some_and(|&seam| apart(seam, pin) <= self.lap_side);
            !near(on_seams.get(after)) && !near(after.checked_sub(1).and_then(|before| on_seams.get(before)))
        });
        pins.extend(on_seams);
    }
}

impl Seams {
    fn within(self, first: Length, last: Length) -> Vec<Length> {
        // Rounded up, for seams lie as far apart over metal that sticks out past the run's left end.
        let steps = -(self.first - first).nm().div_euclid(self.every.nm());
        let seams = (steps..).map(|step| (step, self.first + self.every * step)).take_while(|&(_, seam)| seam <= last);
        // On the run itself there is none before the first.
        seams.filter(|&(step, seam)| step >= 0 || seam < Length::ZERO).map(|(_, seam)| seam).collect()
    }
}

/// First and last fastener between two edges, each kept off by its distance; one in the middle where both do not fit.
fn bay((from, off_from): (Length, Length), (to, off_to): (Length, Length)) -> Option<(Length, Length)> {
    let (first, last) = (from + off_from, to - off_to);
    match () {
        () if to <= from => None,
        () if first <= last => Some((first, last)),
        () => Some((middle(from, to), middle(from, to))),
    }
}

/// Evenly many more between each two pins, so that none is farther from the next than `widest`.
fn fill(pins: &[Length], widest: Length) -> Vec<Length> {
    let mut filled: Vec<Length> = pins.first().copied().into_iter().collect();
    for pair in pins.windows(2) {
        let span = (pair[1] - pair[0]).nm();
        let gaps = span.unsigned_abs().div_ceil(widest.nm().unsigned_abs()) as i128;
        // Wide, for a kilometre in nanometres times its fasteners would not fit.
        filled.extend((1..=gaps).map(|gap| pair[0] + Length::from_nm((i128::from(span) * gap / gaps) as i64)));
    }
    filled
}

fn middle(from: Length, to: Length) -> Length {
    from + Length::from_nm((to - from).nm() / 2)
}

fn apart(one: Length, other: Length) -> Length {
    (one - other).max(other - one)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const IN: fn(i64) -> Length = Length::inches;

    fn line(to: i64, laps: &[Lap]) -> Spread<'_> {
        Spread {
            from: Length::ZERO,
            to: IN(to),
            end: IN(1),
            lap_side: IN(1),
            laps,
            at_laps: AtLap::Through,
            grid: Grid::Evenly(IN(12)),
        }
    }

    fn lap(from: i64, to: i64, joint: bool) -> Lap {
        Lap { from: IN(from), to: IN(to), joint }
    }

    #[test]
    fn a_plain_piece_is_divided_evenly() {
        // 50 in from 1 to 49: 48 in, four gaps of 12.
        assert_eq!(line(50, &[]).positions(), [1, 13, 25, 37, 49].map(IN));
        // An inch more takes a fifth gap.
        assert_eq!(line(51, &[]).positions().len(), 6);
        assert_eq!(line(1, &[]).positions(), [Length::sixty_fourths(32)]);
    }

    #[test]
    fn a_lap_is_pinned_through_both_and_a_joint_is_not() {
        let ordinary = [lap(22, 28, false)];
        assert_eq!(line(50, &ordinary).positions(), [1, 13, 25, 37, 49].map(IN));
        let joint = [lap(22, 28, true)];
        assert_eq!(line(50, &joint).positions(), [1, 11, 21, 29, 39, 49].map(IN));
    }

    #[test]
    fn screws_follow_the_seams_and_stand_beside_laps() {
        let laps = [lap(22, 28, false)];
        let grid = Grid::Seams(Seams { first: IN(8), every: IN(12) });
        let screws = Spread { at_laps: AtLap::Beside, grid, ..line(50, &laps) };
        // Seams at 8, 20, 32, 44; beside the lap 21, which the seam at 20 serves, and 29; the ends 1 and 49.
        assert_eq!(screws.positions(), [1, 8, 20, 29, 32, 44, 49].map(IN));
    }

    proptest! {
        /// Never over the spacing but across a joint, never in a joint, never off the metal; closer spacing, never fewer.
        #[test]
        fn the_rules_hold(
            gaps in prop::collection::vec((1i64..3_000, 1i64..900, any::<bool>()), 0..8),
            rest in 1i64..9_000, spacing in 64i64..2_000, closer in 64i64..2_000, off in 1i64..200,
            through in any::<bool>(), seams in prop::option::of((0i64..3_000, 64i64..3_000)),
        ) {
            let at = Length::sixty_fourths;
            let mut end = 0;
            let laps: Vec<Lap> = gaps.into_iter().map(|(gap, width, joint)| {
                let from = end + gap;
                end = from + width;
                Lap { from: at(from), to: at(end), joint }
            }).collect();
            let to = at(end + rest);
            let seams = seams.map(|(first, every)| Seams { first: at(first), every: at(every) });
            let with = |spacing| Spread {
                from: Length::ZERO, to, end: at(off), lap_side: at(off), laps: &laps,
                at_laps: if through { AtLap::Through } else { AtLap::Beside },
                grid: seams.map_or(Grid::Evenly(spacing), |seams| Grid::SeamsAndBetween(seams, spacing)),
            }.positions();
            let positions = with(at(spacing));

            prop_assert!(positions.is_sorted_by(|a, b| a < b));
            prop_assert!(positions.iter().all(|&x| x > Length::ZERO && x < to));
            let joints: Vec<&Lap> = laps.iter().filter(|lap| lap.joint).collect();
            for joint in &joints {
                prop_assert!(positions.iter().all(|&x| x < joint.from || x > joint.to));
            }
            for pair in positions.windows(2) {
                let crosses = joints.iter().any(|joint| joint.from > pair[0] && joint.to < pair[1]);
                prop_assert!(crosses || pair[1] - pair[0] <= at(spacing));
            }
            // Every bay is held near both its ends.
            let mut edges = vec![Length::ZERO];
            edges.extend(joints.iter().flat_map(|joint| [joint.from, joint.to]));
            edges.push(to);
            for bay in edges.chunks(2) {
                for edge in bay {
                    let near = |x: &&Length| **x > bay[0] && **x < bay[1] && apart(**x, *edge) <= at(2 * off);
                    prop_assert!(positions.iter().any(|x| near(&x)));
                }
            }
            if through {
                for lap in laps.iter().filter(|lap| !lap.joint) {
                    let inside = |x: &Length| *x > lap.from && *x < lap.to;
                    let narrow = lap.to - lap.from <= at(2);
                    let squeezed = edges.iter().any(|&edge| apart(edge, middle(lap.from, lap.to)) <= at(off));
                    prop_assert!(narrow || squeezed || seams.is_some() || positions.iter().any(inside));
                }
            }
            prop_assert!(with(at(closer.min(spacing))).len() >= positions.len());
        }
    }
}
