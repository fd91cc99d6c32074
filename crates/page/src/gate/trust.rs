//! How a device comes to trust this book: the authority's certificate to take along, its fingerprint, and where each kind of device wants it
//! put. No maker is named: a device is told by what its own settings call the place.

use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::Trusted;
use crate::frame;
use crate::guard::Door;
use crate::routes::shown;

/// A kind of device, told by what stands in its settings, and what to do on it, step by step.
const KINDS: [(&str, &[&str]); 6] = [
    (
        "A phone or tablet whose settings have \u{201c}Encryption and credentials\u{201d}",
        &[
            "Take the certificate above; it lies in the downloads then.",
            "Settings, search for \u{201c}CA certificate\u{201d} (under Security, Encryption and credentials, Install a certificate). Choose it in spite of the warning: the warning is right about strangers' certificates.",
            "Choose the file. Some browsers on it keep a list of their own and must be allowed to use certificates you installed.",
        ],
    ),
    (
        "A phone or tablet whose settings have \u{201c}VPN and Device Management\u{201d}",
        &[
            "Open this page in the browser the device came with and take the certificate above; allow the profile.",
            "Settings, General, VPN and Device Management: install the profile.",
            "Settings, General, About, Certificate Trust Settings: switch on full trust for it. Without this step nothing changes.",
        ],
    ),
    (
        "A desk computer that offers \u{201c}Install Certificate\u{201d} when the file is opened",
        &[
            "Take the certificate above and open it; Install Certificate, Current User.",
            "Place it in the store Trusted Root Certification Authorities, and compare the fingerprint it shows.",
        ],
    ),
    (
        "A desk computer that keeps certificates in a keychain",
        &[
            "Take the certificate above and open it: it goes into the login keychain.",
            "In the keychain, open it, unfold Trust, and choose Always Trust for SSL only.",
        ],
    ),
    (
        "A desk computer with a folder /usr/local/share/ca-certificates",
        &[
            "Copy the file there as windfall-book.crt and run update-ca-certificates as root. Where the folder is missing, look in the system's own help for \u{201c}certificate authority\u{201d}.",
            "Browsers on it mostly keep a list of their own: the next one.",
        ],
    ),
    (
        "A browser with a list of its own",
        &[
            "Settings, search for \u{201c}certificates\u{201d}, Authorities, Import; tick web sites and nothing else.",
        ],
    ),
];

/// The page.
pub(crate) async fn show(State(door): State<Arc<Door>>, headers: HeaderMap) -> Response {
    let Some(trusted) = door.trusted() else {
        let body = html! {
            p.said { "This door speaks no TLS, so there is no certificate to trust." }
            p { a href="/" { "To the finds" } }
        };
        let page = shown(frame::plain_page("No certificate", &body));
        return (StatusCode::NOT_FOUND, page).into_response();
    };
    let on = onward(&door, &headers);
    shown(frame::plain_page(
        "How this device comes to trust the book",
        &words(trusted, &on),
    ))
    .into_response()
}

fn words(trusted: &Trusted, on: &str) -> Markup {
    html! {
        p.said { "The page speaks to this device encrypted, so that nobody else on the network reads along or alters a reading. For this the "
            "device must know the book's own certificate authority. No office vouches for it: you do, once for each device." }
        p { a.act.inked href="/trust/authority.crt" download="windfall-book.crt" { "Take the certificate" } " "
            a.small href="/trust/authority.pem" { "the same as text" } }
        h2 { "Compare the fingerprint first" }
        p { "SHA-256. The terminal where the program runs shows it too. If they differ, somebody stands between: install nothing." }
        p { code.fingerprint { (trusted.fingerprint) } }
        h2 { "What it means" }
        p { "From then on this device believes whoever holds the book's key (it lies beside the book, for its owner alone) when they say "
            "that they are a machine on a private network. The certificate itself is limited to private addresses and names ending in .local; "
            "most systems hold to that, not every one does. Remove it again when the book is given up, or when its key may have been copied." }
        p { "You may also leave it and pass the browser's warning each time. Then the connection is encrypted, but you cannot tell this "
            "machine from another that says it were this one." }
        h2 { "Where it goes" }
        @for (kind, steps) in KINDS {
            h3 { (kind) }
            ol.steps { @for step in steps { li { (step) } } }
        }
        p { a.act href=(on) { "Done: on to the page" } }
    }
}

/// The certificate for a device to install.
pub(crate) async fn certificate(State(door): State<Arc<Door>>) -> Response {
    offered(&door, |trusted| trusted.der.clone())
}

/// The same as text.
pub(crate) async fn text(State(door): State<Arc<Door>>) -> Response {
    offered(&door, |trusted| trusted.pem.clone().into_bytes())
}

fn offered(door: &Door, what: fn(&Trusted) -> Vec<u8>) -> Response {
    match door.trusted() {
        Some(trusted) => {
            let kind = HeaderValue::from_static("application/x-x509-ca-cert");
            ([(header::CONTENT_TYPE, kind)], what(trusted)).into_response()
        }
        None => (StatusCode::NOT_FOUND, "no certificate here\n").into_response(),
    }
}

/// Whoever comes without TLS for anything but trust is shown the way: nothing of the book goes over this road.
pub(crate) fn to_tls(door: &Door) -> Response {
    if door.trusted().is_some() {
        Redirect::to("/trust").into_response()
    } else {
        StatusCode::NOT_FOUND.into_response()
    }
}

/// The page's own address over TLS, under the name this request used (the guard has seen that it is ours).
fn onward(door: &Door, headers: &HeaderMap) -> String {
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok());
    let name = host.map_or("", |host| host.split(':').next().unwrap_or(host));
    format!("https://{name}:{}/", door.port())
}
