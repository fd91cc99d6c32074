//! The bench page: one hand, one phone, one reading after another.
//!
//! Setup and instrument are chosen once and stay in the address, so that everything works without script. Before a reading the page says
//! what class the setup is and when to stop; what is expected there it says only after something was recorded. `spots` orders the places
//! to read, `step` holds what stands before the act, `entry` is the big field, `given` the verdict, `display` the photo of the
//! meter's display, `chooser` the setup, `observed` what is seen along the travel, `answers` the addresses.

use book::PhotoOf;
use gear::{Designation, Find, Reading, Setup};
use judgement::{Judge, Judgement};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::opened::Opened;
use crate::reading_form;
use crate::submitted::{Errors, Submitted};

mod answers;
mod chooser;
mod display;
mod drawn;
mod entry;
mod given;
mod observed;
mod spots;
mod step;

pub(crate) use answers::routes;
use spots::Spot;

/// How many of the last readings are listed.
const LAST: usize = 6;

/// What the bench page of a find is made from.
pub(crate) struct Bench<'a> {
    slug: &'a str,
    find: &'a Find,
    judge: &'a Judge,
    said: &'a Judgement,
    /// The find's photos; `None` where none can be kept.
    photos: Option<&'a [PhotoOf]>,
    mark: String,
    came: &'a Submitted,
    errors: &'a Errors,
}

/// Where one stands: the setup, and the instrument's value in a form.
struct Stand<'a> {
    setup: &'a Setup,
    instrument: String,
}

impl Stand<'_> {
    /// The address of the bench with these fields behind setup and instrument.
    fn link(&self, slug: &str, more: &[(&str, &str)]) -> String {
        let mut fields = Submitted::default();
        fields.set("setup", self.setup.number.to_string());
        fields.set("instrument", self.instrument.clone());
        for (field, value) in more {
            fields.set(field, *value);
        }
        format!("/find/{slug}/bench?{}", fields.query())
    }

    /// The address of a place to read.
    fn link_to(&self, slug: &str, spot: &Spot) -> String {
        let fields = spot.fields();
        let fields: Vec<(&str, &str)> = fields.iter().map(|(f, v)| (*f, v.as_str())).collect();
        self.link(slug, &fields)
    }
}

/// The page for what the address, or a refused form, asks.
pub(crate) fn show(slug: &str, opened: &Opened, came: &Submitted, errors: &Errors) -> Markup {
    let (Ok(find), Some(judge)) = (&opened.find, opened.judge()) else {
        return crate::find_page::broken(slug, opened);
    };
    let bench = Bench {
        slug,
        find,
        judge: &judge,
        said: judge.promptly(),
        photos: opened.photos(),
        mark: opened.mark(),
        came,
        errors,
    };
    if find.parts.is_empty() {
        return bench.document("Bench", &html! {
            section.frame { div.place { h1 { "Nothing to read on yet" } p { "The find has no parts. Give it its parts at the desk first; readings need terminals to stand at." } } p.choices { a.act.wide.inked href={ "/find/" (slug) } { "To the desk page" } } }
        });
    }
    let chosen = find
        .setups
        .iter()
        .find(|s| s.number.to_string() == came.get("setup"));
    let Some(setup) = chosen.filter(|_| !came.has("change")) else {
        return bench.document("Setup", &chooser::show(&bench));
    };
    let stand = Stand {
        setup,
        instrument: came.get("instrument").to_owned(),
    };
    let said = bench
        .said
        .readings
        .iter()
        .find(|r| r.number.to_string() == came.get("said"));
    match said {
        Some(reading) => bench.document(
            &format!("Reading {}", reading.number),
            &given::show(&bench, &stand, reading),
        ),
        None => bench.document("Reading", &entry::show(&bench, &stand)),
    }
}

impl Bench<'_> {
    fn document(&self, title: &str, body: &Markup) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (title) ", " (self.find.name) ", Windfall" }
                    link rel="icon" href="data:,";
                    link rel="stylesheet" href="/look.css";
                    link rel="stylesheet" href="/bench.css";
                    script src="/news.js" defer {}
                    script src="/bench.js" defer {}
                }
                body.bench {
                    (report::signs())
                    (PreEscaped(ACTS))
                    p #spoken.hidden role="status" {}
                    div.unsent {
                        p #unsent role="status" hidden {}
                        @if self.photos.is_some() { (display::of_unsent()) }
                    }
                    main #bench data-slug=(self.slug) data-mark=(self.mark) { (body) }
                    (report::term_meanings(Some("/help/terms")))
                }
            }
        }
    }

    /// The number the next reading gets, if nobody else records one before.
    fn next_number(&self) -> u32 {
        let numbers = self.find.readings.iter().map(|r| r.number);
        numbers.max().unwrap_or(0).saturating_add(1)
    }

    /// The strip above everything: number and time, then where one stands; both lead to the choice of another.
    fn strip(&self, stand: &Stand, number: u32, at: &str) -> Markup {
        let words = format!(
            "setup {}, {}",
            stand.setup.number,
            judgement::setup_words(stand.setup)
        );
        let instrument = match self.instrument(&stand.instrument) {
            Some(designation) => designation.to_string(),
            None => stand.instrument.trim_start_matches("class:").to_owned(),
        };
        let change = stand.link(self.slug, &[("change", "1")]);
        html! {
            header.strip {
                p.mark { b #number { (number) } span { (at) } }
                p.where {
                    a.setup-link href=(change) { span { (words) } }
                    a.with-link href=(change) { span { @if instrument.is_empty() { "meter not said" } @else { (instrument) } } }
                }
            }
        }
    }

    /// The designation behind an instrument's value in a form: its own, or that of the meter a class was made into.
    fn instrument(&self, value: &str) -> Option<Designation> {
        reading_form::known_instrument(self.find, value)
    }

    fn reading(&self, number: u32) -> Option<&Reading> {
        self.find.readings.iter().find(|r| r.number == number)
    }

    /// The last readings with their verdicts, newest first: another device's among them.
    fn last_readings(&self, stand: &Stand) -> Markup {
        let mut last: Vec<_> = self.said.readings.iter().collect();
        last.sort_by_key(|r| std::cmp::Reverse(r.number));
        html! {
            section #last.list aria-label="Last readings" {
                h2 { "Last readings" }
                @if last.is_empty() { p.said.none { "None yet." } }
                ul {
                    @for r in last.into_iter().take(LAST) {
                        li {
                            a href=(stand.link(self.slug, &[("said", &r.number.to_string())])) {
                                b { (r.number) }
                                span.pl { @if r.what.is_empty() { (r.place) } @else { (r.what) } small { (r.place) } }
                                span.rd { (r.read) " " (r.unit) }
                                (report::verdict(r.verdict))
                            }
                        }
                    }
                }
                p.desk { a href={ "/find/" (self.slug) } { "The find's page at the desk" } }
            }
        }
    }
}

/// The two acts' signs this page needs: stop (IEC 60073, red octagon) and what must be done first (the manner of ISO 7010).
const ACTS: &str = r##"<svg width="0" height="0" style="position:absolute" aria-hidden="true"><symbol id="stop" viewBox="0 0 24 24"><path class="s-line" style="fill:var(--danger)" d="M7.5 1H16.5L23 7.5V16.5L16.5 23H7.5L1 16.5V7.5Z"/></symbol><symbol id="must" viewBox="0 0 24 24"><circle class="s-line" style="fill:var(--must)" cx="12" cy="12" r="10.5"/><path d="M12 6V13.5M12 16.2V18.4" style="stroke:var(--on-must);stroke-width:2.6"/></symbol></svg>"##;

#[cfg(test)]
mod tests;
