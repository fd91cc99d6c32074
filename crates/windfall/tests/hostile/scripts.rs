//! Script in everything that can be written: in every field of every form the pages show, and in every text of a stranger's sheet.

use std::collections::BTreeSet;

use crate::door::{Door, Site};

/// Leaves an element, an attribute and a script, whichever it is put in.
pub(crate) const SCRIPT: &str =
    "'\"></textarea></title><script>alert(1)</script><img src=x onerror=alert(2)>";
/// What must never stand in a page: where it does, it came through unescaped.
const LIVE: [&str; 3] = ["<script>alert", "<img src=x", "</textarea></title>"];

pub(crate) fn escaped(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}

pub(crate) fn harmless(what: &str, page: &str) {
    for live in LIVE {
        assert!(!page.contains(live), "{what}: {live} came through");
    }
}

/// The value of an attribute in a tag.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[start..].split('"').next()
}

/// Pages visited; more are the same again for other finds.
const MOST_PAGES: usize = 60;

/// Where a page leads to within the first find, downloads left out.
fn links(page: &str) -> Vec<String> {
    let inside = page.split("href=\"").skip(1);
    inside
        .filter_map(|rest| rest.split(['"', '#']).next())
        .filter(|to| to.starts_with("/find/two-winding/") && !to.ends_with("/sheet"))
        .map(|to| to.replace("&amp;", "&"))
        .collect()
}

/// A form as a page shows it: whether it is posted, where to, the fields with their values.
struct Form {
    posted: bool,
    action: String,
    fields: Vec<(String, String)>,
}

fn forms(page: &str, own: &str) -> Vec<Form> {
    let inside = page.split("<form").skip(1);
    inside
        .map(|rest| {
            let whole = rest.split("</form>").next().unwrap_or(rest);
            let (head, body) = whole.split_once('>').unwrap_or((whole, ""));
            let fields = body.split('<').filter(|tag| {
                ["input", "select", "textarea", "button"]
                    .iter()
                    .any(|kind| tag.starts_with(kind))
            });
            let fields = fields.filter_map(|tag| {
                let name = attribute(tag, "name")?.to_owned();
                Some((name, attribute(tag, "value").unwrap_or("").to_owned()))
            });
            let text = |s: &str| s.replace("&amp;", "&");
            Form {
                posted: attribute(head, "method") == Some("post"),
                action: text(attribute(head, "action").unwrap_or(own)),
                fields: fields.collect(),
            }
        })
        .collect()
}

/// Sends every form of a page with script in one field after the other, then in all, and looks at each answer.
fn attack(door: &Door, path: &str, seen: &mut BTreeSet<String>) {
    let page = door.get(path);
    harmless(path, &page.text);
    for form in forms(&page.text, path) {
        let shape = format!(
            "{} {:?}",
            form.action,
            form.fields.iter().map(|(n, _)| n).collect::<BTreeSet<_>>()
        );
        if !seen.insert(shape) {
            continue;
        }
        let names: BTreeSet<&String> = form.fields.iter().map(|(name, _)| name).collect();
        let single = names.iter().map(|name| vec![(*name).clone()]);
        let all = names.iter().map(|name| (*name).clone()).collect();
        for scripted in single.chain([all]) {
            let sent: Vec<String> = form
                .fields
                .iter()
                .map(|(name, value)| {
                    let value = if scripted.contains(name) {
                        SCRIPT
                    } else {
                        value
                    };
                    format!("{}={}", escaped(name), escaped(value))
                })
                .collect();
            let sent = sent.join("&");
            let answer = if form.posted {
                let action = form.action.split('#').next().unwrap_or_default();
                door.send("POST", action, &[], &sent)
            } else {
                let action = form.action.split(['#', '?']).next().unwrap_or_default();
                door.get(&format!("{action}?{sent}"))
            };
            let what = format!("{} with {scripted:?}", form.action);
            assert!(answer.status < 500, "{what}: {}", answer.status);
            harmless(&what, &answer.text);
            if let Some(to) = answer.header("location") {
                assert!(
                    to.starts_with('/') && !to.starts_with("//"),
                    "{what}: to {to}"
                );
                let to = to.split('#').next().unwrap_or_default().to_owned();
                harmless(&what, &door.get(&to).text);
            }
        }
    }
}

#[test]
fn script_in_every_field_of_every_form_stays_text() {
    let site = Site::open(&["two-winding.toml"]);
    let door = site.own();
    let mut seen = BTreeSet::new();
    let mut known: BTreeSet<String> = BTreeSet::new();
    let mut ahead = vec![
        "/find/two-winding".to_owned(),
        "/plate?text=30+kVA+400+V".to_owned(),
        "/".to_owned(),
    ];
    while let Some(path) = ahead.pop() {
        // Each kind of page once: what stands behind the `?` only fills it.
        let kind = path.split('?').next().unwrap_or_default().to_owned();
        if known.len() < MOST_PAGES && known.insert(kind) {
            ahead.extend(links(&door.get(&path).text));
            attack(&door, &path, &mut seen);
        }
    }
    // What the forms have started and written shows itself once more.
    let start = door.get("/");
    harmless("/", &start.text);
    let finds: BTreeSet<&str> = start
        .text
        .split("href=\"/find/")
        .skip(1)
        .filter_map(|rest| rest.split(['"', '#', '?']).next())
        .collect();
    for find in finds {
        harmless(find, &door.get(&format!("/find/{find}")).text);
    }
    assert!(seen.len() >= 4, "forms were found: {seen:?}");
}

#[test]
fn script_in_every_text_of_a_strangers_sheet_stays_text() {
    let text = std::fs::read_to_string(format!(
        "{}/../../examples/two-winding.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    // Texts that are the owner's own words: each gets the script behind it, quoted as TOML wants it.
    let quoted = SCRIPT.replace('\\', "\\\\").replace('"', "\\\"");
    let scripted: String = text
        .lines()
        .map(|line| {
            let own = ["name", "origin", "note", "what", "struck", "winding"];
            let key = line.split('=').next().unwrap_or("").trim();
            match line.strip_suffix('"') {
                Some(open) if own.contains(&key) && line.contains('=') => {
                    format!("{open} {quoted}\"\n")
                }
                _ => format!("{line}\n"),
            }
        })
        .collect();
    // And one that cannot be read at all, so that its faults are shown.
    let broken = format!(
        "sheet = 1\n[find]\nname = \"{quoted}\"\n\"{quoted}\" = 1\n[[part]]\ndesignation = \"{quoted}\"\n"
    );
    let sheets = [
        ("scripted.toml", scripted.as_str()),
        ("broken.toml", broken.as_str()),
    ];
    sheet::read(&scripted).expect("it is a sheet all the same");
    let site = Site::with(&[], &sheets, &[]);
    for path in [
        "/",
        "/find/scripted",
        "/find/broken",
        "/find/scripted/report",
    ] {
        let answer = site.own().get(path);
        assert_eq!(answer.status, 200, "{path}");
        harmless(path, &answer.text);
        assert!(
            answer.text.contains("&lt;script&gt;alert"),
            "{path} shows it as text"
        );
    }
    let sheet = site.own().get("/find/scripted/sheet");
    assert_eq!(
        sheet.header("content-type"),
        Some("application/toml; charset=utf-8")
    );
    assert!(
        sheet
            .header("content-disposition")
            .unwrap()
            .starts_with("attachment")
    );
}
