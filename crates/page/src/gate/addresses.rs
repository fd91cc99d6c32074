//! Under which addresses and names this machine is known on its own network. Only private ones: this page is not for the internet.

use std::net::{IpAddr, Ipv4Addr};

/// The private addresses of this machine (RFC 1918, and link-local after RFC 3927), IPv4 as people type them.
pub(crate) fn private() -> Vec<Ipv4Addr> {
    let interfaces = if_addrs::get_if_addrs().unwrap_or_default();
    let mut found: Vec<Ipv4Addr> = interfaces
        .iter()
        .filter_map(|interface| match interface.ip() {
            IpAddr::V4(address) if address.is_private() || address.is_link_local() => Some(address),
            _ => None,
        })
        .collect();
    // A network's own addresses come before those a machine gives itself when nobody gives it one.
    found.sort_by_key(|address| (address.is_link_local(), *address));
    found.dedup();
    found
}

/// Whether an address may be served on: private, link-local or this machine's own.
pub(crate) fn may_serve(address: Ipv4Addr) -> bool {
    address.is_private() || address.is_link_local() || address.is_loopback()
}

/// This machine's name as its own network's name service answers for it (`bench.local`), if it has one that is a name.
pub(crate) fn local_name() -> Option<String> {
    let name = gethostname::gethostname().into_string().ok()?;
    let first = name.split('.').next()?.to_ascii_lowercase();
    let good = !first.is_empty()
        && first.len() <= 63
        && first != "localhost"
        && first
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-');
    good.then(|| format!("{first}.local"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_public_is_served_on() {
        for (address, may) in [
            ([192, 168, 1, 20], true),
            ([10, 0, 0, 5], true),
            ([172, 31, 0, 1], true),
            ([172, 32, 0, 1], false),
            ([127, 0, 0, 2], true),
            ([0, 0, 0, 0], false),
            ([203, 0, 113, 9], false),
        ] {
            assert_eq!(may_serve(Ipv4Addr::from(address)), may, "{address:?}");
        }
        assert!(private().into_iter().all(may_serve));
    }
}
