//! What settings owe each other, checked once all of them are read.

use super::Shop;
use crate::trade::length::Length;

/// What two settings owe each other, or one itself.
pub(super) struct Relation {
    /// The pointer of the setting that is at fault where it does not hold.
    pub at: &'static str,
    pub to: &'static str,
    pub holds: fn(&Shop) -> bool,
    pub fault: &'static str,
}

const fn relation(at: &'static str, to: &'static str, holds: fn(&Shop) -> bool, fault: &'static str) -> Relation {
    Relation { at, to, holds, fault }
}

const UNDER_LEAST_LAP: &str = "under `least_lap`; give that or more";
const HEM_TOO_NARROW: &str = "narrower than the brake's `least_flange`; give that or more";
const HEM_TOO_WIDE: &str = "as wide as the leg it is folded behind; give less than that leg";

pub(super) const RELATIONS: &[Relation] = &[
    relation("/orders/lap", "/orders/least_lap", |shop| shop.orders.lap >= shop.orders.least_lap, UNDER_LEAST_LAP),
    relation(
        "/orders/lap_metric",
        "/orders/least_lap",
        |shop| shop.orders.lap_metric >= shop.orders.least_lap,
        UNDER_LEAST_LAP,
    ),
    relation(
        "/orders/least_piece",
        "/orders/longest",
        |shop| shop.orders.least_piece < shop.orders.longest,
        "no shorter than `longest`; give less than that",
    ),
    relation(
        "/orders/longest",
        "/brake/length",
        |shop| shop.orders.longest <= shop.brake.length,
        "longer than the brake's `length`; give that or less",
    ),
    // Finer steps could not be said in fractions, nor found on a tape.
    relation(
        "/orders/grid_in",
        "/orders/grid_in",
        |shop| shop.orders.grid_in.nm() % Length::sixty_fourths(1).nm() == 0,
        "not a whole number of 1/64 in; give one, like 1/16 in",
    ),
    relation(
        "/profiles/end_wall/hem",
        "/brake/least_flange",
        |shop| shop.profiles.end_wall.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/reglet/hem",
        "/brake/least_flange",
        |shop| shop.profiles.reglet.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/side_wall/hem",
        "/brake/least_flange",
        |shop| shop.profiles.side_wall.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/gable/hem",
        "/brake/least_flange",
        |shop| shop.profiles.gable.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/eave/hem",
        "/brake/least_flange",
        |shop| shop.profiles.eave.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/ridge/hem",
        "/brake/least_flange",
        |shop| shop.profiles.ridge.hem >= shop.brake.least_flange,
        HEM_TOO_NARROW,
    ),
    relation(
        "/profiles/end_wall/hem",
        "/profiles/end_wall/roof_leg",
        |shop| shop.profiles.end_wall.hem < shop.profiles.end_wall.roof_leg,
        HEM_TOO_WIDE,
    ),
    relation(
        "/profiles/reglet/hem",
        "/profiles/reglet/face",
        |shop| shop.profiles.reglet.hem < shop.profiles.reglet.face,
        HEM_TOO_WIDE,
    ),
    relation(
        "/profiles/side_wall/hem",
        "/profiles/side_wall/roof_leg",
        |shop| shop.profiles.side_wall.hem < shop.profiles.side_wall.roof_leg,
        HEM_TOO_WIDE,
    ),
    relation(
        "/profiles/gable/hem",
        "/profiles/gable/face",
        |shop| shop.profiles.gable.hem < shop.profiles.gable.face,
        HEM_TOO_WIDE,
    ),
    relation(
        "/profiles/eave/hem",
        "/profiles/eave/kick",
        |shop| shop.profiles.eave.hem < shop.profiles.eave.kick,
        HEM_TOO_WIDE,
    ),
    relation(
        "/profiles/ridge/hem",
        "/profiles/ridge/leg",
        |shop| shop.profiles.ridge.hem < shop.profiles.ridge.leg,
        HEM_TOO_WIDE,
    ),
    relation(
        "/expansion/coldest",
        "/expansion/hottest",
        |shop| shop.expansion.coldest_f < shop.expansion.hottest_f,
        "no colder than `hottest`; give less than that",
    ),
    relation(
        "/sealing/waste",
        "/sealing/waste",
        |shop| (shop.sealing.waste_percent * 100.0).round() / 100.0 == shop.sealing.waste_percent,
        "finer than a hundredth of a percent; give a number like 12.5",
    ),
];
