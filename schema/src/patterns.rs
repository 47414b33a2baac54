//! The texts with a fixed pattern: identifiers, names of time zones, keys of `extensions`.

/// The shape of an identifier, as an ECMA-262 regular expression.
pub const ID_PATTERN: &str = "^[A-Za-z0-9][A-Za-z0-9._:-]{0,63}$";

/// The shape of a time zone's name, as an ECMA-262 regular expression.
pub const TIME_ZONE_PATTERN: &str = "^[A-Z][A-Za-z0-9_+-]{1,31}(/[A-Z][A-Za-z0-9_+-]{1,31}){0,2}$";

/// The shape of a key of `extensions`, as an ECMA-262 regular expression.
pub const EXTENSION_PATTERN: &str = "^[a-z][a-z0-9-]{0,62}(\\.[a-z0-9][a-z0-9-]{0,62}){1,7}$";

/// Whether `text` is an identifier.
pub(crate) fn is_id(text: &[u8]) -> bool {
    let inside = |byte: &u8| byte.is_ascii_alphanumeric() || b"._:-".contains(byte);
    (1..=64).contains(&text.len()) && text[0].is_ascii_alphanumeric() && text.iter().all(inside)
}

/// Whether `text` has the pattern of the name of a time zone.
pub(crate) fn is_time_zone(text: &[u8]) -> bool {
    let mut parts = 0;
    let all_fit = text.split(|byte| *byte == b'/').all(|part| {
        parts += 1;
        is_zone_part(part)
    });
    all_fit && parts <= 3
}

fn is_zone_part(part: &[u8]) -> bool {
    let inside = |byte: &u8| byte.is_ascii_alphanumeric() || b"_+-".contains(byte);
    (2..=32).contains(&part.len()) && part[0].is_ascii_uppercase() && part.iter().all(inside)
}

/// Whether `key` is a reverse domain name, as the keys of `extensions` are.
pub fn is_reverse_domain(key: &[u8]) -> bool {
    let mut labels = 0;
    let inside = |byte: &u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || *byte == b'-';
    let all_fit = key.split(|byte| *byte == b'.').all(|label| {
        labels += 1;
        (1..=63).contains(&label.len()) && label[0] != b'-' && label.iter().all(inside)
    });
    all_fit && (2..=8).contains(&labels) && key[0].is_ascii_lowercase()
}
