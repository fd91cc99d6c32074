//! Who may talk to the page: this machine's own browser, on this page's own address, and nobody through it.
//!
//! A foreign name that resolves to loopback (so that another site's script counts as same-origin) is refused by its Host header; a form
//! or script of another site by its Origin. Everything shown is forbidden to load anything from elsewhere.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Styles may stand in attributes (bars and handles carry their length there); scripts only in the page's own file.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self' data:; \
    font-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

/// Refuses strangers, then adds the headers every answer carries.
pub(crate) async fn guard(State(port): State<u16>, request: Request, next: Next) -> Response {
    if let Err(why) = admit(request.method(), request.headers(), port) {
        return (StatusCode::FORBIDDEN, why).into_response();
    }
    let mut answer = next.run(request).await;
    let headers = answer.headers_mut();
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(CONTENT_POLICY),
    );
    headers.insert(
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    );
    headers.insert(
        header::REFERRER_POLICY,
        HeaderValue::from_static("same-origin"),
    );
    headers.insert(
        "cross-origin-resource-policy",
        HeaderValue::from_static("same-origin"),
    );
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    answer
}

/// Whether a request may be answered; the refusal in words.
fn admit(method: &Method, headers: &HeaderMap, port: u16) -> Result<(), &'static str> {
    let text = |name| {
        headers
            .get(name)
            .and_then(|v: &HeaderValue| v.to_str().ok())
    };
    let ours = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    if !text(header::HOST.as_str()).is_some_and(|host| ours.iter().any(|o| o == host)) {
        return Err("this page answers only to its own address on this machine\n");
    }
    if matches!(*method, Method::GET | Method::HEAD) {
        return Ok(());
    }
    let from_us = match text(header::ORIGIN.as_str()) {
        Some(origin) => ours
            .iter()
            .any(|o| origin.strip_prefix("http://") == Some(o)),
        None => text("sec-fetch-site").is_none_or(|site| matches!(site, "same-origin" | "none")),
    };
    if from_us {
        Ok(())
    } else {
        Err("this form was sent from another site\n")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(method: Method, headers: &[(&'static str, &'static str)]) -> bool {
        let map = headers
            .iter()
            .map(|(k, v)| {
                (
                    header::HeaderName::from_static(k),
                    HeaderValue::from_static(v),
                )
            })
            .collect();
        admit(&method, &map, 4000).is_ok()
    }

    #[test]
    fn only_its_own_name_is_answered() {
        assert!(asked(Method::GET, &[("host", "127.0.0.1:4000")]));
        assert!(asked(Method::GET, &[("host", "localhost:4000")]));
        assert!(!asked(Method::GET, &[("host", "example.org:4000")]));
        assert!(!asked(Method::GET, &[("host", "127.0.0.1:4001")]));
        assert!(!asked(
            Method::GET,
            &[("host", "127.0.0.1:4000.example.org")]
        ));
        assert!(!asked(Method::GET, &[]));
    }

    #[test]
    fn a_form_of_another_site_is_refused() {
        let host = ("host", "127.0.0.1:4000");
        assert!(asked(
            Method::POST,
            &[host, ("origin", "http://127.0.0.1:4000")]
        ));
        assert!(asked(Method::POST, &[host]));
        assert!(asked(
            Method::POST,
            &[host, ("sec-fetch-site", "same-origin")]
        ));
        assert!(!asked(
            Method::POST,
            &[host, ("origin", "http://example.org")]
        ));
        assert!(!asked(Method::POST, &[host, ("origin", "null")]));
        assert!(!asked(
            Method::POST,
            &[host, ("origin", "https://127.0.0.1:4000")]
        ));
        assert!(!asked(
            Method::POST,
            &[host, ("sec-fetch-site", "cross-site")]
        ));
    }
}
