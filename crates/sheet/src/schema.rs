//! The format as a JSON Schema, draft 2020-12.

use crate::keys::{Key, Kind, SHEET, Table};
use serde_json::{Map, Value, json};

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
    }
    value
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
