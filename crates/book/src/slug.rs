//! A find's word in addresses, made once from its name.

use rusqlite::Connection;

/// Longest word of an address.
const LONGEST_SLUG: usize = 60;

/// A word for addresses made of a name: small letters, figures, dashes.
fn slug_of(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        match c {
            'ä' | 'à' | 'á' | 'â' | 'å' => out.push('a'),
            'ö' | 'ó' | 'ô' | 'ø' => out.push('o'),
            'ü' | 'ú' | 'û' => out.push('u'),
            'é' | 'è' | 'ê' | 'ë' => out.push('e'),
            'ß' => out.push_str("ss"),
            c if c.is_ascii_alphanumeric() => out.push(c),
            _ if !out.ends_with('-') && !out.is_empty() => out.push('-'),
            _ => {}
        }
        if out.len() >= LONGEST_SLUG {
            break;
        }
    }
    let out = out.trim_matches('-');
    if out.is_empty() {
        "find".to_owned()
    } else {
        out.to_owned()
    }
}

pub(crate) fn free_slug(connection: &Connection, wish: &str) -> rusqlite::Result<String> {
    let wish = slug_of(wish);
    let mut taken = connection.prepare_cached("SELECT 1 FROM finds WHERE slug = ?1")?;
    let mut candidate = wish.clone();
    let mut count = 1u64;
    while taken.exists([&candidate])? {
        count += 1;
        candidate = format!("{wish}-{count}");
    }
    Ok(candidate)
}
