//! Closed vocabularies: lower-case words of the trade, each with its meaning.

use crate::reader::RecordReader;

/// One word of a vocabulary.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Word {
    /// As written in a record.
    pub word: &'static str,
    /// What it means.
    pub doc: &'static str,
}

/// All the words that a field takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Vocabulary {
    /// Its name, in the types and in the JSON Schema.
    pub name: &'static str,
    /// What the vocabulary describes.
    pub doc: &'static str,
    /// The words, in the order in which they are listed.
    pub words: &'static [Word],
}

/// A type that is a closed vocabulary.
pub trait Words: Copy + std::fmt::Debug + 'static {
    /// The words and what they mean.
    const VOCABULARY: Vocabulary;

    /// What a row holds until the word is read.
    #[doc(hidden)]
    const BLANK: Self;

    /// Reads a word with its quotes, where one of the vocabulary comes next.
    #[doc(hidden)]
    fn read_word(reader: &mut RecordReader<'_>) -> Option<Self>;

    /// The position of the word in the vocabulary, from 0.
    fn index(self) -> u32;
}

/// Makes an enum of a vocabulary: `Variant = "word"`, each with a doc comment that is also its published meaning.
macro_rules! words {
    ($(#[doc = $doc:literal])* $name:ident { $($(#[doc = $word_doc:literal])* $variant:ident = $word:literal,)* }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        #[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
        pub enum $name {
            $($(#[doc = $word_doc])* #[cfg_attr(feature = "serde", serde(rename = $word))] $variant,)*
        }

        impl $name {
            /// All of them, in the order in which they are listed.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The word, as written in a record.
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)*
                }
            }
        }

        $crate::from_text!(names $name, "a word of the vocabulary", Self::ALL.iter().copied());

        impl $crate::words::Words for $name {
            const VOCABULARY: $crate::words::Vocabulary = $crate::words::Vocabulary {
                name: stringify!($name),
                doc: concat!($($doc, "\n"),*),
                words: &[$($crate::words::Word { word: $word, doc: concat!($($word_doc, "\n"),*) },)*],
            };
            const BLANK: Self = Self::ALL[0];

            #[inline]
            fn read_word(reader: &mut $crate::reader::RecordReader<'_>) -> Option<Self> {
                use $crate::reader::QuotedName;
                $(if reader.takes(&const { QuotedName::new(concat!("\"", $word, "\"")) }) {
                    return Some(Self::$variant);
                })*
                None
            }

            #[inline]
            fn index(self) -> u32 {
                self as u32
            }
        }
    };
}
pub(crate) use words;
