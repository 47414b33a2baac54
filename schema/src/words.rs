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
pub trait Words: Copy + Default + std::fmt::Debug + 'static {
    /// The words and what they mean.
    const VOCABULARY: Vocabulary;

    /// The value of a word.
    fn from_word(word: &[u8]) -> Option<Self>;

    /// Reads a word with its quotes, where one of the vocabulary comes next.
    fn read_word(reader: &mut RecordReader<'_>) -> Option<Self>;

    /// The word of a value.
    fn word(self) -> &'static str;

    /// The position of the word in the vocabulary, from 0.
    fn index(self) -> u32;
}

/// Makes an enum of a vocabulary: `Variant = "word"`, each with a doc comment that is also its published meaning.
macro_rules! words {
    ($(#[doc = $doc:literal])* $name:ident {
        $(#[doc = $first_doc:literal])* $first:ident = $first_word:literal,
        $($(#[doc = $word_doc:literal])* $variant:ident = $word:literal,)*
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $(#[doc = $first_doc])*
            #[default]
            #[serde(rename = $first_word)]
            $first,
            $($(#[doc = $word_doc])* #[serde(rename = $word)] $variant,)*
        }

        impl $crate::words::Words for $name {
            const VOCABULARY: $crate::words::Vocabulary = $crate::words::Vocabulary {
                name: stringify!($name),
                doc: concat!($($doc, "\n"),*),
                words: &[
                    $crate::words::Word { word: $first_word, doc: concat!($($first_doc, "\n"),*) },
                    $($crate::words::Word { word: $word, doc: concat!($($word_doc, "\n"),*) },)*
                ],
            };

            #[inline]
            fn from_word(word: &[u8]) -> Option<Self> {
                if word == $first_word.as_bytes() {
                    return Some(Self::$first);
                }
                $(if word == $word.as_bytes() {
                    return Some(Self::$variant);
                })*
                None
            }

            #[inline]
            fn read_word(reader: &mut $crate::reader::RecordReader<'_>) -> Option<Self> {
                use $crate::reader::QuotedName;
                if reader.takes(&const { QuotedName::new(concat!("\"", $first_word, "\"")) }) {
                    return Some(Self::$first);
                }
                $(if reader.takes(&const { QuotedName::new(concat!("\"", $word, "\"")) }) {
                    return Some(Self::$variant);
                })*
                None
            }

            fn word(self) -> &'static str {
                match self {
                    Self::$first => $first_word,
                    $(Self::$variant => $word,)*
                }
            }

            #[inline]
            fn index(self) -> u32 {
                self as u32
            }
        }
    };
}
pub(crate) use words;
