//! A run divided into pieces that lap: how many, and how long each is.
//!
//! With run R, lap ℓ and longest blank Lmax, n is the least whole number with n·Lmax − (n − 1)·ℓ ≥ R, and the finished
//! lengths sum to R + (n − 1)·ℓ exactly. A return end takes its depth from the blank of its own piece.

use super::length::Length;

/// What a run gives the split. `depths` are what the ends laid first and last add to a blank beyond its finished length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Split {
    pub run: Length,
    pub lap: Length,
    pub longest: Length,
    pub depths: [Length; 2],
    /// What the bench can set: lengths are whole multiples of it wherever the run allows.
    pub step: Length,
}

/// Why a run cannot be divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SplitError {
    /// The lap is as long as the longest blank: another piece would gain nothing.
    LapTooLong,
    /// A return's depth leaves nothing of the longest blank.
    DepthTooLong,
}

impl Split {
    /// How many pieces the run takes.
    ///
    /// # Errors
    /// [`SplitError`] when no number of pieces would do.
    pub fn count(&self) -> Result<usize, SplitError> {
        let [first, last] = self.depths;
        if first.max(last) >= self.longest {
            return Err(SplitError::DepthTooLong);
        }
        let blanks = self.run + first + last;
        if blanks <= self.longest {
            return Ok(1);
        }
        if self.lap >= self.longest {
            return Err(SplitError::LapTooLong);
        }
        let each_gains = (self.longest - self.lap).nm();
        // Both are positive by the checks above.
        Ok((blanks - self.lap).nm().unsigned_abs().div_ceil(each_gains.unsigned_abs()) as usize)
    }

    /// Finished lengths of equal pieces, in the order they are laid.
    ///
    /// All share alike, except that no blank passes the longest. What the bench's step leaves over is given out a step
    /// at a time to the pieces laid first, and a remainder smaller than a step to the next, so the sum is exact.
    ///
    /// # Errors
    /// [`SplitError`] when no number of pieces would do.
    pub fn even(&self) -> Result<Vec<Length>, SplitError> {
        let n = self.count()?;
        let mut caps = vec![self.longest; n];
        caps[0] -= self.depths[0];
        caps[n - 1] -= self.depths[1];
        Ok(share(self.run + self.lap * (n as i64 - 1), &caps, self.step))
    }
}

/// Shares `total` evenly under caps whose sum is at least `total`.
fn share(total: Length, caps: &[Length], step: Length) -> Vec<Length> {
    // Capped pieces first: while an equal share would pass a cap, that piece takes its cap and the rest share anew.
    let mut shares: Vec<Option<Length>> = vec![None; caps.len()];
    let mut rest = total;
    let level = loop {
        let open = shares.iter().filter(|share| share.is_none()).count() as i64;
        if open == 0 {
            break Length::ZERO;
        }
        let level = Length::from_nm(rest.nm() / open);
        let over = (0..caps.len()).find(|&i| shares[i].is_none() && caps[i] < level);
        let Some(i) = over else { break level };
        shares[i] = Some(caps[i]);
        rest -= caps[i];
    };

    let whole_steps = Length::from_nm(level.nm() / step.nm() * step.nm());
    let mut lengths: Vec<Length> = shares.into_iter().map(|share| share.unwrap_or(whole_steps)).collect();
    let mut left_over = total - lengths.iter().copied().sum();
    for round_by in [step, Length::from_nm(i64::MAX)] {
        for (length, &cap) in lengths.iter_mut().zip(caps) {
            let more = left_over.min(round_by).min(cap - *length);
            *length += more;
            left_over -= more;
        }
    }
    lengths
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn split(run: i64, lap: i64, longest: i64, depths: [i64; 2]) -> Split {
        Split {
            run: Length::sixty_fourths(run),
            lap: Length::sixty_fourths(lap),
            longest: Length::sixty_fourths(longest),
            depths: depths.map(Length::sixty_fourths),
            step: Length::sixty_fourths(4),
        }
    }

    /// 42' 7-1/4" at 10 ft with 6 in laps: 5 · 120 − 4 · 6 = 576 ≥ 511.25, and 4 pieces reach only 462 in.
    #[test]
    fn the_worked_run() {
        let lengths = split(511 * 64 + 16, 6 * 64, 120 * 64, [0, 0]).even().unwrap();
        assert_eq!(lengths.len(), 5);
        assert_eq!(lengths.iter().copied().sum::<Length>(), Length::sixty_fourths((511 + 24) * 64 + 16));
        // 535-1/4 in is 8564 sixteenths: five pieces of 1712 and four sixteenths over, given to those laid first.
        assert_eq!(lengths[..4], [Length::sixty_fourths(1713 * 4); 4]);
        assert_eq!(lengths[4], Length::sixty_fourths(1712 * 4));
    }

    #[test]
    fn a_lap_that_gains_nothing_and_a_depth_that_leaves_nothing() {
        assert_eq!(split(20_000, 7680, 7680, [0, 0]).even(), Err(SplitError::LapTooLong));
        assert_eq!(split(20_000, 384, 7680, [0, 7680]).even(), Err(SplitError::DepthTooLong));
    }

    proptest! {
        /// The invariants of the geometry in DEVELOPERS.md, for any run in 1/64 in.
        #[test]
        fn adds_up_and_stays_under_the_longest(
            run in 1i64..2_000_000, lap in 384i64..2_000, longest in 2_001i64..20_000,
            left in 0i64..1_000, right in 0i64..1_000,
        ) {
            let split = split(run, lap, longest, [left, right]);
            let lengths = split.even().unwrap();
            let n = lengths.len();
            prop_assert_eq!(lengths.iter().copied().sum::<Length>(), split.run + split.lap * (n as i64 - 1));
            for (i, &length) in lengths.iter().enumerate() {
                let mut blank = length;
                if i == 0 { blank += split.depths[0]; }
                if i == n - 1 { blank += split.depths[1]; }
                prop_assert!(blank <= split.longest);
                prop_assert!(length > Length::ZERO);
            }
            if n > 1 {
                let fewer = n as i64 - 1;
                let reach = split.longest * fewer - split.lap * (fewer - 1) - split.depths[0] - split.depths[1];
                prop_assert!(reach < split.run, "{} pieces would have done", fewer);
            }
        }
    }
}
