//! The gate: who gets in from the network, and how they know that they talk to this machine.
//!
//! The page has two kinds of door. On loopback it answers this machine's own browser, without being asked for anything, whatever goes on at
//! the other. Opened to the network ([`Lan`]), it wants the passphrase once from each device (`login`), speaks TLS with a certificate of
//! the book's own authority (`certificate`), and says at `/trust` how a device comes to believe it.

mod addresses;
mod certificate;
mod keep;
mod login;
mod passphrase;
mod session;
mod throttle;
mod trust;

use std::net::Ipv4Addr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::Router;
use axum::middleware;
use axum::routing::get;
use rustls::ServerConfig;

use crate::PageError;
use crate::guard::{self, Door};

pub use keep::Keep;

/// How to open the page to the network.
#[derive(Debug, Clone)]
pub struct Lan {
    /// Where passphrase and authority are kept; the passphrase must be set already.
    pub keep: Keep,
    /// Whether to speak TLS. Without it everybody on the network can read the passphrase as it goes by.
    pub tls: bool,
    /// Addresses of this machine to answer on, private ones only; empty for every private one it has.
    pub addresses: Vec<Ipv4Addr>,
}

/// Where the page is reached from the network, and how to know it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LanSaid {
    /// Addresses to open, the likeliest first.
    pub urls: Vec<String>,
    /// Where a device that does not know the authority yet is told how to; with TLS only.
    pub trust: Option<String>,
    /// The authority's fingerprint: SHA-256, pairs of figures; with TLS only.
    pub fingerprint: Option<String>,
}

/// What stands between the network and the page.
pub(crate) struct Lock {
    hash: String,
    sessions: Mutex<session::Sessions>,
    throttle: Mutex<throttle::Throttle>,
    /// One hash at a time: each takes 19 MiB and a core for a while.
    checking: tokio::sync::Semaphore,
}

impl std::fmt::Debug for Lock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Lock").finish_non_exhaustive()
    }
}

impl Lock {
    fn new(hash: String) -> Self {
        Self {
            hash,
            sessions: Mutex::default(),
            throttle: Mutex::default(),
            checking: tokio::sync::Semaphore::new(1),
        }
    }

    pub(crate) fn sessions(&self) -> MutexGuard<'_, session::Sessions> {
        self.sessions.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn throttle(&self) -> MutexGuard<'_, throttle::Throttle> {
        self.throttle.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a device needs to trust the authority.
#[derive(Debug)]
pub(crate) struct Trusted {
    pem: String,
    der: Vec<u8>,
    fingerprint: String,
}

/// Everything the network's door is made of.
#[derive(Debug)]
pub(crate) struct Opened {
    /// The guarded door.
    pub(crate) door: Arc<Door>,
    /// With TLS: its configuration, and the door for whoever comes without it.
    pub(crate) tls: Option<(Arc<ServerConfig>, Arc<Door>)>,
    /// Addresses to listen on.
    pub(crate) addresses: Vec<Ipv4Addr>,
    /// For the terminal.
    pub(crate) said: LanSaid,
}

/// Makes the network's door for a port.
/// # Errors
/// [`PageError::Lan`] when there is no private address or no passphrase, [`PageError::File`] when what is kept cannot be read or written.
pub(crate) fn open(lan: &Lan, port: u16) -> Result<Opened, PageError> {
    let addresses = if lan.addresses.is_empty() {
        addresses::private()
    } else {
        lan.addresses.clone()
    };
    if let Some(public) = addresses.iter().find(|a| !addresses::may_serve(**a)) {
        return Err(PageError::Lan(format!(
            "{public} is no private address; the page is not made for the internet"
        )));
    }
    if addresses.is_empty() {
        return Err(PageError::Lan(
            "this machine has no private address; join it to your own network first".to_owned(),
        ));
    }
    let lock = Arc::new(Lock::new(lan.keep.passphrase()?));
    let name = addresses::local_name();
    let authority = lan
        .tls
        .then(|| certificate::Authority::of(&lan.keep))
        .transpose()?;
    let scheme = if lan.tls { "https" } else { "http" };
    let mut names: Vec<String> = addresses.iter().map(ToString::to_string).collect();
    names.extend(name.clone());
    let trusted = authority.as_ref().map(|authority| {
        Arc::new(Trusted {
            pem: authority.pem().to_owned(),
            der: authority.der().to_vec(),
            fingerprint: authority.fingerprint(),
        })
    });
    let door = |scheme, lock| Arc::new(Door::new(scheme, &names, port).with(lock, trusted.clone()));
    let said = LanSaid {
        urls: names
            .iter()
            .map(|name| format!("{scheme}://{name}:{port}/"))
            .collect(),
        trust: authority
            .as_ref()
            .map(|_| format!("http://{}:{port}/trust", names[0])),
        fingerprint: authority.as_ref().map(certificate::Authority::fingerprint),
    };
    let tls = authority
        .map(|authority| authority.server(&addresses, name.as_deref()))
        .transpose()?
        .map(|config| (config, door("http", None)));
    Ok(Opened {
        door: door(scheme, Some(lock)),
        tls,
        addresses,
        said,
    })
}

/// The pages behind a door, with the gate's own beside them.
pub(crate) fn behind(pages: Router, door: Arc<Door>) -> Router {
    let own = Router::new()
        .route("/login", get(login::show).post(login::enter))
        .route("/logout", get(login::leaving).post(login::leave))
        .with_state(door.clone());
    pages
        .merge(own)
        .merge(trust_pages(&door))
        .layer(middleware::from_fn_with_state(door, guard::guard))
}

/// What whoever comes to a TLS port without TLS is answered: how to trust this machine, and the way to the page itself.
pub(crate) fn without_tls(door: Arc<Door>) -> Router {
    let way = door.clone();
    Router::new()
        .route("/look.css", get(crate::assets::look))
        .route("/page.js", get(crate::assets::script))
        .merge(trust_pages(&door))
        .fallback(move || async move { trust::to_tls(&way) })
        .layer(middleware::from_fn_with_state(door, guard::guard))
}

fn trust_pages(door: &Arc<Door>) -> Router {
    Router::new()
        .route("/trust", get(trust::show))
        .route("/trust/authority.crt", get(trust::certificate))
        .route("/trust/authority.pem", get(trust::text))
        .with_state(door.clone())
}

/// Bytes by chance from the system.
/// # Errors
/// In words, when the system gives none.
fn chance<const N: usize>() -> Result<[u8; N], String> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes)
        .map_err(|why| format!("the system gives no random numbers: {why}"))?;
    Ok(bytes)
}
