//! A screen without a monitor, with real X events: Xvfb, xdotool and ImageMagick.

use std::collections::HashSet;
use std::path::Path;
use std::process::Command;

use x11rb::connection::Connection;
use x11rb::protocol::xfixes::ConnectionExt as _;
use x11rb::protocol::xproto::{ChangeWindowAttributesAux, ConnectionExt as _};

use super::program::{Program, run_well};

/// In the X cursor font, its mask after it.
const LEFT_ARROW: u16 = 68;

/// An X server on a free display number. It ends when dropped.
pub struct Display {
    _server: Program,
    /// `:99`
    pub name: String,
}

impl Display {
    pub fn start(width: u32, height: u32) -> Self {
        let mut command = Command::new("Xvfb");
        command.args([
            "-displayfd",
            "1",
            "-noreset",
            "-nolisten",
            "tcp",
            "-screen",
            "0",
            &format!("{width}x{height}x24"),
        ]);
        let mut server = Program::start(&mut command, "xvfb");
        let number: u32 = server.hear("its display number", |line| line.trim().parse().ok());
        Self { _server: server, name: format!(":{number}") }
    }

    /// What stands on the screen now.
    pub fn screenshot(&self) -> Screenshot {
        let mut command = Command::new("import");
        let output = run_well(command.args(["-display", &self.name, "-window", "root", "png24:-"]), "imagemagick");
        Screenshot::read(output.stdout)
    }

    /// Gives the keyboard to the window with this title, as a window manager would.
    pub fn focus(&self, title: &str) {
        self.xdotool(&["search", "--onlyvisible", "--name", &format!("^{title}$"), "windowfocus", "--sync"]);
    }

    /// Gives it the arrow that a desktop gives its screen: a bare X server has none, and windows take theirs from it.
    pub fn with_arrow(self) -> Self {
        let (server, screen) = x11rb::connect(Some(&self.name)).unwrap();
        let (font, arrow) = (server.generate_id().unwrap(), server.generate_id().unwrap());
        server.open_font(font, b"cursor").unwrap();
        server.create_glyph_cursor(arrow, font, font, LEFT_ARROW, LEFT_ARROW + 1, 0, 0, 0, !0, !0, !0).unwrap();
        let root = server.setup().roots[screen].root;
        let attributes = ChangeWindowAttributesAux::new().cursor(arrow);
        server.change_window_attributes(root, &attributes).unwrap().check().unwrap();
        self
    }

    /// Moves the pointer there.
    pub fn point(&self, (x, y): (u32, u32)) {
        self.xdotool(&["mousemove", &x.to_string(), &y.to_string()]);
    }

    /// Whether anything is to be seen of the pointer where it is now: its picture, as the X server has it.
    pub fn shows_pointer(&self) -> bool {
        let (server, _) = x11rb::connect(Some(&self.name)).unwrap();
        server.xfixes_query_version(5, 0).unwrap().reply().unwrap();
        let picture = server.xfixes_get_cursor_image().unwrap().reply().unwrap();
        picture.cursor_image.iter().any(|argb| argb >> 24 != 0)
    }

    /// Presses and lets go the left button there.
    pub fn click(&self, (x, y): (u32, u32)) {
        self.xdotool(&["mousemove", &x.to_string(), &y.to_string(), "click", "1"]);
    }

    /// Presses and lets go a key by its X name: `space`, `Escape`.
    pub fn key(&self, name: &str) {
        self.xdotool(&["key", name]);
    }

    fn xdotool(&self, arguments: &[&str]) {
        run_well(Command::new("xdotool").args(arguments).env("DISPLAY", &self.name), "xdotool");
    }
}

/// Bytes per pixel.
const DEPTH: usize = 3;

/// A picture of the screen.
#[derive(Clone, PartialEq)]
pub struct Screenshot {
    png: Vec<u8>,
    width: usize,
    height: usize,
    /// Red, green and blue of each pixel, row by row.
    pixels: Vec<u8>,
}

impl Screenshot {
    fn read(png: Vec<u8>) -> Self {
        let decoder = png::Decoder::new(std::io::Cursor::new(&png));
        let mut reader = decoder.read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let frame = reader.next_frame(&mut pixels).unwrap();
        assert_eq!((frame.color_type, frame.bit_depth), (png::ColorType::Rgb, png::BitDepth::Eight));
        pixels.truncate(frame.buffer_size());
        Self { width: frame.width as usize, height: frame.height as usize, pixels, png }
    }

    /// How many colours there are: one on a screen where nothing has been drawn.
    pub fn colours(&self) -> usize {
        self.pixels.chunks(DEPTH).collect::<HashSet<_>>().len()
    }

    /// Red, green and blue of one pixel.
    pub fn pixel(&self, (x, y): (u32, u32)) -> [u8; 3] {
        let at = (y as usize * self.width + x as usize) * DEPTH;
        [self.pixels[at], self.pixels[at + 1], self.pixels[at + 2]]
    }

    /// Which part of the pixels differs from another picture of the same size, 0 to 1.
    pub fn difference(&self, other: &Self) -> f64 {
        assert_eq!((self.width, self.height), (other.width, other.height));
        let pairs = self.pixels.chunks(DEPTH).zip(other.pixels.chunks(DEPTH));
        pairs.filter(|(one, other)| one != other).count() as f64 / (self.width * self.height) as f64
    }

    pub fn save(&self, path: &Path) {
        std::fs::write(path, &self.png).unwrap();
    }
}
