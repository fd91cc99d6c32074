//! The start page: a plate typed and answered, a find started from it, and beside them the finds there are (`finds_list`).

use gear::Find;
use maud::{Markup, html};
use wiring::Arrangement;

use crate::PageError;
use crate::added;
use crate::finds_list;
use crate::frame::{self, Line};
use crate::listing::Asked;
use crate::opened::Opened;
use crate::store::Store;
use crate::submitted::{Errors, Submitted};

/// Value of the choice that takes no arrangement: parts and joins are written down one by one.
const NONE: &str = "none";
/// Longer texts are no rating plate.
const LONGEST_PLATE: usize = 4000;
const LONGEST_NAME: usize = 200;

/// The start page, with what is typed so far; to somebody from the network also the way out.
pub(crate) fn show(store: &Store, came: &Submitted, network: bool) -> Result<Markup, PageError> {
    page(store, came, &Errors::default(), network)
}

/// Starts a find: its slug, or the page again with what was wrong.
pub(crate) fn start(store: &Store, came: &Submitted) -> Result<Result<String, Markup>, PageError> {
    let mut errors = Errors::default();
    let arrangement = wiring::arrangement(came.get("arrangement"));
    let bare = came.get("arrangement") == NONE;
    if arrangement.is_none() && !bare {
        errors.add(
            "arrangement",
            "choose how it is wired; the last one fits whatever fits no other",
        );
    }
    if came.get("text").len() > LONGEST_PLATE {
        errors.add(
            "text",
            format!("a plate is at most {LONGEST_PLATE} letters"),
        );
    }
    if came.get("name").len() > LONGEST_NAME {
        errors.add("name", format!("a name is at most {LONGEST_NAME} letters"));
    }
    if bare && errors.is_empty() {
        let find = without_parts(came);
        return store.create(&find.name, &sheet::write(&find)).map(Ok);
    }
    let (Some(arrangement), true) = (arrangement, errors.is_empty()) else {
        return Ok(Err(page(store, came, &errors, false)?));
    };
    let options = chosen(
        came,
        arrangement,
        name_of(came, arrangement.name),
        came.given("text").map(str::to_owned),
    );
    let find = judgement::plate::started(arrangement, &options);
    store.create(&options.name, &sheet::write(&find)).map(Ok)
}

fn chosen(
    came: &Submitted,
    arrangement: &Arrangement,
    name: String,
    plate: Option<String>,
) -> wiring::Options {
    let value = |choice| chosen_value(came, arrangement, choice).to_owned();
    wiring::Options {
        name,
        plate,
        chosen: arrangement
            .choices
            .iter()
            .map(|choice| (choice.key.to_owned(), value(choice)))
            .collect(),
    }
}

/// A find that is only its plate.
fn without_parts(came: &Submitted) -> Find {
    Find {
        name: name_of(came, "Find"),
        plate: gear::Plate {
            text: came.given("text").map(str::to_owned),
            ..gear::Plate::default()
        },
        ..Find::default()
    }
}

/// The name typed, else the first line of the plate, else the arrangement.
fn name_of(came: &Submitted, otherwise: &str) -> String {
    let plate_line = came
        .get("text")
        .lines()
        .next()
        .map(str::trim)
        .filter(|l| !l.is_empty());
    came.given("name")
        .or(plate_line)
        .unwrap_or(otherwise)
        .to_owned()
}

/// The value chosen, if the arrangement has it; what the plate says of phases; else its default.
fn chosen_value<'a>(
    came: &'a Submitted,
    arrangement: &Arrangement,
    choice: &'a wiring::Choice,
) -> &'a str {
    let known = |value: &str| choice.values.iter().find(|v| v.0 == value).map(|v| v.0);
    let default = choice.values.first().map_or("", |v| v.0);
    known(came.get(&field_of(arrangement, choice)))
        .or_else(|| {
            if choice.key == "phases" {
                judgement::plate::read(came.get("text"))
                    .phases
                    .and_then(|p| known(&p.to_string()))
            } else {
                None
            }
        })
        .unwrap_or(default)
}

fn field_of(arrangement: &Arrangement, choice: &wiring::Choice) -> String {
    format!("{}.{}", arrangement.key, choice.key)
}

fn page(
    store: &Store,
    came: &Submitted,
    errors: &Errors,
    network: bool,
) -> Result<Markup, PageError> {
    let finds = store.finds(&Asked::of(came))?;
    let head = frame::plain_head("The finds", &format!("in {}", store.place()));
    let body = html! {
        main.spread.start {
            div.margin.top { p { b { "plate" } } }
            div.leaf.top {
                @if !finds.is_empty() { p.to-finds { a href="#finds" { "Your finds, " (finds.count) } } }
                form #begin method="post" action="/start" { (plate_field(came, errors)) (answer(came)) (start_form(came, errors, finds.is_empty())) }
            }
            aside.facing.top.empty[finds.is_empty()] aria-label="The finds" {
                (finds_list::show(&finds, &store.place()))
                @if network { p.small { "This device came in from the network. " a href="/logout" { "Log out" } } }
            }
        }
    };
    Ok(frame::document("Finds", &head, &body))
}

fn plate_field(came: &Submitted, errors: &Errors) -> Markup {
    let wrong = errors.of("text");
    // Who goes through the list is not at the plate.
    let at_the_plate = !came.has("tag") && !came.has("page");
    html! {
        h1 { label for="text" { "Type the plate" } }
        textarea #text.plate name="text" rows="2" autofocus[at_the_plate] spellcheck="false" autocomplete="off" placeholder="30 kVA 400 V ±20 % 50 Hz"
            aria-describedby="text-note" aria-invalid[wrong.is_some()] { (came.get("text")) }
        p #text-note class=(if wrong.is_some() { "wrong" } else { "hint" }) {
            (wrong.unwrap_or("As it stands there, one line or several; a figure you cannot read is a ?. Nothing else is needed to begin."))
        }
        p.acts { button type="submit" formaction="/plate" formmethod="get" { "What it says" } a.act href="#begin-name" { "Start a find from it" } }
    }
}

/// What follows from the plate typed, where the script puts it while somebody types.
pub(crate) fn answer(came: &Submitted) -> Markup {
    html! { div #said role="status" { (said(came)) } }
}

/// What follows from the plate typed; nothing while nothing is typed.
fn said(came: &Submitted) -> Markup {
    match came.given("text") {
        Some(text) if text.len() <= LONGEST_PLATE => report::plate_section(
            &judgement::plate::judge(&judgement::plate::read(text), None),
        ),
        _ => html! {},
    }
}

/// Folded away where finds are there and no plate is typed, so that the list is near on a phone.
fn start_form(came: &Submitted, errors: &Errors, first: bool) -> Markup {
    let open = first || came.given("text").is_some() || !errors.is_empty();
    html! {
        details.begin open[open] {
            summary { h2 { "Start a find" } }
            (Line { name: "name", label: "What you call it", hint: "left empty, it is called by its plate", default: "", required: false }.show("begin", came, errors))
            (arrangements(came, errors, true))
            p.acts { button.inked type="submit" { "Start the find" } }
        }
    }
}

/// The named arrangements with what tells them and their choices.
fn arrangements(came: &Submitted, errors: &Errors, may_be_none: bool) -> Markup {
    let chosen = came.get("arrangement");
    html! {
        fieldset.arrangements aria-describedby=[errors.of("arrangement").map(|_| "arrangement-note")] {
            legend { "How it is probably wired: parts, terminals and joins are taken from it as " i { "assumed" } ", until readings or your eyes say more" }
            @if let Some(wrong) = errors.of("arrangement") { p #arrangement-note.wrong { (wrong) } }
            @for arrangement in wiring::arrangements() {
                div.arrangement {
                    label {
                        input type="radio" name="arrangement" value=(arrangement.key) checked[chosen == arrangement.key];
                        span { b { (arrangement.name) } " " span.seen { (arrangement.seen_by) } }
                    }
                    @if !arrangement.choices.is_empty() {
                        div.choices { @for choice in arrangement.choices { (choice_field(came, arrangement, choice)) } }
                    }
                }
            }
            @if may_be_none {
                div.arrangement {
                    label {
                        input type="radio" name="arrangement" value=(NONE) checked[chosen == NONE];
                        span { b { "None of these" } " " span.seen { "only the plate; parts, leads and joins are written down one by one as they are found" } }
                    }
                }
            }
        }
    }
}

/// The form that gives a find without parts those of an arrangement.
pub(crate) fn parts_form(slug: &str, find: &Find) -> Markup {
    let mut came = Submitted::default();
    came.set("text", find.plate.text.clone().unwrap_or_default());
    html! {
        form.begin method="post" action={ "/find/" (slug) "/parts" } {
            h2 { "Give it parts" }
            p.said { "A reading is taken between terminals, and there are none yet." }
            (arrangements(&came, &Errors::default(), false))
            p.acts { button.inked type="submit" { "Take these parts" } }
        }
    }
}

/// The sheet's text with the parts of the arrangement chosen.
/// # Errors
/// What is wrong, in words.
pub(crate) fn take_parts(opened: &Opened, came: &Submitted) -> Result<String, String> {
    let find = opened
        .find
        .as_ref()
        .map_err(|_| "the sheet has faults; mend it first")?;
    if !find.parts.is_empty() {
        return Err("this find has parts already; change them in the sheet".to_owned());
    }
    let arrangement = wiring::arrangement(came.get("arrangement"))
        .ok_or("choose how it is wired; the last one fits whatever fits no other")?;
    let options = chosen(
        came,
        arrangement,
        find.name.clone(),
        find.plate.text.clone(),
    );
    let built = judgement::plate::started(arrangement, &options);
    added::sheet_with_parts(opened.text(), built).map_err(|problems| {
        problems
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; ")
    })
}

fn choice_field(came: &Submitted, arrangement: &Arrangement, choice: &wiring::Choice) -> Markup {
    let options: Vec<_> = choice
        .values
        .iter()
        .map(|(value, words)| ((*value).to_owned(), (*words).to_owned()))
        .collect();
    let chosen = chosen_value(came, arrangement, choice);
    frame::choice(
        "begin",
        &field_of(arrangement, choice),
        choice.name,
        &options,
        chosen,
        None,
    )
}
