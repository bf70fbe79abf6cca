//! What a wedge scanner typed, undone.
//!
//! A scanner that types as a keyboard sends key positions, as on a US keyboard; a computer set for another language
//! makes other characters of them. The address on a label says where its code begins, so what has become of `/P/`
//! tells which layout it went through.

/// A layout, by what the keys of a US keyboard type in it.
struct Layout {
    /// What the slash key types.
    slash: char,
    /// Other keys that matter in a code: what they type, and what was meant.
    typed: &'static str,
    meant: &'static str,
}

/// Read from the X keyboard configuration database (xkeyboard-config, symbols `us`, `es`, `it`, `de`, `fr`).
const LAYOUTS: [Layout; 4] = [
    Layout { slash: '/', typed: "", meant: "" },
    // Spanish, Italian.
    Layout { slash: '-', typed: "", meant: "" },
    // German. Tried after the others with this slash: the check character decides.
    Layout { slash: '-', typed: "YZ", meant: "ZY" },
    // French: unshifted digits, M in another place, A and Q, Z and W changed about.
    Layout { slash: '!', typed: "&É\"'(-È_ÇÀ,?AQWZ!", meant: "1234567890MMQAZW/" },
];

/// What follows `/P/` in an address, in capitals, once for each layout that it may have been typed through.
pub fn after_path(text: &str) -> Vec<String> {
    let text = text.to_uppercase();
    let meant = |layout: &Layout, c| {
        let at = layout.typed.chars().position(|typed| typed == c);
        at.and_then(|at| layout.meant.chars().nth(at)).unwrap_or(c)
    };
    LAYOUTS
        .iter()
        .filter_map(|layout| {
            let (_, rest) = text.rsplit_once(&format!("{0}P{0}", layout.slash))?;
            let rest: String = rest.chars().map(|c| meant(layout, c)).collect();
            rest.split(['/', '?', '#']).next().map(String::from)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Typed out by hand from the keyboards' pictures in the same database: `HTTP://10.0.0.7:8787/P/7YZM 4AQW 61K2`.
    #[test]
    fn layouts_are_undone() {
        for typed in [
            "http://10.0.0.7:8787/p/7yzm4aqw61k2?x",
            "HTTPÑ--10.0.0.7Ñ8787-P-7YZM4AQW61K2",
            "HTTPÖ--10.0.0.7Ö8787-P-7ZYM4AQW61K2",
            "HTTPM!!&à:à:à:èM_è_è!P!èYW?'QAZ-&Ké",
        ] {
            assert!(after_path(typed).contains(&"7YZM4AQW61K2".to_string()), "{typed}: {:?}", after_path(typed));
        }
        assert!(after_path("7YZM4AQW61K2").is_empty());
    }
}
