//! The keyboard layouts that scans are mended by, held to the X keyboard database as its own compiler reads it.

use std::io::Write;
use std::process::{Command, Stdio};

use brakeside::label::layout::LAYOUTS;

/// The database's names of the keys, in the order of [`Layout::keys`](brakeside::label::layout::Layout::keys).
fn keys() -> impl Iterator<Item = String> {
    let row = |name: &'static str, count: usize| (1..=count).map(move |at| format!("{name}{at:02}"));
    let one = |name: &str| std::iter::once(name.to_owned());
    one("TLDE")
        .chain(row("AE", 12))
        .chain(row("AD", 12))
        .chain(one("BKSL"))
        .chain(row("AC", 11))
        .chain(one("LSGT"))
        .chain(row("AB", 11))
}

/// Characters by their names in the X protocol (its appendix A, Latin-1).
const NAMES: &str = "exclam ! quotedbl \" numbersign # dollar $ percent % ampersand & apostrophe ' parenleft ( parenright ) \
    asterisk * plus + comma , minus - period . slash / colon : semicolon ; less < equal = greater > question ? at @ \
    bracketleft [ backslash \\ bracketright ] asciicircum ^ underscore _ grave ` braceleft { bar | braceright } \
    asciitilde ~ exclamdown ¡ sterling £ currency ¤ section § ordfeminine ª guillemotleft « notsign ¬ degree ° \
    twosuperior ² threesuperior ³ mu µ periodcentered · masculine º guillemotright » onehalf ½ questiondown ¿ \
    Adiaeresis Ä Aring Å AE Æ Ccedilla Ç Eacute É Ntilde Ñ Odiaeresis Ö Oslash Ø Udiaeresis Ü ssharp ß agrave à \
    adiaeresis ä aring å ae æ ccedilla ç egrave è eacute é igrave ì ntilde ñ ograve ò odiaeresis ö oslash ø ugrave ù \
    udiaeresis ü";

/// What the key's symbol types: a space for nothing, or an accent that waits for its letter.
fn character(symbol: &str) -> char {
    let mut letters = symbol.chars();
    if let (Some(letter), None) = (letters.next(), letters.next()) {
        return letter;
    }
    if symbol.starts_with("dead_") || symbol == "NoSymbol" {
        return ' ';
    }
    let names: Vec<&str> = NAMES.split_whitespace().collect();
    let known = names.chunks(2).find(|pair| pair[0] == symbol);
    known.and_then(|pair| pair[1].chars().next()).unwrap_or_else(|| panic!("no character for the symbol {symbol}"))
}

/// The layout with everything it includes, as `xkbcomp` writes it out.
fn compiled(layout: &str) -> String {
    let missing =
        |error| panic!("`xkbcomp` cannot be run ({error}): install the Debian packages x11-xkb-utils and xkb-data");
    let mut compiler = Command::new("xkbcomp")
        .args(["-w0", "-xkb", "-o", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(missing);
    let keymap = format!(
        r#"xkb_keymap {{ xkb_keycodes {{ include "evdev+aliases(qwerty)" }}; xkb_types {{ include "complete" }};
           xkb_compat {{ include "complete" }}; xkb_symbols {{ include "pc+{layout}" }}; }};"#
    );
    compiler.stdin.take().unwrap().write_all(keymap.as_bytes()).unwrap();
    let output = compiler.wait_with_output().unwrap();
    assert!(output.status.success(), "xkbcomp refused the layout {layout}");
    String::from_utf8(output.stdout).unwrap()
}

/// What a key types alone and with shift.
fn symbols(keymap: &str, key: &str) -> [char; 2] {
    let Some((_, after)) = keymap.split_once(&format!("<{key}> {{")) else { return [' ', ' '] };
    let (definition, _) = after.split_once("};").unwrap();
    let list = definition.replace("[Group1]", "");
    let (_, list) = list.split_once('[').unwrap();
    let (list, _) = list.split_once(']').unwrap();
    let mut symbols = list.split(',').map(|symbol| character(symbol.trim()));
    [symbols.next().unwrap(), symbols.next().unwrap_or(' ')]
}

#[test]
fn layouts_are_those_of_the_x_keyboard_database() {
    for layout in LAYOUTS {
        let keymap = compiled(layout.xkb);
        let (_, keymap) = keymap.split_once("xkb_symbols").unwrap();
        let (plain, shifted): (String, String) =
            keys().map(|key| symbols(keymap, &key)).map(|[plain, shifted]| (plain, shifted)).unzip();
        assert_eq!(layout.keys().collect::<String>(), plain + &shifted, "{}", layout.name);
    }
}
