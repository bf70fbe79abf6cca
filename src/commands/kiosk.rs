//! The kiosk at work: the endpoint, the bench screen, or both.

use std::env;
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc;

use jiff::ZonedDateTime;

use super::args::Common;
use super::report::{Failure, say};
use crate::bench::api::Client;
use crate::bench::desk::Ids;
use crate::bench::run::{self, BenchError};
use crate::bench::screen::Looks;
use crate::bench::{window, worker};
use crate::endpoint::Kiosk;
use crate::endpoint::clock::Clock;
use crate::endpoint::door::{Server, StartError};
use crate::endpoint::printing::{self, Clerk, Printing};
use crate::label::code::Code;
use crate::label::printer::Address as PrinterAddress;
use crate::label::stock::Stock;
use crate::order::shop::Shop;
use crate::store::Store;

/// What the bench remembers is kept in the data folder under this name.
const BENCH_MEMORY: &str = "bench.json";

/// The setting under which the store keeps where its labels lead, so that `brakeside label` draws what the kiosk draws.
pub const LABEL_ADDRESS: &str = "label-address";

/// The bench screen and its endpoint; the endpoint alone when there is no display.
pub fn bench_and_endpoint(common: &Common) -> Result<(), Failure> {
    let folder = common.folder()?;
    let endpoint = Endpoint::start(common, &folder)?;
    endpoint.announce();
    work(common, &endpoint, &folder)
}

/// The endpoint alone, until it is told to stop.
pub fn endpoint_alone(common: &Common) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let endpoint = Endpoint::start(common, &common.folder()?)?;
    endpoint.announce();
    stop.wait();
    Ok(())
}

/// The bench screen alone.
pub fn bench_alone(common: &Common, at: &str, key: &str) -> Result<(), Failure> {
    let folder = common.folder()?;
    std::fs::create_dir_all(&folder).map_err(|source| Failure::Write { path: folder.clone(), source })?;
    if !has_display() {
        return Err(Failure::NoDisplay);
    }
    let _stop = Stop::listen()?;
    Ok(show_bench(common, at, key, &folder)?)
}

/// The bench on its own endpoint, or, with no display, the endpoint until it is told to stop.
pub fn work(common: &Common, endpoint: &Endpoint, folder: &Path) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    if !has_display() {
        say("No display here, so no bench screen: serving only. Stop with Ctrl-C.");
        stop.wait();
        return Ok(());
    }
    match show_bench(common, &endpoint.own_url(), endpoint.kiosk.key().as_str(), folder) {
        // The phones can still work.
        Err(BenchError::Screen(error)) => {
            say(&format!("No display to be had, so no bench screen: serving only. Stop with Ctrl-C. ({error})"));
            stop.wait();
            Ok(())
        }
        shown => Ok(shown?),
    }
}

/// An endpoint that answers as long as this lives.
pub struct Endpoint {
    pub kiosk: Arc<Kiosk>,
    listening: SocketAddr,
    /// What phones open.
    phones: String,
    _server: Server,
    _clerk: Clerk,
}

impl Endpoint {
    /// Opens the store in `folder` and listens.
    pub fn start(common: &Common, folder: &Path) -> Result<Self, Failure> {
        let shop = common.shop_of(folder)?;
        let store = Store::open(folder)?;
        let asked = SocketAddr::new(common.listen, common.port);
        let refused = |source| StartError::Listen { address: asked, source };
        let listener = TcpListener::bind(asked).map_err(refused)?;
        let listening = listener.local_addr().map_err(refused)?;
        let address = common.label_address(listening.port())?;
        let phones = address.base();
        store.set_setting(LABEL_ADDRESS, &phones)?;
        let printing = printing_for(&shop)?;
        let kiosk = Arc::new(Kiosk::new(store, address, Clock::system(), shop)?.with_printing(printing));
        let server = Server::on(listener, Arc::clone(&kiosk))?;
        let clerk = printing::start(Arc::clone(&kiosk));
        Ok(Self { kiosk, listening, phones, _server: server, _clerk: clerk })
    }

    /// Says where, and with which key.
    pub fn announce(&self) {
        let key = self.kiosk.key();
        say(&format!(
            "Listening on {}\nShop key: {}\nPhones:   {phones}\nJoin:     {phones}/join?key={key}",
            self.listening,
            key.spaced(),
            phones = self.phones,
        ));
    }

    /// Where this machine reaches its own endpoint.
    fn own_url(&self) -> String {
        let mut own = self.listening;
        if own.ip().is_unspecified() {
            own.set_ip(if own.is_ipv4() { [127, 0, 0, 1].into() } else { std::net::Ipv6Addr::LOCALHOST.into() });
        }
        format!("http://{own}")
    }
}

/// The label printer that the shop's settings name.
fn printing_for(shop: &Shop) -> Result<Printing, Failure> {
    let Some(address) = &shop.printer.address else { return Ok(Printing::none()) };
    let stock = shop.printer.stock.as_deref().map(Stock::named).transpose()?;
    Ok(Printing::to(PrinterAddress::parse(address)?, stock))
}

fn show_bench(common: &Common, at: &str, key: &str, folder: &Path) -> Result<(), BenchError> {
    // The key comes typed with spaces; what is no key is sent as it is, and refused by the endpoint.
    let key = Code::parse(key).map_or_else(|_| key.to_owned(), |code| code.to_string());
    let (width, height) = common.size;
    let pixels_per_mm = window::pixels_per_mm(width, height, common.diagonal);
    let work = worker::Setup {
        client: Client::new(at, &key),
        memory: folder.join(BENCH_MEMORY),
        today: || ZonedDateTime::now().date(),
        ids: Ids::new(Code::random().map_err(BenchError::Random)?.to_string()),
        bench: common.name.clone(),
        looks: Looks { language: common.language.into(), dark: common.dark },
        text: window::text_pixels(width, height, pixels_per_mm),
    };
    let screen = window::Setup { pixels_per_mm, dark: common.dark, fills_screen: common.full_screen };
    run::run(work, screen, common.size)
}

/// A bench needs an X11 or a Wayland display.
fn has_display() -> bool {
    ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"]
        .into_iter()
        .any(|name| env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// Hears when this process is told to stop, so that everything is put away first.
struct Stop(mpsc::Receiver<()>);

impl Stop {
    fn listen() -> Result<Self, Failure> {
        let (told, stopped) = mpsc::channel();
        ctrlc::set_handler(move || {
            run::end();
            // Refused where nobody waits any more.
            let _ = told.send(());
        })?;
        Ok(Self(stopped))
    }

    fn wait(&self) {
        // An error would mean that the handler is gone: then there is nothing to wait for either.
        let _ = self.0.recv();
    }
}
