//! The addresses of the desk: forms of single nouns, joins from beeps, tags.

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use maud::html;

use super::{Finds, Typed, apart, mark, missing, on_find, see_other, shown};
use crate::desk::{Noun, again, form, history, joins, tagged, tags, take};
use crate::frame;
use crate::opened::Opened;
use crate::store::Store;
use crate::submitted::{Errors, Submitted};
use std::sync::Arc;

pub(super) fn addresses() -> Router<Arc<Store>> {
    Router::new()
        .route("/find/{slug}/edit/{noun}", get(new_form).post(put_new))
        .route(
            "/find/{slug}/edit/{noun}/{key}",
            get(form_of_one).post(put_one),
        )
        .route("/find/{slug}/joins", post(join_beeps))
        .route("/find/{slug}/tags", get(show_tags))
        .route("/find/{slug}/tagged", post(tag))
        .route("/find/{slug}/history", get(show_history))
        .route("/find/{slug}/judged/{entry}", get(judged_again))
        .route("/find/{slug}/undo", post(undo))
}

async fn new_form(
    state: Finds,
    Path((slug, noun)): Path<(String, String)>,
    query: Query<Typed>,
) -> Response {
    show_form(state, slug, noun, None, query).await
}

async fn form_of_one(
    state: Finds,
    Path((slug, noun, key)): Path<(String, String, String)>,
    query: Query<Typed>,
) -> Response {
    show_form(state, slug, noun, Some(key), query).await
}

async fn show_form(
    State(store): Finds,
    slug: String,
    noun: String,
    key: Option<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |slug, opened| {
        let page = Noun::of(&noun).and_then(|noun| {
            let came = Submitted(query);
            form::show(
                slug,
                opened,
                noun,
                key.as_deref(),
                &came,
                &Errors::default(),
            )
        });
        page.map_or_else(missing, shown)
    })
    .await
}

async fn put_new(
    state: Finds,
    Path((slug, noun)): Path<(String, String)>,
    form: Form<Typed>,
) -> Response {
    put(state, slug, noun, None, form).await
}

async fn put_one(
    state: Finds,
    Path((slug, noun, key)): Path<(String, String, String)>,
    form: Form<Typed>,
) -> Response {
    put(state, slug, noun, Some(key), form).await
}

/// Writes a noun down, or shows its form again with what speaks against it beside each field.
async fn put(
    State(store): Finds,
    slug: String,
    noun: String,
    key: Option<String>,
    Form(typed): Form<Typed>,
) -> Response {
    apart(move || {
        let Some(noun) = Noun::of(&noun) else {
            return Ok(missing());
        };
        let came = Submitted(typed);
        let change = |opened: &Opened| take::take(opened, noun, key.as_deref(), &came);
        let errors = match store.change(&slug, change)? {
            None => return Ok(missing()),
            Some(Ok(())) => return Ok(see_other(&noun.back(&slug))),
            Some(Err(errors)) => errors,
        };
        let Some(opened) = store.open(&slug)? else {
            return Ok(missing());
        };
        // A form that only takes something out brings no fields along.
        let typed = if came.has("out") {
            Submitted::default()
        } else {
            came
        };
        let page = form::show(&slug, &opened, noun, key.as_deref(), &typed, &errors);
        // What was taken out elsewhere can still be added anew.
        let page = page.or_else(|| form::show(&slug, &opened, noun, None, &typed, &errors));
        Ok(page.map_or_else(missing, |page| {
            (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
        }))
    })
    .await
}

async fn join_beeps(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, joins::take_beeps).await
}

async fn show_tags(State(store): Finds, Path(slug): Path<String>) -> Response {
    on_find(store, slug, |slug, opened| match &opened.find {
        Ok(find) => shown(tags::page(slug, find, opened.photos().unwrap_or_default())),
        Err(_) => missing(),
    })
    .await
}

async fn tag(State(store): Finds, Path(slug): Path<String>, Form(form): Form<Typed>) -> Response {
    apart(move || {
        Ok(match tagged::take(&store, &slug, &Submitted(form))? {
            None => missing(),
            Some(Ok(())) => see_other(&format!("/find/{slug}#tagged")),
            Some(Err(why)) => refused("Not tagged", &why, &format!("/find/{slug}#tagged")),
        })
    })
    .await
}

/// What speaks against something, with the way back.
fn refused(title: &str, why: &str, back: &str) -> Response {
    let body = html! { p.said { (why) } p { a href=(back) { "Back" } } };
    let page = frame::plain_page(title, &body);
    (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
}

async fn show_history(State(store): Finds, Path(slug): Path<String>) -> Response {
    apart(move || Ok(history::page(&store, &slug)?.map_or_else(missing, shown))).await
}

async fn judged_again(State(store): Finds, Path((slug, entry)): Path<(String, u64)>) -> Response {
    apart(move || Ok(again::page(&store, &slug, entry)?.map_or_else(missing, shown))).await
}

async fn undo(State(store): Finds, Path(slug): Path<String>, Form(form): Form<Typed>) -> Response {
    apart(move || {
        Ok(match history::strike(&store, &slug, &Submitted(form))? {
            None => missing(),
            Some(Ok(())) => see_other(&format!("/find/{slug}/history")),
            Some(Err(why)) => refused("Not struck", &why, &format!("/find/{slug}/history")),
        })
    })
    .await
}
