//! The address on the label: `HTTP://<HOST>:<PORT>/P/<CODE>`.
//!
//! Any phone's camera opens it and a wedge scanner types it. In capitals it fits the QR symbol's alphanumeric mode, which
//! takes eleven bits for two characters instead of sixteen: a smaller symbol, or larger modules in the same place.
//! Schemes and hosts are case-blind by RFC 3986, and the kiosk's own paths are too.

use crate::label::code::Code;
use crate::label::scan::Command;

/// The longest address a label takes: what QR version 7 holds at level Q, the largest symbol whose modules are still
/// half a millimetre wide on the smallest label.
pub const LONGEST: usize = 125;

/// Where the labels' addresses lead: a host and port, checked and in capitals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Address {
    host: String,
    port: u16,
}

/// Why a host cannot stand on a label.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    #[error("a label needs a host to lead to")]
    Empty,
    #[error(
        "the host ‘{host}’ cannot stand on a label because of ‘{character}’: only letters, digits, dots and hyphens can, \
         so give the kiosk's IPv4 address or a plain host name"
    )]
    Character { host: String, character: char },
    #[error("‘{base}’ is no address of a kiosk: it should be like http://192.168.1.20:8787")]
    Base { base: String },
    #[error("the host ‘{host}’ makes an address of {length} characters; a label takes {LONGEST}")]
    Long { host: String, length: usize },
}

impl Address {
    /// # Errors
    /// [`AddressError`] when the host is empty, too long, or cannot be spelled in a symbol's alphanumeric mode: an IPv6
    /// address has brackets, and some local names an underscore.
    pub fn new(host: &str, port: u16) -> Result<Self, AddressError> {
        if host.is_empty() {
            return Err(AddressError::Empty);
        }
        if let Some(character) = host.chars().find(|c| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '-'))) {
            return Err(AddressError::Character { host: host.into(), character });
        }
        let address = Self { host: host.to_ascii_uppercase(), port };
        let length = address.before_code().len() + crate::label::code::LENGTH;
        if length > LONGEST {
            return Err(AddressError::Long { host: host.into(), length });
        }
        Ok(address)
    }

    /// What [`base`](Self::base) says, read back.
    ///
    /// # Errors
    /// [`AddressError`] as for [`new`](Self::new), or when it is no such text.
    pub fn parse(base: &str) -> Result<Self, AddressError> {
        let unreadable = || AddressError::Base { base: base.into() };
        let (host, port) = base.strip_prefix("http://").and_then(|rest| rest.split_once(':')).ok_or_else(unreadable)?;
        Self::new(host, port.parse().map_err(|_| unreadable())?)
    }

    /// What the label of the piece with this code carries.
    pub fn url(&self, code: &Code) -> String {
        format!("{}{code}", self.before_code())
    }

    /// What a command card carries.
    pub fn command(&self, command: Command) -> String {
        format!("HTTP://{}:{}/K/{}", self.host, self.port, command.word())
    }

    /// Where phones find the kiosk, in lower case as people write it.
    pub fn base(&self) -> String {
        format!("http://{}:{}", self.host.to_ascii_lowercase(), self.port)
    }

    fn before_code(&self) -> String {
        format!("HTTP://{}:{}/P/", self.host, self.port)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::label::qr::is_alphanumeric;
    use crate::label::scan;

    #[test]
    fn addresses_are_spelled_in_the_symbols_alphanumeric_set() {
        let code = Code::random().unwrap();
        for (host, expected) in
            [("192.168.1.20", "HTTP://192.168.1.20:8787/P/"), ("shed-2.lan", "HTTP://SHED-2.LAN:8787/P/")]
        {
            let url = Address::new(host, 8787).unwrap().url(&code);
            assert_eq!(url, format!("{expected}{code}"));
            assert!(url.chars().all(is_alphanumeric));
            assert_eq!(Code::find_in(&url), Ok(code.clone()));
            for command in Command::ALL {
                let card = Address::new(host, 8787).unwrap().command(command);
                assert!(card.chars().all(is_alphanumeric));
                assert_eq!(scan::read(&card), scan::Reading::Command(command));
            }
        }
    }

    #[test]
    fn hosts_that_cannot_be_spelled_are_refused() {
        for (host, character) in
            [("[fe80::1]", '['), ("fe80::1", ':'), ("my_shed.lan", '_'), ("bücher.lan", 'ü'), ("a b", ' ')]
        {
            assert_eq!(Address::new(host, 80), Err(AddressError::Character { host: host.into(), character }));
        }
        assert_eq!(Address::new("", 80), Err(AddressError::Empty));
        let longest = "x".repeat(LONGEST - "HTTP://:80/P/".len() - 12);
        assert!(Address::new(&longest, 80).is_ok());
        assert!(matches!(Address::new(&longest, 808), Err(AddressError::Long { length: 126, .. })));
    }
}
