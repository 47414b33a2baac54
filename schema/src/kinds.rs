//! How each type of the format is described, read on the fast path, and held in a row.

use std::fmt::Debug;

use crate::describe::{Bounds, Type};
use crate::number::Hundredths;
use crate::reader::{Fallback, RecordReader};
use crate::spans::{Span, Str};
use crate::teeth::Tooth;
use crate::time::{Date, Instant};
use crate::value_bytes::{ValueBytes, unescaped};
use crate::words::Words;

/// A type that can be the value of a field.
pub trait FieldKind: Sized {
    /// What the fast path holds of it.
    type Row: Copy + Debug;
    /// Its description, with its own bounds.
    const TYPE: Type;
    /// The bounds that apply where a field gives none.
    const BOUNDS: Bounds;
    /// What a row holds until the value is read.
    const BLANK: Self::Row;
    /// Whether [`FieldKind::word`] gives the whole value, so that an object needs no more of it.
    const IS_WORD: bool = false;

    /// The value in 32 bits, if it fits.
    #[inline]
    fn word(_: &Self::Row) -> u32 {
        0
    }
}

/// A kind whose values can be read into tables of type `T`, and out of them.
pub trait Stored<T>: FieldKind {
    /// Reads one value, or stops.
    fn read(reader: &mut RecordReader<'_>, tables: &mut T, bounds: Bounds) -> Result<Self::Row, Fallback>;
    /// Writes one value so that equal values give equal bytes, whatever their spelling.
    fn write(row: &Self::Row, tables: &T, values: &mut ValueBytes<'_>);
    /// The value by itself, out of the tables and the bytes of the record that its row points to.
    fn own(row: &Self::Row, tables: &T, bytes: &[u8]) -> Self;
}

/// Tables with one for the entries of lists of `K`.
pub trait TableOf<K: FieldKind> {
    /// The entries of all lists.
    fn rows(&self) -> &Vec<K::Row>;
    /// The same table, to be filled.
    fn rows_mut(&mut self) -> &mut Vec<K::Row>;
}

/// A kind whose row is the value itself and fits into one word.
pub(crate) trait OneWord: Copy + Debug {
    const TYPE: Type;
    const BOUNDS: Bounds;
    const BLANK: Self;
    fn read(reader: &mut RecordReader<'_>, bounds: Bounds) -> Result<Self, Fallback>;
    fn bits(self) -> u32;
}

impl<W: OneWord> FieldKind for W {
    type Row = W;
    const TYPE: Type = <W as OneWord>::TYPE;
    const BOUNDS: Bounds = <W as OneWord>::BOUNDS;
    const BLANK: W = <W as OneWord>::BLANK;
    const IS_WORD: bool = true;

    #[inline]
    fn word(row: &W) -> u32 {
        row.bits()
    }
}

impl<T, W: OneWord> Stored<T> for W {
    #[inline]
    fn read(reader: &mut RecordReader<'_>, _: &mut T, bounds: Bounds) -> Result<W, Fallback> {
        <W as OneWord>::read(reader, bounds)
    }

    #[inline]
    fn write(row: &W, _: &T, values: &mut ValueBytes<'_>) {
        values.words(&[row.bits().to_le_bytes()]);
    }

    #[inline]
    fn own(row: &W, _: &T, _: &[u8]) -> W {
        *row
    }
}

impl<W: Words> OneWord for W {
    const TYPE: Type = Type::Word(&W::VOCABULARY);
    const BOUNDS: Bounds = Bounds::new(0, 0);
    const BLANK: W = W::BLANK;

    #[inline]
    fn read(reader: &mut RecordReader<'_>, _: Bounds) -> Result<W, Fallback> {
        reader.skip_space();
        W::read_word(reader).ok_or(Fallback)
    }

    #[inline]
    fn bits(self) -> u32 {
        self.index()
    }
}

impl<K: FieldKind> FieldKind for Vec<K> {
    type Row = Span<K>;
    const TYPE: Type = Type::List(&K::TYPE, Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(0, 100_000);
    const BLANK: Span<K> = Span::NONE;
}

impl<T: TableOf<K>, K: Stored<T>> Stored<T> for Vec<K> {
    fn read(reader: &mut RecordReader<'_>, tables: &mut T, bounds: Bounds) -> Result<Span<K>, Fallback> {
        let start = tables.rows().len();
        if reader.open_list()? {
            loop {
                let row = K::read(reader, tables, K::BOUNDS)?;
                tables.rows_mut().push(row);
                if !reader.more_entries()? {
                    break;
                }
            }
        }
        let span = Span::new(start, tables.rows().len());
        if bounds.hold(span.len() as i64) { Ok(span) } else { Err(Fallback) }
    }

    fn write(row: &Span<K>, tables: &T, values: &mut ValueBytes<'_>) {
        values.words(&[(row.len() as u32).to_le_bytes()]);
        for entry in entries(*row, tables) {
            K::write(entry, tables, values);
        }
    }

    fn own(row: &Span<K>, tables: &T, bytes: &[u8]) -> Self {
        entries(*row, tables).iter().map(|entry| K::own(entry, tables, bytes)).collect()
    }
}

/// The entries of a list.
fn entries<K: FieldKind>(span: Span<K>, tables: &impl TableOf<K>) -> &[K::Row] {
    tables.rows().get(span.range()).unwrap_or_default()
}

impl<K: FieldKind> FieldKind for [K; 2] {
    type Row = [K::Row; 2];
    const TYPE: Type = Type::List(&K::TYPE, Bounds::new(2, 2));
    const BOUNDS: Bounds = Bounds::new(2, 2);
    const BLANK: Self::Row = [K::BLANK; 2];
}

impl<T, K: Stored<T>> Stored<T> for [K; 2] {
    fn read(reader: &mut RecordReader<'_>, tables: &mut T, _: Bounds) -> Result<Self::Row, Fallback> {
        reader.open_list()?;
        let first = K::read(reader, tables, K::BOUNDS)?;
        reader.more_entries()?;
        let second = K::read(reader, tables, K::BOUNDS)?;
        if reader.more_entries()? { Err(Fallback) } else { Ok([first, second]) }
    }

    fn write(row: &Self::Row, tables: &T, values: &mut ValueBytes<'_>) {
        for entry in row {
            K::write(entry, tables, values);
        }
    }

    fn own([first, second]: &Self::Row, tables: &T, bytes: &[u8]) -> Self {
        [K::own(first, tables, bytes), K::own(second, tables, bytes)]
    }
}

/// More digits than this are left to the slow path.
const DIGITS: usize = 16;

/// The digits at the reader, as a number without sign, and how many there are.
#[inline]
fn digits(reader: &mut RecordReader<'_>) -> Result<(i64, usize), Fallback> {
    let (mut value, mut count) = (0i64, 0);
    for byte in reader.rest() {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        value = value.wrapping_mul(10).wrapping_add(i64::from(digit));
        count += 1;
    }
    reader.advance(count);
    if count <= DIGITS { Ok((value, count)) } else { Err(Fallback) }
}

/// An integer part: no leading zero, no minus before a bare zero; gives sign and size.
#[inline]
fn integer_part(reader: &mut RecordReader<'_>) -> Result<(bool, i64), Fallback> {
    reader.skip_space();
    let negative = reader.peek() == b'-';
    reader.advance(usize::from(negative));
    let leading_zero = reader.peek() == b'0';
    let (value, count) = digits(reader)?;
    if count == 0 || (leading_zero && count > 1) {
        return Err(Fallback);
    }
    Ok((negative, value))
}

/// An integer within bounds, written without point or exponent.
#[inline]
fn whole(reader: &mut RecordReader<'_>, bounds: Bounds) -> Result<i64, Fallback> {
    let (negative, size) = integer_part(reader)?;
    let minus_zero = negative && size == 0;
    let plain = !minus_zero && !matches!(reader.peek(), b'.' | b'e' | b'E');
    let value = if negative { -size } else { size };
    if plain && bounds.hold(value) { Ok(value) } else { Err(Fallback) }
}

impl OneWord for i32 {
    const TYPE: Type = Type::Whole(<Self as OneWord>::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(i32::MIN as i64, i32::MAX as i64);
    const BLANK: i32 = 0;

    #[inline]
    fn read(reader: &mut RecordReader<'_>, bounds: Bounds) -> Result<i32, Fallback> {
        whole(reader, bounds).map(|value| value as i32)
    }

    #[inline]
    fn bits(self) -> u32 {
        self as u32
    }
}

impl FieldKind for i64 {
    type Row = i64;
    const TYPE: Type = Type::Whole(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(-(1 << 53) + 1, (1 << 53) - 1);
    const BLANK: i64 = 0;
}

impl<T> Stored<T> for i64 {
    #[inline]
    fn read(reader: &mut RecordReader<'_>, _: &mut T, bounds: Bounds) -> Result<i64, Fallback> {
        whole(reader, bounds)
    }

    fn write(row: &i64, _: &T, values: &mut ValueBytes<'_>) {
        values.long(*row);
    }

    #[inline]
    fn own(row: &Self, _: &T, _: &[u8]) -> Self {
        *row
    }
}

impl OneWord for Hundredths {
    const TYPE: Type = Type::Hundredths(<Self as OneWord>::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(-2000, 2000);
    const BLANK: Self = Self(0);

    #[inline]
    fn read(reader: &mut RecordReader<'_>, bounds: Bounds) -> Result<Hundredths, Fallback> {
        let (negative, size) = integer_part(reader)?;
        let mut size = size.checked_mul(100).ok_or(Fallback)?;
        if reader.peek() == b'.' {
            reader.advance(1);
            size += match digits(reader)? {
                (tenths, 1) => tenths * 10,
                (hundredths, 2) => hundredths,
                _ => return Err(Fallback),
            };
        }
        let minus_zero = negative && size == 0;
        let plain = !minus_zero && !matches!(reader.peek(), b'e' | b'E');
        let value = if negative { -size } else { size };
        if plain && bounds.hold(value) { Ok(Hundredths(value as i32)) } else { Err(Fallback) }
    }

    #[inline]
    fn bits(self) -> u32 {
        self.0 as u32
    }
}

impl OneWord for bool {
    const TYPE: Type = Type::Truth;
    const BOUNDS: Bounds = Bounds::new(0, 0);
    const BLANK: bool = false;

    fn read(reader: &mut RecordReader<'_>, _: Bounds) -> Result<bool, Fallback> {
        if reader.literal("true") {
            Ok(true)
        } else if reader.literal("false") {
            Ok(false)
        } else {
            Err(Fallback)
        }
    }

    #[inline]
    fn bits(self) -> u32 {
        u32::from(self)
    }
}

impl OneWord for Tooth {
    const TYPE: Type = Type::Tooth;
    const BOUNDS: Bounds = Bounds::new(11, 85);
    const BLANK: Self = Self::FIRST;

    #[inline]
    fn read(reader: &mut RecordReader<'_>, bounds: Bounds) -> Result<Tooth, Fallback> {
        Tooth::new(whole(reader, bounds)? as u8).ok_or(Fallback)
    }

    #[inline]
    fn bits(self) -> u32 {
        u32::from(self.fdi())
    }
}

impl OneWord for Date {
    const TYPE: Type = Type::Date;
    const BOUNDS: Bounds = Bounds::new(0, 0);
    const BLANK: Self = Self(0);

    #[inline]
    fn read(reader: &mut RecordReader<'_>, _: Bounds) -> Result<Date, Fallback> {
        reader.date()
    }

    #[inline]
    fn bits(self) -> u32 {
        self.0 as u32
    }
}

impl FieldKind for Instant {
    type Row = Instant;
    const TYPE: Type = Type::Instant;
    const BOUNDS: Bounds = Bounds::new(0, 0);
    const BLANK: Self = Self { seconds: 0, nanoseconds: 0, offset_minutes: 0 };
}

impl<T> Stored<T> for Instant {
    fn read(reader: &mut RecordReader<'_>, _: &mut T, _: Bounds) -> Result<Instant, Fallback> {
        Instant::parse(reader.plain()?).ok_or(Fallback)
    }

    /// The moment alone; the offset is only notation.
    fn write(row: &Instant, _: &T, values: &mut ValueBytes<'_>) {
        values.long(row.seconds);
        values.words(&[row.nanoseconds.to_le_bytes()]);
    }

    #[inline]
    fn own(row: &Self, _: &T, _: &[u8]) -> Self {
        *row
    }
}

impl FieldKind for String {
    type Row = Str;
    const TYPE: Type = Type::Text(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(0, 2000);
    const BLANK: Str = Str::NONE;
}

impl<T> Stored<T> for String {
    fn read(reader: &mut RecordReader<'_>, _: &mut T, bounds: Bounds) -> Result<Str, Fallback> {
        let (place, characters) = reader.text()?;
        if bounds.hold(characters as i64) { Ok(place) } else { Err(Fallback) }
    }

    fn write(row: &Str, _: &T, values: &mut ValueBytes<'_>) {
        values.text(*row);
    }

    fn own(row: &Str, _: &T, bytes: &[u8]) -> Self {
        unescaped(*row, bytes)
    }
}
