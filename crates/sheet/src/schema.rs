//! The format as a JSON Schema, draft 2020-12.

use crate::keys::{Key, Kind, SHEET, Table};
use serde_json::{Map, Value, json};
use toml::de::DeValue;

/// The JSON Schema (draft 2020-12) of a sheet read as TOML. It tells shape, words and required keys; what names must name, and which unit a
/// quantity must have, [`crate::read`] checks.
pub fn schema() -> String {
    let mut root = table(&SHEET);
    if let Value::Object(root) = &mut root {
        root.insert(
            "$schema".into(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        root.insert("title".into(), json!("sheet"));
    }
    format!("{root:#}\n")
}

fn table(table: &Table) -> Value {
    let properties: Map<String, Value> = table
        .keys
        .iter()
        .map(|k| (k.name.to_owned(), property(table, k)))
        .collect();
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|k| k.required)
        .map(|k| k.name)
        .collect();
    json!({
        "type": "object",
        "description": table.words,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn property(owner: &Table, key: &Key) -> Value {
    let mut value = kind(key.kind);
    if let Value::Object(object) = &mut value {
        object.insert("description".into(), json!(key.words));
        if owner.heading == SHEET.heading && key.name == "sheet" {
            object.insert("const".into(), json!(crate::VERSION));
        }
        if let Ok(example) = DeValue::parse(key.example) {
            object.insert("examples".into(), json!([as_json(example.get_ref())]));
        }
    }
    value
}

/// A value of a sheet as the JSON that the schema speaks of; a bare time is the text it was written as.
fn as_json(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => json!(text),
        DeValue::Integer(number) => {
            json!(i64::from_str_radix(number.as_str(), number.radix()).ok())
        }
        DeValue::Float(number) => json!(number.as_str().parse::<f64>().ok()),
        DeValue::Boolean(flag) => json!(flag),
        DeValue::Datetime(time) => json!(time.to_string()),
        DeValue::Array(list) => list.iter().map(|v| as_json(v.get_ref())).collect(),
        DeValue::Table(tree) => tree
            .iter()
            .map(|(k, v)| (k.get_ref().to_string(), as_json(v.get_ref())))
            .collect(),
    }
}

fn kind(of: Kind) -> Value {
    match of {
        Kind::Text => json!({ "type": "string" }),
        Kind::Whole => json!({ "type": "integer", "minimum": 0, "maximum": u32::MAX }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Quantity => json!({ "type": "string", "minLength": 1 }),
        Kind::QuantityOrNothing => json!({ "type": "string" }),
        Kind::Accuracy => json!({ "type": "string", "minLength": 1 }),
        Kind::Designation => json!({ "type": "string", "pattern": "^[A-Z]+[0-9]+$" }),
        Kind::Terminal => json!({ "type": "string", "pattern": "^[A-Z]+[0-9]+:[^\\s:]+$" }),
        Kind::Moment => {
            json!({ "type": "string", "pattern": "^([0-9]+-[0-9]+-[0-9]+)?[ T]?([0-9]+:[0-9]+(:[0-9]+)?)?$" })
        }
        Kind::Words(words) => json!({ "enum": words() }),
        Kind::List(of) => json!({ "type": "array", "items": kind(*of) }),
        Kind::Pair(of) => {
            json!({ "type": "array", "items": kind(*of), "minItems": 2, "maxItems": 2 })
        }
        Kind::Positions => {
            json!({ "type": "object", "additionalProperties": { "type": "string", "minLength": 1 } })
        }
        Kind::Table(of) => table(of),
        Kind::Tables(of) => json!({ "type": "array", "items": table(of) }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;
    use toml::de::DeTable;

    /// What in `value` the schema forbids, by the keywords this schema uses (JSON Schema 2020-12, Core and Validation); patterns apart.
    fn against(schema: &Value, value: &Value, at: &str, out: &mut Vec<String>) {
        let kinds = [
            ("object", value.is_object()),
            ("array", value.is_array()),
            ("string", value.is_string()),
        ];
        let kinds = [
            &kinds[..],
            &[("boolean", value.is_boolean()), ("integer", value.is_u64())],
        ]
        .concat();
        if let Some(kind) = schema.get("type").and_then(Value::as_str)
            && !kinds.contains(&(kind, true))
        {
            out.push(format!("{at}: no {kind}"));
        }
        let listed = schema.get("enum").and_then(Value::as_array);
        if listed.is_some_and(|l| !l.contains(value))
            || schema.get("const").is_some_and(|c| c != value)
        {
            out.push(format!("{at}: {value} is not allowed"));
        }
        let bound = |key: &str| schema.get(key).and_then(Value::as_u64);
        let length = value.as_array().map_or(2, Vec::len) as u64;
        if bound("minItems").is_some_and(|n| length < n)
            || bound("maxItems").is_some_and(|n| length > n)
        {
            out.push(format!("{at}: {length} items"));
        }
        for (i, item) in value.as_array().into_iter().flatten().enumerate() {
            against(&schema["items"], item, &format!("{at}[{i}]"), out);
        }
        for required in schema
            .get("required")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            if value.get(required.as_str().unwrap()).is_none() {
                out.push(format!("{at}: without {required}"));
            }
        }
        for (key, inner) in value.as_object().into_iter().flatten() {
            let other = &schema["additionalProperties"];
            match schema["properties"].get(key) {
                Some(property) => against(property, inner, &format!("{at}.{key}"), out),
                None if other.is_object() => against(other, inner, &format!("{at}.{key}"), out),
                None => out.push(format!("{at}.{key}: unknown")),
            }
        }
    }

    fn problems(text: &str) -> Vec<String> {
        let tree = DeTable::parse(text).unwrap().into_inner();
        let mut out = Vec::new();
        against(
            &serde_json::from_str(&schema()).unwrap(),
            &as_json(&DeValue::Table(tree)),
            "",
            &mut out,
        );
        out
    }

    #[test]
    fn every_example_fits_the_schema() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let examples = std::fs::read_dir(root.join("../../examples"))
            .unwrap()
            .map(|e| e.unwrap().path());
        let sheets = examples.filter(|p| p.extension().is_some_and(|e| e == "toml"));
        for path in sheets.chain([root.join("tests/whole.toml")]) {
            let text = std::fs::read_to_string(&path).unwrap();
            assert_eq!(problems(&text), Vec::<String>::new(), "{}", path.display());
        }
    }

    #[test]
    fn the_schema_refuses_what_the_sheet_refuses() {
        assert_eq!(
            problems("sheet = 2\n[find]\nnmae = \"x\"\n").len(),
            3,
            "version, name missing, nmae unknown"
        );
        assert_eq!(problems("sheet = 1\n[find]\nname = \"x\"\n[[join]]\nterminals = \"T1:1\"\nstate = \"told\"\n").len(), 2);
    }

    #[test]
    fn every_example_of_a_key_fits_its_own_schema() {
        fn walk(table: &Table) {
            for key in table.keys {
                match key.kind {
                    Kind::Table(inner) | Kind::Tables(inner) => walk(inner),
                    kind_of => {
                        let example = DeValue::parse(key.example).unwrap();
                        let mut out = Vec::new();
                        against(
                            &kind(kind_of),
                            &as_json(example.get_ref()),
                            key.name,
                            &mut out,
                        );
                        assert_eq!(out, Vec::<String>::new());
                    }
                }
            }
        }
        walk(&SHEET);
    }

    /// Rows of `docs/sheet.md`: under the heading of its table stands every key with its example and its words.
    #[test]
    fn the_documentation_tells_every_key() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/sheet.md");
        let text = std::fs::read_to_string(path).unwrap();
        let mut wanted = String::new();
        fn walk(table: &Table, text: &str, wanted: &mut String) {
            let heading = format!("\n## `{}`", table.heading);
            let section = text
                .split_once(&heading)
                .map_or("", |(_, rest)| rest.split("\n## ").next().unwrap());
            for key in table.keys {
                let needed = if key.required { "yes" } else { "" };
                let row = match key.kind {
                    Kind::Table(inner) | Kind::Tables(inner) => {
                        walk(inner, text, wanted);
                        continue;
                    }
                    _ => format!(
                        "| `{}` | `{}` | {needed} | {} |",
                        key.name, key.example, key.words
                    ),
                };
                if !section.contains(&row) {
                    *wanted += &format!("under {heading}: {row}\n");
                }
            }
        }
        walk(&SHEET, &text, &mut wanted);
        assert!(wanted.is_empty(), "docs/sheet.md lacks\n{wanted}");
    }
}
