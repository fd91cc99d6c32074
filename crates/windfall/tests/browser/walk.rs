//! The whole job by hand: the creamery's find from an empty book to the verdict on reading 24, plate and parts and setups at the desk page,
//! every reading at the bench page; with a keyboard at the desk, with a thumb on a phone, and without script. What the book holds then is
//! what the example holds.

use std::time::Instant;

use gear::{Find, Reading};

use crate::picture_file;
use crate::site::{Site, example};
use crate::webdriver::{Browser, DESK, Look, PHONE};

/// The words of the desk's addresses with the sheet's lists behind them, in the order a person writes them down.
const NOUNS: [(&str, &str); 10] = [
    ("part", "part"),
    ("gang", "gang"),
    ("join", "join"),
    ("source", "kit.source"),
    ("limiter", "kit.limiter"),
    ("protection", "kit.protection"),
    ("instrument", "instrument"),
    ("setup", "setup"),
    ("damage", "damage"),
    ("note", "note"),
];

/// A person with a find, a browser and the sheet that is to come of it.
struct Hand {
    browser: Browser,
    site: Site,
    wanted: Find,
    look: Look,
    script: bool,
}

impl Hand {
    fn at(site: Site, look: Look, script: bool) -> Self {
        let browser = Browser::start(look);
        if !script {
            browser.without_script();
        }
        Self {
            browser,
            site,
            wanted: sheet::read(&example("creamery.toml")).expect("the example is sound"),
            look,
            script,
        }
    }

    /// Starts the find from its plate, from the empty book's first page.
    fn starts(&self) {
        let browser = &self.browser;
        browser.open(&self.site.at("/"));
        assert!(browser.text("aside").contains("There is none yet"));
        let plate = self.wanted.plate.text.clone().unwrap_or_default();
        browser.fill("textarea#text", &plate);
        browser.fill("#begin-name", &self.wanted.name);
        browser.click("input[name=arrangement][value=none]");
        browser.click("#begin .begin button.inked");
        browser.wait(
            "the find's page",
            "return location.pathname.startsWith('/find/')",
        );
        for word in ["find", "plate"] {
            browser.open(&self.site.at(&format!("{}/edit/{word}", self.find())));
            let block = sheet::block_of(&self.wanted, word, 0).expect("there is one");
            self.types(word, &block);
        }
    }

    fn find(&self) -> &'static str {
        "/find/stabilizer-from-the-creamery"
    }

    /// Everything but the readings, form by form.
    fn writes_down(&self) {
        for (word, list) in NOUNS {
            for index in 0..sheet::count(&self.wanted, list) {
                let block = sheet::block_of(&self.wanted, list, index).expect("there is one");
                self.browser
                    .open(&self.site.at(&format!("{}/edit/{word}", self.find())));
                self.types(list, &block);
            }
        }
    }

    /// Fills the form that is open and writes it down.
    fn types(&self, list: &str, block: &str) {
        let browser = &self.browser;
        let fields = sheet::typed::typed(list, block);
        if list == "part" {
            let kind = fields.iter().find(|(name, _)| name == "kind");
            browser.choose("[id='edit-kind']", &kind.expect("a kind").1);
            browser.click_through("#edit button[formmethod=get]:not([name])");
        }
        for (name, value) in &fields {
            let at = match (list, name.as_str()) {
                ("plate", "text") => "textarea#text".to_owned(),
                _ => format!("[id='edit-{name}']"),
            };
            let field = format!(
                "const e = document.querySelector(\"{at}\"); return e && e.tagName + e.value"
            );
            let mut stands = browser.run(&field);
            // A table inside is asked for as often as it is needed: windings, ranges, feeds.
            if stands.is_null() {
                let table = name.split('.').next().unwrap_or_default();
                browser.click_through(&format!("#edit button[name=more][value={table}]"));
                stands = browser.run(&field);
            }
            match stands.as_str() {
                Some("INPUT" | "TEXTAREA") => browser.keys(&at, value),
                Some(other) if other.starts_with("SELECT") => browser.choose(&at, value),
                _ => browser.fill(&at, value),
            }
        }
        browser.click_through("#edit p.acts button.inked");
        let refused = "return location.pathname.includes('/edit/') ? [...document.querySelectorAll('.refused, .wrong')].map((e) => e.id + ' ' + e.innerText).join('; ') : ''";
        assert_eq!(browser.run(refused), "", "{block}");
    }

    /// All readings at the bench, setup by setup, as they were taken.
    fn reads(&self) {
        let mut stand = None;
        for reading in &self.wanted.readings {
            let with = reading.instrument.as_ref().map(ToString::to_string);
            if stand != Some((reading.setup, with.clone())) {
                self.stands(reading.setup, with.as_deref().unwrap_or_default());
                stand = Some((reading.setup, with));
            }
            self.goes_to(reading);
            self.records(reading);
            if let Some(reason) = &reading.struck {
                self.strikes(reason);
            }
        }
    }

    fn stands(&self, setup: u32, with: &str) {
        let browser = &self.browser;
        browser.open(&self.site.at(&format!("{}/bench", self.find())));
        browser.choose("#at-setup", &setup.to_string());
        browser.choose("#at-instrument", with);
        browser.click(".choosing form[method=get] button.record");
        browser.wait("the bench", "return !!document.querySelector('#places')");
        if setup == 4 && self.look.width < 500 {
            browser.picture(&picture_file("walk-first-step"), true);
        }
    }

    /// To a place by the two lists, with what it is called.
    fn goes_to(&self, reading: &Reading) {
        let browser = &self.browser;
        browser.click("#by-hand > summary");
        let places: Vec<String> = reading
            .place
            .terminals()
            .iter()
            .map(ToString::to_string)
            .collect();
        browser.choose("#add-from", &places[0]);
        if let Some(to) = places.get(1) {
            browser.choose("#add-to", to);
        }
        browser.choose("#measured", reading.measured.word());
        browser.fill("#called", reading.what.as_deref().unwrap_or_default());
        self.clicks_on(".by-hand > button");
        let place = match places.get(1) {
            Some(to) => format!("{} to {to}", places[0]),
            None => format!("into {}", places[0]),
        };
        browser.wait(
            "the step",
            &format!("return document.querySelector('#where')?.textContent === '{place}'"),
        );
    }

    /// Clicks what puts another page of the bench in the place of this one, and waits for that: the same place may stand on both.
    fn clicks_on(&self, selector: &str) {
        let browser = &self.browser;
        browser.run("document.querySelector('main#bench').stillHere = true");
        browser.click(selector);
        browser.wait("the bench's next page", "const bench = document.querySelector('main#bench'); return !!bench && !bench.stillHere && document.readyState === 'complete'");
    }

    fn records(&self, reading: &Reading) {
        let browser = &self.browser;
        if browser.count("#leads:not([hidden])") > 0 {
            browser.click("#leads input");
        }
        if let Some(beep) = reading.beep {
            let said = if beep { "beep" } else { "no beep" };
            self.clicks_on(&format!("button[name=shown][value='{said}']"));
        } else {
            let shown = reading.shown.as_ref().expect("digits").text();
            let (figure, unit) = shown.rsplit_once(' ').expect("a unit");
            if browser.count("select.u") > 0 {
                browser.choose("select.u", unit);
            }
            // The keys have no sign for a bound: that one takes a keyboard.
            if self.script && self.look.width < 500 && !figure.starts_with('>') {
                for digit in figure.chars() {
                    browser.click(&format!("[data-key=\"{digit}\"]"));
                }
            } else {
                browser.keys("#shown", figure);
            }
            self.clicks_on("button.record");
        }
        browser.wait(
            "a verdict",
            &format!(
                "return !!document.querySelector('#said') && document.querySelector('#number').innerText === '{}'",
                reading.number
            ),
        );
    }

    fn strikes(&self, reason: &str) {
        let browser = &self.browser;
        browser.click(".strike-why summary");
        browser.fill("#reason", reason);
        self.clicks_on(".other-reason button");
        browser.wait(
            "the reading struck",
            "return /Struck: /.test(document.querySelector('.why')?.innerText ?? '')",
        );
    }

    /// Reading 24 contradicts, by its decimal point, at the bench and at the desk.
    fn hears_the_verdict(&self) {
        let browser = &self.browser;
        let queried = format!("{}/bench?setup=4&instrument=P1&said=24", self.find());
        browser.open(&self.site.at(&queried));
        assert!(browser.text("#said").starts_with("contradicts"));
        assert!(browser.text(".why").contains("A decimal point?"));
        browser.open(&self.site.at(self.find()));
        let row = browser.text("#reading-24");
        assert!(row.contains("contradicts"), "{row}");
        assert_eq!(browser.count("#readings tr.loud"), 1, "reading 24 alone");
        browser.picture(&picture_file(&format!("walk-{}", self.look.width)), true);
    }
}

/// A find as the bench writes it: the time is the clock's.
fn timeless(mut find: Find) -> String {
    find.readings
        .iter_mut()
        .for_each(|reading| reading.at = None);
    sheet::write(&find)
}

fn walk(look: Look) {
    let begun = Instant::now();
    let hand = Hand::at(Site::of_new_book(), look, true);
    hand.starts();
    hand.writes_down();
    println!("{}: written down after {:.1?}", look.width, begun.elapsed());
    hand.reads();
    hand.hears_the_verdict();
    println!("{}: read after {:.1?}", look.width, begun.elapsed());
    let written = sheet::read(&hand.site.exported("1")).expect("the sheet is sound");
    assert_eq!(timeless(written), timeless(hand.wanted.clone()));
    assert_eq!(hand.browser.complaints(), Vec::<String>::new());
}

#[test]
fn the_creamery_is_written_down_and_read_at_the_desk() {
    walk(DESK);
}

#[test]
fn the_creamery_is_written_down_and_read_on_a_phone() {
    walk(PHONE);
}

/// The whole of it without script is sent as a browser would by `desk`; here a hand goes on with the find where it stands.
#[test]
fn the_creamery_is_read_on_without_script() {
    let name = "stabilizer-from-the-creamery.toml";
    let site = Site::of(&[(name, example("creamery.toml"))]);
    let hand = Hand::at(site, PHONE, false);
    let mut reading = hand.wanted.readings[23].clone();
    hand.stands(reading.setup, "P1");
    reading.number = 33;
    hand.goes_to(&reading);
    hand.records(&reading);
    hand.strikes("the same slip again");
    hand.hears_the_verdict();
    assert!(hand.site.sheet(name).contains("the same slip again"));
    assert_eq!(hand.browser.count("html.script"), 0, "script is off");
}
