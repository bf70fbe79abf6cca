//! The screens' own words in every language under `ui/lang`: each `@tr` of the `.slint` files has its line in the `.po`, in the
//! context that the Slint compiler gives it (the component it stands in), with the same places for what changes; and no line
//! is left over.
//!
//! Both kinds of file are read here by a few lines of our own: the toolkit's extractor is a program apart.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Where a text stands, and its plural's, empty where it has none.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Text {
    context: String,
    text: String,
    plural: String,
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(inside: &Path, extension: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(inside).unwrap().map(|entry| entry.unwrap().path());
    let of = |path: PathBuf| match path.is_dir() {
        true => files(&path, extension),
        false => vec![path],
    };
    entries.flat_map(of).filter(|path| path.extension().is_some_and(|of| of == extension)).collect()
}

/// The literal that `rest` begins with, and what follows it.
fn literal(rest: &str) -> Option<(String, &str)> {
    let rest = rest.trim_start().strip_prefix('"')?;
    let mut text = String::new();
    let mut chars = rest.char_indices();
    while let Some((at, c)) = chars.next() {
        match c {
            '"' => return Some((text, &rest[at + 1..])),
            '\\' => text.push(match chars.next()?.1 {
                'n' => '\n',
                other => other,
            }),
            _ => text.push(c),
        }
    }
    None
}

/// Every `@tr` of a source.
fn spoken(source: &str) -> Vec<Text> {
    let lines = source.lines().filter(|line| !line.trim_start().starts_with("//"));
    let source = lines.collect::<Vec<_>>().join("\n");
    let mut context = String::new();
    let mut spoken = Vec::new();
    for (at, _) in source.char_indices() {
        let (before, rest) = source.split_at(at);
        let word = |word: &str| {
            let starts = !before.ends_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_');
            rest.strip_prefix(word).filter(|_| starts)
        };
        if let Some(name) = word("component ").or_else(|| word("global ")) {
            context = name.chars().take_while(|&c| c.is_alphanumeric() || c == '-' || c == '_').collect();
        } else if let Some(rest) = rest.strip_prefix("@tr(") {
            let (mut text, mut rest) = literal(rest).unwrap_or_else(|| panic!("@tr({}…", &rest[..rest.len().min(40)]));
            let mut context = context.clone();
            if let Some(after) = rest.trim_start().strip_prefix("=>") {
                context = text;
                (text, rest) = literal(after).unwrap();
            }
            let plural = rest.trim_start().strip_prefix('|').and_then(literal).map(|(plural, _)| plural);
            spoken.push(Text { context, text, plural: plural.unwrap_or_default() });
        }
    }
    spoken
}

/// A catalogue's lines, and its header.
fn catalogue(po: &str) -> (BTreeMap<Text, Vec<String>>, String) {
    let mut lines = BTreeMap::new();
    let mut header = String::new();
    for entry in po.split("\n\n") {
        let mut fields: Vec<(String, String)> = Vec::new();
        for line in entry.lines().filter(|line| !line.starts_with('#')) {
            let (key, rest) = line.split_at(line.find('"').unwrap_or_else(|| panic!("{line}")));
            let (text, _) = literal(rest).unwrap();
            match fields.last_mut() {
                Some((_, before)) if key.is_empty() => before.push_str(&text),
                _ => fields.push((key.trim().to_owned(), text)),
            }
        }
        let field = |key: &str| fields.iter().find(|(of, _)| of == key).map(|(_, text)| text.clone());
        let text = Text {
            context: field("msgctxt").unwrap_or_default(),
            text: field("msgid").unwrap_or_default(),
            plural: field("msgid_plural").unwrap_or_default(),
        };
        let said: Vec<String> =
            fields.iter().filter(|(key, _)| key.starts_with("msgstr")).map(|(_, text)| text.clone()).collect();
        if text.text.is_empty() {
            header = said.concat();
        } else {
            assert!(lines.insert(text.clone(), said).is_none(), "{text:?} stands there twice");
        }
    }
    (lines, header)
}

/// What is put into a text, in the order it is put there.
fn places(text: &str) -> Vec<&str> {
    text.split('{').skip(1).map(|rest| rest.split_once('}').map_or(rest, |(place, _)| place)).collect()
}

#[test]
fn every_text_of_the_screens_is_in_every_catalogue() {
    let mut texts: Vec<Text> =
        files(&root().join("ui"), "slint").iter().flat_map(|file| spoken(&fs::read_to_string(file).unwrap())).collect();
    texts.sort();
    texts.dedup();
    assert!(texts.len() > 20, "{texts:?}");

    let catalogues = files(&root().join("ui/lang"), "po");
    assert!(!catalogues.is_empty());
    for file in catalogues {
        let (mut lines, header) = catalogue(&fs::read_to_string(&file).unwrap());
        assert!(header.contains("Plural-Forms: nplurals=2; plural=n != 1;\n"), "{header}");
        let mut wrong = Vec::new();
        for text in &texts {
            let Some(said) = lines.remove(text) else {
                wrong.push(format!("missing: {text:?}"));
                continue;
            };
            let forms = if text.plural.is_empty() { vec![&text.text] } else { vec![&text.text, &text.plural] };
            let fits = |(said, english): (&String, &&String)| !said.is_empty() && places(said) == places(english);
            if said.len() != forms.len() || !said.iter().zip(&forms).all(fits) {
                wrong.push(format!("not the form of the English: {text:?} = {said:?}"));
            }
        }
        wrong.extend(lines.keys().map(|text| format!("left over: {text:?}")));
        assert!(wrong.is_empty(), "{}\n{}", file.display(), wrong.join("\n"));
    }
}

#[test]
fn sources_and_catalogues_are_read_as_they_are_meant() {
    let source = r#"
        // @tr("not this")
        export component Card inherits Touch { label: @tr("Step {} of {}", a + 1, b); }
        component Row { text: n == 1 ? @tr("Order" => "late {n} day" | "late {n} days" % -n) : @tr( "“\"A\"”" ); }"#;
    let text = |context: &str, text: &str, plural: &str| Text {
        context: context.into(),
        text: text.into(),
        plural: plural.into(),
    };
    let texts =
        [text("Card", "Step {} of {}", ""), text("Order", "late {n} day", "late {n} days"), text("Row", "“\"A\"”", "")];
    assert_eq!(spoken(source), texts);
    let po = "msgid \"\"\nmsgstr \"\"\n\"Language: es\\n\"\n\n#: a.slint\nmsgctxt \"Order\"\nmsgid \"late {n} day\"\n\
              msgid_plural \"late {n} days\"\nmsgstr[0] \"{n} día \"\n\"tarde\"\nmsgstr[1] \"{n} días tarde\"\n";
    let (lines, header) = catalogue(po);
    assert_eq!(header, "Language: es\n");
    assert_eq!(lines[&texts[1]], ["{n} día tarde", "{n} días tarde"]);
    assert_eq!(places("{} of {n}"), ["", "n"]);
}
