//! What a bend and a hem take: how much shorter the flat blank is than the sum of the outside widths.
//!
//! All in millimetres and degrees, unrounded: the caller adds up and rounds once.

/// How the stretch of a bend is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Rule {
    /// DIN 6935's shortening, with its `k` from the ratio of radius to thickness.
    #[default]
    Din6935,
    /// A neutral line this part of the thickness from the inside, as handbooks give it or the shop measured it.
    KFactor(f64),
}

/// DIN 6935 takes nothing off for a bend through less than this.
const LEAST_BENT: f64 = 15.0;

/// DIN 6935: where the neutral line lies, as a part of half the thickness.
///
/// 1 above r/s = 5. The formula falls below 0 under r/s = 0.05, outside the metal: there the line is its inside face.
pub fn k(r_over_s: f64) -> f64 {
    if r_over_s > 5.0 { 1.0 } else { (0.65 + 0.5 * r_over_s.log10()).max(0.0) }
}

/// From where a leg's outside width is measured to where its flat begins, at one bend, in mm.
///
/// Widths run to the mould line for bends through up to 90°, beyond that to the line that touches the outside of the
/// bend, as in DIN 6935: the mould line runs away to nowhere as a bend closes. `bent_through_deg` is 0 to 180.
pub fn setback(bent_through_deg: f64, radius_mm: f64, thickness_mm: f64) -> f64 {
    (radius_mm + thickness_mm) * (bent_through_deg.min(90.0) / 2.0).to_radians().tan()
}

/// How much shorter the blank is than the sum of the two outside widths at one bend, in mm.
pub fn shortening(rule: Rule, bent_through_deg: f64, radius_mm: f64, thickness_mm: f64) -> f64 {
    let bent_through = bent_through_deg.to_radians();
    let neutral_part = match rule {
        Rule::Din6935 if bent_through_deg < LEAST_BENT => return 0.0,
        Rule::Din6935 => k(radius_mm / thickness_mm) / 2.0,
        Rule::KFactor(part) => part,
    };
    2.0 * setback(bent_through_deg, radius_mm, thickness_mm) - bent_through * (radius_mm + neutral_part * thickness_mm)
}

/// The metal in a quarter turn folded flat on itself, in thicknesses: Machinery's Handbook, 31st ed., p. 1421, eq. 33
/// (soft steel, aluminium, half-hard copper) at R = 0.
const QUARTER_FOLD: f64 = 0.64;

/// The middle of an open hem's arc of inside radius R is that much longer than a closed fold's for each R of a quarter
/// turn: eq. 33's 1.57 R.
const QUARTER_ARC: f64 = 1.57;

/// What a hem of finished width `width_mm` and inside gap `gap_mm` adds to the girth, in mm; a closed hem's gap is 0.
///
/// Leg and hem are measured to the outside of the fold. Their flats end one thickness and half the gap short of it, and
/// the fold is two quarter turns: (leg − T − g/2) + 1.28 T + 1.57 g + (h − T − g/2) = leg + h − 0.72 T + 0.57 g.
pub fn hem_allowance(width_mm: f64, gap_mm: f64, thickness_mm: f64) -> f64 {
    width_mm + fold_length(gap_mm, thickness_mm) - 2.0 * hem_setback(gap_mm, thickness_mm)
}

/// The metal in a hem's whole fold, in mm.
pub fn fold_length(gap_mm: f64, thickness_mm: f64) -> f64 {
    2.0 * QUARTER_FOLD * thickness_mm + QUARTER_ARC * gap_mm
}

/// From the outside of a hem's fold to where its flats begin, in mm.
pub fn hem_setback(gap_mm: f64, thickness_mm: f64) -> f64 {
    thickness_mm + gap_mm / 2.0
}

/// From the end of the leg, measured to the outside of the fold, to the fold line on the blank, in mm: the line lies half
/// the fold past the leg's flat, (leg − T − g/2) + 0.64 T + 0.785 g = leg − 0.36 T + 0.285 g.
pub fn hem_fold_past_leg(gap_mm: f64, thickness_mm: f64) -> f64 {
    fold_length(gap_mm, thickness_mm) / 2.0 - hem_setback(gap_mm, thickness_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mould_and_tangent_lines_agree_at_a_right_angle() {
        for rule in [Rule::Din6935, Rule::KFactor(0.4)] {
            let [at, past] = [90.0, 90.0 + 1e-9].map(|n| shortening(rule, n, 1.0, 0.7));
            assert!((at - past).abs() < 1e-6);
        }
    }

    #[test]
    fn no_bend_takes_nothing_and_no_radius_is_a_number() {
        assert_eq!(shortening(Rule::KFactor(0.4), 0.0, 1.0, 1.0), 0.0);
        assert!((shortening(Rule::Din6935, 90.0, 0.0, 1.0) - 2.0).abs() < 1e-12);
    }

    /// DIN 6935 with k is a K-factor of k/2: the two rules are one geometry.
    #[test]
    fn a_k_factor_of_half_k_is_din() {
        for n in [15.0, 60.0, 90.0, 135.0, 180.0] {
            let din = shortening(Rule::Din6935, n, 2.0, 1.0);
            assert_eq!(shortening(Rule::KFactor(k(2.0) / 2.0), n, 2.0, 1.0), din);
        }
    }

    #[test]
    fn the_fold_line_has_half_the_fold_on_either_side() {
        let (leg, hem, t) = (127.0, 12.7, 0.7);
        for gap in [0.0, 3.0] {
            let flats = hem_setback(gap, t);
            let girth = leg + hem_allowance(hem, gap, t);
            let fold = leg + hem_fold_past_leg(gap, t);
            assert!((fold - (leg - flats) - (girth - (hem - flats) - fold)).abs() < 1e-12);
        }
        assert!((hem_allowance(hem, 0.0, t) - (hem - 0.72 * t)).abs() < 1e-12);
        assert!((hem_allowance(hem, 3.0, t) - (hem - 0.72 * t + 0.57 * 3.0)).abs() < 1e-12);
    }
}
