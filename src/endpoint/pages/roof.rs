//! The roof page: what a scan of a label shows to whoever stands on the roof with the piece.
//!
//! A piece's code opens that piece alone, so the page names its neighbours by their marks and never by their codes. Only of
//! a label that is not to be gone by any more it says which one is.

use maud::{PreEscaped, html};

use super::form::Form;
use super::report;
use super::roof_marks::{self, Outcome};
use super::roof_parts::{ends, fastening, history, numbers, to_do};
use super::{layout, not_a_piece, refused, remade, signs};
use crate::drawing::{Theme, wall};
use crate::endpoint::api::pictures;
use crate::endpoint::auth;
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::on_piece::OnPiece;
use crate::endpoint::problem::Problem;
use crate::label::code::Code;
use crate::store::{Event, PieceRecord, Refusal, Scan, Stands};

/// Of a piece that was reported bad.
pub const WAIT: &str = "Do not install this piece before you have heard from the shop.";

/// A label that leads to a piece, and the piece.
pub struct Opened<'a> {
    pub label: &'a Code,
    /// A newer one was printed: the piece's is this.
    pub newer: Option<&'a str>,
    pub record: &'a PieceRecord,
}

impl<'a> Opened<'a> {
    /// # Errors
    /// 410 when the label's piece does not stand any more.
    fn new(kiosk: &Kiosk, label: &'a Code, scan: &'a Scan) -> Result<Self, Problem> {
        match (scan.stands, &scan.piece) {
            (Stands::Current, Some(record)) => Ok(Self { label, newer: None, record }),
            (Stands::Retired, Some(record)) => Ok(Self { label, newer: Some(&record.row.label), record }),
            _ => {
                let refusal = scan.refusal().unwrap_or(Refusal::UnknownCode);
                Err(Problem::of_refusal(&refusal, kiosk.clock()))
            }
        }
    }
}

/// `GET /p?code=`: to the page of a code that was typed.
pub fn find(kiosk: &Kiosk, request: &Request) -> Response {
    match request.query_value("code").map(Code::find_in) {
        Some(Ok(code)) => Response::new(303).with_header("Location", format!("/P/{code}")),
        Some(Err(error)) => refused::page(kiosk, request, &error.into()),
        None => {
            let body = html! {
                header { h1 { "Which piece?" } }
                main { (refused::code_form()) }
            };
            layout::page(kiosk, "Which piece?", &body)
        }
    }
}

/// `GET /P/{CODE}`.
///
/// # Errors
/// As [`lookup::label`]; 410 when the piece's order was replaced.
pub fn page(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let label = Code::parse(code)?;
    if label.is_test() {
        return Ok(not_a_piece::test_label(kiosk));
    }
    let scan = lookup::label(kiosk, code)?;
    match scan.stands {
        Stands::Remade => Ok(remade::page(kiosk, &scan, false)),
        _ => show(kiosk, request, &Opened::new(kiosk, &label, &scan)?, None),
    }
}

/// `POST /P/{CODE}`: installed, or reported bad; the page again, with what came of it. Whoever does not know the shop reports
/// and no more: what is made again is decided there.
///
/// # Errors
/// As [`page`]; 422 when the form says neither.
pub fn act(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let label = Code::parse(code)?;
    let form = Form::of(request);
    let scan = lookup::label(kiosk, code)?;
    let outcome = match form.value("do") {
        "installed" if scan.stands == Stands::Remade => return Ok(remade::page(kiosk, &scan, false)),
        "installed" => roof_marks::installed(kiosk, &form, &Opened::new(kiosk, &label, &scan)?)?,
        "report" => match report::reason(&form) {
            Err(unsaid) => Ok(Outcome::NotReported(unsaid)),
            Ok(why) if report::again(kiosk, request, &form) => match form.remake(kiosk, &scan.code, &why)? {
                Ok(_) => return Ok(remade::page(kiosk, &lookup::label(kiosk, code)?, true)),
                Err(refusal) => Err(refusal),
            },
            Ok(why) => form.record(kiosk, &scan.code, &Event::Reported { why })?.map(|_| Outcome::Reported),
        },
        _ => {
            let detail = "give do=installed, or do=report with why";
            return Err(Problem::new(422, "nothing-asked", "Nothing was asked for", detail));
        }
    };
    let scan = lookup::label(kiosk, code)?;
    match outcome {
        Ok(outcome) => show(kiosk, request, &Opened::new(kiosk, &label, &scan)?, Some(&outcome)),
        Err(Refusal::Remade { .. }) => Ok(remade::page(kiosk, &scan, false)),
        Err(refusal) => Err(Problem::of_refusal(&refusal, kiosk.clock())),
    }
}

fn show(kiosk: &Kiosk, request: &Request, opened: &Opened, outcome: Option<&Outcome>) -> Result<Response, Problem> {
    let Opened { label, newer, record } = opened;
    let PieceRecord { order, row, piece, .. } = record;
    let run = kiosk.store().run_sheet_of(&row.code)?;
    let to_do = to_do(piece, run.as_ref());
    let on_piece = run.map(|run| OnPiece::of(run, piece, order.units));
    let view = pictures::view(kiosk, record)?;
    let drawing = wall::svg(&view, 720.0, 190.0, Theme::LIGHT);
    let body = html! {
        @if let Some(outcome) = outcome { (outcome.block(kiosk, &row.mark)) }
        (roof_marks::van(kiosk, request, opened)?)
        @if let Some(newer) = newer { (remade::newer_label(newer)) }
        (layout::heading("Roof page", &order.number, &order.job.name, None))
        main {
            @if let Some(why) = &row.reported {
                div.result.no {
                    p.big { (signs::cross()) "REPORTED BAD" }
                    p dir="auto" { (why) }
                }
            }
            p.where { "Wall " strong { (row.wall) } " · " (row.trim.name()) }
            p.place { (row.place) " of " (row.of) }
            div.wall role="img" aria-label=(format!("the run, piece {} filled in", row.place)) { (PreEscaped(drawing)) }
            p.quiet { "Seen " (piece.trim.seen_from()) "." }
            (ends(piece, view.low))
            dl.facts {
                dt { "Mark" } dd { (row.mark) }
                dt { "Length" } dd { (row.length.text) }
                @if let Some(low) = view.low {
                    dt { "Low end" } dd { (low.name()) ": laying begins there" }
                }
            }
            (roof_marks::installed_form(opened)?)
            (to_do)
            @if let Some(on_piece) = &on_piece { (fastening(on_piece)) }
            (numbers(piece, on_piece.as_ref()))
            (report::form(label, auth::knows_shop(kiosk, request))?)
            (history(kiosk, order.units, &kiosk.store().history(&row.code)?))
            p.quiet { "Code " code { (label) } }
        }
    };
    let page = layout::page(kiosk, &format!("{} · {} of {}", row.mark, row.place, row.of), &body);
    Ok(match outcome {
        Some(Outcome::Retired) => page.with_status(410),
        _ => page,
    })
}

#[cfg(test)]
mod tests {
    use super::WAIT;
    use crate::endpoint::fixture::{Shop, form, order, text};
    use crate::endpoint::http::{Method, Request, Response};
    use crate::label::code::Code;

    fn open(shop: &Shop, code: &str) -> Response {
        shop.ask(&Request::new(Method::Get, &format!("/P/{code}")))
    }

    #[test]
    fn it_says_where_the_piece_goes_and_which_end_goes_under() {
        let shop = Shop::with(&order("2041"));
        let page = text(&open(&shop, &shop.code("2041", "A-EW-3")));
        let at = |needle: &str| page.find(needle).unwrap_or_else(|| panic!("{needle} in {page}"));
        assert!(page.contains("3 of 5") && page.contains("<svg"));
        // Laid from the left: the far end, the right one, goes under the next piece.
        let [left, over, right, under] = ["left end", ">OVER<", "right end", ">UNDER<"].map(at);
        assert!(left < over && over < right && right < under);
        at("A-EW-2, by 6&quot;");
        at("A-EW-4, by 6&quot;");
        at("goes UNDER A-EW-4");
        at("WARNING");
        at("29 CFR 1926.501(b)");
        let ends = [("A-EW-1", ">GABLE<"), ("A-RG-5", ">RETURN<")];
        for (mark, word) in ends {
            assert!(text(&open(&shop, &shop.code("2041", mark))).contains(word), "{mark}");
        }
    }

    #[test]
    fn it_gives_away_no_other_code() {
        let shop = Shop::with(&order("2041"));
        let codes: Vec<String> =
            shop.kiosk.store().pieces("2041", 0, 50).unwrap().into_iter().map(|row| row.code).collect();
        for own in &codes {
            shop.bend(own);
            let answers = [
                format!("/P/{own}"),
                format!("/api/pieces/{own}"),
                format!("/api/pieces/{own}/wall.svg"),
                format!("/api/pieces/{own}/hardware"),
            ];
            for answer in answers.map(|path| text(&shop.ask(&Request::new(Method::Get, &path)))) {
                assert!(codes.iter().all(|code| code == own || !answer.contains(code.as_str())));
                assert!(!answer.contains(shop.kiosk.key().as_str()));
            }
        }
    }

    #[test]
    fn a_piece_is_marked_installed_once_and_only_when_it_is_bent() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let act = |id: &str| text(&shop.ask(&form(&format!("/p/{code}"), &[("do", "installed"), ("id", id)])));
        assert!(!text(&open(&shop, &code)).contains("Mark installed"));
        assert!(act("inst-0001").contains("NOT RECORDED"));
        shop.bend(&code);
        assert!(text(&open(&shop, &code)).contains("Mark installed"));
        assert!(act("inst-0001").contains(">INSTALLED <span class=\"mark\">A-EW-3"));
        assert!(
            act("inst-0001").contains(">INSTALLED <span class=\"mark\">A-EW-3"),
            "loaded again, the answer is the same"
        );
        assert!(act("inst-0002").contains("ALREADY INSTALLED"));
        assert_eq!(shop.ask(&form(&format!("/P/{code}"), &[("do", "melt")])).status, 422);
    }

    #[test]
    fn a_bad_piece_is_reported_and_shown_as_such() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        let report = |why: &str, more: &str| {
            text(&shop.ask(&form(&format!("/P/{code}"), &[("do", "report"), ("why", why), ("more", more)])))
        };
        assert!(report("", " ").contains("NOT REPORTED"));
        assert!(report("too short", "by 2\r\n<b>in</b>").contains(">REPORTED <span class=\"mark\">A-EW-3"));
        let page = text(&open(&shop, &code));
        assert!(page.contains("REPORTED BAD") && page.contains("too short: by 2  &lt;b&gt;in&lt;/b&gt;"), "{page}");
        assert_eq!(shop.kiosk.store().order("2041").unwrap().unwrap().reported, 1);
        assert!(report("something else", "x\u{202e}y").contains("something else: x y"));
        assert!(report("\u{200b}", "").contains("NOT REPORTED"));
        let long = report("something else", &"é".repeat(200));
        assert!(
            long.contains("NOT REPORTED") && long.contains("216 characters long. Say it in 200 at most."),
            "{long}"
        );
    }

    #[test]
    fn a_piece_that_was_reported_bad_is_not_offered_to_be_installed() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        shop.bend(&code);
        shop.ask(&form(&format!("/P/{code}"), &[("do", "report"), ("why", "too short")]));
        let page = text(&open(&shop, &code));
        let at = |needle: &str| page.find(needle).unwrap_or_else(|| panic!("{needle} in {page}"));
        let [wait, fold, button] =
            [WAIT, "<details><summary>The shop says it may be used</summary>", "Mark installed"].map(at);
        assert!(wait < fold && fold < button && !page[fold..button].contains("</details>"), "only within the fold");
        assert_eq!(page.matches("Mark installed").count(), 1);
        let page = text(&shop.ask(&form(&format!("/P/{code}"), &[("do", "installed")])));
        assert!(page.contains("NOT RECORDED") && !page.contains(">INSTALLED <span"), "a page opened before the report");
        let page = text(&shop.ask(&form(&format!("/P/{code}"), &[("do", "installed"), ("told", "yes")])));
        assert!(page.contains(">INSTALLED <span") && !page.contains(WAIT));
    }

    #[test]
    fn a_code_that_opens_nothing_says_what_to_do() {
        let shop = Shop::with(&order("2041"));
        let void = shop.code("2041", "A-EW-1");
        let mut replacing = order("2041");
        replacing["replaces"] = true.into();
        replacing["runs"][0]["pitch"] = "4:12".into();
        assert_eq!(shop.send(&replacing).status, 200);
        let response = open(&shop, &void);
        assert_eq!(response.status, 410);
        assert!(text(&response).contains("LABEL IS VOID") && text(&response).contains("Do not install"));
        let installed = form(&format!("/P/{void}"), &[("do", "installed")]);
        assert_eq!(shop.ask(&installed).status, 410);

        let other = if void.starts_with('A') { "B" } else { "A" };
        let mistyped = format!("{other}{}", &void[1..]);
        for (code, word) in [(mistyped.as_str(), "CODE MISTYPED"), (Code::random().unwrap().as_str(), "No such piece")]
        {
            let response = open(&shop, code);
            assert_eq!(response.status, 404);
            assert!(text(&response).contains(word) && text(&response).contains("action=\"/P\""), "{}", text(&response));
        }
    }

    #[test]
    fn a_typed_code_leads_to_its_page() {
        let shop = Shop::with(&order("2041"));
        let code = Code::parse(&shop.code("2041", "A-EW-1")).unwrap();
        let find = |text: &str| shop.ask(&Request::new(Method::Get, &format!("/p?code={}", text.replace(' ', "+"))));
        assert_eq!(find(&code.spaced().to_lowercase()).header("Location"), Some(format!("/P/{code}").as_str()));
        assert_eq!(find("2041").status, 404);
        assert_eq!(shop.ask(&Request::new(Method::Get, "/P")).status, 200);
    }

    #[test]
    fn a_phone_that_loads_an_order_is_told_whether_the_piece_goes_along() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-1");
        shop.bend(&code);
        let opened = |cookies: &str| {
            text(&shop.ask(&Request::new(Method::Get, &format!("/P/{code}")).with_header("Cookie", cookies)))
        };
        let key = shop.kiosk.key();
        assert!(opened(&format!("key={key}; loading=2041")).contains("onto the van"));
        assert!(opened(&format!("key={key}; loading=2050")).contains("NOT ORDER 2050"));
        for stranger in ["loading=2041", &format!("key={code}; loading=2041")] {
            assert!(!opened(stranger).contains("onto the van"), "{stranger}");
        }
    }
}
