//! How each type of the format is read on the fast path, and how it is described.

use crate::describe::{Bounds, Type};
use crate::number::Hundredths;
use crate::owner::Owner;
use crate::reader::{Reader, Stop};
use crate::rows::{InTable, Span, Str};
use crate::teeth::Tooth;
use crate::time::{Date, Instant};
use crate::values::Values;

/// A type that can be the value of a field.
pub trait Kind: Sized {
    /// Its form in rows, on the fast path.
    type Row: Copy + Default + std::fmt::Debug;
    /// Its description, with its own bounds.
    const TYPE: Type;
    /// The bounds of a field that gives none.
    const BOUNDS: Bounds;
    /// Reads one value, or stops.
    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<Self::Row, Stop>;
    /// Writes one value so that equal values give equal bytes, whatever their spelling.
    fn write(row: &Self::Row, values: &mut Values<'_>);
    /// The owned value, copied out of the tables and bytes to which its row points.
    fn own(row: &Self::Row, owner: &Owner<'_>) -> Self;
    /// Whether [`Kind::word`] holds the whole value, so that an object needs nothing more.
    const IS_WORD: bool = false;
    /// The value in 32 bits, if it fits.
    #[inline]
    fn word(_: &Self::Row) -> u32 {
        0
    }
}

/// The value of a kind as one word.
macro_rules! as_word {
    (|$row:ident| $word:expr) => {
        const IS_WORD: bool = true;

        #[inline]
        fn word($row: &Self::Row) -> u32 {
            $word
        }

        #[inline]
        fn write(row: &Self::Row, values: &mut $crate::values::Values<'_>) {
            values.words(&[Self::word(row).to_le_bytes()]);
        }
    };
}
pub(crate) use as_word;

/// A kind whose row is the value itself.
macro_rules! as_itself {
    () => {
        #[inline]
        fn own(row: &Self, _: &$crate::owner::Owner<'_>) -> Self {
            *row
        }
    };
}
pub(crate) use as_itself;

/// Reads the words of a vocabulary.
macro_rules! word_kind {
    ($name:ident) => {
        impl $crate::kinds::Kind for $name {
            type Row = Self;
            const TYPE: $crate::describe::Type =
                $crate::describe::Type::Word(&<Self as $crate::words::Words>::VOCABULARY);
            const BOUNDS: $crate::describe::Bounds = $crate::describe::Bounds::new(0, 0);

            #[inline]
            fn read(
                reader: &mut $crate::reader::Reader<'_>,
                _: $crate::describe::Bounds,
            ) -> Result<Self, $crate::reader::Stop> {
                reader.skip_space();
                <Self as $crate::words::Words>::read_word(reader).ok_or($crate::reader::Stop)
            }

            $crate::kinds::as_word!(|row| *row as u32);
            $crate::kinds::as_itself!();
        }
    };
}
pub(crate) use word_kind;

impl<T: InTable> Kind for Vec<T> {
    type Row = Span<T>;
    const TYPE: Type = Type::List(&T::TYPE, Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(0, 100_000);

    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<Span<T>, Stop> {
        let start = T::table(reader.tables).len();
        if reader.open_list()? {
            loop {
                let row = T::read(reader, T::BOUNDS)?;
                T::table_mut(reader.tables).push(row);
                if !reader.more_entries()? {
                    break;
                }
            }
        }
        let span = Span::new(start, T::table(reader.tables).len());
        if bounds.hold(span.len() as i64) { Ok(span) } else { Err(Stop) }
    }

    fn write(row: &Span<T>, values: &mut Values<'_>) {
        values.words(&[(row.len() as u32).to_le_bytes()]);
        for entry in values.entries(*row) {
            T::write(entry, values);
        }
    }

    fn own(row: &Span<T>, owner: &Owner<'_>) -> Self {
        owner.entries(*row).iter().map(|entry| T::own(entry, owner)).collect()
    }
}

impl<T: Kind> Kind for [T; 2]
where
    Self: Default,
{
    type Row = [T::Row; 2];
    const TYPE: Type = Type::List(&T::TYPE, Bounds::new(2, 2));
    const BOUNDS: Bounds = Bounds::new(2, 2);

    fn read(reader: &mut Reader<'_>, _: Bounds) -> Result<Self::Row, Stop> {
        reader.open_list()?;
        let first = T::read(reader, T::BOUNDS)?;
        reader.more_entries()?;
        let second = T::read(reader, T::BOUNDS)?;
        if reader.more_entries()? { Err(Stop) } else { Ok([first, second]) }
    }

    fn write(row: &Self::Row, values: &mut Values<'_>) {
        for entry in row {
            T::write(entry, values);
        }
    }

    fn own([first, second]: &Self::Row, owner: &Owner<'_>) -> Self {
        [T::own(first, owner), T::own(second, owner)]
    }
}

/// More digits are left to the slow path.
const DIGITS: usize = 16;

/// The digits at the reader, as a number without sign, and how many there are.
#[inline]
fn digits(reader: &mut Reader<'_>) -> Result<(i64, usize), Stop> {
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
    if count <= DIGITS { Ok((value, count)) } else { Err(Stop) }
}

/// An integer part: no leading zero, no minus before a bare zero; gives sign and size.
#[inline]
fn integer_part(reader: &mut Reader<'_>) -> Result<(bool, i64), Stop> {
    reader.skip_space();
    let negative = reader.peek() == b'-';
    reader.advance(usize::from(negative));
    let leading_zero = reader.peek() == b'0';
    let (value, count) = digits(reader)?;
    if count == 0 || (leading_zero && count > 1) {
        return Err(Stop);
    }
    Ok((negative, value))
}

/// An integer within bounds, written without point or exponent.
#[inline]
fn whole(reader: &mut Reader<'_>, bounds: Bounds) -> Result<i64, Stop> {
    let (negative, size) = integer_part(reader)?;
    let minus_zero = negative && size == 0;
    let plain = !minus_zero && !matches!(reader.peek(), b'.' | b'e' | b'E');
    let value = if negative { -size } else { size };
    if plain && bounds.hold(value) { Ok(value) } else { Err(Stop) }
}

impl Kind for i32 {
    type Row = i32;
    const TYPE: Type = Type::Whole(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(i32::MIN as i64, i32::MAX as i64);

    #[inline]
    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<i32, Stop> {
        whole(reader, bounds).map(|value| value as i32)
    }

    as_word!(|row| *row as u32);
    as_itself!();
}

impl Kind for i64 {
    type Row = i64;
    const TYPE: Type = Type::Whole(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(-(1 << 53) + 1, (1 << 53) - 1);

    #[inline]
    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<i64, Stop> {
        whole(reader, bounds)
    }

    fn write(row: &i64, values: &mut Values<'_>) {
        values.long(*row);
    }

    as_itself!();
}

impl Kind for Hundredths {
    type Row = Hundredths;
    const TYPE: Type = Type::Hundredths(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(-2000, 2000);

    #[inline]
    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<Hundredths, Stop> {
        let (negative, size) = integer_part(reader)?;
        let mut size = size.checked_mul(100).ok_or(Stop)?;
        if reader.peek() == b'.' {
            reader.advance(1);
            size += match digits(reader)? {
                (tenths, 1) => tenths * 10,
                (hundredths, 2) => hundredths,
                _ => return Err(Stop),
            };
        }
        let minus_zero = negative && size == 0;
        let plain = !minus_zero && !matches!(reader.peek(), b'e' | b'E');
        let value = if negative { -size } else { size };
        if plain && bounds.hold(value) { Ok(Hundredths(value as i32)) } else { Err(Stop) }
    }

    as_word!(|row| row.0 as u32);
    as_itself!();
}

impl Kind for bool {
    type Row = bool;
    const TYPE: Type = Type::Truth;
    const BOUNDS: Bounds = Bounds::new(0, 0);

    fn read(reader: &mut Reader<'_>, _: Bounds) -> Result<bool, Stop> {
        if reader.literal("true") {
            Ok(true)
        } else if reader.literal("false") {
            Ok(false)
        } else {
            Err(Stop)
        }
    }

    as_word!(|row| u32::from(*row));
    as_itself!();
}

impl Kind for Tooth {
    type Row = Tooth;
    const TYPE: Type = Type::Tooth;
    const BOUNDS: Bounds = Bounds::new(11, 85);

    #[inline]
    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<Tooth, Stop> {
        Tooth::new(whole(reader, bounds)? as u8).ok_or(Stop)
    }

    as_word!(|row| u32::from(row.fdi()));
    as_itself!();
}

impl Kind for Date {
    type Row = Date;
    const TYPE: Type = Type::Date;
    const BOUNDS: Bounds = Bounds::new(0, 0);

    #[inline]
    fn read(reader: &mut Reader<'_>, _: Bounds) -> Result<Date, Stop> {
        reader.date()
    }

    as_word!(|row| row.0 as u32);
    as_itself!();
}

impl Kind for Instant {
    type Row = Instant;
    const TYPE: Type = Type::Instant;
    const BOUNDS: Bounds = Bounds::new(0, 0);

    fn read(reader: &mut Reader<'_>, _: Bounds) -> Result<Instant, Stop> {
        Instant::parse(reader.plain()?).ok_or(Stop)
    }

    /// The moment alone; the offset is only notation.
    fn write(row: &Instant, values: &mut Values<'_>) {
        values.long(row.seconds);
        values.words(&[row.nanoseconds.to_le_bytes()]);
    }

    as_itself!();
}

impl Kind for String {
    type Row = Str;
    const TYPE: Type = Type::Text(Self::BOUNDS);
    const BOUNDS: Bounds = Bounds::new(0, 2000);

    fn read(reader: &mut Reader<'_>, bounds: Bounds) -> Result<Str, Stop> {
        let (place, characters) = reader.text()?;
        if bounds.hold(characters as i64) { Ok(place) } else { Err(Stop) }
    }

    fn write(row: &Str, values: &mut Values<'_>) {
        values.text(*row);
    }

    fn own(row: &Str, owner: &Owner<'_>) -> Self {
        owner.text(*row)
    }
}
