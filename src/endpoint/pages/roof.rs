//! The roof page: what a scan of a label shows to whoever stands on the roof with the piece.
//!
//! A piece's code opens that piece alone, so the page names its neighbours by their marks and never by their codes.

use maud::{Markup, PreEscaped, html};

use super::form::Form;
use super::load::LOADING;
use super::report::{self, Unsaid};
use super::roof_parts::{ends, fastening, history, numbers, to_do};
use super::{layout, refused, signs};
use crate::drawing::{Theme, wall};
use crate::endpoint::api::pictures;
use crate::endpoint::auth;
use crate::endpoint::http::{Request, Response};
use crate::endpoint::kiosk::Kiosk;
use crate::endpoint::lookup;
use crate::endpoint::on_piece::OnPiece;
use crate::endpoint::problem::Problem;
use crate::label::code::Code;
use crate::store::{Event, PieceRecord, PieceRow, Refusal, State};

/// Of a piece that was reported bad.
const WAIT: &str = "Do not install this piece before you have heard from the shop.";

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
/// As [`lookup::piece`].
pub fn page(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    show(kiosk, request, &lookup::piece(kiosk, code)?, None)
}

/// `POST /P/{CODE}`: installed, or reported bad; the page again, with what came of it.
///
/// # Errors
/// As [`lookup::piece`]; 422 when the form says neither.
pub fn act(kiosk: &Kiosk, request: &Request, code: &str) -> Result<Response, Problem> {
    let form = Form::of(request);
    let PieceRow { code, reported, .. } = lookup::piece(kiosk, code)?.row;
    let outcome = match form.value("do") {
        // From a page that was opened before somebody reported the piece.
        "installed" if reported.is_some() && form.value("told") != "yes" => Outcome::ReportedMeanwhile,
        "installed" => match form.record(kiosk, &code, &Event::Installed)? {
            Ok(()) => Outcome::Installed,
            Err(Refusal::AlreadyInstalled { at, .. }) => Outcome::AlreadyInstalled { at },
            Err(Refusal::NotBent) => Outcome::NotBent,
            Err(refusal) => return Err(Problem::of_refusal(&refusal, kiosk.clock())),
        },
        "report" => match report::reason(&form) {
            Err(unsaid) => Outcome::NotReported(unsaid),
            Ok(why) => match form.record(kiosk, &code, &Event::Reported { why })? {
                Ok(()) => Outcome::Reported,
                Err(refusal) => return Err(Problem::of_refusal(&refusal, kiosk.clock())),
            },
        },
        _ => {
            let detail = "give do=installed, or do=report with why";
            return Err(Problem::new(422, "nothing-asked", "Nothing was asked for", detail));
        }
    };
    show(kiosk, request, &lookup::piece(kiosk, &code)?, Some(&outcome))
}

/// What came of a form.
enum Outcome {
    Installed,
    AlreadyInstalled { at: i64 },
    NotBent,
    ReportedMeanwhile,
    Reported,
    NotReported(Unsaid),
}

impl Outcome {
    fn block(&self, kiosk: &Kiosk, mark: &str) -> Markup {
        let (class, sign, word, detail) = match self {
            Self::Installed => ("result yes", signs::check(), "INSTALLED", "Recorded. The shop sees it.".to_owned()),
            Self::AlreadyInstalled { at } => (
                "result same",
                signs::equals(),
                "ALREADY INSTALLED",
                format!("Recorded at {}, and not a second time.", kiosk.clock().said(*at)),
            ),
            Self::NotBent => (
                "result no",
                signs::cross(),
                "NOT RECORDED",
                "The bench has not finished this piece. Ask the shop: is this the right label?".to_owned(),
            ),
            Self::ReportedMeanwhile => (
                "result no",
                signs::cross(),
                "NOT RECORDED",
                format!("Somebody reported this piece as bad after you opened its page. {WAIT}"),
            ),
            Self::Reported => ("result yes", signs::check(), "REPORTED", format!("The shop sees it. {WAIT}")),
            Self::NotReported(unsaid) => ("result no", signs::cross(), "NOT REPORTED", unsaid.to_string()),
        };
        html! {
            div class=(class) role="alert" {
                p.big { (sign) span { (word) " " span.mark { (mark) } } }
                p { (detail) }
            }
        }
    }
}

fn show(
    kiosk: &Kiosk,
    request: &Request,
    record: &PieceRecord,
    outcome: Option<&Outcome>,
) -> Result<Response, Problem> {
    let PieceRecord { order, row, piece } = record;
    let run = kiosk.store().run_sheet_of(&row.code)?;
    let to_do = to_do(piece, run.as_ref());
    let on_piece = run.map(|run| OnPiece::of(run, piece, order.units));
    let view = pictures::view(kiosk, record)?;
    let drawing = wall::svg(&view, 720.0, 190.0, Theme::LIGHT);
    let body = html! {
        @if let Some(outcome) = outcome { (outcome.block(kiosk, &row.mark)) }
        (van(kiosk, request, record)?)
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
            (installed_form(row)?)
            (to_do)
            @if let Some(on_piece) = &on_piece { (fastening(on_piece)) }
            (numbers(piece, on_piece.as_ref()))
            (report::form(&row.code)?)
            (history(kiosk, &kiosk.store().history(&row.code)?))
            p.quiet { "Code " code { (row.code) } }
        }
    };
    Ok(layout::page(kiosk, &format!("{} · {} of {}", row.mark, row.place, row.of), &body))
}

fn installed_form(row: &PieceRow) -> Result<Markup, Problem> {
    let reported = row.reported.is_some();
    let form = html! {
        form.work method="post" action=(format!("/P/{}", row.code)) {
            (layout::fresh_id()?)
            @if reported { input type="hidden" name="told" value="yes"; }
            button name="do" value="installed" { "Mark installed" }
        }
    };
    Ok(match row.state {
        State::Installed => html! { p.done { (signs::check()) "Installed" } },
        State::Waiting | State::Started => {
            html! { p.notyet { "Not bent yet: the bench has not finished this piece." } }
        }
        State::Bent | State::Loaded if reported => html! {
            p.notyet { (WAIT) }
            details {
                summary { "The shop says it may be used" }
                (form)
            }
        },
        State::Bent | State::Loaded => form,
    })
}

/// On a phone that is loading an order: whether this piece goes along, and one touch to count it.
fn van(kiosk: &Kiosk, request: &Request, record: &PieceRecord) -> Result<Markup, Problem> {
    let loading = request.cookie(LOADING).filter(|_| auth::knows_shop(kiosk, request));
    let Some(number) = loading else { return Ok(html! {}) };
    let PieceRecord { order, row, .. } = record;
    let list = format!("/load/{number}");
    Ok(html! {
        @if order.number != number {
            div.result.no role="alert" {
                p.not { "DO NOT LOAD" }
                p.big { (signs::cross()) span { "NOT ORDER " (number) } }
                p { span.mark { (row.mark) } " belongs to order " strong { (order.number) } ". " a href=(list) { "Back to the load check" } }
            }
        } @else if row.state == State::Bent {
            form.van method="post" action=(list) {
                (layout::fresh_id()?)
                input type="hidden" name="code" value=(row.code);
                p { "Loading order " strong { (number) } ": this piece goes along." }
                button { "Count " span.mark { (row.mark) } " onto the van" }
            }
        } @else {
            div.van { p { "Loading order " strong { (number) } " · " a href=(list) { "Back to the load check" } } }
        }
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
