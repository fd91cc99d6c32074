//! `windfall new`: a find started from a named arrangement.

use crate::arguments::New;
use crate::failure::{Failure, Outcome};
use crate::input;
use serde::Serialize;
use serde_json::json;
use wiring::{Arrangement, Options};

pub(crate) fn run(asked: &New) -> Result<Outcome, Failure> {
    let Some(key) = &asked.arrangement else {
        return list(asked.json);
    };
    let arrangement = wiring::arrangement(key).ok_or_else(|| unknown(key))?;
    let chosen = asked
        .choices
        .iter()
        .map(|c| choice(arrangement, c))
        .collect::<Result<Vec<_>, _>>()?;
    let options = Options {
        name: asked
            .name
            .clone()
            .unwrap_or_else(|| arrangement.name.to_owned()),
        plate: asked.plate.clone(),
        chosen,
    };
    let text = sheet::write(&judgement::plate::started(arrangement, &options));
    if let Some(path) = &asked.out {
        input::write_new(path, &text)?;
    }
    match &asked.out {
        path if asked.json => {
            let path = path.as_ref().map(|p| p.display().to_string());
            input::print_json(
                &json!({ "arrangement": arrangement.key, "written": path, "sheet": text }),
            )?;
        }
        Some(path) => {
            input::print(&format!(
                "{} written; every join is assumed until a reading or your eyes say so.\nNext: windfall check {0}",
                path.display()
            ))?;
        }
        None => input::print(&text)?,
    }
    Ok(Outcome::Good)
}

fn unknown(key: &str) -> Failure {
    let keys: Vec<&str> = wiring::arrangements().iter().map(|a| a.key).collect();
    Failure::input(format!(
        "`{key}` is no arrangement known here; take one of {}",
        keys.join(", ")
    ))
}

/// One `key=value`, held against what the arrangement offers; keys it does not list (winding volts) are passed on.
fn choice(arrangement: &Arrangement, text: &str) -> Result<(String, String), Failure> {
    let (key, value) = text.split_once('=').ok_or_else(|| {
        Failure::input(format!(
            "`{text}` is no choice; write key=value, like phases=3"
        ))
    })?;
    if let Some(offered) = arrangement.choices.iter().find(|c| c.key == key)
        && !offered.values.is_empty()
        && !offered.values.iter().any(|(v, _)| *v == value)
    {
        let values: Vec<&str> = offered.values.iter().map(|(v, _)| *v).collect();
        return Err(Failure::input(format!(
            "`{value}` is no value for `{key}`; take one of {}",
            values.join(", ")
        )));
    }
    Ok((key.to_owned(), value.to_owned()))
}

/// An arrangement as listed.
#[derive(Serialize)]
struct Listed {
    key: &'static str,
    name: &'static str,
    seen_by: &'static str,
    choices: Vec<ListedChoice>,
}

#[derive(Serialize)]
struct ListedChoice {
    key: &'static str,
    name: &'static str,
    values: Vec<&'static str>,
}

fn list(json: bool) -> Result<Outcome, Failure> {
    let listed: Vec<Listed> = wiring::arrangements()
        .iter()
        .map(|a| Listed {
            key: a.key,
            name: a.name,
            seen_by: a.seen_by,
            choices: a
                .choices
                .iter()
                .map(|c| ListedChoice {
                    key: c.key,
                    name: c.name,
                    values: c.values.iter().map(|(v, _)| *v).collect(),
                })
                .collect(),
        })
        .collect();
    if json {
        input::print_json(&listed)?;
        return Ok(Outcome::Good);
    }
    let mut text = String::from(
        "Named arrangements; start one with: windfall new KEY --name \"...\" --plate \"...\" --out FILE\n",
    );
    for a in &listed {
        text.push_str(&format!("\n{}\n    {}\n    {}\n", a.key, a.name, a.seen_by));
        for c in &a.choices {
            text.push_str(&format!(
                "    --choose {}={}    {}\n",
                c.key,
                c.values.join("|"),
                c.name
            ));
        }
    }
    input::print(&text)?;
    Ok(Outcome::Good)
}
