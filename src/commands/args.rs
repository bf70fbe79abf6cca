//! What may be said on the command line, checked once, so that no command meets a raw word.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::builder::PossibleValuesParser;
use clap::{Args, Parser, Subcommand, ValueEnum};
use etcetera::BaseStrategy;

use super::report::Failure;
use super::test_bend::Measurements;
use super::{lan, settings};
use crate::label::stock::Stock;
use crate::label::url::Address;
use crate::order::fault::misleads;
use crate::order::shop::Shop;
use crate::words::Language;

/// The kiosk beside the brake: metal-roof trim from measured wall to sealed piece.
///
/// Without a command: the bench screen and its endpoint. With no display it serves the endpoint and prints where.
#[derive(Debug, Parser)]
#[command(name = "brakeside", version)]
pub struct Arguments {
    #[command(flatten)]
    pub common: Common,
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// The shop's settings in the data folder.
const SETTINGS: &str = "settings.toml";

#[derive(Debug, Args)]
pub struct Common {
    /// Folder the orders are kept in [default: the platform's data folder]
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// The shop's settings [default: settings.toml in the data folder]
    #[arg(long, global = true, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Address to listen on
    #[arg(long, global = true, value_name = "ADDR", default_value = "0.0.0.0")]
    pub listen: IpAddr,
    /// Port to listen on; 0 takes any free one
    #[arg(long, global = true, value_name = "N", default_value_t = 8787)]
    pub port: u16,
    /// Host name or address printed on labels [default: this machine's address on the local network]
    #[arg(long, global = true, value_name = "HOST")]
    pub host: Option<String>,
    /// The screen's diagonal in inches, as it is sold
    #[arg(long, global = true, value_name = "INCHES", default_value_t = 10.1, value_parser = diagonal)]
    pub diagonal: f32,
    /// What people call this bench; another bench says it of the pieces made here
    #[arg(long, global = true, value_name = "NAME", default_value = "Bench", value_parser = name)]
    pub name: String,
    /// The bench's language until it is set on the screen
    #[arg(long, global = true, value_name = "LANGUAGE", default_value = "en")]
    pub language: Spoken,
    /// Light on dark, until it is set on the screen
    #[arg(long, global = true)]
    pub dark: bool,
    /// Fill the screen, without a frame
    #[arg(long, global = true)]
    pub full_screen: bool,
    /// The screen's size in pixels, and the window's; with --diagonal it says how large a millimetre is
    #[arg(long, global = true, value_name = "WxH", default_value = "1280x800", value_parser = size)]
    pub size: (u32, u32),
}

/// The bench's languages, as said on the command line.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum Spoken {
    /// English
    En,
    /// Español
    Es,
}

impl From<Spoken> for Language {
    fn from(spoken: Spoken) -> Self {
        match spoken {
            Spoken::En => Self::English,
            Spoken::Es => Self::Spanish,
        }
    }
}

/// Other benches show it in a list.
fn name(text: &str) -> Result<String, String> {
    let text = text.trim();
    match text.chars().count() {
        1..=24 if !text.chars().any(misleads) => Ok(text.into()),
        _ => Err("a name of 1 to 24 characters".into()),
    }
}

fn size(text: &str) -> Result<(u32, u32), String> {
    let pixels = |text: &str| text.parse().ok().filter(|pixels| (320..=16_384).contains(pixels));
    let size = text.split_once(['x', '×']).and_then(|(width, height)| Some((pixels(width)?, pixels(height)?)));
    size.ok_or_else(|| "width x height in pixels, such as 1920x1080".into())
}

fn diagonal(text: &str) -> Result<f32, String> {
    match text.parse() {
        Ok(inches) if (5.0..=100.0).contains(&inches) => Ok(inches),
        _ => Err("inches from 5 to 100, such as 15.6".into()),
    }
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// The bench screen and its endpoint on a throw-away store filled with invented jobs
    Demo,
    /// The endpoint alone
    Serve,
    /// The bench screen alone, for an endpoint elsewhere
    Bench {
        /// The endpoint's address, such as http://192.168.1.20:8787
        #[arg(long, value_name = "URL")]
        at: String,
        /// The shop's key, as the endpoint prints it at its start
        #[arg(long, value_name = "KEY")]
        key: String,
    },
    /// Plan an order without storing it: the cut list, or the whole plan as JSON
    Plan {
        /// The order, a file in format brakeside-order/1; - reads standard input
        order: PathBuf,
        /// Print the plan as JSON, format brakeside-plan/1
        #[arg(long, conflicts_with = "working")]
        json: bool,
        /// After each piece and run, the working behind every number
        #[arg(long)]
        working: bool,
        /// Draw each kind of piece into this folder: its section, its blank, each bend
        #[arg(long, value_name = "DIR")]
        svg: Option<PathBuf>,
    },
    /// Print the shop's settings, every key explained
    Settings {
        /// Check this file instead
        #[arg(long, value_name = "FILE")]
        check: Option<PathBuf>,
    },
    /// Find K, the inside radius and springback from a strip bent and measured
    TestBend(Box<Measurements>),
    /// Draw a piece's label to a file
    Label {
        /// The piece's code, or what its label's QR code says
        code: String,
        /// The file to write; its ending says how: .svg, .png or .pdf
        #[arg(long, value_name = "FILE")]
        to: PathBuf,
        /// The label stock
        #[arg(long, value_name = "SIZE", default_value = Stock::INCH.name, value_parser = PossibleValuesParser::new(Stock::ALL.map(|stock| stock.name)))]
        stock: String,
    },
    /// Copy the whole store into one file, while the kiosk runs or not
    Backup {
        /// The file to write; it must not be there yet
        to: PathBuf,
    },
    /// Check that the store is whole
    Verify,
}

impl Common {
    /// Where the orders are kept.
    pub fn folder(&self) -> Result<PathBuf, Failure> {
        if let Some(folder) = &self.data {
            return Ok(folder.clone());
        }
        let platform = etcetera::choose_base_strategy().map_err(|_| Failure::NoDataFolder)?;
        Ok(platform.data_dir().join("brakeside"))
    }

    /// Where the shop's settings are kept.
    pub fn settings_file(&self) -> Result<PathBuf, Failure> {
        match &self.settings {
            Some(file) => Ok(file.clone()),
            None => Ok(self.folder()?.join(SETTINGS)),
        }
    }

    /// The shop as it is set up: as its settings say, else those in `folder`.
    pub fn shop_of(&self, folder: &Path) -> Result<Arc<Shop>, Failure> {
        let file = self.settings.clone().unwrap_or_else(|| folder.join(SETTINGS));
        settings::load(&file).map(Arc::new)
    }

    /// What labels are made to point at: the host given, else this machine's address on the local network.
    pub fn label_address(&self, port: u16) -> Result<Address, Failure> {
        let host = self.host.clone().unwrap_or_else(|| lan::address(self.listen).to_string());
        Ok(Address::new(&host, port)?)
    }
}
