//! Which address answers what. Handlers read input, call one function apart from the request thread, and show its result.

mod desk;

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Extension, Form, Path, Query, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use maud::{Markup, html};

use crate::guard::FromNetwork;
use crate::opened::Opened;
use crate::store::Store;
use crate::submitted::{Errors, Submitted};
use crate::{
    PageError, assets, find_page, frame, help, live, reading_form, search_page, start_page,
};

type Finds = State<Arc<Store>>;
type Typed = Vec<(String, String)>;

/// The page's addresses. They stand behind `gate::behind`, which has bounded the body before one of them sees it.
pub(crate) fn router(store: Arc<Store>) -> Router {
    Router::new()
        .route("/", get(start))
        .route("/plate", get(start).post(plate))
        .route("/start", post(start_find))
        .route("/search", get(search))
        .route("/find/{slug}", get(find))
        .route("/find/{slug}/live", get(live_values))
        .route("/find/{slug}/travel", get(travel))
        .route("/find/{slug}/parts", post(parts))
        .route("/find/{slug}/reading", post(add_reading))
        .route("/find/{slug}/strike", post(strike))
        .route("/find/{slug}/keep", post(keep))
        .route("/find/{slug}/sheet", get(sheet))
        .route("/find/{slug}/report", get(report))
        .route("/help", get(help_index))
        .route("/help/{page}", get(help_page))
        .merge(desk::addresses())
        .merge(crate::photos::addresses())
        .merge(crate::bench::routes())
        .route("/look.css", get(assets::look))
        .route("/page.js", get(assets::script))
        .route("/photo.js", get(assets::photo_script))
        .fallback(|| async { missing() })
        .layer(DefaultBodyLimit::disable())
        .with_state(store)
}

async fn start(
    State(store): Finds,
    network: Option<Extension<FromNetwork>>,
    Query(query): Query<Typed>,
) -> Response {
    let network = network.is_some();
    let came = Submitted(query);
    // While somebody types the script asks for the answer alone; no list is made for it.
    if came.has("parts") {
        return shown(start_page::answer(&came));
    }
    apart(move || start_page::show(&store, &came, network).map(shown)).await
}

async fn search(State(store): Finds, Query(query): Query<Typed>) -> Response {
    apart(move || search_page::page(&store, &Submitted(query)).map(shown)).await
}

async fn help_index() -> Response {
    shown(help::index())
}

async fn help_page(Path(page): Path<String>) -> Response {
    help::page(&page).map_or_else(missing, shown)
}

/// A typed plate goes into the address, so that it can be kept and gone back to.
async fn plate(Form(form): Form<Typed>) -> Response {
    Redirect::to(&format!(
        "/plate?text={}",
        percent(Submitted(form).get("text"))
    ))
    .into_response()
}

async fn start_find(State(store): Finds, Form(form): Form<Typed>) -> Response {
    apart(move || {
        Ok(match start_page::start(&store, &Submitted(form))? {
            Ok(slug) => see_other(&format!("/find/{slug}")),
            Err(again) => (StatusCode::UNPROCESSABLE_ENTITY, shown(again)).into_response(),
        })
    })
    .await
}

async fn find(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |slug, opened| {
        shown(find_page::show(slug, opened, &Submitted(query)))
    })
    .await
}

async fn live_values(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |_, opened| {
        match opened
            .judge()
            .map(|judge| live::values(&judge, &Submitted(query)))
        {
            Some(Ok(Some(live))) => Json(live).into_response(),
            Some(Ok(None)) => (
                StatusCode::BAD_REQUEST,
                "the network has no answer under these conditions",
            )
                .into_response(),
            Some(Err(why)) => (StatusCode::BAD_REQUEST, why).into_response(),
            None => missing(),
        }
    })
    .await
}

async fn travel(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |_, opened| {
        match opened
            .judge()
            .map(|judge| live::travel(&judge, &Submitted(query)))
        {
            Some(Ok(Some(charts))) => Json(charts).into_response(),
            Some(Err(why)) => (StatusCode::BAD_REQUEST, why).into_response(),
            _ => missing(),
        }
    })
    .await
}

/// Takes a reading. A form is led on to the page; the script, which says so in the address, gets what has changed at once.
async fn add_reading(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
    Form(form): Form<Typed>,
) -> Response {
    apart(move || {
        let form = Submitted(form);
        let parts = Submitted(query).has("parts");
        let done = store.add(&slug, form.given("key"), |opened| {
            reading_form::take(opened, &form)
        })?;
        Ok(match done {
            None => missing(),
            Some(Ok(number)) if parts => match store.open(&slug)? {
                Some(opened) => shown(find_page::parts(
                    &slug,
                    &opened,
                    &Submitted(vec![("said".to_owned(), number.to_string())]),
                    &Errors::default(),
                )),
                None => missing(),
            },
            Some(Ok(number)) => see_other(&format!("/find/{slug}?said={number}#said")),
            Some(Err(errors)) => match store.open(&slug)? {
                Some(opened) => {
                    let page = if parts {
                        find_page::parts(&slug, &opened, &form, &errors)
                    } else {
                        find_page::show_refused(&slug, &opened, &form, &errors)
                    };
                    (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
                }
                None => missing(),
            },
        })
    })
    .await
}

async fn parts(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, start_page::take_parts).await
}

async fn strike(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, reading_form::strike).await
}

async fn keep(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, reading_form::keep).await
}

/// Changes what stands in a sheet (a reading struck or kept, parts given) and comes back to it.
async fn mark(
    State(store): Finds,
    Path(slug): Path<String>,
    Form(form): Form<Typed>,
    change: fn(&Opened, &Submitted) -> Result<String, String>,
) -> Response {
    apart(move || {
        let form = Submitted(form);
        Ok(match store.change(&slug, |opened| change(opened, &form))? {
            None => missing(),
            Some(Ok(())) => see_other(&match form.given("number") {
                Some(number) => format!("/find/{slug}?said={}#said", percent(number)),
                None => format!("/find/{slug}#wiring"),
            }),
            Some(Err(why)) => {
                let back = html! { p.said { (why) } p { a href={ "/find/" (slug) } { "Back to the find" } } };
                (StatusCode::UNPROCESSABLE_ENTITY, shown(frame::plain_page("Not written", &back))).into_response()
            }
        })
    })
    .await
}

async fn sheet(State(store): Finds, Path(slug): Path<String>) -> Response {
    on_find(store, slug, |slug, opened| {
        download(
            &format!("{slug}.toml"),
            "application/toml; charset=utf-8",
            opened.text().to_owned(),
        )
    })
    .await
}

/// The report; of a book's find the judgement in it is stored, so that it can be made again.
async fn report(State(store): Finds, Path(slug): Path<String>) -> Response {
    apart(move || {
        let judged = store.open(&slug)?.and_then(|o| Some((o.judge()?, o)));
        let Some((judge, opened)) = judged else {
            return Ok(missing());
        };
        let made = report::Made {
            version: env!("CARGO_PKG_VERSION"),
            entry: opened.entry().map(|entry| (slug.as_str(), entry.0)),
        };
        let drawings = report::drawings::all(&judge);
        let html = report::document(judge.judgement(), &drawings, made);
        store.store_judgements();
        let name = format!("{slug}.html");
        Ok(download(&name, "text/html; charset=utf-8", html))
    })
    .await
}

/// Does the work of a find's address on a thread of its own; an unknown slug is answered here.
pub(crate) async fn on_find(
    store: Arc<Store>,
    slug: String,
    work: impl FnOnce(&str, &Opened) -> Response + Send + 'static,
) -> Response {
    apart(move || {
        Ok(store
            .open(&slug)?
            .map_or_else(missing, |opened| work(&slug, &opened)))
    })
    .await
}

/// Runs work that reckons or touches files off the request thread, so that a long fit holds up no other request.
pub(crate) async fn apart(
    work: impl FnOnce() -> Result<Response, PageError> + Send + 'static,
) -> Response {
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(answer)) => answer,
        Ok(Err(error)) => failed(&error.to_string()),
        Err(_) => failed(
            "the program failed while it reckoned; that is our fault, not the sheet's. Nothing was written by this request",
        ),
    }
}

/// A page as an answer.
pub(crate) fn shown(page: Markup) -> Response {
    (
        [(header::CONTENT_TYPE, "text/html; charset=utf-8")],
        page.into_string(),
    )
        .into_response()
}

/// Leads a form on to where its outcome is shown.
pub(crate) fn see_other(to: &str) -> Response {
    Redirect::to(to).into_response()
}

/// Nothing is at this address.
pub(crate) fn missing() -> Response {
    let body =
        html! { p.said { "There is nothing at this address. " a href="/" { "To the finds" } } };
    (
        StatusCode::NOT_FOUND,
        shown(frame::plain_page("Not found", &body)),
    )
        .into_response()
}

fn failed(why: &str) -> Response {
    let body = html! {
        p #trouble.said { (why) }
        p { "Was it a form? Then go back: what you typed stands there still, to be sent again when this is mended." }
        p { a href="/" { "To the finds" } }
    };
    (
        StatusCode::INTERNAL_SERVER_ERROR,
        shown(frame::plain_page("Not done", &body)),
    )
        .into_response()
}

fn download(name: &str, kind: &'static str, content: String) -> Response {
    let mut answer = ([(header::CONTENT_TYPE, kind)], content).into_response();
    if let Ok(value) = HeaderValue::from_str(&format!("attachment; filename=\"{name}\"")) {
        answer
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, value);
    }
    answer
}

/// A text as part of an address: every byte but unreserved ones as `%XX` (RFC 3986, section 2).
pub(crate) fn percent(text: &str) -> String {
    use std::fmt::Write;
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                out.push(char::from(byte))
            }
            _ => {
                let _ = write!(out, "%{byte:02X}");
            }
        }
    }
    out
}
