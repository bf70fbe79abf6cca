//! From a path to its answer.
//!
//! Paths are case-blind, because a label's address is in capitals and a scanner may have Caps Lock on; a slash at the end
//! changes nothing. HEAD is answered as GET: the door sends the answer's head alone.

use super::api;
use super::api::{orders, phones, pictures, pieces, prints, remake, runs, scan};
use super::auth;
use super::http::{Method, Request, Response};
use super::kiosk::Kiosk;
use super::labels::{self, Form};
use super::pages::{hardware, home, join, layout, load, not_a_piece, people, refused, reported, roof};
use super::problem::Problem;

/// What a path means. Texts are an order's number, a run's or a piece's code as the client wrote it.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Route {
    Health,
    Style,
    Home,
    Join,
    JoinWith(String),
    People,
    Load(String),
    Reported(String),
    Hardware(String),
    RunHardware(String, String),
    Find,
    Roof(String),
    Card(String),
    Address,
    Symbol,
    Scan(String),
    Persons,
    Person(String),
    Prints,
    Print(String),
    TestLabel(Form),
    CommandCards,
    Orders,
    Order(String),
    Pieces(String),
    Runs(String),
    Run(String, String),
    Sheet(String),
    Piece(String),
    OnPiece(String),
    Events(String),
    Remake(String),
    PrintLabel(String),
    Drawing(String),
    Wall(String),
    Label(String, Form),
}

const READ: &[Method] = &[Method::Get, Method::Head];
const READ_AND_POST: &[Method] = &[Method::Get, Method::Head, Method::Post];
const POST: &[Method] = &[Method::Post];

impl Route {
    fn of(request: &Request) -> Option<Self> {
        let parts: Vec<String> = request.parts().collect();
        let words: Vec<String> = parts.iter().map(|part| part.to_ascii_lowercase()).collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let part = |index: usize| parts[index].clone();
        Some(match words.as_slice() {
            [] => Self::Home,
            ["healthz"] => Self::Health,
            ["style.css"] => Self::Style,
            ["join"] => Self::Join,
            ["join", _] => Self::JoinWith(part(1)),
            ["people"] => Self::People,
            ["load", _] => Self::Load(part(1)),
            ["reported", _] => Self::Reported(part(1)),
            ["hardware", _] => Self::Hardware(part(1)),
            ["hardware", _, _] => Self::RunHardware(part(1), part(2)),
            ["p"] => Self::Find,
            ["p", _] => Self::Roof(part(1)),
            ["k", _] => Self::Card(part(1)),
            ["api", "address"] => Self::Address,
            ["api", "qr.svg"] => Self::Symbol,
            ["api", "scan", _] => Self::Scan(part(2)),
            ["api", "people"] => Self::Persons,
            ["api", "people", _] => Self::Person(part(2)),
            ["api", "prints"] => Self::Prints,
            ["api", "prints", _] => Self::Print(part(2)),
            ["api", "test-label.svg"] => Self::TestLabel(Form::Svg),
            ["api", "test-label.png"] => Self::TestLabel(Form::Png),
            ["api", "test-label.pdf"] => Self::TestLabel(Form::Pdf),
            ["api", "command-cards.pdf"] => Self::CommandCards,
            ["api", "orders"] => Self::Orders,
            ["api", "orders", _] => Self::Order(part(2)),
            ["api", "orders", _, "pieces"] => Self::Pieces(part(2)),
            ["api", "orders", _, "runs"] => Self::Runs(part(2)),
            ["api", "orders", _, "runs", _] => Self::Run(part(2), part(4)),
            ["api", "orders", _, "labels.pdf"] => Self::Sheet(part(2)),
            ["api", "pieces", _] => Self::Piece(part(2)),
            ["api", "pieces", _, "hardware"] => Self::OnPiece(part(2)),
            ["api", "pieces", _, "events"] => Self::Events(part(2)),
            ["api", "pieces", _, "remake"] => Self::Remake(part(2)),
            ["api", "pieces", _, "print"] => Self::PrintLabel(part(2)),
            ["api", "pieces", _, "drawing.svg"] => Self::Drawing(part(2)),
            ["api", "pieces", _, "wall.svg"] => Self::Wall(part(2)),
            ["api", "pieces", _, "label.svg"] => Self::Label(part(2), Form::Svg),
            ["api", "pieces", _, "label.png"] => Self::Label(part(2), Form::Png),
            ["api", "pieces", _, "label.pdf"] => Self::Label(part(2), Form::Pdf),
            _ => return None,
        })
    }

    fn methods(&self) -> &'static [Method] {
        match self {
            Self::Join
            | Self::People
            | Self::Load(_)
            | Self::Reported(_)
            | Self::Roof(_)
            | Self::Persons
            | Self::Prints
            | Self::Orders => READ_AND_POST,
            Self::Person(_) | Self::Print(_) | Self::Events(_) | Self::Remake(_) | Self::PrintLabel(_) => POST,
            _ => READ,
        }
    }

    /// Whether only a holder of the shop's key may ask. For events that depends on which: see [`pieces::record`].
    fn needs_key(&self) -> bool {
        matches!(
            self,
            Self::Home
                | Self::People
                | Self::Load(_)
                | Self::Reported(_)
                | Self::Hardware(_)
                | Self::RunHardware(..)
                | Self::Address
                | Self::Symbol
                | Self::Scan(_)
                | Self::Persons
                | Self::Person(_)
                | Self::Prints
                | Self::Print(_)
                | Self::Remake(_)
                | Self::PrintLabel(_)
                | Self::TestLabel(_)
                | Self::CommandCards
                | Self::Orders
                | Self::Order(_)
                | Self::Pieces(_)
                | Self::Runs(_)
                | Self::Run(..)
                | Self::Sheet(_)
        )
    }
}

/// Answers one request.
pub fn answer(kiosk: &Kiosk, request: &Request) -> Response {
    let for_program = {
        let first = request.path.trim_start_matches('/').split('/').next().unwrap_or_default();
        ["api", "healthz"].iter().any(|word| first.eq_ignore_ascii_case(word))
    };
    let response = respond(kiosk, request).unwrap_or_else(|problem| {
        if let Some(line) = problem.log_line(request) {
            eprintln!("brakeside: {line}");
        }
        match for_program {
            true => problem.document(),
            false => refused::page(kiosk, request, &problem),
        }
    });
    guarded(response, if for_program { "no-cache" } else { "no-store" })
}

fn respond(kiosk: &Kiosk, request: &Request) -> Result<Response, Problem> {
    let route = Route::of(request).ok_or_else(Problem::no_such_path)?;
    if !route.methods().contains(&request.method) {
        return Err(Problem::method(route.methods()));
    }
    if route.needs_key() {
        auth::admit(kiosk, request)?;
    }
    let posted = request.method == Method::Post;
    match &route {
        Route::Health => Ok(api::health()),
        Route::Style => Ok(layout::style()),
        Route::Home => home::page(kiosk),
        Route::Join if posted => Ok(join::take_key(kiosk, request)),
        Route::Join => Ok(join::page(kiosk, request)),
        Route::JoinWith(key) => Ok(join::with(kiosk, key)),
        Route::People if posted => people::act(kiosk, request),
        Route::People => people::page(kiosk),
        Route::Load(number) if posted => load::count(kiosk, request, number),
        Route::Load(number) => load::page(kiosk, number),
        Route::Reported(number) if posted => reported::act(kiosk, request, number),
        Route::Reported(number) => reported::page(kiosk, number),
        Route::Hardware(number) => hardware::page(kiosk, request, number),
        Route::RunHardware(number, run) => hardware::run(kiosk, number, run),
        Route::Find => Ok(roof::find(kiosk, request)),
        Route::Roof(code) if posted => roof::act(kiosk, request, code),
        Route::Roof(code) => roof::page(kiosk, request, code),
        Route::Card(word) => not_a_piece::card(kiosk, word),
        Route::Address => Ok(phones::address(kiosk)),
        Route::Symbol => phones::symbol(kiosk, request),
        Route::Scan(code) => scan::one(kiosk, code),
        Route::Persons if posted => api::people::add(kiosk, request),
        Route::Persons => api::people::list(kiosk, request),
        Route::Person(id) => api::people::act(kiosk, request, id),
        Route::Prints if posted => prints::test(kiosk, request),
        Route::Prints => prints::list(kiosk),
        Route::Print(number) => prints::act(kiosk, request, number),
        Route::TestLabel(form) => labels::test(kiosk, request, *form),
        Route::CommandCards => labels::command_cards(kiosk),
        Route::Orders if posted => orders::post(kiosk, request),
        Route::Orders => orders::list(kiosk, request),
        Route::Order(number) => orders::one(kiosk, request, number),
        Route::Pieces(number) => orders::pieces(kiosk, request, number),
        Route::Runs(number) => runs::list(kiosk, request, number),
        Route::Run(number, run) => runs::one(kiosk, request, number, run),
        Route::Sheet(number) => labels::sheet(kiosk, request, number),
        Route::Piece(code) => pieces::one(kiosk, request, code),
        Route::OnPiece(code) => runs::of_piece(kiosk, request, code),
        Route::Events(code) => pieces::record(kiosk, request, code),
        Route::Remake(code) => remake::post(kiosk, request, code),
        Route::PrintLabel(code) => prints::ask(kiosk, request, code),
        Route::Drawing(code) => pictures::drawing(kiosk, request, code),
        Route::Wall(code) => pictures::wall(kiosk, request, code),
        Route::Label(code, form) => labels::one(kiosk, request, code, *form),
    }
}

/// Nothing runs in these pages and nothing from elsewhere is loaded into them; a browser is to see to it.
const POLICY: &str = "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; \
                      base-uri 'none'; frame-ancestors 'none'";

/// Puts on what every answer carries.
fn guarded(response: Response, caching: &str) -> Response {
    let caching = response.header("Cache-Control").unwrap_or(caching).to_owned();
    response
        .with_header("Cache-Control", caching)
        .with_header("Content-Security-Policy", POLICY)
        .with_header("X-Content-Type-Options", "nosniff")
        // Not no-referrer: with that, browsers hide the Origin of the pages' own forms, which auth checks. Codes are
        // in addresses, so no other site may see them.
        .with_header("Referrer-Policy", "same-origin")
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::endpoint::fixture::{Shop, body, order, post};

    /// Every route, with the methods it takes besides HEAD, which goes with GET.
    const ROUTES: [(&str, &str); 39] = [
        ("/", "GET"),
        ("/healthz", "GET"),
        ("/style.css", "GET"),
        ("/join", "GET POST"),
        ("/join/CODE", "GET"),
        ("/people", "GET POST"),
        ("/load/2041", "GET POST"),
        ("/reported/2041", "GET POST"),
        ("/hardware/2041", "GET"),
        ("/hardware/2041/0", "GET"),
        ("/P", "GET"),
        ("/P/CODE", "GET POST"),
        ("/K/ON", "GET"),
        ("/api/address", "GET"),
        ("/api/qr.svg", "GET"),
        ("/api/scan/CODE", "GET"),
        ("/api/people", "GET POST"),
        ("/api/people/1", "POST"),
        ("/api/prints", "GET POST"),
        ("/api/prints/1", "POST"),
        ("/api/test-label.svg", "GET"),
        ("/api/test-label.png", "GET"),
        ("/api/test-label.pdf", "GET"),
        ("/api/command-cards.pdf", "GET"),
        ("/api/orders", "GET POST"),
        ("/api/orders/2041", "GET"),
        ("/api/orders/2041/pieces", "GET"),
        ("/api/orders/2041/runs", "GET"),
        ("/api/orders/2041/runs/0", "GET"),
        ("/api/orders/2041/labels.pdf", "GET"),
        ("/api/pieces/CODE", "GET"),
        ("/api/pieces/CODE/hardware", "GET"),
        ("/api/pieces/CODE/events", "POST"),
        ("/api/pieces/CODE/remake", "POST"),
        ("/api/pieces/CODE/print", "POST"),
        ("/api/pieces/CODE/drawing.svg", "GET"),
        ("/api/pieces/CODE/wall.svg", "GET"),
        ("/api/pieces/CODE/label.svg", "GET"),
        ("/api/pieces/CODE/label.png", "GET"),
    ];

    /// RFC 9110 §15.5.6: a 405 says in Allow what is allowed. §9.3.2: HEAD is as GET.
    #[test]
    fn every_route_takes_its_methods_and_names_them_to_others() {
        let shop = Shop::with(&order("2041"));
        let code = shop.code("2041", "A-EW-3");
        assert_eq!(shop.keyed(post("/api/people", &json!({ "name": "Ana" }))).status, 201);
        assert_eq!(shop.keyed(post("/api/prints", &json!({ "id": "print-001", "test": true }))).status, 202);
        for (path, taken) in ROUTES {
            let path = path.replace("CODE", &code);
            for method in Method::ALL {
                let response = shop.keyed(Request::new(method, &path));
                let name = if method == Method::Head { "GET" } else { method.as_str() };
                if taken.split(' ').any(|taken| taken == name) {
                    assert!(!matches!(response.status, 404 | 405), "{method} {path}: {}", response.status);
                } else {
                    assert_eq!(response.status, 405, "{method} {path}");
                    let allow = response.header("Allow").unwrap();
                    assert_eq!(allow, taken.replace("GET", "GET, HEAD").replace(" POST", ", POST").replace(",,", ","));
                }
            }
        }
    }

    #[test]
    fn paths_are_case_blind_and_a_last_slash_changes_nothing() {
        let shop = Shop::with(&order("A-7b"));
        let code = shop.code("A-7b", "A-EW-3");
        for path in [
            "/HEALTHZ".to_owned(),
            "/Api/Orders/".to_owned(),
            "/api/orders/a-7B/PIECES".to_owned(),
            "/LOAD/A%2D7B/".to_owned(),
            format!("/p/{}/", code.to_lowercase()),
            format!("/P/{code}"),
            format!("/API/PIECES/{}/WALL.SVG", code.to_lowercase()),
        ] {
            assert_eq!(shop.get(&path).status, 200, "{path}");
        }
    }

    #[test]
    fn what_is_not_there_is_a_problem_for_programs_and_a_page_for_people() {
        let shop = Shop::new();
        for path in ["/api", "/api/orders/7/x", "/api/pieces", "/api/nothing"] {
            let response = shop.get(path);
            assert_eq!(response.status, 404, "{path}");
            assert_eq!(response.header("Content-Type"), Some("application/problem+json"));
            let problem = body(&response);
            assert_eq!((&problem["type"], &problem["status"]), (&"/problems/nothing-here".into(), &404.into()));
        }
        for path in ["/favicon.ico", "/p/A/B", "/../x", "/load", "/load/9", "/%ff"] {
            let response = shop.get(path);
            assert_eq!(response.status, 404, "{path}");
            assert_eq!(response.header("Content-Type"), Some("text/html; charset=utf-8"));
        }
    }

    #[test]
    fn every_answer_is_guarded() {
        let shop = Shop::with(&order("2041"));
        for (path, caching) in [
            ("/", "no-store"),
            ("/nothing", "no-store"),
            ("/api/orders", "no-cache"),
            ("/api/nothing", "no-cache"),
            ("/style.css", "max-age=31536000, immutable"),
        ] {
            let response = shop.get(path);
            assert_eq!(response.header("Cache-Control"), Some(caching), "{path}");
            assert!(response.header("Content-Security-Policy").unwrap().starts_with("default-src 'none';"));
            assert_eq!(response.header("X-Content-Type-Options"), Some("nosniff"));
        }
    }
}
