//! One connection from its first byte to its last: read the request whole, hand it on, write the answer, close.

use std::io::{Read, Write};
use std::net::{IpAddr, Shutdown, TcpStream};
use std::time::Instant;

use super::House;
use super::head::Head;
use super::refusal::{Ending, Refusal};
use super::reply::Reply;
use super::socket::{Until, read_body, read_head};

/// Serves one request of this client and closes the connection's writing side.
pub(super) fn serve(client: &TcpStream, peer: IpAddr, house: &House) {
    let limits = &house.limits;
    let arrived = Instant::now();
    let late = Refusal::HeadTooSlow { seconds: limits.head_time.as_secs() };
    let large = Refusal::HeadTooLarge { limit: limits.head_bytes };
    let mut source = Until::new(client, arrived + limits.head_time);
    let (reply, to_head) = match read_head(&mut source, limits.head_bytes) {
        Ok((head, body)) => {
            let reply = exchange(client, peer, house, arrived, &head, body);
            (reply, head.starts_with(b"HEAD "))
        }
        Err(fault) => (Err(fault.ending(late, large)), false),
    };
    let reply = match reply {
        Ok(reply) => reply,
        Err(Ending::Refused(refusal)) => Reply::from_response(refusal.response(), to_head),
        Err(Ending::Gone) => return,
    };
    let mut sink = Until::new(client, Instant::now() + limits.write_time);
    if reply.write_to(&mut sink).is_ok() {
        drop(reply);
        linger(client, house);
    }
}

/// Reads the rest of the request and has it answered.
fn exchange<'a>(
    client: &TcpStream,
    peer: IpAddr,
    house: &'a House,
    arrived: Instant,
    head: &[u8],
    mut body: Vec<u8>,
) -> Result<Reply<'a>, Ending> {
    let limits = &house.limits;
    let head = Head::parse(head, limits)?;
    let late = Refusal::BodyTooSlow { seconds: limits.request_time.as_secs() };
    let large = Refusal::BodyTooLarge { limit: limits.body_bytes };
    let mut client = Until::new(client, arrived + limits.request_time);
    if head.expects_continue && body.len() < head.length {
        client.write_all(b"HTTP/1.1 100 Continue\r\n\r\n").map_err(|_| Ending::Gone)?;
    }
    // Held until the worker has answered, for the worker has the body too by then.
    let mut share = house.bodies.share();
    read_body(&mut client, &mut body, head.length, &mut share).map_err(|fault| fault.ending(late, large))?;
    Ok(hand_on(peer, house, &head, body)?)
}

/// Gives the request to the workers and reads their answer.
///
/// A request given up on here may still be handled later: what must not happen twice carries an id of the client's.
fn hand_on<'a>(peer: IpAddr, house: &'a House, head: &Head, body: Vec<u8>) -> Result<Reply<'a>, Refusal> {
    let deadline = Instant::now() + house.limits.answer_time;
    let socket = house.backend.connect().map_err(|_| Refusal::NoRoom)?;
    let mut worker = Until::new(&socket, deadline);
    worker
        .write_all(head.canonical(peer).as_bytes())
        .and_then(|()| worker.write_all(&body))
        .map_err(|_| Refusal::NoAnswer)?;
    drop(body);
    Reply::read(&mut worker, head.method, &house.limits, &house.answers)
}

/// Closes our side, then waits a little for the client to close its own: closing with bytes of the client's unread
/// would reset the connection and could destroy the answer before the client has read it (RFC 9112 §9.6).
fn linger(client: &TcpStream, house: &House) {
    if client.shutdown(Shutdown::Write).is_err() {
        return;
    }
    let mut rest = Until::new(client, Instant::now() + house.limits.linger_time);
    let mut unread = [0; 4096];
    while matches!(rest.read(&mut unread), Ok(count) if count > 0) {}
}

/// Tells a client that there is no room, without ever waiting for it: this runs on the one thread that lets
/// clients in.
pub(super) fn turn_away(client: &TcpStream) {
    if client.set_nonblocking(true).is_err() {
        return;
    }
    let reply = Reply::from_response(Refusal::Full.response(), false);
    let mut client = client;
    // What has come already is taken, as unread it would reset the connection. All of this is a courtesy.
    let _ = client.read(&mut [0; 4096]);
    let _ = client.write(&reply.to_bytes());
    let _ = client.shutdown(Shutdown::Write);
}
