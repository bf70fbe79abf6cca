//! This machine's address as a phone in the shop sees it.

use std::net::{IpAddr, Ipv4Addr};

/// The address to print: the one listened on if it is a definite one, else the first private IPv4 address of this
/// machine, else any other that is neither loopback, link-local nor inside this machine, else the loopback, which at least
/// this machine can open.
pub fn address(listen: IpAddr) -> IpAddr {
    if !listen.is_unspecified() {
        return listen;
    }
    let addresses = if_addrs::get_if_addrs().unwrap_or_default();
    let mut found: Vec<Ipv4Addr> = addresses
        .iter()
        .filter_map(|interface| match interface.ip() {
            IpAddr::V4(address) if !address.is_loopback() && !address.is_link_local() && !is_inner(&interface.name) => {
                Some(address)
            }
            _ => None,
        })
        .collect();
    found.sort_by_key(|address| !address.is_private());
    IpAddr::V4(found.first().copied().unwrap_or(Ipv4Addr::LOCALHOST))
}

/// A network inside this machine, of containers or virtual machines: no phone is on it.
fn is_inner(interface: &str) -> bool {
    ["docker", "br-", "veth", "virbr", "lxc", "podman", "cni"].iter().any(|inner| interface.starts_with(inner))
}
