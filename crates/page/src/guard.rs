//! Who may talk to the page, and how much: a door's own names, this page's own forms, an open session where one is wanted, bounded bodies.
//!
//! A foreign name that resolves to this machine (so that another site's script counts as same-origin) is refused by its Host header; a form
//! or script of another site by its Origin. Everything shown is forbidden to load anything from elsewhere.

use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::body::{Body, HttpBody};
use axum::extract::{Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use tokio::sync::{Semaphore, SemaphorePermit};

use crate::gate::{Lock, Trusted};

/// Styles may stand in attributes (bars and handles carry their length there); scripts only in the page's own file.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self' data:; \
    font-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// What every answer carries.
const HEADERS: [(&str, &str); 5] = [
    ("content-security-policy", CONTENT_POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
];

/// A form of this page is far smaller, a pasted sheet too; larger bodies are refused before they are read.
const LARGEST_FORM: usize = 1 << 20;
/// A photo and the form around it.
const LARGEST_UPLOAD: usize = picture::LARGEST_FILE + (64 << 10);
/// A form must have come whole by then.
const FORM_COMES: Duration = Duration::from_secs(20);
/// A photo over a slow network.
const UPLOAD_COMES: Duration = Duration::from_secs(180);
/// Photos coming at once: each may fill its 25 MiB of memory.
const UPLOADS_AT_ONCE: usize = 4;
/// What is answered before login: the look of the login page, and how to trust this machine.
const OPEN: [&str; 6] = [
    "/login",
    "/look.css",
    "/page.js",
    "/trust",
    "/trust/authority.crt",
    "/trust/authority.pem",
];

/// Marks a request that came through the lock: whoever sent it can log out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FromNetwork;

/// One way to the page: its names, and what it asks of whoever comes.
#[derive(Debug)]
pub(crate) struct Door {
    scheme: &'static str,
    /// What a Host header may say, lower case.
    hosts: Vec<String>,
    port: u16,
    lock: Option<Arc<Lock>>,
    trusted: Option<Arc<Trusted>>,
    uploads: Semaphore,
}

impl Door {
    /// A door that answers to these names on a port, to anybody who reaches it.
    pub(crate) fn new(scheme: &'static str, names: &[String], port: u16) -> Self {
        let usual = matches!((scheme, port), ("http", 80) | ("https", 443));
        let mut hosts: Vec<String> = names.iter().map(|n| format!("{n}:{port}")).collect();
        if usual {
            hosts.extend(names.iter().cloned());
        }
        Self {
            scheme,
            hosts,
            port,
            lock: None,
            trusted: None,
            uploads: Semaphore::new(UPLOADS_AT_ONCE),
        }
    }

    /// This machine's own.
    pub(crate) fn loopback(port: u16) -> Self {
        Self::new(
            "http",
            &["127.0.0.1".to_owned(), "localhost".to_owned()],
            port,
        )
    }

    /// With a lock, and an authority to be trusted.
    pub(crate) fn with(mut self, lock: Option<Arc<Lock>>, trusted: Option<Arc<Trusted>>) -> Self {
        self.lock = lock;
        self.trusted = trusted;
        self
    }

    /// Its lock, if it has one.
    pub(crate) fn lock(&self) -> Option<&Arc<Lock>> {
        self.lock.as_ref()
    }

    /// The authority to be trusted, if it speaks TLS.
    pub(crate) fn trusted(&self) -> Option<&Trusted> {
        self.trusted.as_deref()
    }

    /// Its port.
    pub(crate) fn port(&self) -> u16 {
        self.port
    }

    /// The cookie's name. Under TLS a browser takes one with this prefix only for this very host, over TLS, from no script of a
    /// neighbouring name.
    pub(crate) fn cookie(&self) -> &'static str {
        if self.is_secure() {
            "__Host-windfall"
        } else {
            "windfall"
        }
    }

    /// Whether it speaks TLS.
    pub(crate) fn is_secure(&self) -> bool {
        self.scheme == "https"
    }

    /// Whether a request may be answered at all; the refusal in words.
    fn admit(
        &self,
        method: &Method,
        uri: &Uri,
        headers: &HeaderMap,
    ) -> Result<(), (StatusCode, &'static str)> {
        let refuse = |why| Err((StatusCode::FORBIDDEN, why));
        let host = only(headers, &header::HOST).map(str::to_ascii_lowercase);
        let Some(host) = host.filter(|host| self.hosts.contains(host)) else {
            return refuse("this page answers only to its own address\n");
        };
        let asked = uri.authority().map(|a| a.as_str().to_ascii_lowercase());
        if asked.is_some_and(|asked| asked != host) {
            return refuse("this page answers only to its own address\n");
        }
        match *method {
            Method::GET | Method::HEAD => return Ok(()),
            Method::POST => {}
            _ => return Err((StatusCode::METHOD_NOT_ALLOWED, "only GET and POST\n")),
        }
        let ours = match headers.contains_key(header::ORIGIN) {
            true => only(headers, &header::ORIGIN)
                .and_then(|origin| origin.strip_prefix(self.scheme)?.strip_prefix("://"))
                .is_some_and(|origin| origin.eq_ignore_ascii_case(&host)),
            false => match only(headers, &HeaderName::from_static("sec-fetch-site")) {
                Some(site) => matches!(site, "same-origin" | "none"),
                // Every browser says where a form comes from; a program on this machine need not.
                None => self.lock.is_none() && !headers.contains_key("sec-fetch-site"),
            },
        };
        if ours {
            Ok(())
        } else {
            refuse("this form was sent from another site\n")
        }
    }

    /// Whether a request's cookie is that of an open session; always, where there is no lock.
    pub(crate) fn knows(&self, headers: &HeaderMap) -> bool {
        self.lock.as_ref().is_none_or(|lock| {
            self.word(headers)
                .is_some_and(|word| lock.sessions().knows(word, Instant::now()))
        })
    }

    /// The session's word in a request.
    pub(crate) fn word<'a>(&self, headers: &'a HeaderMap) -> Option<&'a str> {
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .find(|(name, _)| *name == self.cookie())
            .map(|(_, word)| word)
    }
}

/// A header's value if it came once and is text.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

/// Refuses strangers, lets the body come in bounds, then adds the headers every answer carries.
pub(crate) async fn guard(State(door): State<Arc<Door>>, request: Request, next: Next) -> Response {
    let mut answer = match let_in(&door, request).await {
        // A photo keeps its turn until it is answered: what has come but waits to be decoded fills the memory as well.
        Ok((request, _turn)) => next.run(request).await,
        Err(refusal) => refusal,
    };
    let headers = answer.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    answer
}

async fn let_in(
    door: &Door,
    request: Request,
) -> Result<(Request, Option<SemaphorePermit<'_>>), Response> {
    let (mut parts, body) = request.into_parts();
    door.admit(&parts.method, &parts.uri, &parts.headers)
        .map_err(IntoResponse::into_response)?;
    let path = parts.uri.path();
    if !OPEN.contains(&path) && !door.knows(&parts.headers) {
        return Err(asked_to_log_in(&parts));
    }
    let (body, turn) = whole(door, path, body).await?;
    if door.lock.is_some() {
        parts.extensions.insert(FromNetwork);
    }
    Ok((Request::from_parts(parts, Body::from(body)), turn))
}

/// A page is reached by way of the login; a form, or a script that asks behind the page's back, is told why it was not done.
fn asked_to_log_in(parts: &Parts) -> Response {
    let mode = parts.headers.get("sec-fetch-mode");
    if parts.method == Method::GET && mode.is_none_or(|mode| mode == "navigate") {
        let to = parts.uri.path_and_query().map_or("/", |to| to.as_str());
        let way = format!("/login?to={}", crate::routes::percent(to));
        Redirect::to(&way).into_response()
    } else {
        let why = "log in first: nothing was written\n";
        (StatusCode::UNAUTHORIZED, why).into_response()
    }
}

/// The whole body, if it is small enough and comes soon enough, and the turn it took if it is a photo's.
async fn whole<'a>(
    door: &'a Door,
    path: &str,
    body: Body,
) -> Result<(axum::body::Bytes, Option<SemaphorePermit<'a>>), Response> {
    let upload = is_upload(path);
    let (largest, comes) = if upload {
        (LARGEST_UPLOAD, UPLOAD_COMES)
    } else {
        (LARGEST_FORM, FORM_COMES)
    };
    let too_large = || {
        if upload {
            return crate::photos::too_large(path);
        }
        let why = format!("more than the {} KiB taken here\n", largest >> 10);
        (StatusCode::PAYLOAD_TOO_LARGE, why).into_response()
    };
    if body.size_hint().lower() > u64::try_from(largest).unwrap_or(u64::MAX) {
        return Err(too_large());
    }
    let turn = match upload.then(|| door.uploads.acquire()) {
        Some(turn) => turn.await.ok(),
        None => None,
    };
    match tokio::time::timeout(comes, axum::body::to_bytes(body, largest)).await {
        Ok(Ok(bytes)) => Ok((bytes, turn)),
        Ok(Err(why)) => Err(if is_length(&why) {
            too_large()
        } else {
            (StatusCode::BAD_REQUEST, "the request did not come whole\n").into_response()
        }),
        Err(_) => Err((
            StatusCode::REQUEST_TIMEOUT,
            "the request did not come in time\n",
        )
            .into_response()),
    }
}

fn is_length(why: &axum::Error) -> bool {
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(why);
    while let Some(error) = cause {
        if error.is::<http_body_util::LengthLimitError>() {
            return true;
        }
        cause = error.source();
    }
    false
}

/// Where photos are sent: to a find, from the desk or from the bench, and nowhere else.
fn is_upload(path: &str) -> bool {
    let words: Vec<&str> = path.split('/').collect();
    matches!(
        words[..],
        ["", "find", _, "photo"] | ["", "find", _, "bench", "photo"]
    )
}

#[cfg(test)]
mod tests;
