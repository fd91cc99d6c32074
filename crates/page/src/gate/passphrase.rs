//! The passphrase: hashed with argon2id, so that whoever steals the file still has to guess, slowly.

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};

/// Fewest letters: three short words, or ten letters by chance. Our choice; the growing delay does the rest.
const FEWEST: usize = 10;
/// Most bytes: hashing is not to be made long by a long text.
pub(crate) const LONGEST: usize = 512;

/// The hash of a passphrase with a salt of its own, in the usual written form (`$argon2id$...`, the library's default costs).
/// # Errors
/// In words, when it is too short or too long or the system gives no chance.
pub(crate) fn hashed(words: &str) -> Result<String, String> {
    if words.chars().count() < FEWEST {
        return Err(format!(
            "a passphrase has at least {FEWEST} letters; three or four words that do not belong together are good"
        ));
    }
    if words.len() > LONGEST {
        return Err(format!("a passphrase has at most {LONGEST} bytes"));
    }
    let salt = SaltString::encode_b64(&super::chance::<16>()?).map_err(|why| why.to_string())?;
    Argon2::default()
        .hash_password(words.as_bytes(), &salt)
        .map(|hash| hash.to_string())
        .map_err(|why| why.to_string())
}

/// Whether the hash is that of these words; `false` for a hash that cannot be read. Takes tens of milliseconds and 19 MiB, on purpose.
pub(crate) fn matches(hash: &str, words: &str) -> bool {
    words.len() <= LONGEST
        && PasswordHash::new(hash).is_ok_and(|hash| {
            Argon2::default()
                .verify_password(words.as_bytes(), &hash)
                .is_ok()
        })
}
