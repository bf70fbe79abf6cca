//! A test bend: what a strip of the shop's own metal, bent on its own brake, says of the next one.
//!
//! The strip is measured before, its two legs after. What the bend took is v = a + b − L, and for a known inside radius
//! that gives the neutral line. Two bends through different angles give the radius as well: v is linear in both.

use jiff::civil::Date;
use thiserror::Error;

use super::length::{Length, Units};
use super::metal::Metal;
use super::working::Working;

/// One strip bent once, as measured.
#[derive(Debug, Clone, PartialEq)]
pub struct TestBend {
    pub metal: Metal,
    /// The flat strip's length across the bend, before.
    pub strip: Length,
    /// The two legs after, outside: to the mould line up to 90°, beyond that to the line that touches the bend.
    pub legs: [Length; 2],
    /// Degrees the metal is bent through after it has sprung back: 180 less the opening angle.
    pub angle_deg: f64,
    /// Inside, by a radius gauge.
    pub radius: Option<Length>,
    /// Degrees the leaf was set to.
    pub set_angle_deg: Option<f64>,
    pub on: Date,
    /// Who bent and measured it: initials will do.
    pub by: String,
}

/// Sheets of one kind whose thicknesses differ by no more than this part bend alike. Common practice, no source.
const ALIKE: f64 = 0.05;

impl TestBend {
    /// Whether it tells how `metal` bends: the same kind, as thick within 5 %.
    pub fn tells_of(&self, metal: &Metal) -> bool {
        let thickness = metal.thickness.mm();
        self.metal.kind == metal.kind && (self.metal.thickness.mm() - thickness).abs() <= ALIKE * thickness
    }

    /// Both widths less the strip: v in DIN 6935, in mm. It may be negative past 90°.
    fn shortening(&self) -> f64 {
        (self.legs[0] + self.legs[1] - self.strip).mm()
    }

    fn thickness(&self) -> f64 {
        self.metal.thickness.mm()
    }

    /// What v is made of: v = `of_radius`·r + `of_thickness`·T − N·K·T, with N in radians.
    fn terms(&self) -> Terms {
        let bent_through = self.angle_deg.to_radians();
        let setback = 2.0 * (self.angle_deg.min(90.0) / 2.0).to_radians().tan();
        Terms { of_radius: setback - bent_through, of_thickness: setback, bent_through }
    }
}

struct Terms {
    of_radius: f64,
    of_thickness: f64,
    bent_through: f64,
}

/// How a metal bends in this shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The neutral line's distance from the inside face, in thicknesses.
    pub k: f64,
    /// Inside.
    pub radius: Length,
    /// The angle got over the angle set, where any test says: 1 or less.
    pub springback: Option<f64>,
    /// `test bend on 2026-11-25 by RT`.
    pub source: String,
    pub working: Vec<Working>,
}

/// Why test bends say nothing, and what to measure again.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TestBendError {
    #[error("no test bend is given: bend one strip and measure it")]
    None,
    #[error(
        "bends through {angles} alone do not tell the radius from K: measure the inside radius with a radius gauge, or \
         bend one strip through 90° and another through 135°"
    )]
    TooAlike { angles: String },
    #[error(
        "K comes out at {k:.3}, and the neutral line lies between 0 and {LARGEST_K}: measure {} again (0.1 mm there \
         changes K by {per_tenth:.2})", again(*radius_measured)
    )]
    Neutral { k: f64, per_tenth: f64, radius_measured: bool },
    #[error(
        "the inside radius comes out at {mm:.2} mm, below 0: measure the strips, the legs and both angles again, or \
         measure the radius with a radius gauge"
    )]
    Radius { mm: f64 },
    #[error(
        "the leaf was set to {set}° and the metal stands at {got}°: metal springs back, so measure the angle bent through \
         again, or the angle set"
    )]
    SprungForward { set: f64, got: f64 },
}

impl TestBendError {
    /// Nothing is wrong so far, but one more measurement is needed.
    pub const fn wants_more(&self) -> bool {
        matches!(self, Self::None | Self::TooAlike { .. })
    }
}

const fn again(radius_measured: bool) -> &'static str {
    if radius_measured {
        "the strip, the legs, the angle and the radius"
    } else {
        "the strips, the legs and the angles"
    }
}

/// The middle of the sheet is 0.5; what is over that is measuring error, not metal.
const LARGEST_K: f64 = 0.55;

/// A reading error to reckon with, in mm: what a caliper and a steady hand leave.
const READING_MM: f64 = 0.1;

/// Where a reading error moves the radius by more than ten times itself, the angles are too alike.
const MOST_RADIUS_PER_READING: f64 = 10.0;

/// K, radius and springback from tests of one metal.
///
/// # Errors
/// [`TestBendError`]: what the tests lack, or what in them cannot be.
pub fn measure(tests: &[&TestBend]) -> Result<Measured, TestBendError> {
    if tests.is_empty() {
        return Err(TestBendError::None);
    }
    let radii: Vec<f64> = tests.iter().filter_map(|test| Some(test.radius?.mm())).collect();
    let solved = if radii.is_empty() { both(tests)? } else { k_alone(tests, mean(&radii)) };
    if solved.radius < 0.0 {
        return Err(TestBendError::Radius { mm: solved.radius });
    }
    let per_tenth = solved.k_per_mm * READING_MM;
    if !(0.0..=LARGEST_K).contains(&solved.k) {
        return Err(TestBendError::Neutral { k: solved.k, per_tenth, radius_measured: !radii.is_empty() });
    }
    let springback = springback(tests)?;
    let source = source(tests);
    let mut working = vec![k_working(tests, &solved, !radii.is_empty(), &source)];
    if let Some(ratio) = springback {
        working.push(springback_working(tests, ratio, &source));
    }
    Ok(Measured { k: solved.k, radius: Length::from_mm(solved.radius), springback, source, working })
}

/// In mm.
struct Solved {
    k: f64,
    radius: f64,
    /// How far an error of 1 mm in every shortening can move K.
    k_per_mm: f64,
}

/// Least squares for K alone: N·T·K = (2t − N)·r + 2t·T − v.
fn k_alone(tests: &[&TestBend], radius: f64) -> Solved {
    let rows = tests.iter().map(|test| {
        let terms = test.terms();
        let thickness = test.thickness();
        let arc = terms.bent_through * thickness;
        (arc, terms.of_radius * radius + terms.of_thickness * thickness - test.shortening())
    });
    let (squares, products) = rows.fold((0.0, 0.0), |(s, p), (arc, y)| (s + arc * arc, p + arc * y));
    Solved { k: products / squares, radius, k_per_mm: squares.sqrt().recip() }
}

/// Least squares for radius and K together: (2t − N)·r − N·T·K = v − 2t·T.
fn both(tests: &[&TestBend]) -> Result<Solved, TestBendError> {
    // The normal equations' sums, for columns r and K.
    let (mut rr, mut rk, mut kk, mut ry, mut ky) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for test in tests {
        let terms = test.terms();
        let thickness = test.thickness();
        let (r, k) = (terms.of_radius, -terms.bent_through * thickness);
        let y = test.shortening() - terms.of_thickness * thickness;
        rr += r * r;
        rk += r * k;
        kk += k * k;
        ry += r * y;
        ky += k * y;
    }
    let determinant = rr * kk - rk * rk;
    // The diagonal of the inverse is the variance that a unit error leaves in each unknown.
    let radius_per_mm = (kk / determinant).sqrt();
    // A determinant of 0 makes it infinite; one that rounding left a hair below, not a number.
    if radius_per_mm.is_nan() || radius_per_mm > MOST_RADIUS_PER_READING {
        let angles: Vec<String> = tests.iter().map(|test| format!("{}°", test.angle_deg)).collect();
        return Err(TestBendError::TooAlike { angles: angles.join(", ") });
    }
    Ok(Solved {
        k: (rr * ky - rk * ry) / determinant,
        radius: (kk * ry - rk * ky) / determinant,
        k_per_mm: (rr / determinant).sqrt(),
    })
}

/// The mean of the angles got over the angles set.
fn springback(tests: &[&TestBend]) -> Result<Option<f64>, TestBendError> {
    let mut ratios = Vec::new();
    for test in tests {
        let Some(set) = test.set_angle_deg else { continue };
        if test.angle_deg > set {
            return Err(TestBendError::SprungForward { set, got: test.angle_deg });
        }
        ratios.push(test.angle_deg / set);
    }
    Ok((!ratios.is_empty()).then(|| mean(&ratios)))
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// `test bend on 2026-11-25 by RT`; of several, each.
fn source(tests: &[&TestBend]) -> String {
    let mut each: Vec<String> = tests.iter().map(|test| format!("on {} by {}", test.on, test.by)).collect();
    each.dedup();
    format!("test {} {}", if tests.len() == 1 { "bend" } else { "bends" }, each.join(", "))
}

fn k_working(tests: &[&TestBend], solved: &Solved, radius_measured: bool, source: &str) -> Working {
    let mut inputs = Vec::new();
    for test in tests {
        inputs.push(("T".to_owned(), test.metal.thickness.decimal(Units::Mm)));
        inputs.push(("L, strip before".into(), test.strip.decimal(Units::Mm)));
        inputs.push(("a + b, legs after".into(), (test.legs[0] + test.legs[1]).decimal(Units::Mm)));
        inputs.push(("N, bent through".into(), format!("{}°", test.angle_deg)));
    }
    let (what, rule, result);
    let k = format!(
        "K = {:.3}; {READING_MM} mm of reading error moves it by {:.2}",
        solved.k,
        solved.k_per_mm * READING_MM
    );
    if radius_measured {
        inputs.push(("r, inside radius".into(), format!("{:.3} mm", solved.radius)));
        what = "neutral line";
        rule = "a + b − L = 2·(r + T)·tan(min(N, 90°)/2) − N·(r + K·T), solved for K";
        result = k;
    } else {
        what = "neutral line and inside radius";
        rule = "a + b − L = 2·(r + T)·tan(min(N, 90°)/2) − N·(r + K·T), solved for K and r by least squares";
        result = format!("{k}; r = {:.3} mm", solved.radius);
    }
    Working::new(what, rule, inputs, result, source)
}

fn springback_working(tests: &[&TestBend], ratio: f64, source: &str) -> Working {
    let inputs = tests.iter().filter_map(|test| {
        let set = test.set_angle_deg?;
        Some(("angle got / set", format!("{}° / {set}°", test.angle_deg)))
    });
    Working::new("springback", "angle got / angle set, the mean", inputs, format!("{ratio:.4}"), source)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::metal::Kind;
    use std::f64::consts::PI;

    /// A 0.040 in aluminium strip bent through `angle` so that `v` mm is taken.
    fn strip(angle_deg: f64, v: f64, radius: Option<f64>) -> TestBend {
        let legs = [Length::millimetres(40), Length::millimetres(60)];
        TestBend {
            metal: Metal::thickness(Kind::Aluminium, Length::from_inches(0.04)).unwrap(),
            strip: Length::from_mm(100.0 - v),
            legs,
            angle_deg,
            radius: radius.map(Length::from_mm),
            set_angle_deg: None,
            on: jiff::civil::date(2026, 11, 25),
            by: "RT".into(),
        }
    }

    const T: f64 = 1.016;

    /// Machinery's Handbook, 31st ed., p. 1421, eqs 32–34: at 90° the bend takes a length of 0.55, 0.64 or 0.71 T + 1.57 R;
    /// the K-factors these imply are 0.350, 0.407 and 0.452.
    #[test]
    fn the_handbooks_right_angles_give_the_handbooks_k() {
        for (part, k) in [(0.55, 0.350), (0.64, 0.407), (0.71, 0.452)] {
            for radius in [0.5, 1.0, 3.0] {
                let allowance = part * T + 1.57 * radius;
                let test = strip(90.0, 2.0 * (radius + T) - allowance, Some(radius));
                let measured = measure(&[&test]).unwrap();
                // 1.57 is π/2 rounded: 0.0008 R / (1.57 T).
                assert!((measured.k - k).abs() < 0.002, "{part} at {radius}: {}", measured.k);
            }
        }
    }

    /// FAA-H-8083-31, ch. 4: BA = (0.01743 R + 0.0078 T)·N, setback tan(N/2)·(R + T); the formula implies K = 0.447.
    #[test]
    fn the_faa_formula_gives_its_k_and_the_radius() {
        let radius = 3.175;
        let bent = |n: f64| {
            let allowance = (0.01743 * radius + 0.0078 * T) * n;
            let setback = (n.to_radians() / 2.0).tan() * (radius + T);
            strip(n, 2.0 * setback - allowance, None)
        };
        let measured = measure(&[&bent(45.0), &bent(90.0)]).unwrap();
        // The rounded 0.01743 takes the place of π/180 here, which the radius has to make up for.
        assert!((measured.k - 0.447).abs() < 0.01, "{}", measured.k);
        assert!((measured.radius.mm() - radius).abs() < 0.02, "{}", measured.radius.mm());
    }

    /// DIN 6935's v (secondary), with K = k/2 and the strip's ends worked out by arcs and tangents, not by this file's rule.
    #[test]
    fn radius_and_k_come_back_from_simulated_bends() {
        let (radius, k) = (1.8, 0.38);
        let bent = |opening: f64| {
            let n = PI - opening.to_radians();
            let arc = n * (radius + k * T);
            // The outside of the arc's start lies this far from what the leg is measured to.
            let reach = if opening >= 90.0 { (radius + T) / (opening.to_radians() / 2.0).tan() } else { radius + T };
            strip(180.0 - opening, 2.0 * reach - arc, None)
        };
        let tests = [bent(135.0), bent(90.0), bent(45.0), bent(30.0)];
        let measured = measure(&tests.iter().collect::<Vec<_>>()).unwrap();
        assert!((measured.k - k).abs() < 1e-4);
        assert!((measured.radius.mm() - radius).abs() < 1e-4);
        // With the radius measured, one strip is enough.
        for mut test in tests {
            test.radius = Some(Length::from_mm(radius));
            assert!((measure(&[&test]).unwrap().k - k).abs() < 1e-5);
        }
    }

    #[test]
    fn what_cannot_be_is_told_with_what_to_measure_again() {
        let one = strip(90.0, 1.9, None);
        assert!(measure(&[&one]).unwrap_err().wants_more());
        assert!(measure(&[&one, &strip(92.0, 1.9, None)]).unwrap_err().wants_more());
        assert!(measure(&[]).unwrap_err().wants_more());

        // The legs read 1 mm short: K = 0.38 + 1/(π/2·T) or so.
        let short = strip(90.0, 0.9, Some(1.0));
        let error = measure(&[&short]).unwrap_err();
        assert!(matches!(error, TestBendError::Neutral { k, .. } if k > 0.55), "{error}");
        assert!(error.to_string().contains("measure the strip, the legs, the angle and the radius again (0.1 mm"));
        let long = strip(90.0, 3.9, Some(1.0));
        assert!(matches!(measure(&[&long]), Err(TestBendError::Neutral { k, .. }) if k < 0.0));

        let inside_out = [strip(90.0, 1.0, None), strip(135.0, 1.8, None)];
        let error = measure(&[&inside_out[0], &inside_out[1]]).unwrap_err();
        assert!(matches!(error, TestBendError::Radius { mm } if mm < 0.0), "{error}");
        assert!(!error.wants_more());
    }

    #[test]
    fn springback_is_got_over_set_and_never_over_one() {
        let set = |set_angle| {
            let mut test = strip(90.0, 1.9, Some(1.0));
            test.set_angle_deg = Some(set_angle);
            test
        };
        let [near, far] = [set(93.0), set(97.0)];
        let measured = measure(&[&near, &far]).unwrap();
        assert!((measured.springback.unwrap() - (90.0 / 93.0 + 90.0 / 97.0) / 2.0).abs() < 1e-12);
        assert_eq!(measured.working.len(), 2);
        assert_eq!(measured.source, "test bends on 2026-11-25 by RT");
        assert_eq!(
            measure(&[&set(88.0)]).unwrap_err().to_string(),
            "the leaf was set to 88° and the metal stands at 90°: metal springs back, so measure the angle bent through \
             again, or the angle set"
        );
    }

    #[test]
    fn a_test_tells_of_its_own_kind_within_5_percent() {
        let test = strip(90.0, 1.9, None);
        let sheet = |kind, inches| Metal::thickness(kind, Length::from_inches(inches)).unwrap();
        assert!(test.tells_of(&sheet(Kind::Aluminium, 0.041)));
        assert!(!test.tells_of(&sheet(Kind::Aluminium, 0.043)));
        assert!(!test.tells_of(&sheet(Kind::Copper, 0.04)));
    }
}
