//! The catalogue against the sources of what is said: whoever writes a new sentence is told that its Spanish is missing.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::super::SPANISH;
use super::super::said::sentences;
use super::{forms, root, without_names, words};

/// What the bench shows besides plans, as it is written in the sources: every literal of them that is prose has a form.
#[test]
fn every_sentence_in_the_sources_is_in_the_catalogue() {
    const SPOKEN: [&str; 17] = [
        "src/bench/cards.rs",
        "src/bench/desk.rs",
        "src/bench/desk",
        "src/bench/api.rs",
        "src/bench/api",
        "src/drawing/blank",
        "src/drawing/section",
        "src/drawing/side_up.rs",
        "src/label/scan.rs",
        "src/label/printer",
        "src/store/refusal.rs",
        "src/store/prints.rs",
        "src/store/prints",
        "src/store/people.rs",
        "src/endpoint/api/scan.rs",
        "src/endpoint/people.rs",
        "src/endpoint/printing",
    ];
    // Parts of what is said as a whole below, and what nobody sees at the bench.
    const PARTS: [&str; 14] = [
        "is on the van",
        "is installed",
        "is finished",
        " of order {order}",
        "{mark} measures {read}. It should be {} {tolerance}.",
        "Wrong label: it belongs to {label}{of_order}. Take it off. This piece is {}.",
        "from {reference}",
        "the stop",
        "what is farthest in",
        "the datum hem",
        "the lower hem",
        "the datum edge",
        "the lower edge",
        "{name} hem",
    ];
    const UNSEEN: [&str; 11] = [
        "%a %-d %b",
        "Bearer {}",
        "That is not the PIN",
        "Too many wrong PINs",
        "‘{0}’ is no address of a printer: it should be like ipp://192.168.1.30 or ipp://localhost/printers/labels",
        "‘{0}’ asks for an encrypted connection, which the kiosk does not speak: give the printer's ipp:// address, and keep it on \
         the shop's own network",
        "nothing that it names",
        "{shown} and {} more",
        "a value is longer than it says",
        "the clerk goes home when this is dropped",
        "brakeside: the labels to be printed cannot be kept: {error}",
    ];
    let forms = forms().into_iter().map(|(english, _)| without_names(&english));
    let forms: BTreeSet<String> = forms.chain(words()).collect();
    let known = |sentence: &str| {
        let small = sentence.char_indices().map(|(at, c)| if at == 0 { c.to_ascii_lowercase() } else { c }).collect();
        let forms_of = |text: String| forms.contains(&text) || forms.contains(text.trim_end_matches('.'));
        // What the endpoint said, or nothing but a sign.
        let bare = !sentence.contains(char::is_alphabetic);
        bare || forms_of(sentence.to_owned())
            || forms_of(small)
            || !sentence.contains('{') && SPANISH.say(sentence).left == 0
    };
    let mut unknown = Vec::new();
    for file in SPOKEN.iter().flat_map(|path| rust_files(&root().join(path))) {
        for literal in literals(&fs::read_to_string(&file).unwrap()) {
            let prose = literal.contains(' ') && literal.chars().filter(char::is_ascii_lowercase).count() > 2;
            let sql = ["\n", " = ", " IN (", "SELECT "].iter().any(|sign| literal.contains(sign));
            let excused = PARTS.iter().chain(&UNSEEN).any(|part| *part == literal);
            if prose
                && !sql
                && !excused
                && sentences(&without_names(literal.trim()), |text| known(text).then(String::new)).left > 0
            {
                unknown.push(format!("{}: {literal}", file.file_name().unwrap().display()));
            }
        }
    }
    assert!(unknown.is_empty(), "no Spanish for\n{}", unknown.join("\n"));
}

fn rust_files(path: &Path) -> Vec<PathBuf> {
    if path.is_file() {
        return vec![path.to_owned()];
    }
    let inside = fs::read_dir(path).into_iter().flatten().map(|entry| entry.unwrap().path());
    let spoken = inside.filter(|path| path.is_dir() || path.extension().is_some_and(|extension| extension == "rs"));
    spoken
        .filter(|path| path.file_stem().is_none_or(|stem| stem != "tests"))
        .flat_map(|path| rust_files(&path))
        .collect()
}

/// The texts in a source, up to its tests.
fn literals(source: &str) -> Vec<String> {
    let source = source.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code: Vec<&str> = source.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let mut literals = Vec::new();
    let code = code.join("\n").replace("'\"'", "").replace("\\\"", "\u{1}");
    for (index, text) in code.split('"').enumerate() {
        if index % 2 == 1 {
            let mut lines = text.split("\\\n");
            let first = lines.next().unwrap_or_default().to_owned();
            literals.push(lines.fold(first, |before, line| before + line.trim_start()).replace('\u{1}', "\""));
        }
    }
    literals
}
