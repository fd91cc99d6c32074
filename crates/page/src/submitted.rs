//! What came in a form: fields by name, as typed, and what was wrong with them, field by field.

/// Fields of a form or query, as they came.
#[derive(Debug, Clone, Default)]
pub(crate) struct Submitted(pub(crate) Vec<(String, String)>);

impl Submitted {
    /// The field's text without the white space around it; empty when it did not come.
    pub(crate) fn get(&self, field: &str) -> &str {
        self.0
            .iter()
            .find(|(name, _)| name == field)
            .map_or("", |(_, value)| value.trim())
    }

    /// The field's text, or `None` when it is empty or did not come.
    pub(crate) fn given(&self, field: &str) -> Option<&str> {
        Some(self.get(field)).filter(|text| !text.is_empty())
    }

    /// The texts of a field that may come more than once, the empty ones left out.
    pub(crate) fn each<'a>(&'a self, field: &'a str) -> impl Iterator<Item = &'a str> {
        let named = self.0.iter().filter(move |(name, _)| name == field);
        named
            .map(|(_, value)| value.trim())
            .filter(|v| !v.is_empty())
    }

    /// Whether the field came at all: an empty field the owner emptied is not one that was never there.
    pub(crate) fn has(&self, field: &str) -> bool {
        self.0.iter().any(|(name, _)| name == field)
    }

    /// Sets a field.
    pub(crate) fn set(&mut self, field: &str, value: impl Into<String>) {
        self.0.retain(|(name, _)| name != field);
        self.0.push((field.to_owned(), value.into()));
    }

    /// The fields as an address has them behind its `?` (RFC 3986: all but the unreserved letters escaped byte by byte).
    pub(crate) fn query(&self) -> String {
        let escaped = |text: &str| -> String {
            let letter = |byte: u8| match byte {
                b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                    char::from(byte).to_string()
                }
                _ => format!("%{byte:02X}"),
            };
            text.bytes().map(letter).collect()
        };
        let fields = self.0.iter();
        let fields = fields.map(|(name, value)| format!("{}={}", escaped(name), escaped(value)));
        fields.collect::<Vec<_>>().join("&")
    }
}

/// Messages by field: shown beside the field they belong to.
#[derive(Debug, Clone, Default)]
pub(crate) struct Errors(Vec<(String, String)>);

impl Errors {
    /// Notes what is wrong with a field.
    pub(crate) fn add(&mut self, field: &str, message: impl Into<String>) {
        self.0.push((field.to_owned(), message.into()));
    }

    /// The first message of a field.
    pub(crate) fn of(&self, field: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(name, _)| name == field)
            .map(|(_, message)| message.as_str())
    }

    /// Whether nothing is wrong.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All of them, in the order they were noted.
    pub(crate) fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0
            .iter()
            .map(|(field, message)| (field.as_str(), message.as_str()))
    }

    /// The result as it is if it is good; else its message is noted and `None` given.
    pub(crate) fn keep<T, E: std::fmt::Display>(
        &mut self,
        field: &str,
        result: Result<T, E>,
    ) -> Option<T> {
        result
            .map_err(|error| self.add(field, error.to_string()))
            .ok()
    }
}
