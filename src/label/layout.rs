//! Keyboard layouts: what each key types, by where it is.
//!
//! A wedge scanner sends keys, not characters. It looks a character up in the layout it is set for; the computer makes
//! of the same key what its own layout says. Where the two differ, a label arrives as gibberish.

/// What the keys of one keyboard type.
pub struct Layout {
    /// In plain words.
    pub name: &'static str,
    /// Its name in the X keyboard database.
    pub xkb: &'static str,
    /// The rows from the top, each from the left, among them the key beside the left shift and the one beside the right
    /// shift that few keyboards have. A space stands for a key that is missing or only adds an accent.
    pub plain: [&'static str; 4],
    pub shifted: [&'static str; 4],
}

impl Layout {
    /// Every key's character, first all unshifted, then all shifted: the same place is the same key in every layout.
    pub fn keys(&self) -> impl Iterator<Item = char> {
        self.plain.into_iter().chain(self.shifted).flat_map(str::chars)
    }
}

/// Copied from the X keyboard database (xkeyboard-config 2.35.1), to which `tests/keyboard_layouts.rs` holds it.
pub const LAYOUTS: [Layout; 15] = [
    Layout {
        name: "US",
        xkb: "us",
        plain: ["`1234567890-=", "qwertyuiop[]\\", "asdfghjkl;'", "<zxcvbnm,./ "],
        shifted: ["~!@#$%^&*()_+", "QWERTYUIOP{}|", "ASDFGHJKL:\"", ">ZXCVBNM<>? "],
    },
    Layout {
        name: "UK",
        xkb: "gb",
        plain: ["`1234567890-=", "qwertyuiop[]#", "asdfghjkl;'", "\\zxcvbnm,./ "],
        shifted: ["¬!\"£$%^&*()_+", "QWERTYUIOP{}~", "ASDFGHJKL:@", "|ZXCVBNM<>? "],
    },
    Layout {
        name: "Spanish",
        xkb: "es",
        plain: ["º1234567890'¡", "qwertyuiop +ç", "asdfghjklñ ", "<zxcvbnm,.- "],
        shifted: ["ª!\"·$%&/()=?¿", "QWERTYUIOP *Ç", "ASDFGHJKLÑ ", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "Latin American",
        xkb: "latam",
        plain: ["|1234567890'¿", "qwertyuiop +}", "asdfghjklñ{", "<zxcvbnm,.- "],
        shifted: ["°!\"#$%&/()=?¡", "QWERTYUIOP *]", "ASDFGHJKLÑ[", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "Italian",
        xkb: "it",
        plain: ["\\1234567890'ì", "qwertyuiopè+ù", "asdfghjklòà", "<zxcvbnm,.- "],
        shifted: ["|!\"£$%&/()=?^", "QWERTYUIOPé*§", "ASDFGHJKLç°", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "German",
        xkb: "de",
        plain: [" 1234567890ß ", "qwertzuiopü+#", "asdfghjklöä", "<yxcvbnm,.- "],
        shifted: ["°!\"§$%&/()=? ", "QWERTZUIOPÜ*'", "ASDFGHJKLÖÄ", ">YXCVBNM;:_ "],
    },
    Layout {
        name: "Swiss",
        xkb: "ch",
        plain: ["§1234567890' ", "qwertzuiopü $", "asdfghjklöä", "<yxcvbnm,.- "],
        shifted: ["°+\"*ç%&/()=? ", "QWERTZUIOPè!£", "ASDFGHJKLéà", ">YXCVBNM;:_ "],
    },
    Layout {
        name: "French",
        xkb: "fr",
        plain: ["²&é\"'(-è_çà)=", "azertyuiop $*", "qsdfghjklmù", "<wxcvbn,;:! "],
        shifted: ["~1234567890°+", "AZERTYUIOP £µ", "QSDFGHJKLM%", ">WXCVBN?./§ "],
    },
    Layout {
        name: "Belgian",
        xkb: "be",
        plain: ["²&é\"'(§è!çà)-", "azertyuiop $µ", "qsdfghjklmù", "<wxcvbn,;:= "],
        shifted: ["³1234567890°_", "AZERTYUIOP *£", "QSDFGHJKLM%", ">WXCVBN?./+ "],
    },
    Layout {
        name: "Portuguese",
        xkb: "pt",
        plain: ["\\1234567890'«", "qwertyuiop+  ", "asdfghjklçº", "<zxcvbnm,.- "],
        shifted: ["|!\"#$%&/()=?»", "QWERTYUIOP*  ", "ASDFGHJKLÇª", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "Brazilian",
        xkb: "br",
        plain: ["'1234567890-=", "qwertyuiop []", "asdfghjklç ", "\\zxcvbnm,.;/"],
        shifted: ["\"!@#$% &*()_+", "QWERTYUIOP {}", "ASDFGHJKLÇ ", "|ZXCVBNM<>:?"],
    },
    Layout {
        name: "Canadian",
        xkb: "ca",
        plain: ["#1234567890-=", "qwertyuiop  <", "asdfghjkl; ", "«zxcvbnm,.é "],
        shifted: ["|!\"/$%?&*()_+", "QWERTYUIOP  >", "ASDFGHJKL: ", "»ZXCVBNM'.É "],
    },
    Layout {
        name: "Danish",
        xkb: "dk",
        plain: ["½1234567890+ ", "qwertyuiopå '", "asdfghjklæø", "<zxcvbnm,.- "],
        shifted: ["§!\"#¤%&/()=? ", "QWERTYUIOPÅ *", "ASDFGHJKLÆØ", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "Norwegian",
        xkb: "no",
        plain: ["|1234567890+\\", "qwertyuiopå '", "asdfghjkløæ", "<zxcvbnm,.- "],
        shifted: ["§!\"#¤%&/()=? ", "QWERTYUIOPÅ *", "ASDFGHJKLØÆ", ">ZXCVBNM;:_ "],
    },
    Layout {
        name: "Swedish",
        xkb: "se",
        plain: ["§1234567890+ ", "qwertyuiopå '", "asdfghjklöä", "<zxcvbnm,.- "],
        shifted: ["½!\"#¤%&/()=? ", "QWERTYUIOPÅ *", "ASDFGHJKLÖÄ", ">ZXCVBNM;:_ "],
    },
];
