//! `brakeside test-bend`: K, radius and springback from a strip bent and measured, with the working; kept where asked.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use clap::Args;
use serde_json::{Value, json};
use tempfile::NamedTempFile;

use super::report::{Failure, explained, say};
use super::settings;
use crate::order::shop::{entry, file};
use crate::trade::test_bend::TestBend;

/// Find K, the inside radius and springback from a strip bent and measured.
#[derive(Debug, Args)]
pub struct Measurements {
    /// The metal's kind, such as galvanized-steel
    #[arg(long, value_name = "KIND")]
    pub metal: String,
    /// How thick galvanized steel is, by its gauge
    #[arg(long, value_name = "N")]
    pub gauge: Option<u32>,
    /// How thick copper is, in ounces per square foot
    #[arg(long, value_name = "N")]
    pub ounces: Option<u32>,
    /// How thick the metal is, such as "0.032 in"
    #[arg(long, value_name = "LENGTH")]
    pub thickness: Option<String>,
    /// The flat strip's length across the bend, before
    #[arg(long, value_name = "LENGTH")]
    pub strip: String,
    /// Both legs after, outside
    #[arg(long, value_names = ["LENGTH", "LENGTH"], num_args = 2)]
    pub legs: Vec<String>,
    /// Degrees bent through once it has sprung back: 180 less the opening angle
    #[arg(long, value_name = "DEGREES", default_value = "90")]
    pub angle: String,
    /// The inside radius by a radius gauge; may be left out where strips differ in angle
    #[arg(long, value_name = "LENGTH")]
    pub radius: Option<String>,
    /// Degrees that the leaf was set to
    #[arg(long, value_name = "DEGREES")]
    pub set_angle: Option<String>,
    /// The day it was bent [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub on: Option<String>,
    /// Who bent and measured it; initials will do
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Keep it in the shop's settings
    #[arg(long)]
    pub add: bool,
}

impl Measurements {
    /// One reader for the settings file and the command line: the same bounds, the same words.
    fn entry(&self) -> Value {
        let mut entry = json!({
            "metal": self.metal,
            "strip": self.strip,
            "legs": self.legs,
            "angle": self.angle,
            "on": self.on.clone().unwrap_or_else(|| jiff::ZonedDateTime::now().date().to_string()),
            "by": self.by,
        });
        let texts = [("thickness", &self.thickness), ("radius", &self.radius), ("set_angle", &self.set_angle)];
        let counts = [("gauge", self.gauge), ("ounces", self.ounces)];
        for (key, text) in texts {
            if let Some(text) = text {
                entry[key] = json!(text);
            }
        }
        for (key, count) in counts {
            if let Some(count) = count {
                entry[key] = json!(count);
            }
        }
        entry
    }
}

/// Says what the strip tells, together with those of the same metal in the settings at `path`; adds it to them where asked.
pub fn run(path: &Path, measurements: &Measurements) -> Result<(), Failure> {
    let test = entry::from_value(&measurements.entry()).map_err(Failure::Entry)?;
    let text = settings::text(path)?;
    let mut shop = settings::read(path, &text)?;
    shop.test_bends.push(test.clone());
    match shop.measured(&test.metal) {
        Ok(measured) => measured.working.iter().for_each(|working| say(explained(working).trim_end())),
        Err(error) if error.wants_more() => say(&format!("Not enough yet: {error}.")),
        Err(error) => return Err(error.into()),
    }
    if measurements.add {
        add(path, &text, &test)?;
        say(&format!("Kept in {}.", path.display()));
    }
    Ok(())
}

/// Writes the settings anew with `test` at their end; on any failure they stay as they are.
fn add(path: &Path, text: &str, test: &TestBend) -> Result<(), Failure> {
    let text = file::with_test_bend(text, test);
    settings::read(path, &text)?;
    replace(path, &text).map_err(|source| Failure::Write { path: path.into(), source })
}

/// Puts `text` in the place of the file at once: whoever reads it finds the old or the new, never a part.
fn replace(path: &Path, text: &str) -> io::Result<()> {
    // A link stays a link: what it points to is replaced.
    let (path, permissions) = match fs::canonicalize(path) {
        Ok(path) => (path.clone(), Some(fs::metadata(path)?.permissions())),
        Err(error) if error.kind() == io::ErrorKind::NotFound => (path.to_owned(), None),
        Err(error) => return Err(error),
    };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(folder)?;
    let mut fresh = NamedTempFile::new_in(folder)?;
    fresh.write_all(text.as_bytes())?;
    if let Some(permissions) = permissions {
        fresh.as_file().set_permissions(permissions)?;
    }
    fresh.as_file().sync_all()?;
    fresh.persist(&path)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measurements(angle: &str, strip: &str) -> Measurements {
        Measurements {
            metal: "galvanized-steel".into(),
            gauge: Some(24),
            ounces: None,
            thickness: None,
            strip: strip.into(),
            legs: vec!["3 in".into(), "2.92 in".into()],
            angle: angle.into(),
            radius: None,
            set_angle: None,
            on: Some("2026-11-25".into()),
            by: "RT".into(),
            add: true,
        }
    }

    #[test]
    fn tests_are_kept_one_after_the_other_and_all_else_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new/settings.toml");
        run(&path, &measurements("90", "5.865 in")).unwrap();
        let ours = format!("# our shop\r\n[orders]\nlap = 7   # more snow\n{}", fs::read_to_string(&path).unwrap());
        fs::write(&path, &ours).unwrap();
        // v = 2(r + T) − 3π/4·(r + K·T), for r 0.8 mm and K near 0.32: 0.59 mm.
        run(&path, &measurements("135°", "5.8968 in")).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.starts_with(&ours));
        let shop = settings::load(&path).unwrap();
        assert_eq!(shop.test_bends.len(), 2);
        let measured = shop.measured(&shop.test_bends[0].metal).unwrap();
        assert!((measured.k - 0.32).abs() < 0.02 && (measured.radius.mm() - 0.8).abs() < 0.05, "{measured:?}");
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "nothing else is left in the folder");
    }

    #[test]
    fn what_cannot_be_is_not_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("settings.toml");
        let mut wrong = measurements("90", "5.8 in");
        wrong.radius = Some("1/32 in".into());
        let failure = run(&path, &wrong).unwrap_err();
        assert!(matches!(failure, Failure::TestBend(_)), "{failure}");
        wrong.angle = "200".into();
        wrong.legs.pop();
        let failure = run(&path, &wrong).unwrap_err().to_string();
        assert!(failure.contains("/angle: \"200\" is out of range") && failure.contains("/legs: "), "{failure}");
        assert!(!path.exists());

        fs::write(&path, "test_bend = []\n").unwrap();
        assert!(matches!(run(&path, &measurements("90", "5.865 in")), Err(Failure::Settings { .. })));
        assert_eq!(fs::read_to_string(&path).unwrap(), "test_bend = []\n");
    }
}
