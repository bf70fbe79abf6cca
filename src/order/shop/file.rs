//! The settings file: text to [`Shop`], every fault at once with its line; and [`Shop`] to text, every key explained.

use std::fmt::Write;

use super::Shop;
use super::document::Document;
use super::entry::{self, TEST_BEND};
use super::relations::RELATIONS;
use super::table::TABLE;
use crate::order::fault::Faults;
use crate::order::parse::reader::{Found, Spot};
use crate::trade::test_bend::{TestBend, measure};

/// Reads a settings file. What it leaves out stays as in [`Shop::default`].
///
/// # Errors
/// All faults, each with its key, its line and what would be right.
pub fn read(text: &str) -> Result<Shop, Faults> {
    let document = Document::parse(text)?;
    let found = Found::default();
    let root = Spot::root(&document.value, &found);
    let mut reading = Reading::default();
    reading.table(&root, "");
    reading.test_bends(&root);
    reading.relations(&root);
    let faults = found.into_faults();
    if faults.is_empty() {
        return Ok(reading.shop);
    }
    Err(document.place(faults))
}

#[derive(Default)]
struct Reading {
    shop: Shop,
    /// Pointers of what could not be read: the shop holds defaults there, of which nothing can be said.
    unread: Vec<String>,
}

impl Reading {
    /// Reads the section at `path` and those below it.
    fn table(&mut self, spot: &Spot, path: &str) -> Option<()> {
        let keys = TABLE.iter().filter(|section| section.path == path).flat_map(|section| section.keys);
        let below = || TABLE.iter().filter_map(|section| Some((section.path, child(section.path, path)?)));
        let known: Vec<&str> = keys
            .clone()
            .map(|key| key.name)
            .chain(below().map(|(_, name)| name))
            .chain(path.is_empty().then_some(TEST_BEND))
            .collect();
        let object = spot.object("a section of keys", &known)?;
        for key in keys {
            if let Some(spot) = object.get(key.name)
                && key.read(&spot, &mut self.shop).is_none()
            {
                self.unread.push(spot.pointer);
            }
        }
        for (path, name) in below() {
            if let Some(spot) = object.get(name) {
                self.table(&spot, path);
            }
        }
        Some(())
    }

    /// Reads the test bends, and notes those that cannot be, once for each metal.
    fn test_bends(&mut self, root: &Spot) -> Option<()> {
        let spots = root.any_object("settings")?.get(TEST_BEND)?.list("test bends: sections [[test_bend]]")?;
        let read: Vec<_> = spots.iter().map(entry::read).collect();
        for (index, test) in read.iter().enumerate() {
            let Some(test) = test else { continue };
            let tells = |other: &&TestBend| other.tells_of(&test.metal);
            if read[..index].iter().flatten().any(|other| tells(&other)) {
                continue;
            }
            let tests: Vec<&TestBend> = read.iter().flatten().filter(tells).collect();
            if let Some(error) = measure(&tests).err().filter(|error| !error.wants_more()) {
                spots[index].fault::<()>(error.to_string());
            }
        }
        self.shop.test_bends = read.into_iter().flatten().collect();
        Some(())
    }

    fn relations(&self, root: &Spot) {
        let read = |pointer: &str| !self.unread.iter().any(|unread| unread == pointer);
        for relation in RELATIONS {
            if read(relation.at) && read(relation.to) && !(relation.holds)(&self.shop) {
                root.fault_below::<()>(relation.at, relation.fault);
            }
        }
    }
}

/// The name of the section at `path` in the one at `above`, if it stands right in it.
fn child<'a>(path: &'a str, above: &str) -> Option<&'a str> {
    let (parent, name) = path.rsplit_once('.').unwrap_or(("", path));
    (parent == above).then_some(name)
}

/// `text` with one more test bend at its end: what stands there already stays as it is, byte for byte.
pub fn with_test_bend(text: &str, test: &TestBend) -> String {
    let gap = match text {
        "" => "",
        text if text.ends_with('\n') => "\n",
        _ => "\n\n",
    };
    format!("{text}{gap}{}", entry::write(test))
}

const HEAD: &str = "\
# The shop's settings. Every key is here with its value; what is deleted goes back to what it is without a file.
#
# A length is text: \"10 ft 6 in\", \"1-1/2 in\", \"0.032 in\", \"155 mm\", \"3.2 m\". A bare number is inches.
";

/// The whole file: every key with its value, what it means, its bounds and its source.
pub fn write(shop: &Shop) -> String {
    let mut out = HEAD.to_owned();
    // Writing to a String cannot fail.
    let _ = write_sections(&mut out, shop);
    out
}

fn write_sections(out: &mut String, shop: &Shop) -> std::fmt::Result {
    for section in TABLE {
        writeln!(out, "\n# {}\n[{}]", section.about, section.path)?;
        for key in section.keys {
            writeln!(out, "# {}", key.about)?;
            writeln!(out, "#   {}. Source: {}", key.wanted(), key.source)?;
            writeln!(out, "{} = {}", key.name, key.write(shop))?;
        }
    }
    writeln!(out)?;
    for line in entry::ABOUT {
        writeln!(out, "# {line}")?;
    }
    for (name, example, about) in entry::KEYS {
        writeln!(out, "#   {name} = {example}  {about}")?;
    }
    for test in &shop.test_bends {
        write!(out, "\n{}", entry::write(test))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::keys::{Key, Setting, said};
    use super::*;
    use crate::trade::length::Length;
    use crate::trade::metal::{Kind, Metal};
    use proptest::prelude::*;

    fn faults(text: &str) -> Vec<String> {
        read(text).err().map(|faults| faults.0.iter().map(ToString::to_string).collect()).unwrap_or_default()
    }

    fn test_bend() -> TestBend {
        TestBend {
            metal: Metal::gauge(Kind::GalvanizedSteel, 24).unwrap(),
            strip: Length::from_mm(98.6),
            legs: [Length::millimetres(40), Length::from_inches(2.3623)],
            angle_deg: 90.0,
            radius: Some(Length::from_mm(0.8)),
            set_angle_deg: Some(92.5),
            on: jiff::civil::date(2026, 11, 25),
            by: r#"R "Rusty" T\"#.into(),
        }
    }

    #[test]
    fn the_default_file_reads_back_to_the_default_and_so_does_an_empty_one() {
        assert_eq!(read(&write(&Shop::default())), Ok(Shop::default()));
        assert_eq!(read(""), Ok(Shop::default()));
    }

    #[test]
    fn every_key_is_printed_with_what_it_means() {
        let text = write(&Shop::default());
        for section in TABLE {
            assert!(text.contains(&format!("\n# {}\n[{}]\n", section.about, section.path)), "{}", section.path);
            for key in section.keys {
                assert!(key.about.len() > 4 && key.about.ends_with('.') && !key.source.is_empty(), "{}", key.name);
                let told = format!("# {}\n#   {}. Source: {}\n{} = ", key.about, key.wanted(), key.source, key.name);
                assert!(text.contains(&told), "{told}");
            }
        }
        for (name, ..) in entry::KEYS {
            assert!(text.contains(&format!("\n#   {name} = ")), "{name}");
        }
    }

    #[test]
    fn the_test_bend_of_the_examples_is_one() {
        let mut text = "[[test_bend]]\n".to_owned();
        for (name, example, _) in entry::KEYS.iter().filter(|(name, ..)| !["ounces", "thickness"].contains(name)) {
            text += &format!("{name} = {example}\n");
        }
        let shop = read(&text).unwrap();
        let measured = shop.measured(&shop.test_bends[0].metal).unwrap();
        assert!((0.3..0.5).contains(&measured.k), "{}", measured.k);
    }

    /// Values of a key that are right, other than the default: near it, so that no other setting minds.
    fn others(key: &Key) -> Vec<String> {
        let mut shop = Shop::default();
        let length = |least: Length, own: Length, most: Length| {
            [least, most].map(|bound| Length::from_nm((bound.nm() + 3 * own.nm()) / 4)).map(said).to_vec()
        };
        let number = |least: f64, own: f64, most: f64| [least, most].map(|bound| (bound + own) / 2.0).to_vec();
        let text = |texts: Vec<String>| texts.iter().map(|text| format!("\"{text}\"")).collect();
        match key.setting {
            Setting::Length { least, most, at } => text(length(least, *at(&mut shop), most)),
            Setting::LengthOrNone { least, most, at } => text(length(least, at(&mut shop).unwrap_or(least), most)),
            Setting::Number { unit, least, most, at } => {
                number(least, *at(&mut shop), most).into_iter().map(|number| unit.write(number)).collect()
            }
            Setting::NumberOrNone { unit, least, most, .. } => vec![unit.write(least), unit.write(most)],
            Setting::Rule { .. } => vec!["\"k-factor\"".into()],
            Setting::Tolerance { least, .. } => vec!["\"very-coarse\"".into(), format!("\"{}\"", said(least))],
            Setting::Text { .. } => vec!["\"ipp://printer.local\"".into(), "\"100x50mm\"".into()],
        }
    }

    /// No key is tied to another's place in the shop, and none is read and not written.
    #[test]
    fn a_key_changes_its_own_line_and_no_other() {
        let default = write(&Shop::default());
        for section in TABLE {
            for key in section.keys {
                let mut tried = 0;
                for value in others(key) {
                    let line = format!("{} = {value}", key.name);
                    let Ok(shop) = read(&format!("[{}]\n{line}\n", section.path)) else { continue };
                    let text = write(&shop);
                    let changed: Vec<_> = text.lines().zip(default.lines()).filter(|(a, b)| a != b).collect();
                    if changed.is_empty() {
                        continue;
                    }
                    let own = format!("{} = ", key.name);
                    assert!(changed.len() == 1 && changed[0].0.starts_with(&own), "{line}: {changed:?}");
                    let heading = text[..text.find(changed[0].0).unwrap()].rfind("\n[").unwrap();
                    assert!(text[heading + 2..].starts_with(section.path), "{line} in {}", section.path);
                    assert_eq!(read(&text), Ok(shop));
                    tried += 1;
                }
                assert!(tried > 0, "{}.{}: no other value is taken", section.path, key.name);
            }
        }
    }

    #[test]
    fn every_bad_value_names_its_key_its_line_and_what_is_right() {
        let sixty_fourth = Length::sixty_fourths(1);
        for section in TABLE {
            for key in section.keys {
                let beyond = match key.setting {
                    Setting::Length { most, .. }
                    | Setting::LengthOrNone { most, .. }
                    | Setting::Tolerance { most, .. } => {
                        format!("\"{}\"", said(most + sixty_fourth))
                    }
                    Setting::Number { unit, most, .. } | Setting::NumberOrNone { unit, most, .. } => {
                        unit.write(most + 0.5)
                    }
                    Setting::Rule { .. } | Setting::Text { .. } => "\"guess\"".into(),
                };
                let empty = if matches!(key.setting, Setting::Text { .. }) { "\" \"" } else { "\"\"" };
                for bad in [&beyond, "true", empty, "[1]", "nan", "\"7 apples\""] {
                    let found = faults(&format!("\n[{}]\n{} = {bad}\n", section.path, key.name));
                    let place = format!("/{}/{}: line 3: ", section.path.replace('.', "/"), key.name);
                    assert_eq!(found.len(), 1, "{bad}: {found:?}");
                    assert!(found[0].starts_with(&place) && found[0].ends_with(&key.wanted()), "{bad}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let text = "brakes = 1\n[brake]\nthroat = '9 in'\nlenght = '12 ft'\njaw_height = '9 ft'\n[orders]\nlap = 3\n\
                    [profiles]\neave = 5\n[expansion]\ncoldest = -20\nhottest = '65 °C'\n";
        assert_eq!(
            faults(text),
            [
                "/brakes: line 1: unknown key; did you mean `brake`?",
                "/brake/lenght: line 4: unknown key; did you mean `length`?",
                "/brake/jaw_height: line 5: \"9 ft\" is out of range; give 1/2 in to 24 in",
                "/orders/lap: line 7: under `least_lap`; give that or more",
                "/profiles/eave: line 9: 5 is wrong here; give a section of keys",
                "/expansion/coldest: line 11: -20 is wrong here; give -100 °F to 100 °F, or in °C",
            ]
        );
    }

    #[test]
    fn settings_that_contradict_each_other_are_refused() {
        for (text, pointer) in [
            ("[orders]\nleast_lap = 7\nlap_metric = 8", "/orders/lap"),
            ("[orders]\nleast_lap = '155.5 mm'\nlap = 8", "/orders/lap_metric"),
            ("[orders]\nlongest = 12", "/orders/least_piece"),
            ("[brake]\nlength = '8 ft'", "/orders/longest"),
            ("[orders]\ngrid_in = '1 mm'", "/orders/grid_in"),
            ("[profiles.end_wall]\nroof_leg = 0.5", "/profiles/end_wall/hem"),
            ("[profiles.reglet]\nface = 0.5", "/profiles/reglet/hem"),
            ("[profiles.side_wall]\nroof_leg = 0.5", "/profiles/side_wall/hem"),
            ("[profiles.gable]\nface = 0.5", "/profiles/gable/hem"),
            ("[profiles.eave]\nkick = 0.5", "/profiles/eave/hem"),
            ("[profiles.ridge]\nhem = 2\nleg = 2", "/profiles/ridge/hem"),
            ("[expansion]\ncoldest = '0 °C'\nhottest = '31 °F'", "/expansion/coldest"),
        ] {
            let found = faults(text);
            assert!(found.len() == 1 && found[0].starts_with(&format!("{pointer}: ")), "{text}: {found:?}");
        }
    }

    #[test]
    fn a_test_bend_is_added_and_nothing_is_lost() {
        let test = test_bend();
        for text in
            ["", "# ours\n[orders]\nlap = 8 # ½ more", "[brake]\r\nthroat = '9 in'\r\n", &write(&Shop::default())]
        {
            let once = with_test_bend(text, &test);
            let twice = with_test_bend(&once, &test);
            assert!(twice.starts_with(text) && twice.starts_with(&once));
            let mut shop = read(text).unwrap();
            shop.test_bends = vec![test.clone(), test.clone()];
            assert_eq!(read(&twice).as_ref(), Ok(&shop));
            assert_eq!(read(&write(&shop)), Ok(shop));
        }
    }

    #[test]
    fn a_test_bend_that_cannot_be_is_refused_once_and_one_that_wants_more_is_kept() {
        let mut test = test_bend();
        test.legs[0] += Length::inches(1);
        let found = faults(&with_test_bend(&with_test_bend("", &test), &test));
        assert!(found.len() == 1 && found[0].starts_with("/test_bend/0: line 1: K comes out at -"), "{found:?}");

        let mut alone = test_bend();
        alone.radius = None;
        assert_eq!(read(&with_test_bend("", &alone)).map(|shop| shop.test_bends), Ok(vec![alone]));
    }
    proptest! {
        /// The default file with a piece of it replaced by anything at all.
        #[test]
        fn any_text_is_read_or_refused(from in 0.0..1.0_f64, cut in 0_usize..60, put in ".{0,12}|[\\[\\]={}\"'#\n.]{0,8}") {
            let text = write(&Shop::default());
            let at = |at: usize| (at..).find(|&at| text.is_char_boundary(at)).unwrap_or(text.len());
            let from = at((from * text.len() as f64) as usize);
            let text = format!("{}{put}{}", &text[..from], &text[at((from + cut).min(text.len()))..]);
            match read(&text) {
                Ok(shop) => prop_assert_eq!(read(&write(&shop)), Ok(shop)),
                Err(faults) => prop_assert!(!faults.0.is_empty()),
            }
        }
    }
}
