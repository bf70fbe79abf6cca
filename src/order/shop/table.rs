//! Every setting of the shop, in the order the file prints them.

use super::Shop;
use super::keys::{Key, Section, Setting, Unit};
use super::printer;
use crate::trade::length::Length;
use crate::trade::lifting::Lift;
use crate::trade::metal::Kind;
use crate::trade::working::COMMON_PRACTICE;

const UFGS: &str = "UFGS 07 60 00";
const IRC: &str = "IRC 2018 R905.2.8.3, which asks side walls for 4 in";
const UNDER_ROOFING: &str = "UFGS 07600, which asks for 4 in under roofing";
const MANUAL: &str = "Copper Flashings: A Manual, for about 1/2 in";
const NIOSH: &str = "NIOSH 94-110; the value is common practice, no source";
const ITS_PLATE: &str = "the brake's plate; the value is common practice, no source";

const fn inches(count: i64) -> Length {
    Length::inches(count)
}

const fn feet(count: i64) -> Length {
    Length::inches(count * 12)
}

const fn sixteenths(count: i64) -> Length {
    Length::sixty_fourths(count * 4)
}

/// No leg is wider than the coil it is slit from.
const WIDEST_LEG: Length = inches(48);

const fn length(name: &'static str, least: Length, most: Length, at: fn(&mut Shop) -> &mut Length) -> Key {
    Key::new(name, Setting::Length { least, most, at })
}

const fn leg(name: &'static str, at: fn(&mut Shop) -> &mut Length) -> Key {
    length(name, sixteenths(4), WIDEST_LEG, at)
}

const fn hem(at: fn(&mut Shop) -> &mut Length) -> Key {
    length("hem", sixteenths(2), inches(3), at).means("The closed hem folded back at the lower edge.", MANUAL)
}

const fn number(name: &'static str, unit: Unit, least: f64, most: f64, at: fn(&mut Shop) -> &mut f64) -> Key {
    Key::new(name, Setting::Number { unit, least, most, at })
}

const fn capacity(kind: Kind, about: &'static str, at: fn(&mut Shop) -> &mut Length) -> Key {
    length(kind.key(), Length::from_nm(200_000), Length::millimetres(3), at).means(about, ITS_PLATE)
}

const fn interval(
    kind: Kind,
    about: &'static str,
    source: &'static str,
    at: fn(&mut Shop) -> &mut Option<Length>,
) -> Key {
    Key::new(kind.key(), Setting::LengthOrNone { least: feet(4), most: feet(200), at }).means(about, source)
}

pub(super) const TABLE: &[Section] = &[
    Section {
        path: "orders",
        about: "What an order may leave out, and what it may not go below.",
        keys: &[
            length("least_lap", inches(1), inches(24), |shop| &mut shop.orders.least_lap).means(
                "The least lap of two pieces; an order that asks for less is refused.",
                "common practice; UFGS 07 60 00 asks for 3 in, UFGS 07412 for 4 in",
            ),
            length("lap", inches(1), inches(24), |shop| &mut shop.orders.lap)
                .means("The lap of a run that names none, in an order in inches.", COMMON_PRACTICE),
            length("lap_metric", inches(1), inches(24), |shop| &mut shop.orders.lap_metric)
                .means("The lap of a run that names none, in an order in millimetres.", COMMON_PRACTICE),
            length("longest", inches(12), feet(40), |shop| &mut shop.orders.longest)
                .means("The longest blank; an order may name its own.", "UFGS 07600, for 8 to 10 ft"),
            length("least_piece", inches(1), feet(10), |shop| &mut shop.orders.least_piece).means(
                "The shortest piece worth making, and the shortest stub that a split leaves.",
                "UFGS 07600, for a corner piece's legs",
            ),
            length("grid_in", Length::sixty_fourths(1), inches(1), |shop| &mut shop.orders.grid_in)
                .means("Pieces are whole multiples of this long wherever the run allows, in an order in inches.", COMMON_PRACTICE),
            length("grid_mm", Length::from_nm(100_000), inches(1), |shop| &mut shop.orders.grid_mm).means(
                "Pieces are whole multiples of this long wherever the run allows, in an order in millimetres.",
                COMMON_PRACTICE,
            ),
        ],
    },
    Section {
        path: "profiles",
        about: "Outside (mould-line) widths of each trim, where a run sets none of its own.",
        keys: &[],
    },
    Section {
        path: "profiles.end_wall",
        about: "End wall: up the wall, and out over a roof that falls away from it.",
        keys: &[
            leg("wall_leg", |shop| &mut shop.profiles.end_wall.wall_leg).means("The leg up the wall.", IRC),
            leg("roof_leg", |shop| &mut shop.profiles.end_wall.roof_leg)
                .means("The leg out over the roof.", UNDER_ROOFING),
            hem(|shop| &mut shop.profiles.end_wall.hem),
        ],
    },
    Section {
        path: "profiles.reglet",
        about: "Reglet: a Z against the wall, out over the end wall, down over it.",
        keys: &[
            leg("wall_leg", |shop| &mut shop.profiles.reglet.wall_leg)
                .means("The leg against the wall.", COMMON_PRACTICE),
            leg("depth", |shop| &mut shop.profiles.reglet.depth)
                .means("Out over the end wall's wall leg.", COMMON_PRACTICE),
            leg("face", |shop| &mut shop.profiles.reglet.face).means("Down over the end wall.", COMMON_PRACTICE),
            hem(|shop| &mut shop.profiles.reglet.hem),
        ],
    },
    Section {
        path: "profiles.side_wall",
        about: "Side wall: up a wall that runs with the slope, and out over the roof.",
        keys: &[
            leg("wall_leg", |shop| &mut shop.profiles.side_wall.wall_leg).means("The leg up the wall.", IRC),
            leg("roof_leg", |shop| &mut shop.profiles.side_wall.roof_leg).means("The leg out over the roof.", IRC),
            hem(|shop| &mut shop.profiles.side_wall.hem),
        ],
    },
    Section {
        path: "profiles.gable",
        about: "Gable: over the roof's sloping edge and down its face.",
        keys: &[
            leg("roof_leg", |shop| &mut shop.profiles.gable.roof_leg).means("The leg in over the roof.", UNDER_ROOFING),
            leg("face", |shop| &mut shop.profiles.gable.face).means("Down the gable's face.", COMMON_PRACTICE),
            hem(|shop| &mut shop.profiles.gable.hem),
        ],
    },
    Section {
        path: "profiles.eave",
        about: "Eave: under the roofing, down the face, and out in a kick that the water drips from.",
        keys: &[
            leg("roof_leg", |shop| &mut shop.profiles.eave.roof_leg)
                .means("The leg in under the roofing.", UNDER_ROOFING),
            leg("face", |shop| &mut shop.profiles.eave.face).means("Down the eave's face.", COMMON_PRACTICE),
            leg("kick", |shop| &mut shop.profiles.eave.kick)
                .means("Out at the face's lower edge; the hem must fit behind it.", COMMON_PRACTICE),
            number("kick_angle", Unit::Degrees, 15.0, 90.0, |shop| &mut shop.profiles.eave.kick_angle_deg)
                .means("How far the kick leans out of the face, in degrees.", COMMON_PRACTICE),
            hem(|shop| &mut shop.profiles.eave.hem),
        ],
    },
    Section {
        path: "profiles.ridge",
        about: "Ridge: down over both roofs.",
        keys: &[
            leg("leg", |shop| &mut shop.profiles.ridge.leg).means("Down each side.", COMMON_PRACTICE),
            length("hem", sixteenths(2), inches(3), |shop| &mut shop.profiles.ridge.hem)
                .means("The closed hem folded back at both edges.", MANUAL),
        ],
    },
    Section {
        path: "brake",
        about: "The brake: measure it once. Bends it cannot make are refused, and the bends are ordered to fit it.",
        keys: &[
            length("length", feet(2), feet(40), |shop| &mut shop.brake.length)
                .means("The longest piece it bends.", ITS_PLATE),
            length("throat", inches(2), feet(10), |shop| &mut shop.brake.throat)
                .means("From the bend line back to where the frame closes the gap between bed and jaw.", ITS_PLATE),
            length("jaw_height", sixteenths(8), inches(24), |shop| &mut shop.brake.jaw_height).means(
                "How high the jaw stands above the sheet: a flange that swings back over it must pass there.",
                ITS_PLATE,
            ),
            number("nose_angle", Unit::Degrees, 10.0, 90.0, |shop| &mut shop.brake.nose_angle_deg)
                .means("Between the sheet behind the nose and the jaw's front face, in degrees.", ITS_PLATE),
            length("least_flange", sixteenths(1), inches(4), |shop| &mut shop.brake.least_flange).means(
                "The narrowest flange that the leaf turns, and the narrowest strip that the nose grips.",
                ITS_PLATE,
            ),
            number("greatest_angle", Unit::Degrees, 90.0, 170.0, |shop| &mut shop.brake.greatest_angle_deg)
                .means("The most that the leaf turns a flange through, in degrees.", ITS_PLATE),
        ],
    },
    Section {
        path: "brake.capacity",
        about: "The thickest sheet of each metal that the brake bends.",
        keys: &[
            capacity(Kind::GalvanizedSteel, "Galvanized steel: 0.0635 in is 16 ga.", |shop| {
                &mut shop.capacity.galvanized_steel
            }),
            capacity(Kind::Aluminium, "Aluminium.", |shop| &mut shop.capacity.aluminium),
            capacity(Kind::Copper, "Copper: 0.0646 in is 48 oz.", |shop| &mut shop.capacity.copper),
            capacity(Kind::StainlessSteel, "Stainless steel.", |shop| &mut shop.capacity.stainless_steel),
            capacity(Kind::Zinc, "Zinc.", |shop| &mut shop.capacity.zinc),
        ],
    },
    Section {
        path: "bending",
        about: "How bends are reckoned in a metal that has no test bend.",
        keys: &[
            Key::new("rule", Setting::Rule { at: |shop| &mut shop.bending.rule })
                .means("DIN 6935's shortening, or a K-factor fixed by `k`.", "DIN 6935"),
            number("k", Unit::Plain, 0.0, 0.5, |shop| &mut shop.bending.k).means(
                "The neutral line's distance from the inside face in thicknesses; read where `rule` is \"k-factor\".",
                "FAA-H-8083-31, ch. 4, implies 0.447; Machinery's Handbook p. 1421 0.350 to 0.452",
            ),
        ],
    },
    Section {
        path: "splits",
        about: "Where a run is split into pieces.",
        keys: &[
            length("stagger", Length::ZERO, feet(10), |shop| &mut shop.splits.stagger)
                .means("The least distance along a wall between the laps of two of its trims.", COMMON_PRACTICE),
            length("seam_clearance", Length::ZERO, inches(12), |shop| &mut shop.splits.seam_clearance)
                .means("The least distance of a lap from a set position, such as a panel's seam.", COMMON_PRACTICE),
        ],
    },
    Section {
        path: "expansion",
        about: "What the metal moves between its coldest and its hottest.",
        keys: &[
            number("coldest", Unit::Fahrenheit, -100.0, 100.0, |shop| &mut shop.expansion.coldest_f)
                .means("The metal's own temperature on the coldest night.", COMMON_PRACTICE),
            number("hottest", Unit::Fahrenheit, 0.0, 250.0, |shop| &mut shop.expansion.hottest_f)
                .means("The metal's own temperature under the hottest sun.", COMMON_PRACTICE),
            Key::new(
                "zinc",
                Setting::NumberOrNone {
                    unit: Unit::PpmPerF,
                    least: 5.0,
                    most: 25.0,
                    at: |shop| &mut shop.expansion.zinc_ppm_per_f,
                },
            )
            .means(
                "How much zinc moves, as its mill says; with \"none\", movement in zinc is not given.",
                "it varies by alloy, 10.8 to 19.3 ppm/°F: from memory",
            ),
        ],
    },
    Section {
        path: "expansion.interval",
        about: "The longest stretch between expansion joints, for each metal.",
        keys: &[
            interval(Kind::GalvanizedSteel, "Galvanized steel.", "none is published", |shop| {
                &mut shop.expansion.interval.galvanized_steel
            }),
            interval(Kind::Aluminium, "Aluminium.", UFGS, |shop| &mut shop.expansion.interval.aluminium),
            Key::new(
                "aluminium_fascia",
                Setting::LengthOrNone { least: feet(4), most: feet(200), at: |shop| &mut shop.expansion.aluminium_fascia },
            )
            .means("Aluminium, in eaves and gables.", UFGS),
            interval(Kind::Copper, "Copper.", UFGS, |shop| &mut shop.expansion.interval.copper),
            interval(Kind::StainlessSteel, "Stainless steel.", UFGS, |shop| &mut shop.expansion.interval.stainless_steel),
            interval(Kind::Zinc, "Zinc.", "none is published", |shop| &mut shop.expansion.interval.zinc),
        ],
    },
    Section {
        path: "fasteners",
        about: "What holds the trim, and where.",
        keys: &[
            length("wall_spacing", inches(1), inches(36), |shop| &mut shop.fasteners.wall).means(
                "The most between fasteners along a wall leg, and between those of an eave's roof leg and a gable's face.",
                COMMON_PRACTICE,
            ),
            length("wall_line", sixteenths(4), inches(12), |shop| &mut shop.fasteners.wall_line).means(
                "The wall fasteners' line, from the wall leg's upper edge; at most in the leg's middle.",
                COMMON_PRACTICE,
            ),
            length("wall_end", sixteenths(4), inches(12), |shop| &mut shop.fasteners.end).means(
                "The first and the last fastener of every line, not only the wall's: how far along it from the metal's ends.",
                COMMON_PRACTICE,
            ),
            length("screw_spacing", inches(1), inches(48), |shop| &mut shop.fasteners.screws)
                .means("The most between lap screws where the panels' seams are not told; else one on each.", COMMON_PRACTICE),
            length("screw_line", sixteenths(4), inches(12), |shop| &mut shop.fasteners.screw_line).means(
                "The line of all but the wall fasteners, and of the screws on a gable cut, from the trim's edge; at most in \
                 the leg's middle.",
                COMMON_PRACTICE,
            ),
            length("lap_side", sixteenths(4), inches(12), |shop| &mut shop.fasteners.lap_side).means(
                "How far lap screws stand from a lap, one on each side of it; and all fasteners from an expansion joint.",
                COMMON_PRACTICE,
            ),
            length("closure_setback", Length::ZERO, inches(12), |shop| &mut shop.fasteners.setback).means(
                "Closures and butyl tape, back from the trim's edge; it moves no screw.",
                COMMON_PRACTICE,
            ),
            length("panel_width", inches(6), inches(60), |shop| &mut shop.fasteners.panel)
                .means("What one roof panel covers: closures are counted by it.", COMMON_PRACTICE),
            Key::new(
                "high_wind",
                Setting::LengthOrNone { least: inches(1), most: inches(12), at: |shop| &mut shop.fasteners.high_wind },
            )
            .means(
                "In high wind, the most between any two fasteners; \"none\" elsewhere.",
                "UFGS 07612N: 4 to 6 in; FEMA P-499: 3 to 6 in at ridge and rake",
            ),
        ],
    },
    Section {
        path: "sealing",
        about: "What seals the laps, and how it is sold.",
        keys: &[
            length("bead_width", sixteenths(1), inches(1), |shop| &mut shop.sealing.bead_width)
                .means("A bead of sealant, across.", COMMON_PRACTICE),
            length("bead_height", sixteenths(1), inches(1), |shop| &mut shop.sealing.bead_height)
                .means("A bead of sealant, its height.", COMMON_PRACTICE),
            number("cartridge", Unit::FluidOunces, 1.0, 50.0, |shop| &mut shop.sealing.cartridge_fl_oz)
                .means("What a cartridge holds.", COMMON_PRACTICE),
            length("butyl_roll", feet(4), feet(500), |shop| &mut shop.sealing.butyl_roll)
                .means("What is on a roll of butyl tape.", COMMON_PRACTICE),
            number("waste", Unit::Plain, 0.0, 100.0, |shop| &mut shop.sealing.waste_percent)
                .means("Sealant that is bought but not laid, in percent of what is; to the hundredth.", COMMON_PRACTICE),
        ],
    },
    Section {
        path: "load",
        about: "The van's bed, and how pieces are lifted onto it.",
        keys: &[
            length("bed_length", feet(4), feet(60), |shop| &mut shop.load.bed_length)
                .means("The bed; what is longer hangs over the rear.", COMMON_PRACTICE),
            length("bundle_width", inches(1), feet(8), |shop| &mut shop.load.bundle_width)
                .means("How wide the bundle is; wider than 2 ft, it carries two flags.", "49 CFR 393.87"),
            length("two_people_from", inches(12), feet(40), |shop| &mut shop.load.two_people_from)
                .means("From this length on two people carry a piece, whatever its mass.", COMMON_PRACTICE),
            length("lift_horizontal", inches(10), Lift::FARTHEST, |shop| &mut shop.load.lift.horizontal)
                .means("From the ankles forward to the hands: H of the lifting equation.", NIOSH),
            length("lift_origin", Length::ZERO, Lift::HIGHEST, |shop| &mut shop.load.lift.origin)
                .means("The hands' height where the lift begins: V of the lifting equation.", NIOSH),
            length("lift_travel", inches(10), Lift::MOST_TRAVEL, |shop| &mut shop.load.lift.travel)
                .means("How far the hands travel up or down: D of the lifting equation.", NIOSH),
        ],
    },
    Section {
        path: "check",
        about: "How a finished piece is measured before its label goes on.",
        keys: &[
            Key::new(
                "length",
                Setting::Tolerance { least: Length::millimetres(1), most: inches(1), at: |shop| &mut shop.check.length },
            )
            .means(
                "How far off the finished length may be: a class of ISO 2768-1, or a length of the shop's own. It is held in \
                 whole sixteenths or millimetres, and to one of them at least: a tape tells no more.",
                "ISO 2768-1, table 1; it ends at 4 m, and its last value is taken beyond",
            ),
        ],
    },
    Section {
        path: "printer",
        about: "The printer of labels. Without one, labels are files and sheets to print from any screen.",
        keys: &[
            Key::new(
                "address",
                Setting::Text {
                    wanted: "an address like \"ipp://192.168.1.30/ipp/print\"",
                    fits: printer::is_address,
                    at: |shop| &mut shop.printer.address,
                },
            )
            .means(
                "Its own address on the network, or this machine's print service: ipp://localhost:631/printers/NAME; \"\" \
                 where there is none.",
                "RFC 3510",
            ),
            Key::new(
                "stock",
                Setting::Text {
                    wanted: "\"4x2in\", \"100x50mm\"",
                    fits: |text| printer::STOCKS.contains(&text),
                    at: |shop| &mut shop.printer.stock,
                },
            )
            .means("The blank labels in it; \"\" goes by the order's units: 4x2in in inches, 100x50mm in millimetres.", COMMON_PRACTICE),
        ],
    },
];
