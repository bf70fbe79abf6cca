//! PWG raster read back by libcups, which knows nothing of how it was made.
//!
//! Debian's package libcups2 brings it, on which cups-ipp-utils depends, the package of the printer that these tests print to.

use std::ffi::{CStr, c_char, c_int, c_uint, c_void};
use std::fs::File;
use std::os::fd::AsRawFd;
use std::path::Path;

/// A page as libcups reads it. Every dot is 0 for black or 255 for white.
pub struct Page {
    pub width: u32,
    pub height: u32,
    pub dpi: [u32; 2],
    /// In points.
    pub size: [u32; 2],
    /// As `PwgRaster`.
    pub class: String,
    pub medium: String,
    pub copies: u32,
    pub dots: Vec<u8>,
}

impl Page {
    /// As a picture that every decoder reads.
    pub fn save(&self, picture: &Path) {
        let mut file = format!("P5\n{} {}\n255\n", self.width, self.height).into_bytes();
        file.extend(&self.dots);
        std::fs::write(picture, file).unwrap();
    }
}

/// The header that `cups/raster.h` calls `cups_page_header2_t`, read by its offsets: numbers in this machine's order.
struct Header([u8; 1796]);

impl Header {
    fn number(&self, at: usize) -> u32 {
        u32::from_ne_bytes(self.0[at..at + 4].try_into().unwrap())
    }

    fn text(&self, at: usize) -> String {
        CStr::from_bytes_until_nul(&self.0[at..at + 64]).unwrap().to_str().unwrap().to_owned()
    }
}

/// The one page of this file.
///
/// # Panics
/// When it holds none or several, or libcups does not read it to its end.
pub fn read(file: &Path) -> Page {
    let cups = Library::open(c"libcups.so.2");
    let opened = File::open(file).unwrap();
    let mut header = Header([0; 1796]);
    // SAFETY: the signatures are those of cups/raster.h in libcups 2.4; `header` has its struct's size, and every buffer is as
    // long as is said. The file stays open until the raster is closed.
    unsafe {
        let open: unsafe extern "C" fn(c_int, c_int) -> *mut c_void = cups.find(c"cupsRasterOpen");
        let read_header: unsafe extern "C" fn(*mut c_void, *mut Header) -> c_uint = cups.find(c"cupsRasterReadHeader2");
        let read_dots: unsafe extern "C" fn(*mut c_void, *mut u8, c_uint) -> c_uint =
            cups.find(c"cupsRasterReadPixels");
        let close: unsafe extern "C" fn(*mut c_void) = cups.find(c"cupsRasterClose");
        const READ: c_int = 0;
        let raster = open(opened.as_raw_fd(), READ);
        assert!(!raster.is_null(), "libcups does not open {}", file.display());
        assert_eq!(read_header(raster, &raw mut header), 1, "libcups reads no header in {}", file.display());
        let (width, height, bits, bytes) =
            (header.number(372), header.number(376), header.number(388), header.number(392));
        let mut dots = Vec::new();
        for _ in 0..height {
            let mut row = vec![0; bytes as usize];
            assert_eq!(read_dots(raster, row.as_mut_ptr(), bytes), bytes, "a row of {} is cut off", file.display());
            match (bits, header.number(400)) {
                // CUPS_CSPACE_K: a bit is ink.
                (1, 3) => {
                    dots.extend((0..width as usize).map(|x| if row[x / 8] & (0x80 >> (x % 8)) == 0 { 255 } else { 0 }))
                }
                // CUPS_CSPACE_SW: a byte is light.
                (8, 18) => dots.extend(&row),
                other => panic!("{other:?} are not the dots of a label"),
            }
        }
        let mut another = Header([0; 1796]);
        assert_eq!(read_header(raster, &raw mut another), 0, "{} has a second page", file.display());
        close(raster);
        Page {
            width,
            height,
            dpi: [header.number(276), header.number(280)],
            size: [header.number(352), header.number(356)],
            class: header.text(0),
            medium: header.text(1732),
            copies: header.number(340),
            dots,
        }
    }
}

struct Library(*mut c_void);

unsafe extern "C" {
    fn dlopen(name: *const c_char, how: c_int) -> *mut c_void;
    fn dlsym(library: *mut c_void, name: *const c_char) -> *mut c_void;
}

impl Library {
    fn open(name: &CStr) -> Self {
        const NOW: c_int = 2;
        // SAFETY: libcups does nothing when it is loaded but make itself ready.
        let library = unsafe { dlopen(name.as_ptr(), NOW) };
        assert!(!library.is_null(), "{name:?} cannot be loaded; Debian's package libcups2 brings it");
        Self(library)
    }

    /// # Safety
    /// `F` is the type of this function.
    unsafe fn find<F: Copy>(&self, name: &CStr) -> F {
        const { assert!(size_of::<F>() == size_of::<*mut c_void>()) };
        // SAFETY: the library stays loaded; the caller vouches for the type.
        unsafe {
            let function = dlsym(self.0, name.as_ptr());
            assert!(!function.is_null(), "libcups has no {name:?}");
            std::mem::transmute_copy(&function)
        }
    }
}
