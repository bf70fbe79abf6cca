//! The finished section as it stands on the building: what it covers, each leg's outside width, the angles it leaves open.
//!
//! Out from the wall is right, up is up.

use super::bent::{self, leg, moved};
use super::legs::{self, Finished};
use super::{Margins, Page, thick};
use crate::drawing::pen::{Pen, Words, big};
use crate::drawing::spots::pairs;
use crate::drawing::svg::Paint;
use crate::order::plan::{Hem, Piece};
use crate::order::{Painted, Trim};
use crate::trade::plane::{along, dot, less, turned};
use crate::trade::section::Fold;
use crate::trade::shape::{Course, Made, Part, Sheet, Station};

/// How deep the building is drawn behind the metal, in ems.
pub const BUILDING: f64 = 1.1;

/// In ems: what the building shows of itself past the metal, up a wall and along a roof.
const PAST_ON_WALL: f64 = 0.8;
const PAST_ON_ROOF: f64 = 2.2;

pub fn draw(pen: &mut Pen, piece: &Piece) {
    let (sin, cos) = piece.section.heading_deg.to_radians().sin_cos();
    let standing = |sheet: &Sheet| moved(sheet.shape(Made::ALL), |point| turned(point, [cos, sin]));
    let true_sheet = bent::sheet(piece);
    let courses = standing(&true_sheet);
    let hems = hems(pen, piece);
    let page =
        Page::fit(pen, &super::points(&courses).collect::<Vec<_>>(), true, &margins(piece, &courses, !hems.is_empty()));
    let sheet = thick(pen, &page, true_sheet);
    let finished = Finished { piece, page: &page, courses: &standing(&sheet), sheet: &sheet };

    let building = building(pen, &finished);
    pen.sheet(&page, finished.courses, sheet.thickness, false);
    painted(pen, &finished);
    legs::tell(pen, &finished, &building);
    let at = [pen.em * 0.6, pen.height - pen.em * 0.85];
    pen.place(at, [1.0, 0.0], 0.0, &hems);
}

/// Room for what is told on each side of the section.
fn margins(piece: &Piece, courses: &[Course], hems: bool) -> Margins {
    let mut margins = Margins { top: 2.4, right: 2.6, bottom: if hems { 2.6 } else { 1.4 }, left: 2.6 };
    if legs::in_a_table(piece) {
        margins.right = legs::TABLE + 1.6;
        return margins;
    }
    for index in 0..piece.section.legs.len() {
        let (Some([from, _]), hidden) = (leg(courses, index), !legs::told_on_seen_side(piece, index)) else { continue };
        let [x, y] = if hidden { super::minus(from.normal) } else { from.normal };
        let behind = if hidden {
            BUILDING + 0.6
        } else if legs::opens_beside(piece, index) {
            3.0
        } else {
            0.0
        };
        let side = if x > 0.0 { &mut margins.right } else { &mut margins.left };
        *side = side.max(2.6 + (4.0 + behind) * x.abs());
        let side = if y > 0.0 { &mut margins.top } else { &mut margins.bottom };
        *side = side.max(1.4 + (2.6 + behind) * y.abs() + if hems && y < 0.0 { 1.2 } else { 0.0 });
    }
    margins
}

/// How many legs, from the datum edge on, lie on the building.
fn legs_on_the_building(trim: Trim) -> usize {
    match trim {
        Trim::EndWall | Trim::SideWall | Trim::Gable | Trim::Eave | Trim::Ridge => 2,
        Trim::Reglet | Trim::Custom => 1,
    }
}

/// The wall and roof behind the legs that lie on them, hatched; gives the line of what they lie on and of what is behind.
fn building(pen: &mut Pen, finished: &Finished) -> Vec<[[f64; 2]; 2]> {
    let Finished { piece, page, courses, sheet } = *finished;
    let on_it: Vec<[Station; 2]> =
        (0..legs_on_the_building(piece.trim)).filter_map(|index| leg(courses, index)).collect();
    let (Some(&first), Some(&last)) = (on_it.first(), on_it.last()) else { return vec![] };
    // Behind a hem folded back on the hidden side.
    let behind = |index: usize| {
        let hem = if index == 0 { sheet.datum_hem } else { None };
        let hem = hem.or(if index + 1 == sheet.legs.len() { sheet.lower_hem } else { None });
        sheet.thickness / 2.0 + hem.map_or(0.0, |hem| hem.gap + sheet.thickness)
    };
    let past = |station: Station| {
        let steep = station.heading()[1].abs() > 0.99;
        pen.em * if steep { PAST_ON_WALL } else { PAST_ON_ROOF } / page.scale
    };
    let down = if piece.trim == Trim::Reglet {
        // The wall goes on down behind the face.
        let lowest = super::points(courses).map(|point| point[1]).fold(f64::MAX, f64::min);
        last[1].at[1] - lowest
    } else {
        0.0
    };
    let line = |depth: f64| -> Vec<[f64; 2]> {
        let off = |index: usize, station: Station| station.off(-behind(index) - depth / page.scale);
        let end = on_it.len() - 1;
        let from = along(off(0, first[0]), first[0].heading(), -past(first[0]));
        let to = along(off(end, last[1]), last[1].heading(), past(last[1]) + down);
        let corner = (end > 0).then(|| crossing(off(0, first[1]), first[1], off(1, last[0]), last[0]));
        [Some(from), corner, Some(to)].into_iter().flatten().map(|point| page.at(point)).collect()
    };
    let (near, far) = (line(pen.line() * 1.5), line(pen.em * BUILDING));
    let (faint, width) = (pen.theme.faint, pen.line());
    let band: Vec<[f64; 2]> = near.iter().chain(far.iter().rev()).copied().collect();
    pen.svg.polygon(&band, Paint::fill(pen.theme.waste));
    pen.hatch(&band, 0.5, faint, width * 0.6);
    pen.svg.polyline(&near, Paint::stroke(faint, width * 1.4));
    pairs(&near).chain(pairs(&far)).collect()
}

/// Where the lines through `a` and `b` along two stations meet.
fn crossing(a: [f64; 2], along_a: Station, b: [f64; 2], along_b: Station) -> [f64; 2] {
    let across = dot(along_a.heading(), along_b.normal);
    if across.abs() < 1e-9 {
        return a;
    }
    along(a, along_a.heading(), dot(less(b, a), along_b.normal) / across)
}

/// A line along the painted face, or the face that is seen where none is, and what it means.
fn painted(pen: &mut Pen, finished: &Finished) {
    let Finished { piece, page, courses, sheet } = *finished;
    let (words, sides): (_, &[f64]) = match piece.section.painted {
        Painted::Out => ("painted side", &[1.0]),
        Painted::In => ("painted side", &[-1.0]),
        Painted::Both => ("painted, both sides", &[1.0, -1.0]),
        Painted::None => ("side that is seen", &[1.0]),
    };
    let paint = Paint::stroke(pen.theme.now, pen.line() * 2.4);
    let legs = courses.iter().filter(|course| matches!(course.part, Part::Leg(_) | Part::Fold(Fold::Bend(_))));
    for side in sides {
        let stations = legs.clone().flat_map(|course| &course.stations);
        let face: Vec<_> = stations.map(|station| page.at(station.off(side * sheet.thickness / 2.0))).collect();
        pen.svg.polyline(&face, paint);
    }
    let (y, start) = (pen.em * 0.95, pen.em * 0.7);
    pen.svg.line([start, y], [start + pen.em * 1.8, y], paint);
    let words = [pen.quiet(words)];
    pen.place([start + pen.em * 2.2, y], [1.0, 0.0], 0.0, &words);
}

/// What there is to say of the hems.
fn hems(pen: &Pen, piece: &Piece) -> Vec<Words> {
    let one = |name: &str, hem: &Option<Hem>| {
        let hem = hem.as_ref()?;
        let kind = hem
            .gap
            .as_ref()
            .map_or_else(|| vec![pen.quiet("closed")], |gap| vec![pen.quiet("open"), pen.value(big(gap))]);
        Some([vec![pen.quiet(format!("{name} hem")), pen.value(big(&hem.width))], kind].concat())
    };
    let (datum, lower) = (one("datum", &piece.datum_hem), one("lower", &piece.hem));
    let between = (datum.is_some() && lower.is_some()).then(|| [pen.quiet("·")]);
    let words = datum.into_iter().flatten().chain(between.into_iter().flatten());
    words.chain(lower.into_iter().flatten()).collect()
}
