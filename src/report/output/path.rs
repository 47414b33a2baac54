//! Names of files as other programs expect them.

/// The file with slashes and without `./` before it.
pub(super) fn slashed(file: &str) -> String {
    let file = if cfg!(windows) { file.replace('\\', "/") } else { file.to_owned() };
    let mut rest = file.as_str();
    while let Some(shorter) = rest.strip_prefix("./") {
        rest = shorter.trim_start_matches('/');
    }
    // The working folder itself keeps a name.
    if rest.is_empty() { ".".to_owned() } else { rest.to_owned() }
}

/// The file as a URI reference (RFC 3986): relative if its name is relative, otherwise with the scheme `file`.
pub(super) fn uri(file: &str) -> String {
    let file = slashed(file);
    let has_drive = cfg!(windows) && file.as_bytes().get(1) == Some(&b':');
    let (drive, path) = file.split_at(if has_drive { 2 } else { 0 });
    match (has_drive, path.starts_with('/')) {
        (true, _) => format!("file:///{drive}{}", encoded(path)),
        (false, true) => format!("file://{}", encoded(path)),
        (false, false) => encoded(path),
    }
}

/// Every byte percent-encoded except slashes and the unreserved characters (RFC 3986, section 2.3).
fn encoded(path: &str) -> String {
    let mut uri = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            uri.push(byte as char);
        } else {
            uri.push('%');
            let digits = [byte >> 4, byte & 15];
            uri.extend(
                digits
                    .iter()
                    .filter_map(|digit| char::from_digit(u32::from(*digit), 16))
                    .map(|digit| digit.to_ascii_uppercase()),
            );
        }
    }
    uri
}
