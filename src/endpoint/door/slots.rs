//! Who is inside: the open connections, how many each address may have, and how they are all closed at the end.

use std::collections::HashMap;
use std::net::{IpAddr, Shutdown, TcpStream};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::limits::Limits;

/// The open connections.
pub(super) struct Slots {
    connections: usize,
    per_address: usize,
    kept_for_loopback: usize,
    open: Mutex<Open>,
    emptied: Condvar,
}

#[derive(Default)]
struct Open {
    next: u64,
    clients: HashMap<u64, (IpAddr, Arc<TcpStream>)>,
}

impl Slots {
    pub fn new(limits: &Limits) -> Slots {
        Slots {
            connections: limits.connections,
            per_address: limits.per_address,
            kept_for_loopback: limits.kept_for_loopback,
            open: Mutex::default(),
            emptied: Condvar::new(),
        }
    }

    /// A slot for this client, unless the door is full for it.
    pub fn admit(self: &Arc<Slots>, peer: IpAddr, stream: &Arc<TcpStream>) -> Option<Slot> {
        let mut open = self.lock();
        let from_peer = open.clients.values().filter(|(ip, _)| *ip == peer).count();
        let room = if peer.is_loopback() {
            open.clients.len() < self.connections
        } else {
            open.clients.len() + self.kept_for_loopback < self.connections && from_peer < self.per_address
        };
        room.then(|| {
            let id = open.next;
            open.next += 1;
            open.clients.insert(id, (peer, Arc::clone(stream)));
            Slot { slots: Arc::clone(self), id }
        })
    }

    /// Closes every connection under its thread's feet, which ends that thread.
    pub fn close_all(&self) {
        for (_, stream) in self.lock().clients.values() {
            // A socket that is closed already is what we want.
            let _ = stream.shutdown(Shutdown::Both);
        }
    }

    /// Waits until nobody is inside; gives up after `patience`.
    pub fn wait_empty(&self, patience: Duration) {
        let someone = |open: &mut Open| !open.clients.is_empty();
        // Poisoned or timed out, there is nothing more to wait for.
        let _ = self.emptied.wait_timeout_while(self.lock(), patience, someone);
    }

    /// The map stays whole whatever happens to a thread that holds it, so poison is passed over.
    fn lock(&self) -> MutexGuard<'_, Open> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// One client's place inside; free again when dropped.
pub(super) struct Slot {
    slots: Arc<Slots>,
    id: u64,
}

impl Drop for Slot {
    fn drop(&mut self) {
        let mut open = self.slots.lock();
        open.clients.remove(&self.id);
        if open.clients.is_empty() {
            self.slots.emptied.notify_all();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::TcpListener;

    #[test]
    fn addresses_are_capped_and_loopback_always_has_its_own_places() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let stream = Arc::new(TcpStream::connect(listener.local_addr().unwrap()).unwrap());
        let slots =
            Arc::new(Slots::new(&Limits { connections: 6, per_address: 2, kept_for_loopback: 2, ..Limits::default() }));
        let admit = |peer: &str| slots.admit(peer.parse().unwrap(), &stream);

        let first = admit("192.0.2.1");
        let inside = [&first, &admit("192.0.2.1"), &admit("192.0.2.2")].map(Option::is_some);
        assert_eq!(inside, [true; 3]);
        drop(first);

        let phones: Vec<_> = (1..=6).filter_map(|n| admit(&format!("192.0.2.{n}"))).collect();
        assert_eq!(phones.len(), 4, "two places are kept");
        let bench: Vec<_> = (0..6).filter_map(|_| admit("127.0.0.1")).collect();
        assert_eq!(bench.len(), 2, "six in all");
        drop(phones);
        assert!(admit("::1").is_some());
        let one: Vec<_> = (0..6).filter_map(|_| admit("192.0.2.9")).collect();
        assert_eq!(one.len(), 2, "two from one address");
    }
}
