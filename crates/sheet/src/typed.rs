//! A noun of a find as a person types it: one field a key, a group of fields for each table inside it.
//!
//! Comes from the table of keys that reading and schema come from, so that a form knows each key, its words and its example without a
//! list of its own. [`fields`] says what may be typed, [`typed`] what stands there now, [`block`] makes a sheet's block of what was
//! typed; whether that makes sense is for [`crate::put`] to say. Several values stand in one field with `, ` between them.

use crate::keys::{ANY_PART, Key, Kind, PART_KINDS, SHEET, Table};
use crate::parse;
use crate::write::{inline, list as in_brackets, quoted, text_value};
use toml::de::DeValue;

/// How a field is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum How {
    /// On one line.
    Line,
    /// On as many lines as it needs.
    Lines,
    /// Several on one line, `, ` between them.
    Several,
    /// Yes or no: `true` or `false`.
    YesNo,
    /// One of these words.
    OneOf(Vec<&'static str>),
    /// A terminal, `T1:4`.
    Terminal,
    /// Several terminals, `, ` between them.
    Terminals,
    /// Day and time.
    Moment,
}

/// A field of a noun.
#[derive(Debug, Clone)]
pub struct Field {
    /// Its name in a form: `volts`, `core.area`; in a group without the group's word and number.
    pub name: String,
    /// How it is typed.
    pub how: How,
    /// Whether the noun cannot be without it.
    pub required: bool,
    /// What it is, in a few words.
    pub words: &'static str,
    /// One as it would be typed.
    pub example: String,
}

/// Tables inside a noun, each a group of fields: `winding.0.name`.
#[derive(Debug, Clone)]
pub struct Group {
    /// The key of the tables.
    pub name: &'static str,
    /// What one is, in a few words.
    pub words: &'static str,
    /// Its fields.
    pub fields: Vec<Field>,
}

/// The lists of nouns that can be put in and taken out, as a sheet heads them.
pub const NOUNS: [&str; 14] = [
    "find",
    "plate",
    "part",
    "gang",
    "lead",
    "join",
    "kit.source",
    "kit.limiter",
    "kit.load",
    "kit.protection",
    "instrument",
    "setup",
    "damage",
    "note",
];

/// Fields and groups of a noun; of a part those of its kind (all of them where the kind is not known). Nothing for what is no noun.
pub fn fields(list: &str, kind: Option<&str>) -> (Vec<Field>, Vec<Group>) {
    let Some(table) = table_of(list) else {
        return (Vec::new(), Vec::new());
    };
    let of_kind = kind.and_then(|kind| PART_KINDS.iter().find(|(word, _)| *word == kind));
    let mut own = Vec::new();
    let mut groups = Vec::new();
    for key in table.keys {
        if let ("part", Some((_, keys))) = (list, of_kind)
            && !ANY_PART.contains(&key.name)
            && !keys.contains(&key.name)
        {
            continue;
        }
        match key.kind {
            Kind::Tables(inner) => groups.push(Group {
                name: key.name,
                words: inner.words,
                fields: inner.keys.iter().map(|k| field("", k)).collect(),
            }),
            Kind::Table(inner) => {
                let prefix = format!("{}.", key.name);
                own.extend(inner.keys.iter().map(|k| field(&prefix, k)));
            }
            _ => own.push(field("", key)),
        }
    }
    (own, groups)
}

fn field(prefix: &str, key: &Key) -> Field {
    Field {
        name: format!("{prefix}{}", key.name),
        how: how(key),
        required: key.required,
        words: key.words,
        example: key
            .example
            .trim_matches(['[', ']', '{', '}', ' '])
            .replace('"', "")
            .replace("], [", ", "),
    }
}

fn how(key: &Key) -> How {
    match key.kind {
        // The only words of more than a line.
        Kind::Text if key.name == "text" => How::Lines,
        Kind::Flag => How::YesNo,
        Kind::Words(words) => How::OneOf(words()),
        Kind::Terminal => How::Terminal,
        Kind::Moment => How::Moment,
        Kind::List(Kind::Terminal) | Kind::Pair(Kind::Terminal) => How::Terminals,
        Kind::List(_) | Kind::Pair(_) | Kind::Positions => How::Several,
        _ => How::Line,
    }
}

fn table_of(list: &str) -> Option<&'static Table> {
    let mut table = &SHEET;
    for name in list.split('.') {
        let key = table.keys.iter().find(|key| key.name == name)?;
        table = match key.kind {
            Kind::Table(inner) | Kind::Tables(inner) => inner,
            _ => return None,
        };
    }
    Some(table)
}

/// A noun's block of a sheet from what was typed, by field; empty fields are left out, and groups in which nothing stands.
pub fn block(list: &str, typed: &[(String, String)]) -> String {
    let Some(table) = table_of(list) else {
        return String::new();
    };
    let mut out = format!("{}\n", heading_of(list));
    let given = |name: &str| {
        let (_, value) = typed.iter().find(|(field, _)| field == name)?;
        // Words over several lines end as their owner ended them.
        let value = if value.contains('\n') {
            value
        } else {
            value.trim()
        };
        Some(value).filter(|value| !value.trim().is_empty())
    };
    lines(&mut out, table, "", &given);
    for key in table.keys {
        let Kind::Tables(inner) = key.kind else {
            continue;
        };
        for number in numbers_of(key.name, typed) {
            let prefix = format!("{}.{number}.", key.name);
            let mut group = String::new();
            lines(&mut group, inner, &prefix, &given);
            if !group.is_empty() {
                out.push_str(&format!("{}\n{group}", inner.heading));
            }
        }
    }
    out
}

fn heading_of(list: &str) -> String {
    match list {
        "find" | "plate" => format!("[{list}]"),
        _ => format!("[[{list}]]"),
    }
}

/// The numbers of a group's tables among the fields, rising.
fn numbers_of(group: &str, typed: &[(String, String)]) -> Vec<usize> {
    let number = |field: &str| {
        let rest = field.strip_prefix(group)?.strip_prefix('.')?;
        rest.split('.').next()?.parse().ok()
    };
    let mut numbers: Vec<usize> = typed
        .iter()
        .filter_map(|(field, _)| number(field))
        .collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers
}

fn lines<'a>(
    out: &mut String,
    table: &Table,
    prefix: &str,
    given: &impl Fn(&str) -> Option<&'a str>,
) {
    for key in table.keys {
        let name = format!("{prefix}{}", key.name);
        let value = match key.kind {
            Kind::Tables(_) => None,
            Kind::Table(inner) => {
                let pair = |k: &Key| {
                    let value = given(&format!("{name}.{}", k.name))?;
                    Some((k.name.to_owned(), as_toml(k.kind, value)))
                };
                let pairs: Vec<_> = inner.keys.iter().filter_map(pair).collect();
                Some(pairs).filter(|p| !p.is_empty()).map(inline)
            }
            kind => given(&name).map(|value| as_toml(kind, value)),
        };
        if let Some(value) = value {
            out.push_str(&format!("{} = {value}\n", key.name));
        }
    }
}

fn as_toml(kind: Kind, text: &str) -> String {
    match kind {
        // What is no whole number goes in as it was typed, to be refused with its words.
        Kind::Whole => text
            .parse::<u32>()
            .map_or_else(|_| quoted(text), |n| n.to_string()),
        Kind::Flag if matches!(text, "true" | "false") => text.to_owned(),
        Kind::List(inner @ (Kind::List(_) | Kind::Pair(_))) => {
            in_brackets(split(text, false).map(|part| as_toml(*inner, &part.replace('+', ", "))))
        }
        Kind::List(inner) | Kind::Pair(inner) => {
            let figures = matches!(inner, Kind::Quantity | Kind::QuantityOrNothing);
            in_brackets(split(text, figures).map(|part| match part {
                "?" => quoted(""),
                part => as_toml(*inner, part),
            }))
        }
        Kind::Positions => inline(split(text, true).map(|part| match part.split_once('=') {
            Some((slider, at)) => (slider.trim().to_owned(), quoted(at.trim())),
            None => (part.to_owned(), quoted("")),
        })),
        Kind::Text => text_value(&text.replace("\r\n", "\n")),
        _ => quoted(text),
    }
}

/// The values of a field that holds several. Among figures a comma alone may be a decimal sign; one with a space behind it is not.
fn split(text: &str, figures: bool) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let all = rest?;
        let cut = all.char_indices().find(|(at, c)| match c {
            ';' => true,
            ',' => !figures || all[at + 1..].starts_with(char::is_whitespace),
            _ => false,
        });
        let (part, behind) = match cut {
            Some((at, _)) => (&all[..at], Some(&all[at + 1..])),
            None => (all, None),
        };
        rest = behind.filter(|b| !b.trim().is_empty());
        Some(part.trim())
    })
}

/// What stands in a noun's block, by field, as it would be typed.
pub fn typed(list: &str, block: &str) -> Vec<(String, String)> {
    let (root, ..) = parse(block);
    let mut at = DeValue::Table(root.into_inner());
    for key in list.split('.') {
        let inner = at.as_table().and_then(|table| table.get(key)).cloned();
        match inner.map(toml::Spanned::into_inner) {
            Some(DeValue::Array(all)) => match all.first() {
                Some(one) => at = one.get_ref().clone(),
                None => return Vec::new(),
            },
            Some(value) => at = value,
            None => return Vec::new(),
        }
    }
    let mut out = Vec::new();
    if let Some(table) = table_of(list) {
        walk(table, &at, "", &mut out);
    }
    out
}

fn walk(table: &Table, value: &DeValue<'_>, prefix: &str, out: &mut Vec<(String, String)>) {
    let Some(tree) = value.as_table() else {
        return;
    };
    for key in table.keys {
        let Some(value) = tree.get(key.name).map(|v| v.get_ref()) else {
            continue;
        };
        let name = format!("{prefix}{}", key.name);
        match (key.kind, value) {
            (Kind::Table(inner), value) => walk(inner, value, &format!("{name}."), out),
            (Kind::Tables(inner), DeValue::Array(all)) => {
                for (n, one) in all.iter().enumerate() {
                    walk(inner, one.get_ref(), &format!("{name}.{n}."), out);
                }
            }
            (_, value) => out.push((name, as_typed(value))),
        }
    }
}

fn as_typed(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => text.to_string(),
        DeValue::Integer(number) => number.as_str().to_owned(),
        DeValue::Boolean(yes) => yes.to_string(),
        DeValue::Array(all) => {
            let one = |one: &toml::Spanned<DeValue<'_>>| match one.get_ref() {
                DeValue::Array(inner) => {
                    let parts: Vec<String> = inner.iter().map(|v| as_typed(v.get_ref())).collect();
                    parts.join("+")
                }
                DeValue::String(text) if text.is_empty() => "?".to_owned(),
                one => as_typed(one),
            };
            all.iter().map(one).collect::<Vec<_>>().join(", ")
        }
        DeValue::Table(pairs) => {
            let pair = |(key, value): (_, &toml::Spanned<DeValue<'_>>)| {
                let key: &toml::Spanned<std::borrow::Cow<'_, str>> = key;
                format!("{} = {}", key.get_ref(), as_typed(value.get_ref()))
            };
            // The tree sorts by name; a person reads them in the order they were written.
            let mut pairs: Vec<_> = pairs.iter().collect();
            pairs.sort_by_key(|(key, _)| key.span().start);
            pairs.into_iter().map(pair).collect::<Vec<_>>().join(", ")
        }
        _ => String::new(),
    }
}

/// The field a [`crate::Problem`]'s path belongs to, if it lies in the noun at `index` of its list: `part[2].winding[0].volts` is
/// `winding.0.volts` of part 2. A place inside a field that holds several is told with its number.
pub fn field_of(list: &str, index: usize, path: &str) -> Option<String> {
    let rest = match list {
        "find" | "plate" => path.strip_prefix(list)?,
        _ => path
            .strip_prefix(list)?
            .strip_prefix(&format!("[{index}]"))?,
    };
    let rest = rest.replace('[', ".").replace(']', "");
    Some(rest.trim_start_matches('.').to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block_of;

    #[test]
    fn every_noun_typed_as_it_stands_is_the_same_noun() {
        let find = crate::read(include_str!("../tests/whole.toml")).unwrap();
        let mut seen = 0;
        for list in NOUNS {
            for index in 0.. {
                let Some(block_written) = block_of(&find, list, index) else {
                    break;
                };
                let back = block(list, &typed(list, &block_written));
                let nouns = |text: &str| {
                    let read = crate::Fragment::read(text);
                    let read = read.unwrap_or_else(|p| panic!("{p:?} in {text}"));
                    read.nouns().clone()
                };
                assert_eq!(nouns(&back), nouns(&block_written), "{list} {index}");
                seen += 1;
            }
        }
        assert!(seen > 14, "{seen}");
    }

    #[test]
    fn every_list_has_fields_with_words() {
        for list in NOUNS {
            let (own, groups) = fields(list, None);
            assert!(!own.is_empty(), "{list}");
            let inner = groups.iter().flat_map(|group| &group.fields);
            assert!(own.iter().chain(inner).all(|f| !f.words.is_empty()));
        }
        let (own, groups) = fields("part", Some("fuse"));
        let names: Vec<_> = own.iter().map(|f| f.name.as_str()).collect();
        assert_eq!(names, ["designation", "kind", "name", "phase", "current"]);
        assert!(groups.is_empty());
    }

    #[test]
    fn a_decimal_comma_does_not_part_two_figures() {
        let parts = |text| split(text, true).collect::<Vec<_>>();
        assert_eq!(parts("0,25, ?; 1"), ["0,25", "?", "1"]);
        assert_eq!(split("1,2 , N", false).collect::<Vec<_>>(), ["1", "2", "N"]);
    }

    #[test]
    fn a_problem_is_told_at_its_field() {
        let of = |path| field_of("kit.source", 1, path);
        assert_eq!(of("kit.source[1].volts").as_deref(), Some("volts"));
        assert_eq!(of("kit.source[0].volts"), None);
        let deep = field_of("part", 0, "part[0].winding[2].points[1]");
        assert_eq!(deep.as_deref(), Some("winding.2.points.1"));
    }
}
