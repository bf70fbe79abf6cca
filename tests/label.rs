//! Labels as a phone, a printer and a person meet them: planned from an order, drawn, read back by decoders that know
//! nothing of how they were made.

use std::path::Path;

use brakeside::label::code::Code;
use brakeside::label::facts::LabelFacts;
use brakeside::label::scan::{self, Command, How, Reading};
use brakeside::label::stock::{Paper, Stock};
use brakeside::label::url::Address;
use brakeside::label::{TestLabel, bitmap, commands, pdf, png, sheet_pdf, svg};
use brakeside::order::{parse, planner};

/// Job names a label must survive.
const JOBS: [&str; 6] = [
    "Shed",
    "Quarry Road barn, north lean-to",
    "The long awning over the loading doors at the back of the third building from the gate, second phase",
    "سقف الحظيرة ש 🏠🏚️ \u{202e}txet",
    "<Barn & \"Stable\"> Łódź № 5½",
    "",
];

/// The labels of an end wall and a reglet this many feet long, laid from the right every other time.
fn labels(job: &str, feet: u32, host: &str) -> Vec<LabelFacts> {
    let order = serde_json::json!({
        "format": "brakeside-order/1", "order": "2041", "job": { "name": "Shed" }, "units": "in",
        "metal": { "kind": "galvanized-steel", "gauge": 24 }, "longest": "10' 0\"",
        "runs": [
            { "wall": "A", "trim": "end-wall", "length": format!("{feet}' 7-1/4\""), "pitch": "2:12", "lap": 6,
              "lay_from": if feet.is_multiple_of(2) { "left" } else { "right" },
              "left": { "end": "gable", "width": 4 }, "right": { "end": "gable", "width": 4 } },
            { "wall": "NORTH2", "trim": "reglet", "length": format!("{feet}' 0\""),
              "left": { "end": "return", "depth": "1-1/2" }, "right": { "end": "square" } }
        ]
    });
    let (order, _) = parse::parse(order.to_string().as_bytes(), &Default::default()).expect("a good order");
    let plan = planner::plan(&order).expect("an order that can be made");
    let address = Address::new(host, 8787).expect("a host");
    let code = || Code::random().expect("the system has randomness");
    plan.pieces.iter().map(|piece| LabelFacts::new(piece, &plan.pieces, job, &plan.order, &code(), &address)).collect()
}

/// Short runs and long ones, each with another name and host: the first three pieces, the middle one and the last three.
fn many_labels() -> Vec<LabelFacts> {
    let longest = "x".repeat(98);
    let hosts = ["192.168.1.20", "10.0.0.7", "KIOSK-2.WORKSHOP.LAN", "192.168.100.200", "a.b", &longest];
    let mut many = Vec::new();
    for ((job, feet), host) in JOBS.into_iter().zip([3, 8, 27, 42, 109, 371]).zip(hosts) {
        let labels = labels(job, feet, host);
        let (count, middle) = (labels.len(), labels.len() / 2);
        let keep = |index: &usize| *index < 3 || *index == middle || *index + 3 >= count;
        many.extend((0..count).filter(keep).map(|index| labels[index].clone()));
    }
    many
}

#[test]
fn labels_are_read_in_process() {
    for facts in many_labels() {
        for stock in Stock::ALL {
            let picture = bitmap(&facts, stock).unwrap();
            let mut seen =
                rqrr::PreparedImage::prepare_from_greyscale(picture.width as usize, picture.height as usize, |x, y| {
                    if picture.is_black(x as u32, y as u32) { 0 } else { 255 }
                });
            let grids = seen.detect_grids();
            assert_eq!(grids.len(), 1, "{} on {}", facts.mark, stock.name);
            let (_, text) = grids[0].decode().unwrap();
            assert_eq!(text, facts.url);
            assert_eq!(Code::find_in(&text), Ok(facts.code.clone()));
        }
    }
}

#[test]
fn pictures_are_read_by_an_outside_decoder() {
    let dir = tempfile::tempdir().unwrap();
    for stock in Stock::ALL {
        let labels = labels(JOBS[1], 42, "192.168.1.20");
        for (index, facts) in labels.iter().enumerate() {
            let file = dir.path().join(format!("{index}.png"));
            std::fs::write(&file, png(facts, stock).unwrap()).unwrap();
            assert_eq!(read(&file), std::slice::from_ref(&facts.url));
        }
    }
}

#[test]
fn printed_pages_are_read_by_an_outside_decoder() {
    let dir = tempfile::tempdir().unwrap();
    let labels = labels(JOBS[1], 42, "192.168.1.20");
    for stock in Stock::ALL {
        let pages = rendered(&pdf(&labels, stock).unwrap(), dir.path(), stock.name);
        assert_eq!(pages.len(), labels.len());
        for (page, facts) in pages.iter().zip(&labels) {
            assert_eq!(read(page), std::slice::from_ref(&facts.url));
        }
        for (paper, name) in [(Paper::LETTER, "letter"), (Paper::A4, "a4")] {
            let pages =
                rendered(&sheet_pdf(&labels, stock, paper).unwrap(), dir.path(), &format!("{}-{name}", stock.name));
            let mut read: Vec<String> = pages.iter().flat_map(|page| read(page)).collect();
            let mut expected: Vec<String> = labels.iter().map(|facts| facts.url.clone()).collect();
            read.sort();
            expected.sort();
            assert_eq!(read, expected, "{name}");
        }
    }
}

/// The page is the label, and each of its dots is one dot of the printer.
#[test]
fn a_page_is_the_label_dot_for_dot() {
    let dir = tempfile::tempdir().unwrap();
    let labels = &labels(JOBS[1], 20, "192.168.1.20")[..1];
    let file = dir.path().join("label.pdf");
    std::fs::write(&file, pdf(labels, Stock::INCH).unwrap()).unwrap();
    // 4 × 2 in at 72 points to the inch.
    assert!(run("pdfinfo", &[&file]).contains("288 x 144 pts"));
    let page = rendered(&std::fs::read(&file).unwrap(), dir.path(), "exact").remove(0);
    let picture = bitmap(&labels[0], Stock::INCH).unwrap();
    let (width, height, grey) = greyscale(&page);
    assert_eq!((width, height), (picture.width, picture.height));
    for (at, dot) in grey.iter().enumerate() {
        let (x, y) = (at as u32 % width, at as u32 / width);
        assert_eq!(*dot < 128, picture.is_black(x, y), "dot {x}, {y}");
    }
}

#[test]
fn whatever_the_job_is_called_place_mark_and_length_are_there_and_inside() {
    for facts in many_labels() {
        for stock in Stock::ALL {
            let drawing = svg(&facts, stock).unwrap();
            let words = drawing.replace("&quot;", "\"");
            for word in
                [&format!("{} · {}", facts.wall, facts.place), &facts.mark, &facts.length, &facts.left, &facts.right]
            {
                assert!(words.contains(&format!("{word}</text>")), "{word} in {words}");
            }
            assert!(words.contains(&format!(">{}<", facts.code.spaced())));
            // A margin of a millimetre stays white all around.
            let picture = bitmap(&facts, stock).unwrap();
            let inside = |x, y| (8..picture.width - 8).contains(&x) && (8..picture.height - 8).contains(&y);
            for (x, y) in (0..picture.height).flat_map(|y| (0..picture.width).map(move |x| (x, y))) {
                assert!(inside(x, y) || !picture.is_black(x, y), "{}: ink at {x}, {y}", facts.job);
            }
        }
    }
}

#[test]
fn a_reprint_says_so_first_and_is_read_as_any_other() {
    let dir = tempfile::tempdir().unwrap();
    let mut label = labels(JOBS[2], 42, "192.168.1.20").remove(2);
    assert!(!svg(&label, Stock::INCH).unwrap().contains("REPRINT"));
    label.reprint = true;
    for stock in Stock::ALL {
        assert!(svg(&label, stock).unwrap().contains(">REPRINT</text>"));
        let file = dir.path().join("reprint.png");
        std::fs::write(&file, png(&label, stock).unwrap()).unwrap();
        assert_eq!(read(&file), std::slice::from_ref(&label.url));
    }
}

#[test]
fn the_test_label_and_the_command_cards_are_read_by_an_outside_decoder() {
    let dir = tempfile::tempdir().unwrap();
    let address = Address::new("192.168.1.20", 8787).unwrap();
    for stock in [Stock::INCH, Stock::METRIC, Stock::INCH.at(Stock::INCH.size, 300)] {
        let file = dir.path().join("test.png");
        std::fs::write(&file, png(&TestLabel { address: address.clone() }, stock).unwrap()).unwrap();
        let [text] = &read(&file)[..] else { panic!("one code on the test label") };
        assert_eq!(scan::read(text), Reading::Test(How::AsSent));
    }
    for (paper, name) in [(Paper::LETTER, "cards-letter"), (Paper::A4, "cards-a4")] {
        let [page] = &rendered(&commands::sheet(&address, paper).unwrap(), dir.path(), name)[..] else {
            panic!("three cards on one page")
        };
        let cards: Vec<Reading> = read(page).iter().map(|text| scan::read(text)).collect();
        assert_eq!(cards.len(), Command::ALL.len());
        for command in Command::ALL {
            assert!(cards.contains(&Reading::Command(command)), "{command:?} in {cards:?}");
        }
    }
}

#[test]
fn the_picture_knows_its_size_in_print() {
    let file = png(&labels("Shed", 20, "10.0.0.7")[0], Stock::INCH).unwrap();
    let reader = png::Decoder::new(std::io::Cursor::new(&file)).read_info().unwrap();
    let dimensions = reader.info().pixel_dims.unwrap();
    // 203 dots to 25.4 mm.
    assert_eq!((dimensions.xppu, dimensions.yppu), (7992, 7992));
    assert_eq!((reader.info().bit_depth, reader.info().size()), (png::BitDepth::One, (812, 406)));
}

/// What zbarimg finds in a picture, with nothing but QR codes looked for.
fn read(picture: &Path) -> Vec<String> {
    let quiet = ["--quiet", "--raw", "-Sdisable", "-Sqrcode.enable"].map(Path::new);
    run("zbarimg", &[&quiet[..], &[picture]].concat()).lines().map(String::from).collect()
}

/// The pages of a PDF as pdftoppm draws them at 203 dpi, in order.
fn rendered(pdf: &[u8], dir: &Path, name: &str) -> Vec<std::path::PathBuf> {
    let file = dir.join(format!("{name}.pdf"));
    std::fs::write(&file, pdf).unwrap();
    let pages = dir.join(name);
    std::fs::create_dir(&pages).unwrap();
    run(
        "pdftoppm",
        &[Path::new("-r"), Path::new("203"), Path::new("-gray"), Path::new("-png"), &file, &pages.join("page")],
    );
    let mut pages: Vec<_> = std::fs::read_dir(pages).unwrap().map(|entry| entry.unwrap().path()).collect();
    pages.sort();
    pages
}

/// Width, height and dots of an 8-bit picture.
fn greyscale(picture: &Path) -> (u32, u32, Vec<u8>) {
    let file = std::io::BufReader::new(std::fs::File::open(picture).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut dots).unwrap();
    assert_eq!(info.bit_depth, png::BitDepth::Eight);
    let grey = dots.chunks(info.color_type.samples()).map(|dot| dot[0]).collect();
    (info.width, info.height, grey)
}

/// Runs an outside tool and gives what it printed.
fn run(tool: &str, arguments: &[&Path]) -> String {
    let package = if tool == "zbarimg" { "zbar-tools" } else { "poppler-utils" };
    let output = std::process::Command::new(tool)
        .args(arguments)
        .output()
        .unwrap_or_else(|error| panic!("`{tool}` cannot be run ({error}): install the Debian package {package}"));
    assert!(output.status.success(), "{tool}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}
