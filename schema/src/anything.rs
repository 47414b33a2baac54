//! Skips JSON that the format does not describe: the values in `extensions`.

use crate::patterns::is_reverse_domain;
use crate::reader::{Fallback, RecordReader};
use crate::spans::Str;

/// Deeper than this is left to the slow path.
const DEPTH: u32 = 24;
/// An object with more members than this is left to the slow path.
const MEMBERS: usize = 32;

/// Reads past an `extensions` object; gives the place of its text. What the slow path wrote is taken as it is.
pub(crate) fn extensions(reader: &mut RecordReader<'_>) -> Result<Str, Fallback> {
    reader.skip_space();
    let start = reader.position();
    if reader.is_partial() {
        any_object(reader)?;
    } else {
        object(reader, DEPTH, is_reverse_domain)?;
    }
    Ok(Str { start: start as u32, len: (reader.position() - start) as u32 })
}

/// Skips an object that is known to be valid JSON, by its brackets and quotes alone.
fn any_object(reader: &mut RecordReader<'_>) -> Result<(), Fallback> {
    let mut depth = 0u32;
    let mut quoted = false;
    let mut bytes = reader.rest().iter().enumerate();
    while let Some((at, byte)) = bytes.next() {
        match byte {
            b'\\' if quoted => drop(bytes.next()),
            b'"' => quoted = !quoted,
            b'{' | b'[' if !quoted => depth += 1,
            b'}' | b']' if !quoted => depth = depth.checked_sub(1).ok_or(Fallback)?,
            _ => {}
        }
        if depth == 0 {
            reader.advance(at + 1);
            return if *byte == b'}' { Ok(()) } else { Err(Fallback) };
        }
    }
    Err(Fallback)
}

fn object(reader: &mut RecordReader<'_>, depth: u32, fits: fn(&[u8]) -> bool) -> Result<(), Fallback> {
    let mut names = [&[][..]; MEMBERS];
    let mut count = 0;
    if !reader.enter(b'{', b'}')? {
        return Ok(());
    }
    loop {
        let name = reader.plain()?;
        if count == MEMBERS || !fits(name) || names[..count].contains(&name) {
            return Err(Fallback);
        }
        names[count] = name;
        count += 1;
        reader.colon()?;
        value(reader, depth - 1)?;
        if !reader.more_members()? {
            return Ok(());
        }
    }
}

fn list(reader: &mut RecordReader<'_>, depth: u32) -> Result<(), Fallback> {
    if !reader.enter(b'[', b']')? {
        return Ok(());
    }
    loop {
        value(reader, depth - 1)?;
        if !reader.more_entries()? {
            return Ok(());
        }
    }
}

fn value(reader: &mut RecordReader<'_>, depth: u32) -> Result<(), Fallback> {
    reader.skip_space();
    match reader.peek() {
        _ if depth == 0 => Err(Fallback),
        b'{' => object(reader, depth, <[u8]>::is_ascii),
        b'[' => list(reader, depth),
        b'"' => reader.text().map(drop),
        b't' | b'f' | b'n' => {
            let known = ["true", "false", "null"].iter().any(|word| reader.literal(word));
            if known { Ok(()) } else { Err(Fallback) }
        }
        _ => number(reader),
    }
}

/// A number of at most 15 digits without exponent, which a double always holds; others are left to the slow path.
fn number(reader: &mut RecordReader<'_>) -> Result<(), Fallback> {
    reader.advance(usize::from(reader.peek() == b'-'));
    let leading_zero = reader.peek() == b'0';
    let whole = digits(reader);
    if whole == 0 || (leading_zero && whole > 1) {
        return Err(Fallback);
    }
    let mut places = 0;
    if reader.peek() == b'.' {
        reader.advance(1);
        places = digits(reader);
        if places == 0 {
            return Err(Fallback);
        }
    }
    let plain = whole + places <= 15 && !matches!(reader.peek(), b'e' | b'E');
    if plain { Ok(()) } else { Err(Fallback) }
}

fn digits(reader: &mut RecordReader<'_>) -> usize {
    let count = reader.rest().iter().take_while(|byte| byte.is_ascii_digit()).count();
    reader.advance(count);
    count
}
