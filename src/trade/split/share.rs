//! Lengths that add up to a total, each under its cap: shared evenly, or as long as can be from the first.

use super::Length;

/// Shares `total` evenly under caps whose sum is at least `total`.
///
/// No share is below `least` where all can be that long. What the step leaves over is given out a step at a time to the
/// first, and a remainder smaller than a step to the next, so the sum is exact.
pub(super) fn even(total: Length, caps: &[Length], least: Length, step: Length) -> Vec<Length> {
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

    let whole_steps = Length::from_nm(level.nm() / step.nm() * step.nm()).max(least.min(level));
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

/// Lengths as long as can be from the first, none below `least`; the last is the rest. The caps' sum is at least `total`,
/// and `least` for each at most.
///
/// Each is a whole number of steps where those after it can take up what is rounded off; where the last would fall short
/// of `least`, the ones before it give up what it needs.
pub(super) fn longest_first(total: Length, caps: &[Length], least: Length, step: Length) -> Vec<Length> {
    let mut left = total;
    let mut caps_after: Length = caps.iter().copied().sum();
    let lengths = caps.iter().enumerate().map(|(i, &cap)| {
        caps_after -= cap;
        let after = (caps.len() - 1 - i) as i64;
        let most = cap.min(left - least * after);
        let whole_steps = Length::from_nm(most.nm() / step.nm() * step.nm());
        let takes_up = whole_steps >= least && left - whole_steps <= caps_after;
        let length = if takes_up { whole_steps } else { most };
        left -= length;
        length
    });
    lengths.collect()
}
