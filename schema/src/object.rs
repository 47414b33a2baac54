//! The macro that generates everything about an object from one description.

/// Describes an object of the format: a name for the owned type and one for its row, then the required fields and the
/// optional ones, `name: Type [least..=most] = "example";`. Bounds are values, hundredths, characters or entries,
/// as the type has it; the example is JSON text.
///
/// From it come the owned type (serde) with its constructor and setters, the row of the fast path, the schema-directed reader
/// that fills the row, and the [`Object`](crate::describe::Object) from which schema, pages and slow path are made.
macro_rules! object {
    ($(#[doc = $doc:literal])* $name:ident, $row:ident {
        required { $($(#[doc = $rdoc:literal])* $rname:ident: $rty:ty $([$rlo:literal..=$rhi:literal])? $(= $rex:literal)?;)* }
        optional { $($(#[doc = $odoc:literal])* $oname:ident: $oty:ty $([$olo:literal..=$ohi:literal])? $(= $oex:literal)?;)* }
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug, PartialEq)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
        pub struct $name {
            $($(#[doc = $rdoc])* pub $rname: $rty,)*
            $($(#[doc = $odoc])*
            #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Option::is_none"))]
            pub $oname: Option<$oty>,)*
        }

        $crate::object::constructor!($name { $($rname: $rty,)* } { $($oname)* });

        impl $name {
            $($(#[doc = $odoc])*
            #[must_use]
            pub fn $oname(mut self, $oname: $oty) -> Self {
                self.$oname = Some($oname);
                self
            })*
        }

        #[doc(hidden)]
        #[derive(Clone, Copy, Debug)]
        pub struct $row {
            $(pub $rname: <$rty as $crate::kinds::FieldKind>::Row,)*
            $(pub $oname: Option<<$oty as $crate::kinds::FieldKind>::Row>,)*
        }

        impl $crate::describe::Described for $name {
            const OBJECT: &'static $crate::describe::Object = &$crate::describe::Object {
                name: stringify!($name),
                doc: concat!($($doc, "\n"),*),
                fields: &[
                    $($crate::describe::Field {
                        name: stringify!($rname),
                        doc: concat!($($rdoc, "\n"),*),
                        required: true,
                        ty: <$rty as $crate::kinds::FieldKind>::TYPE.within($crate::object::bounds!($rty $(, $rlo, $rhi)?)),
                        example: concat!($($rex)?),
                    },)*
                    $($crate::describe::Field {
                        name: stringify!($oname),
                        doc: concat!($($odoc, "\n"),*),
                        required: false,
                        ty: <$oty as $crate::kinds::FieldKind>::TYPE.within($crate::object::bounds!($oty $(, $olo, $ohi)?)),
                        example: concat!($($oex)?),
                    },)*
                ],
            };
        }

        const _: () = {
            #[allow(non_camel_case_types, reason = "the variants are the fields")]
            #[derive(Clone, Copy)]
            enum Member { $($rname,)* $($oname,)* }
            const KEYS: &[Member] = &[$(Member::$rname,)* $(Member::$oname,)*];
            const NAMES: &[$crate::reader::QuotedName] = &[
                $($crate::reader::QuotedName::new(concat!("\"", stringify!($rname), "\":")),)*
                $($crate::reader::QuotedName::new(concat!("\"", stringify!($oname), "\":")),)*
            ];
            const REQUIRED: u32 = 0 $(| 1 << Member::$rname as u32)*;
            const IS_RECORD: bool = matches!(stringify!($name).as_bytes(), b"Record");

            impl $row {
                /// Reads the remaining members in any order; returns all that were found.
                #[inline(never)]
                fn read_others<T>(
                    &mut self, reader: &mut $crate::reader::RecordReader<'_>, tables: &mut T, mut seen: u32,
                ) -> Result<u32, $crate::reader::Fallback>
                where
                    $($rty: $crate::kinds::Stored<T>,)*
                    $($oty: $crate::kinds::Stored<T>,)*
                {
                    let mut next = 0usize;
                    loop {
                        let index = reader.name(NAMES, next)?;
                        let bit = 1u32 << index;
                        if seen & bit != 0 {
                            return Err($crate::reader::Fallback);
                        }
                        seen |= bit;
                        next = index + 1;
                        if IS_RECORD {
                            reader.begin_section(index);
                        }
                        match KEYS[index] {
                            $(Member::$rname => self.$rname = <$rty as $crate::kinds::Stored<T>>::read(
                                reader, tables, $crate::object::bounds!($rty $(, $rlo, $rhi)?))?,)*
                            $(Member::$oname => self.$oname = Some(<$oty as $crate::kinds::Stored<T>>::read(
                                reader, tables, $crate::object::bounds!($oty $(, $olo, $ohi)?))?),)*
                        }
                        if !reader.more_members()? {
                            return Ok(seen);
                        }
                    }
                }

                /// Reads the members that are in the order of the description, then the others; returns all that were found.
                #[inline]
                fn read_members<T>(
                    &mut self, reader: &mut $crate::reader::RecordReader<'_>, tables: &mut T,
                ) -> Result<u32, $crate::reader::Fallback>
                where
                    $($rty: $crate::kinds::Stored<T>,)*
                    $($oty: $crate::kinds::Stored<T>,)*
                {
                    let mut seen = 0u32;
                    $(if reader.takes(&NAMES[Member::$rname as usize]) {
                        $crate::object::member!(reader, seen, Member::$rname, IS_RECORD);
                        self.$rname = <$rty as $crate::kinds::Stored<T>>::read(reader, tables, $crate::object::bounds!($rty $(, $rlo, $rhi)?))?;
                        if !reader.more_members()? {
                            return Ok(seen);
                        }
                    })*
                    $(if reader.takes(&NAMES[Member::$oname as usize]) {
                        $crate::object::member!(reader, seen, Member::$oname, IS_RECORD);
                        self.$oname = Some(<$oty as $crate::kinds::Stored<T>>::read(reader, tables, $crate::object::bounds!($oty $(, $olo, $ohi)?))?);
                        if !reader.more_members()? {
                            return Ok(seen);
                        }
                    })*
                    self.read_others(reader, tables, seen)
                }
            }

        impl $crate::kinds::FieldKind for $name {
            type Row = $row;
            const TYPE: $crate::describe::Type = $crate::describe::Type::Object(<Self as $crate::describe::Described>::OBJECT);
            const BOUNDS: $crate::describe::Bounds = $crate::describe::Bounds::new(0, 0);
            const BLANK: $row = $row { $($rname: <$rty as $crate::kinds::FieldKind>::BLANK,)* $($oname: None,)* };
        }

        impl<T> $crate::kinds::Stored<T> for $name
        where
            $($rty: $crate::kinds::Stored<T>,)*
            $($oty: $crate::kinds::Stored<T>,)*
        {
            #[inline]
            fn read(
                reader: &mut $crate::reader::RecordReader<'_>, tables: &mut T, _: $crate::describe::Bounds,
            ) -> Result<$row, $crate::reader::Fallback> {
                let mut row = <Self as $crate::kinds::FieldKind>::BLANK;
                let seen = if reader.open_object()? { row.read_members(reader, tables)? } else { 0 };
                reader.complete(seen, REQUIRED)?;
                Ok(row)
            }

            // Which optional members are present, then the values that fit one word, then the rest.
            fn write(row: &$row, tables: &T, values: &mut $crate::value_bytes::ValueBytes<'_>) {
                use $crate::kinds::{FieldKind, Stored};
                let there: &[bool] = &[$(row.$oname.is_some(),)*];
                let there = there.iter().fold(0u32, |bits, is_there| bits << 1 | u32::from(*is_there));
                values.words(&[
                    there,
                    $(<$rty as FieldKind>::word(&row.$rname),)*
                    $(row.$oname.as_ref().map_or(0, <$oty as FieldKind>::word),)*
                ].map(u32::to_le_bytes));
                $(if !<$rty as FieldKind>::IS_WORD {
                    <$rty as Stored<T>>::write(&row.$rname, tables, values);
                })*
                $(if !<$oty as FieldKind>::IS_WORD && let Some(value) = &row.$oname {
                    <$oty as Stored<T>>::write(value, tables, values);
                })*
            }

            fn own(row: &$row, tables: &T, bytes: &[u8]) -> Self {
                Self {
                    $($rname: <$rty as $crate::kinds::Stored<T>>::own(&row.$rname, tables, bytes),)*
                    $($oname: row.$oname.as_ref().map(|value| <$oty as $crate::kinds::Stored<T>>::own(value, tables, bytes)),)*
                }
            }
        }
        };
    };
}
pub(crate) use object;

/// What makes a value: `new` with the required fields, or `Default` when there are none. Format and version are the crate's own.
macro_rules! constructor {
    ($name:ident {} { $($oname:ident)* }) => {
        #[allow(clippy::derivable_impls, reason = "not every object has a default")]
        impl Default for $name {
            fn default() -> Self {
                Self { $($oname: None,)* }
            }
        }
    };
    ($name:ident { format: $format:ty, version: $version:ty, $($rest:tt)* } $optional:tt) => {
        $crate::object::constructor!(@new $name { format: Format, version: VERSION, } { $($rest)* } $optional);
    };
    ($name:ident { $($required:tt)* } $optional:tt) => {
        $crate::object::constructor!(@new $name {} { $($required)* } $optional);
    };
    (@new $name:ident { $($fixed:tt)* } { $($rname:ident: $rty:ty,)* } { $($oname:ident)* }) => {
        impl $name {
            /// A value with its required fields, in the order of the description; the optional ones are omitted.
            #[allow(clippy::too_many_arguments, reason = "the required fields")]
            pub fn new($($rname: $rty,)*) -> Self {
                Self { $($fixed)* $($rname,)* $($oname: None,)* }
            }
        }
    };
}
pub(crate) use constructor;

/// Notes that a member was found.
macro_rules! member {
    ($reader:ident, $seen:ident, $key:expr, $is_record:ident) => {
        $seen |= 1 << $key as u32;
        if $is_record {
            $reader.begin_section($key as usize);
        }
    };
}
pub(crate) use member;

/// The bounds given in a description, or the type's own.
macro_rules! bounds {
    ($ty:ty) => {
        <$ty as $crate::kinds::FieldKind>::BOUNDS
    };
    ($ty:ty, $least:literal, $most:literal) => {
        $crate::describe::Bounds::new($least, $most)
    };
}
pub(crate) use bounds;
