//! The stylesheet and the script, kept in the program itself.

use axum::http::header;
use axum::response::IntoResponse;

/// What only the page has: forms, the slider's handle, the start page.
const PAGE_STYLE: &str = include_str!("../assets/page.css");
const SCRIPT: &str = include_str!("../assets/page.js");
const PHOTO_SCRIPT: &str = include_str!("../assets/photo.js");

/// The look every paper and page shares, then the page's own.
pub(crate) async fn look() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/css; charset=utf-8")],
        format!(
            "{}\n{}\n{PAGE_STYLE}",
            drawing::face::css(),
            report::style()
        ),
    )
}

/// The script.
pub(crate) async fn script() -> impl IntoResponse {
    as_script(SCRIPT)
}

/// The script of a photo's page.
pub(crate) async fn photo_script() -> impl IntoResponse {
    as_script(PHOTO_SCRIPT)
}

fn as_script(text: &'static str) -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")],
        text,
    )
}
