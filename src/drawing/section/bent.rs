//! A piece's strip made ready to be drawn: thick enough to be seen, laid on the plane of the picture.
//!
//! Where the metal runs is [`shape`](crate::trade::shape)'s to say. Outside widths and angles stay true whatever the
//! thickness drawn.

use crate::order::plan::{Hem, Piece};
use crate::trade::bending::Rule;
use crate::trade::section::{Bend, Edge};
use crate::trade::shape::{Course, HemSize, Part, Sheet, Station};

/// The strip of `piece`. The neutral line runs through the middle of the sheet, as drawn.
pub fn sheet(piece: &Piece) -> Sheet {
    let section = &piece.section;
    let size = |hem: &Option<Hem>| {
        let hem = hem.as_ref()?;
        Some(HemSize { width: hem.width.mm, gap: hem.gap.as_ref().map_or(0.0, |gap| gap.mm) })
    };
    Sheet {
        legs: section.legs.iter().map(|leg| leg.width.mm).collect(),
        bends: piece.bends.iter().map(|bend| Bend { through_deg: bend.angle_deg, turn: bend.turn }).collect(),
        datum_hem: size(&piece.datum_hem),
        lower_hem: size(&piece.hem),
        thickness: section.thickness.mm,
        inside_radius: section.inside_radius.mm,
        rule: Rule::KFactor(0.5),
    }
}

/// The same trim in a sheet up to `thickness` thick, as far as its legs keep a flat between their bends and its hems lie
/// apart from them.
pub fn thickened(sheet: Sheet, thickness: f64) -> Sheet {
    let hems = [sheet.datum_hem, sheet.lower_hem];
    let most = hems.into_iter().flatten().map(|hem| (hem.width - hem.gap / 2.0) / 2.5).fold(thickness, f64::min);
    let in_thickness = |thickness: f64| Sheet {
        thickness: sheet.thickness.max(thickness),
        inside_radius: sheet.inside_radius.max(thickness),
        ..sheet.clone()
    };
    let keeps_flats = |sheet: &Sheet| {
        sheet.legs.iter().enumerate().all(|(leg, width)| sheet.past_flat(leg).iter().sum::<f64>() < width * 0.7)
    };
    let thinner = std::iter::successors(Some(most), |thickness| Some(thickness * 0.9));
    let mut thick = thinner.take_while(|&thickness| thickness > sheet.thickness).map(in_thickness).filter(keeps_flats);
    thick.next().unwrap_or(sheet)
}

/// Only the hem at `edge` and a strip of `width`, its other edge hemmed only where `other_hemmed`: for a picture of the
/// hem alone. So small, the other hem is drawn closed.
pub fn close_up(mut sheet: Sheet, edge: Edge, width: f64, other_hemmed: bool) -> Sheet {
    sheet.legs = vec![width];
    sheet.bends.clear();
    let other = match edge {
        Edge::Datum => &mut sheet.lower_hem,
        Edge::Lower => &mut sheet.datum_hem,
    };
    *other = other.filter(|_| other_hemmed).map(|hem| HemSize { gap: 0.0, ..hem });
    sheet
}

/// The corner where the centre lines before and after a bend would meet: from the end of the leg before it, this far on.
/// As a bend closes the corner runs away: past 120° it stands still.
pub fn corner_past_leg(sheet: &Sheet, bend: &Bend) -> f64 {
    sheet.centre_radius() * (bend.through_deg.min(120.0) / 2.0).to_radians().tan()
}

/// Where a leg begins and ends.
pub fn leg(courses: &[Course], index: usize) -> Option<[Station; 2]> {
    let course = courses.iter().find(|course| course.part == Part::Leg(index))?;
    Some([*course.stations.first()?, *course.stations.last()?])
}

/// The courses after `change` of each point and direction; `change` turns or mirrors, and keeps lengths.
pub fn moved(mut courses: Vec<Course>, change: impl Fn([f64; 2]) -> [f64; 2]) -> Vec<Course> {
    for station in courses.iter_mut().flat_map(|course| &mut course.stations) {
        station.at = change(station.at);
        station.normal = change(station.normal);
    }
    courses
}
