//! Signs drawn as lines, so that they look alike on every phone, whatever typefaces it has.

use maud::{Markup, html};

fn sign(path: &str) -> Markup {
    html! {
        svg.sign viewBox="0 0 24 24" fill="none" stroke="currentColor" stroke-width="4" aria-hidden="true" {
            path d=(path) {}
        }
    }
}

/// Done.
pub fn check() -> Markup {
    sign("M3 13l6 6L21 5")
}

/// Refused.
pub fn cross() -> Markup {
    sign("M4 4l16 16M20 4L4 20")
}

/// Nothing changed.
pub fn equals() -> Markup {
    sign("M3 8h18M3 16h18")
}

/// The safety alert symbol of ANSI Z535.
pub fn alert() -> Markup {
    html! {
        svg.alert viewBox="0 0 24 22" aria-hidden="true" {
            path d="M12 1L23.5 21H.5z" fill="currentColor" {}
            path d="M12 8v6M12 16v2.5" stroke="var(--ground)" stroke-width="2.4" {}
        }
    }
}
