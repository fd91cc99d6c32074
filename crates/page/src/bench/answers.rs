//! The bench's addresses: what is chosen, what was read, what is done about it, and news of what others recorded.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::multipart::MultipartRejection;
use axum::extract::{Form, Multipart, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use gear::{Find, Measured};

use super::{observed, step};
use crate::added::{Added, sheet_with};
use crate::opened::Opened;
use crate::routes::{apart, missing, on_find, see_other, shown};
use crate::store::Store;
use crate::submitted::{Errors, Submitted};
use crate::{PageError, clock, photos, reading_form, setup_form};

type Finds = State<Arc<Store>>;
type Typed = Vec<(String, String)>;

/// How long a page's question for news is left open: shorter than what a proxy or a phone takes for a dead connection.
const WAIT: Duration = Duration::from_secs(25);

const SCRIPT: &str = include_str!("../../assets/bench.js");
const NEWS: &str = include_str!("../../assets/news.js");
const STYLE: &str = include_str!("../../assets/bench.css");

/// The bench's addresses.
pub(crate) fn routes() -> Router<Arc<Store>> {
    Router::new()
        .route("/find/{slug}/bench", get(bench))
        .route("/find/{slug}/bench/setup", post(make_setup))
        .route("/find/{slug}/bench/reading", post(take_reading))
        .route("/find/{slug}/bench/strike", post(strike))
        .route("/find/{slug}/bench/keep", post(keep))
        .route("/find/{slug}/bench/note", post(note))
        .route("/find/{slug}/bench/photo", post(photo))
        .route("/find/{slug}/news", get(news))
        .route(
            "/bench.js",
            get(|| file("text/javascript; charset=utf-8", SCRIPT)),
        )
        .route(
            "/news.js",
            get(|| file("text/javascript; charset=utf-8", NEWS)),
        )
        .route("/bench.css", get(|| file("text/css; charset=utf-8", STYLE)))
}

async fn file(kind: &'static str, content: &'static str) -> impl IntoResponse {
    ([(header::CONTENT_TYPE, kind)], content)
}

async fn bench(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    on_find(store, slug, move |slug, opened| {
        shown(super::show(
            slug,
            opened,
            &Submitted(query),
            &Errors::default(),
        ))
    })
    .await
}

/// Where the bench goes on: setup and instrument as they came, and one field more.
fn on(slug: &str, came: &Submitted, setup: &str, field: &str, value: &str) -> String {
    let mut to = Submitted::default();
    to.set("setup", setup);
    to.set("instrument", came.get("instrument"));
    if !field.is_empty() {
        to.set(field, value);
    }
    format!("/find/{slug}/bench?{}", to.query())
}

async fn make_setup(
    State(store): Finds,
    Path(slug): Path<String>,
    Form(form): Form<Typed>,
) -> Response {
    apart(move || {
        let form = Submitted(form);
        let mut number = 0;
        let done = store.change(&slug, |opened| {
            let (text, made) = with_setup(opened, &form)?;
            number = made;
            Ok(text)
        })?;
        match done {
            None => Ok(missing()),
            Some(Ok(())) => {
                let mut to = on(&slug, &form, &number.to_string(), "", "");
                // A proposal's place comes along, so that its reading is what is asked next.
                for field in ["from", "to", "measured", "what"] {
                    if let Some(value) = form.given(field) {
                        let mut one = Submitted::default();
                        one.set(field, value);
                        to = format!("{to}&{}", one.query());
                    }
                }
                Ok(see_other(&to))
            }
            Some(Err(errors)) => {
                let mut again = form.clone();
                again.set("change", "1");
                refused(&store, &slug, &again, &errors)
            }
        }
    })
    .await
}

/// The sheet's text with a new setup, and its number.
fn with_setup(opened: &Opened, came: &Submitted) -> Result<(String, u32), Errors> {
    let mut errors = Errors::default();
    let Ok(find) = &opened.find else {
        errors.add("setup", "the find has faults; mend it first");
        return Err(errors);
    };
    let made = setup_form::take(find, came, &clock::now(), &mut errors);
    if !errors.is_empty() {
        return Err(errors);
    }
    let number = made.setup.number;
    let added = Added {
        source: made.source,
        setup: Some(made.setup),
        ..Added::default()
    };
    let text = sheet_with(opened.text(), added).map_err(|problems| {
        let mut errors = Errors::default();
        problems
            .iter()
            .for_each(|p| errors.add("setup", p.to_string()));
        errors
    })?;
    Ok((text, number))
}

async fn take_reading(
    State(store): Finds,
    Path(slug): Path<String>,
    Form(form): Form<Typed>,
) -> Response {
    apart(move || {
        let mut form = Submitted(form);
        with_unit(&mut form);
        let done = store.add(&slug, form.given("key"), |opened| take(opened, &form))?;
        match done {
            None => Ok(missing()),
            Some(Ok(number)) => Ok(see_other(&on(
                &slug,
                &form,
                form.get("setup"),
                "said",
                &number.to_string(),
            ))),
            Some(Err(errors)) => refused(&store, &slug, &form, &errors),
        }
    })
    .await
}

/// The reading of the form, if the leads are where they have to be.
fn take(opened: &Opened, came: &Submitted) -> Result<Added, Errors> {
    let taken = reading_form::take(opened, came);
    let Ok(find) = &opened.find else { return taken };
    if came.has("leads_back") || !leads_are_due(find, came) {
        return taken;
    }
    let mut errors = taken.err().unwrap_or_default();
    errors.add("leads_back", "put the leads back in V first");
    Err(errors)
}

fn leads_are_due(find: &Find, came: &Submitted) -> bool {
    let with = reading_form::known_instrument(find, came.get("instrument"));
    let measured = Measured::ALL
        .into_iter()
        .find(|m| m.word() == came.get("measured"));
    // What is measured where nobody says so is volts, between two terminals.
    let measured = measured.or(came.given("to").map(|_| Measured::AcVoltage));
    measured.is_some_and(|measured| step::left_in_amperes(find, with.as_ref(), measured).is_some())
}

/// Puts the unit chosen beside the field behind its figures; what was typed with a unit of its own keeps it.
fn with_unit(came: &mut Submitted) {
    let shown = came.get("shown").replace('\u{2212}', "-");
    let shown = match came.given("unit") {
        Some(unit) if shown.ends_with(|c: char| c.is_ascii_digit()) => format!("{shown} {unit}"),
        _ => shown,
    };
    came.set("shown", shown);
}

/// The page again with everything that was typed, and what was wrong with it.
fn refused(
    store: &Store,
    slug: &str,
    form: &Submitted,
    errors: &Errors,
) -> Result<Response, PageError> {
    // The figure stands in the field as it was typed; its unit stands beside it.
    let mut again = form.clone();
    if let Some((figure, unit)) = form.get("shown").split_once(' ')
        && form.given("unit") == Some(unit)
    {
        again.set("shown", figure);
    }
    Ok(match store.open(slug)? {
        Some(opened) => {
            let page = super::show(slug, &opened, &again, errors);
            (StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response()
        }
        None => missing(),
    })
}

async fn strike(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, reading_form::strike).await
}

async fn keep(state: Finds, path: Path<String>, form: Form<Typed>) -> Response {
    mark(state, path, form, reading_form::keep).await
}

async fn mark(
    State(store): Finds,
    Path(slug): Path<String>,
    Form(form): Form<Typed>,
    change: fn(&Opened, &Submitted) -> Result<String, String>,
) -> Response {
    apart(move || {
        let form = Submitted(form);
        match store.change(&slug, |opened| change(opened, &form))? {
            None => Ok(missing()),
            Some(Ok(())) => Ok(see_other(&on(
                &slug,
                &form,
                form.get("setup"),
                "said",
                form.get("number"),
            ))),
            Some(Err(why)) => {
                let mut errors = Errors::default();
                errors.add("reason", why);
                refused(&store, &slug, &form, &errors)
            }
        }
    })
    .await
}

async fn note(State(store): Finds, Path(slug): Path<String>, Form(form): Form<Typed>) -> Response {
    apart(move || {
        let form = Submitted(form);
        match store.change(&slug, |opened| observed::take(opened, &form))? {
            None => Ok(missing()),
            Some(Ok(())) => {
                let mut to = on(&slug, &form, form.get("setup"), "noted", "1");
                to.push_str("#observed");
                Ok(see_other(&to))
            }
            Some(Err((field, why))) => {
                let mut errors = Errors::default();
                errors.add(field, why);
                refused(&store, &slug, &form, &errors)
            }
        }
    })
    .await
}

/// Takes the photo of a reading's display, and comes back to its verdict.
async fn photo(
    State(store): Finds,
    Path(slug): Path<String>,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    let mut sent = photos::read(form).await;
    let number = sent.fields.get("number").to_owned();
    sent.fields.set("of", format!("reading {number}"));
    apart(move || match photos::take_in(&store, &slug, &sent)? {
        None => Ok(missing()),
        Some(Ok(_)) => {
            let setup = sent.fields.get("setup");
            Ok(see_other(&on(&slug, &sent.fields, setup, "said", &number)))
        }
        Some(Err(mut errors)) => {
            // There is one field here: what speaks against the reading stands beside it too.
            if let (None, Some(why)) = (errors.of("photo"), errors.of("of").map(str::to_owned)) {
                errors.add("photo", why);
            }
            sent.fields.set("said", number);
            refused(&store, &slug, &sent.fields, &errors)
        }
    })
    .await
}

/// Answers at once to who has not heard yet, else as soon as anything was changed, at the latest after a while. Nobody's thread waits.
async fn news(
    State(store): Finds,
    Path(slug): Path<String>,
    Query(query): Query<Typed>,
) -> Response {
    let since: Option<u64> = Submitted(query).get("since").parse().ok();
    let mut heard = store.heard();
    if let Some(since) = since {
        // Gone quiet for good, or for now: either way the state as it stands is the answer.
        let _ = tokio::time::timeout(WAIT, heard.wait_for(|count| *count != since)).await;
    }
    let count = *heard.borrow();
    on_find(store, slug, move |_, opened| {
        Json(said(count, opened)).into_response()
    })
    .await
}

#[derive(serde::Serialize)]
struct Said {
    /// What to ask with next.
    since: u64,
    /// Changes when the find does.
    mark: String,
}

fn said(since: u64, opened: &Opened) -> Said {
    Said {
        since,
        mark: opened.mark(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn came(fields: &[(&str, &str)]) -> Submitted {
        let mut came = Submitted::default();
        fields
            .iter()
            .for_each(|(field, value)| came.set(field, *value));
        came
    }

    #[test]
    fn the_unit_beside_the_field_stands_behind_bare_figures_alone() {
        for (shown, unit, whole) in [
            ("21.0", "V", "21.0 V"),
            ("21,0", "mV", "21,0 mV"),
            ("\u{2212}3.2", "V", "-3.2 V"),
            ("21.0 mV", "V", "21.0 mV"),
            ("OL", "Ω", "OL"),
            ("beep", "", "beep"),
        ] {
            let mut form = came(&[("shown", shown), ("unit", unit)]);
            with_unit(&mut form);
            assert_eq!(form.get("shown"), whole);
        }
    }

    #[test]
    fn volts_are_not_taken_before_the_leads_are_back() {
        let amperes = "\n[[reading]]\nnumber = 33\nsetup = 4\nwith = \"P1\"\ninto = \"X1:2\"\nshown = \"0.03 A\"\n";
        let sheet = include_str!("../../../../examples/creamery.toml");
        let opened = Opened::new(format!("{sheet}{amperes}"));
        let fields = [
            ("setup", "4"),
            ("instrument", "P1"),
            ("from", "X1:1"),
            ("to", "X1:N"),
        ];
        let mut form = came(&fields);
        form.set("shown", "24.1 V");
        let refused = take(&opened, &form).unwrap_err();
        assert!(
            refused.of("leads_back").is_some(),
            "also where nobody says what is measured"
        );
        form.set("leads_back", "yes");
        assert_eq!(take(&opened, &form).unwrap().reading.unwrap().number, 34);
        let mut other = came(&[("instrument", "P2")]);
        fields
            .iter()
            .filter(|(f, _)| *f != "instrument")
            .for_each(|(f, v)| other.set(f, *v));
        other.set("shown", "24.1 V");
        assert!(
            take(&opened, &other).is_ok(),
            "another meter's leads are where they were"
        );
    }

    #[test]
    fn the_way_on_keeps_setup_and_instrument() {
        let form = came(&[("instrument", "class:clamp"), ("setup", "2")]);
        assert_eq!(
            on("creamery", &form, "7", "said", "33"),
            "/find/creamery/bench?setup=7&instrument=class%3Aclamp&said=33"
        );
        assert!(!on("creamery", &form, "7", "", "").contains("said"));
    }
}
