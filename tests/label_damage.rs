//! How well a damaged label is read, next to what a general-purpose encoder makes of the same address when nothing is
//! asked of it: its own level, mode and quiet zone, the address in lower case as people write it, on the same square
//! of the label, in the same dots, with the same damage.
//!
//! `BRAKESIDE_REWRITE=1 cargo test --release --test label_damage` writes the table to `docs/label-damage.md` anew, and
//! fails: rewriting proves nothing.

#[path = "support/damage.rs"]
mod damage;

use std::fmt::Write;
use std::path::Path;
use std::process::Command;

use brakeside::label::bitmap;
use brakeside::label::code::{ALPHABET, Code, LENGTH, check_character};
use brakeside::label::facts::LabelFacts;
use brakeside::label::qr::{QUIET, Symbol};
use brakeside::label::stock::Stock;
use brakeside::label::url::Address;
use brakeside::order::{parse, planner};
use damage::Damage::{Blur, Contrast, Dirt, Scratches, Skew};
use damage::{Damage, Picture, Random};

/// Labels of each kind of damage.
const LABELS: usize = 18;
/// The square that a label of 4 × 2 in has for its symbol, dots.
const PLACE: usize = 236;
/// Hosts as they stand on labels: short, usual, long.
const HOSTS: [&str; 3] = ["10.0.0.7", "192.168.1.20", "KIOSK-2.WORKSHOP.LAN"];

const KINDS: [(&str, &[Damage]); 22] = [
    ("none", &[]),
    ("blur, 0.20 mm", &[Blur(0.20)]),
    ("blur, 0.27 mm", &[Blur(0.27)]),
    ("blur, 0.34 mm", &[Blur(0.34)]),
    ("scratches, 2", &[Scratches(2)]),
    ("scratches, 4", &[Scratches(4)]),
    ("scratches, 8", &[Scratches(8)]),
    ("dirt, 10 %", &[Dirt(0.10)]),
    ("dirt, 15 %", &[Dirt(0.15)]),
    ("dirt, 20 %", &[Dirt(0.20)]),
    ("dirt, 25 %", &[Dirt(0.25)]),
    ("skew, 5 %", &[Skew(0.05)]),
    ("skew, 10 %", &[Skew(0.10)]),
    ("skew, 20 %", &[Skew(0.20)]),
    ("contrast, 40 %", &[Contrast(0.40)]),
    ("contrast, 30 %", &[Contrast(0.30)]),
    ("contrast, 20 %", &[Contrast(0.20)]),
    ("dirt 10 %, blur 0.2 mm", &[Dirt(0.10), Blur(0.2)]),
    ("dirt 10 %, skew 5 %", &[Dirt(0.10), Skew(0.05)]),
    ("scratches 3, contrast 40 %", &[Scratches(3), Contrast(0.40)]),
    ("scratches 3, skew 5 %, blur 0.2 mm", &[Scratches(3), Skew(0.05), Blur(0.2)]),
    (
        "dirt 5 %, scratch, skew 5 %, blur 0.1 mm, contrast 60 %",
        &[Dirt(0.05), Scratches(1), Skew(0.05), Blur(0.1), Contrast(0.60)],
    ),
];

/// How many of [`LABELS`] two decoders read: zbar, and rqrr.
#[derive(Debug, Clone, Copy, Default)]
struct Reads {
    zbar: usize,
    rqrr: usize,
}

impl Reads {
    fn sum(self) -> usize {
        self.zbar + self.rqrr
    }
}

/// One kind of damage: our label's symbol, and the plain one.
struct Row {
    name: &'static str,
    ours: Reads,
    plain: Reads,
}

#[test]
fn a_damaged_label_is_read_at_least_as_often_as_a_plain_symbol() {
    let rows: Vec<Row> = std::thread::scope(|scope| {
        let kinds = KINDS.map(|(name, damages)| scope.spawn(move || measure(name, damages)));
        kinds.into_iter().map(|kind| kind.join().expect("a panic of its own has been told")).collect()
    });
    let table = table(&rows);
    println!("{table}");

    let undamaged = &rows[0];
    assert_eq!((undamaged.ours.zbar, undamaged.ours.rqrr), (LABELS, LABELS), "undamaged");
    let of = |reads: fn(&Row) -> Reads| {
        let add = |sum: Reads, row| Reads { zbar: sum.zbar + reads(row).zbar, rqrr: sum.rqrr + reads(row).rqrr };
        rows.iter().fold(Reads::default(), add)
    };
    let (ours, plain) = (of(|row| row.ours), of(|row| row.plain));
    assert!(ours.zbar >= plain.zbar && ours.rqrr >= plain.rqrr, "ours {ours:?}, plain {plain:?}");
    // Where nothing is ever read, or all of it always, nothing is compared.
    let telling = rows.iter().filter(|row| (1..4 * LABELS).contains(&(row.ours.sum() + row.plain.sum()))).count();
    assert!(telling * 2 > rows.len(), "{telling} kinds of damage tell the two apart");

    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/label-damage.md");
    if std::env::var_os("BRAKESIDE_REWRITE").is_some() {
        std::fs::write(kept, table).unwrap();
        panic!("the table was written anew: read it, then run without BRAKESIDE_REWRITE");
    }
    assert_says_the_same(&std::fs::read_to_string(kept).unwrap(), &table);
}

/// Word for word; but another version of a decoder may read some labels more, or fewer.
fn assert_says_the_same(kept: &str, now: &str) {
    let number = |word: &str| word.trim_matches('*').parse::<usize>().ok();
    let mut words = [kept, now].map(|page| page.split_inclusive([' ', '\n']).map(str::trim));
    let [kept, now] = &mut words;
    loop {
        match (kept.next(), now.next()) {
            (None, None) => return,
            (Some(kept), Some(now)) => match (number(kept), number(now)) {
                (Some(kept), Some(now)) => assert!(kept.abs_diff(now) <= 3 + kept / 10, "{kept} is now {now}"),
                _ => assert_eq!(kept, now),
            },
            (kept, now) => panic!("{kept:?} is now {now:?}"),
        }
    }
}

/// The same labels for every kind of damage, each symbol damaged alike.
fn measure(name: &'static str, damages: &[Damage]) -> Row {
    let (mut ours, mut plain) = (Vec::new(), Vec::new());
    let mut label = any_label();
    for index in 0..LABELS {
        let mut codes = Random(index as u64);
        label.code = code(&mut codes);
        label.url = Address::new(HOSTS[index % HOSTS.len()], 8787).unwrap().url(&label.code);
        let damaged = |symbol: Picture| symbol.damaged(damages, &mut Random(1000 + index as u64));
        ours.push((label.url.clone(), damaged(symbol_of(&label))));
        let lower = label.url.to_lowercase();
        plain.push((lower.clone(), damaged(plain_symbol(&lower))));
    }
    Row { name, ours: read(&ours), plain: read(&plain) }
}

/// A label whose code and address are put in later.
fn any_label() -> LabelFacts {
    let order = serde_json::json!({
        "format": "brakeside-order/1", "order": "2041", "job": { "name": "Quarry Road barn" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 },
        "runs": [{ "wall": "A", "trim": "end-wall", "length": 500, "pitch": "2:12",
                   "left": { "end": "square" }, "right": { "end": "square" } }]
    });
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Default::default()).expect("a good order");
    let plan = planner::plan(&order).expect("an order that can be made");
    let address = Address::new(HOSTS[0], 8787).unwrap();
    LabelFacts::new(&plan.pieces[1], &plan.pieces, "Quarry Road barn", "2041", &Code::test(), &address)
}

fn code(random: &mut Random) -> Code {
    loop {
        let mut text: String =
            (1..LENGTH).map(|_| char::from(ALPHABET[(random.next() % ALPHABET.len() as u64) as usize])).collect();
        text.extend(check_character(&text));
        // Only the check character can be one that a code does not hold.
        if let Some(code) = Code::parse(&text).ok().filter(|code| code.as_str() == text) {
            return code;
        }
    }
}

/// The symbol cut out of the printed label.
fn symbol_of(facts: &LabelFacts) -> Picture {
    let label = bitmap(facts, Stock::INCH).unwrap();
    let modules = Symbol::new(&facts.url).unwrap().side + 2 * QUIET;
    let dots = PLACE / modules * modules;
    let left = label.width as usize - dots;
    Picture::of(dots, PLACE, |x, y| label.is_black((left + x) as u32, y as u32))
}

/// What the crate qrcode makes of a text by default, as large as fits.
fn plain_symbol(text: &str) -> Picture {
    let place = PLACE as u32;
    let drawn = qrcode::QrCode::new(text).unwrap().render::<char>().max_dimensions(place, place).build();
    let rows: Vec<Vec<char>> = drawn.lines().map(|line| line.chars().collect()).collect();
    Picture::of(rows.len(), PLACE, |x, y| rows[y][x] != ' ')
}

fn read(symbols: &[(String, Picture)]) -> Reads {
    let zbar = zbar(symbols.iter().map(|(_, picture)| picture));
    let mut reads = Reads::default();
    for ((text, picture), zbar) in symbols.iter().zip(zbar) {
        let rqrr = rqrr(picture);
        // A damaged symbol may say nothing; it never says anything else.
        for read in [&zbar, &rqrr].into_iter().flatten() {
            assert_eq!(read, text);
        }
        reads.zbar += usize::from(zbar.is_some());
        reads.rqrr += usize::from(rqrr.is_some());
    }
    reads
}

fn rqrr(picture: &Picture) -> Option<String> {
    let grey = picture.bytes();
    let mut image =
        rqrr::PreparedImage::prepare_from_greyscale(picture.side, picture.side, |x, y| grey[y * picture.side + x]);
    image.detect_grids().iter().find_map(|grid| grid.decode().ok()).map(|(_, text)| text)
}

/// What `zbarimg` finds in each picture, with nothing but QR codes looked for; one run for all of them.
fn zbar<'a>(pictures: impl Iterator<Item = &'a Picture>) -> Vec<Option<String>> {
    let dir = tempfile::tempdir().unwrap();
    let files: Vec<_> = pictures
        .enumerate()
        .map(|(index, picture)| {
            let file = dir.path().join(format!("{index}.png"));
            let side = picture.side as u32;
            let mut encoder = png::Encoder::new(std::fs::File::create(&file).unwrap(), side, side);
            encoder.set_color(png::ColorType::Grayscale);
            encoder.set_compression(png::Compression::Fast);
            encoder.write_header().unwrap().write_image_data(&picture.bytes()).unwrap();
            file
        })
        .collect();
    let output = Command::new("zbarimg")
        .args(["--quiet", "--xml", "-Sdisable", "-Sqrcode.enable"])
        .args(&files)
        .output()
        .unwrap_or_else(|error| panic!("`zbarimg` cannot be run ({error}): install the Debian package zbar-tools"));
    let found = String::from_utf8(output.stdout).unwrap();
    let of = |file: &std::path::PathBuf| {
        let (_, source) = found.split_once(&format!("<source href='{}'>", file.display()))?;
        let (source, _) = source.split_once("</source>")?;
        let (_, data) = source.split_once("<![CDATA[")?;
        data.split_once("]]>").map(|(text, _)| text.to_owned())
    };
    files.iter().map(of).collect()
}

fn table(rows: &[Row]) -> String {
    let mut text = format!(
        "# How well damaged labels are read\n\n\
         Written by `tests/label_damage.rs`, which says what each damage is. {LABELS} labels of 4 × 2 in at 203 dpi for each\n\
         kind, the same for all; of {LABELS}, so many were read. *Ours* is the label's symbol: capitals, alphanumeric mode, at\n\
         least level Q. *Plain* is the crate qrcode's default for the same address in lower case: byte mode, level M, on the\n\
         same square, with the same damage. Decoders: `zbarimg` (Debian zbar-tools) and the crate rqrr.\n\n\
         | damage | ours, zbar | plain, zbar | ours, rqrr | plain, rqrr |\n|---|--:|--:|--:|--:|\n"
    );
    for Row { name, ours, plain } in rows {
        let _ = writeln!(text, "| {name} | {} | {} | {} | {} |", ours.zbar, plain.zbar, ours.rqrr, plain.rqrr);
    }
    let sum = |reads: fn(&Row) -> usize| rows.iter().map(reads).sum::<usize>();
    let of = rows.len() * LABELS;
    let _ = writeln!(
        text,
        "| **all, of {of}** | **{}** | **{}** | **{}** | **{}** |",
        sum(|row| row.ours.zbar),
        sum(|row| row.plain.zbar),
        sum(|row| row.ours.rqrr),
        sum(|row| row.plain.rqrr)
    );
    text
}
