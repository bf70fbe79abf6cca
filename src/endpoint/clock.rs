//! What time it is, and how it is said. The router asks nobody else, so a test can stop the clock.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The kiosk's clock and the time zone on its wall.
#[derive(Debug, Clone)]
pub struct Clock {
    /// Milliseconds UTC.
    pub now: fn() -> i64,
    pub zone: TimeZone,
}

impl Clock {
    /// This machine's clock and zone.
    pub fn system() -> Self {
        Self { now: || Timestamp::now().as_millisecond(), zone: TimeZone::system() }
    }

    /// As people at the shop say it: `14:31` today, `25 Nov 14:31` on another day. Milliseconds UTC.
    pub fn said(&self, at: i64) -> String {
        let at = self.zone.to_datetime(timestamp(at));
        let format = if at.date() == self.today() { "%H:%M" } else { "%-d %b %H:%M" };
        at.strftime(format).to_string()
    }

    pub fn today(&self) -> Date {
        self.zone.to_datetime(timestamp((self.now)())).date()
    }
}

/// RFC 3339 in UTC, by its Display. No clock reads a time that is out of range, years -9999 to 9999.
pub fn timestamp(ms: i64) -> Timestamp {
    Timestamp::from_millisecond(ms).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_said_in_the_shops_own_zone() {
        let clock = Clock { now: || 1_795_617_060_000, zone: TimeZone::fixed(jiff::tz::offset(-6)) };
        assert_eq!(timestamp((clock.now)()).to_string(), "2026-11-25T14:31:00Z");
        assert_eq!(clock.said((clock.now)()), "08:31");
        assert_eq!(clock.said((clock.now)() - 9 * 3_600_000), "24 Nov 23:31");
    }
}
