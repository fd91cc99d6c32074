//! What a noun's form does to the sheet: the noun exchanged, added or taken out, each refusal beside the field it belongs to.

use gear::Find;
use sheet::Problem;

use super::Noun;
use crate::opened::Opened;
use crate::submitted::{Errors, Submitted};

/// Longer words in one field are no part of a find.
const LONGEST: usize = 8000;

/// The sheet with the noun as it was typed, or without it.
/// # Errors
/// By field; what belongs to none stands under the empty one.
pub(crate) fn take(
    opened: &Opened,
    noun: &Noun,
    key: Option<&str>,
    came: &Submitted,
) -> Result<String, Errors> {
    let find = opened
        .find
        .as_ref()
        .map_err(|_| refusal("the sheet has faults; mend it first"))?;
    if came.0.iter().any(|(_, value)| value.len() > LONGEST) {
        return Err(refusal(&format!("a field holds at most {LONGEST} letters")));
    }
    let index = place(find, noun, key, came)?;
    if came.has("out") {
        let Some(index) = index.filter(|_| !noun.is_single()) else {
            return Err(refusal("there is nothing to take out"));
        };
        return sheet::take_out(opened.text(), noun.list, index)
            .map_err(|problems| told(&problems, noun, index, &[]));
    }
    let block = sheet::typed::block(noun.list, &came.0);
    let at = index.unwrap_or_else(|| sheet::count(find, noun.list));
    sheet::put(opened.text(), noun.list, index, &block)
        .map_err(|problems| told(&problems, noun, at, &came.0))
}

/// The place of what the form was filled for, found by what stood in it then; none for a new one.
fn place(
    find: &Find,
    noun: &Noun,
    key: Option<&str>,
    came: &Submitted,
) -> Result<Option<usize>, Errors> {
    let at = match key {
        None if !noun.is_single() => return Ok(None),
        None => Some(0),
        Some(key) => noun.index_of(find, key),
    };
    // A form sends line breaks as carriage return and line feed (the HTML standard).
    let was = came.get("was").replace("\r\n", "\n");
    let same = |index: usize| {
        let standing = sheet::block_of(find, noun.list, index);
        standing.is_some_and(|block| block.trim() == was.trim())
    };
    let moved = || (0..sheet::count(find, noun.list)).find(|index| same(*index));
    match at.filter(|at| was.is_empty() || same(*at)).or_else(moved) {
        Some(index) => Ok(Some(index)),
        None => Err(refusal(&format!(
            "this {} was changed somewhere else while you wrote; look at it again, or write yours down once more to put it in its place",
            noun.one
        ))),
    }
}

fn refusal(words: &str) -> Errors {
    let mut errors = Errors::default();
    errors.add("", words);
    errors
}

/// Problems of a sheet as messages beside the fields they belong to.
pub(crate) fn told(
    problems: &[Problem],
    noun: &Noun,
    index: usize,
    fields: &[(String, String)],
) -> Errors {
    let mut errors = Errors::default();
    for problem in problems {
        let message = format!("{}; {}", problem.what, problem.remedy);
        let place = sheet::typed::field_of(noun.list, index, &problem.path);
        let field = place.and_then(|place| nearest(&place, fields));
        errors.add(&field.unwrap_or_default(), message);
    }
    errors
}

/// The field a place belongs to: itself or what it lies in.
fn nearest(place: &str, fields: &[(String, String)]) -> Option<String> {
    let mut place = place;
    loop {
        if fields.iter().any(|(name, _)| name == place) {
            return Some(place.to_owned());
        }
        place = place.rsplit_once('.')?.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: &str = "sheet = 1\n[find]\nname = \"x\"\n\n[[part]]\ndesignation = \"X1\"\nkind = \"terminals\"\nterminals = [\"1\", \"2\", \"N\"]\n";

    fn typed(fields: &[(&str, &str)]) -> Submitted {
        let fields = fields
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()));
        Submitted(fields.collect())
    }

    fn of(word: &str) -> &'static Noun {
        Noun::of(word).unwrap()
    }

    #[test]
    fn a_lead_with_a_cut_end_is_added() {
        let opened = Opened::new(SHEET.to_owned());
        let came = typed(&[
            ("designation", "W1"),
            ("from", "X1:1"),
            ("to", ""),
            ("section", "2,5 mm²"),
        ]);
        let text = take(&opened, of("lead"), None, &came).unwrap();
        let find = sheet::read(&text).unwrap();
        assert_eq!(find.leads[0].to, None);
        assert!(text.contains("2,5 mm²"), "as it was typed: {text}");
    }

    #[test]
    fn what_is_wrong_stands_beside_its_field() {
        let opened = Opened::new(SHEET.to_owned());
        let came = typed(&[
            ("designation", "W1"),
            ("from", "X9:1"),
            ("section", "thick"),
        ]);
        let errors = take(&opened, of("lead"), None, &came).unwrap_err();
        assert!(errors.of("section").is_some(), "{errors:?}");
        let came = typed(&[("designation", "W1"), ("from", "X9:1")]);
        let errors = take(&opened, of("lead"), None, &came).unwrap_err();
        assert!(errors.of("from").is_some(), "{errors:?}");
    }

    #[test]
    fn what_was_changed_meanwhile_is_not_written_over_unseen() {
        let opened = Opened::new(SHEET.to_owned());
        let part = of("part");
        let mut came = typed(
            &part
                .typed(opened.find.as_ref().unwrap(), 0)
                .iter()
                .map(|(k, v)| (k.as_str(), v.as_str()))
                .collect::<Vec<_>>(),
        );
        came.set("was", "[[part]]\ndesignation = \"X1\"\n");
        let errors = take(&opened, part, Some("X1"), &came).unwrap_err();
        assert!(errors.of("").is_some_and(|m| m.contains("somewhere else")));
    }

    #[test]
    fn what_is_taken_out_is_gone() {
        let opened = Opened::new(SHEET.to_owned());
        let came = typed(&[("out", "yes")]);
        let text = take(&opened, of("part"), Some("X1"), &came).unwrap();
        assert!(sheet::read(&text).unwrap().parts.is_empty());
    }
}
