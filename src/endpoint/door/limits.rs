//! How much of everything the door lets in, and how long it waits.

use std::time::Duration;

/// The door's limits. The defaults suit a shop's network: a few phones, a scanner, a second bench.
///
/// File handles: every connection holds four (the client's socket, ours to the worker's side, and the two halves
/// tiny_http keeps of it). 64 × 4 = 256, and about ten for listeners and a client being turned away: far below
/// the usual 1024 a process may open, with room for the store and the screen.
#[derive(Debug, Clone)]
pub struct Limits {
    /// Connections open at once.
    pub connections: usize,
    /// Connections open at once from one address. Loopback is exempt: the bench screen, a browser on the kiosk
    /// and a tunnel all share that one address, and whoever can open it is already inside.
    pub per_address: usize,
    /// Of `connections`, how many only loopback may use, so that no number of phones shuts out the bench.
    pub kept_for_loopback: usize,
    /// Bytes of request line and headers together.
    pub head_bytes: usize,
    /// Header fields in one request.
    pub header_fields: usize,
    /// Bytes of one request's body.
    pub body_bytes: usize,
    /// Bytes of bodies held at once, over all connections, beyond 64 KiB each.
    pub bodies_bytes: usize,
    /// Bytes of one answer's body.
    pub answer_bytes: usize,
    /// Bytes of answers held at once, over all connections, beyond 64 KiB each.
    pub answers_bytes: usize,
    /// From accepting a connection to the end of the request's headers.
    pub head_time: Duration,
    /// From accepting a connection to the last byte of the request.
    pub request_time: Duration,
    /// From handing a request on to having its whole answer.
    pub answer_time: Duration,
    /// For the client to take the whole answer.
    pub write_time: Duration,
    /// For the client to close after the answer, so that closing first does not destroy what is on its way.
    pub linger_time: Duration,
    /// Requests handled at once.
    pub workers: usize,
}

impl Default for Limits {
    fn default() -> Limits {
        const KIB: usize = 1024;
        const MIB: usize = 1024 * KIB;
        Limits {
            connections: 64,
            per_address: 16,
            kept_for_loopback: 8,
            head_bytes: 16 * KIB,
            header_fields: 64,
            body_bytes: 8 * MIB,
            bodies_bytes: 48 * MIB,
            answer_bytes: 8 * MIB,
            answers_bytes: 64 * MIB,
            head_time: Duration::from_secs(5),
            request_time: Duration::from_secs(20),
            answer_time: Duration::from_secs(30),
            write_time: Duration::from_secs(20),
            linger_time: Duration::from_secs(1),
            workers: 8,
        }
    }
}
