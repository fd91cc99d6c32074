//! Coming in and leaving: a plain form that works without script.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::extract::{Extension, Form, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::{passphrase, session};
use crate::connections::Peer;
use crate::frame;
use crate::guard::Door;
use crate::routes::shown;
use crate::submitted::Submitted;

type Typed = Vec<(String, String)>;

/// The login page; whoever is in already goes on.
pub(crate) async fn show(
    State(door): State<Arc<Door>>,
    headers: HeaderMap,
    Query(query): Query<Typed>,
) -> Response {
    let query = Submitted(query);
    let to = here(query.get("to"));
    if door.knows(&headers) {
        return Redirect::to(to).into_response();
    }
    shown(page(&door, to, None)).into_response()
}

/// Takes a passphrase: the right one opens a session, a wrong one makes the next wait longer.
pub(crate) async fn enter(
    State(door): State<Arc<Door>>,
    Extension(Peer(from)): Extension<Peer>,
    headers: HeaderMap,
    Form(form): Form<Typed>,
) -> Response {
    let words = form
        .iter()
        .find(|(name, _)| name == "passphrase")
        .map(|(_, words)| words.clone());
    let form = Submitted(form);
    let to = here(form.get("to"));
    match let_in(&door, from, words.unwrap_or_default(), &headers).await {
        Ok(None) => Redirect::to(to).into_response(),
        Ok(Some(cookie)) => ([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response(),
        Err(Refusal::Wrong) => {
            let why = "This is not the passphrase. Look at its letters, also at capitals.";
            (StatusCode::FORBIDDEN, shown(page(&door, to, Some(why)))).into_response()
        }
        Err(Refusal::Wait(wait)) => {
            let seconds = wait.as_secs().max(1);
            let why = format!(
                "Too many wrong passphrases. The next is looked at in {}; until then none is, not even the right one. Devices that are in stay in, and so does the machine itself.",
                in_words(seconds)
            );
            let page = shown(page(&door, to, Some(&why)));
            let after = [(header::RETRY_AFTER, seconds.to_string())];
            (StatusCode::TOO_MANY_REQUESTS, after, page).into_response()
        }
        Err(Refusal::Failed(why)) => (StatusCode::INTERNAL_SERVER_ERROR, why).into_response(),
    }
}

enum Refusal {
    Wrong,
    Wait(Duration),
    Failed(String),
}

/// The cookie of a new session; none where the door has no lock.
async fn let_in(
    door: &Door,
    from: IpAddr,
    words: String,
    headers: &HeaderMap,
) -> Result<Option<HeaderValue>, Refusal> {
    let Some(lock) = door.lock() else {
        return Ok(None);
    };
    lock.throttle()
        .begin(from, Instant::now())
        .map_err(Refusal::Wait)?;
    let failed = |why: &str| Refusal::Failed(why.to_owned());
    let turn = lock.checking.acquire().await;
    let hash = lock.hash.clone();
    let right = tokio::task::spawn_blocking(move || passphrase::matches(&hash, &words))
        .await
        .map_err(|_| failed("the passphrase could not be checked"))?;
    drop(turn);
    if !right {
        return Err(Refusal::Wrong);
    }
    let now = Instant::now();
    lock.throttle().right(from, now);
    let mut sessions = lock.sessions();
    if let Some(old) = door.word(headers) {
        sessions.close(old);
    }
    let word = sessions.open(now).map_err(Refusal::Failed)?;
    HeaderValue::from_str(&cookie(door, &word, session::LIFE))
        .map(Some)
        .map_err(|_| failed("the session could not be opened"))
}

fn cookie(door: &Door, word: &str, life: Duration) -> String {
    let name = door.cookie();
    let secure = if door.is_secure() { "; Secure" } else { "" };
    let seconds = life.as_secs();
    format!("{name}={word}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict{secure}")
}

/// Asks whether to leave.
pub(crate) async fn leaving(State(door): State<Arc<Door>>) -> Response {
    let body = html! {
        @if door.lock().is_some() {
            p.said { "This device is in until you leave, or for a week, or until the program ends." }
            form method="post" action="/logout" { button.act { "Log out" } }
        } @else {
            p.said { "On this machine itself nobody logs in or out." }
        }
        p { a href="/" { "To the finds" } }
    };
    shown(frame::plain_page("Log out", &body)).into_response()
}

/// Closes the session.
pub(crate) async fn leave(State(door): State<Arc<Door>>, headers: HeaderMap) -> Response {
    if let (Some(lock), Some(word)) = (door.lock(), door.word(&headers)) {
        lock.sessions().close(word);
    }
    let gone = cookie(&door, "", Duration::ZERO);
    ([(header::SET_COOKIE, gone)], Redirect::to("/login")).into_response()
}

/// The login page.
fn page(door: &Door, to: &str, wrong: Option<&str>) -> Markup {
    let body = html! {
        p.said { "This book is open to your own network. Its passphrase was set where the program runs." }
        form.login method="post" action="/login" {
            input type="hidden" name="to" value=(to);
            div.field {
                label for="login-passphrase" { "Passphrase" }
                input id="login-passphrase" name="passphrase" type="password" required autocomplete="current-password" autofocus
                    aria-invalid[wrong.is_some()] aria-describedby="login-note";
                p id="login-note" class=(if wrong.is_some() { "wrong" } else { "hint" }) role=[wrong.map(|_| "alert")] {
                    (wrong.unwrap_or("After a few wrong ones the next must wait, longer each time."))
                }
            }
            button.act.inked { "Come in" }
        }
        @if door.trusted().is_some() {
            p.small { "Does this device warn of the certificate? " a href="/trust" { "How it comes to trust this book" } }
        } @else {
            p.small { "This connection is not encrypted: whoever listens on the network can read the passphrase." }
        }
    };
    frame::plain_page("Come in", &body)
}

/// Where to go after login: an address on this page, or its start.
fn here(to: &str) -> &str {
    let fit = to.starts_with('/')
        && !to.starts_with("//")
        && !to.contains('\\')
        && to.bytes().all(|b| b.is_ascii_graphic());
    if fit { to } else { "/" }
}

fn in_words(seconds: u64) -> String {
    match seconds {
        1 => "1 second".to_owned(),
        2..120 => format!("{seconds} seconds"),
        _ => format!("{} minutes", seconds.div_ceil(60)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_after_login_stays_here() {
        assert_eq!(here("/find/creamery?said=3"), "/find/creamery?said=3");
        for away in [
            "",
            "//example.org",
            "/\\example.org",
            "https://example.org",
            "/a\r\nSet-Cookie: x",
            "javascript:alert(1)",
        ] {
            assert_eq!(here(away), "/", "{away}");
        }
    }
}
