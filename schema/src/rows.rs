//! Rows and tables: a record as the fast path holds it.
//!
//! The lists of each kind share one table, and a list is a [`Span`] of that table. Nothing in a row owns memory, so reading
//! the next record reuses the memory of the last one.

use std::ops::{Deref, Index};

use crate::describe::Bounds;
use crate::kinds::{FieldKind, Stored, TableOf};
use crate::number::Hundredths;
use crate::reader::{Fallback, RecordReader, SECTIONS};
use crate::record::{self, Record, RecordRow};
use crate::teeth::Tooth;
use crate::value_bytes::ValueBytes;

pub use crate::spans::{Span, Str};

/// A kind of which lists exist, and so a table.
pub trait InTable: FieldKind {
    /// Its table.
    fn table(tables: &Tables) -> &Vec<Self::Row>;
    /// Its table, to be filled.
    fn table_mut(tables: &mut Tables) -> &mut Vec<Self::Row>;
}

macro_rules! tables {
    ($($name:ident: $kind:ty),* $(,)?) => {
        /// One table for each kind of list entry.
        #[derive(Debug, Default)]
        pub struct Tables {
            $($name: Vec<<$kind as FieldKind>::Row>,)*
        }

        impl Tables {
            fn clear(&mut self) {
                $(self.$name.clear();)*
            }
        }

        $(impl InTable for $kind {
            #[inline]
            fn table(tables: &Tables) -> &Vec<Self::Row> {
                &tables.$name
            }

            #[inline]
            fn table_mut(tables: &mut Tables) -> &mut Vec<Self::Row> {
                &mut tables.$name
            }
        })*
    };
}

impl<K: InTable> TableOf<K> for Tables {
    #[inline]
    fn rows(&self) -> &Vec<K::Row> {
        K::table(self)
    }

    #[inline]
    fn rows_mut(&mut self) -> &mut Vec<K::Row> {
        K::table_mut(self)
    }
}

tables! {
    teeth: Tooth,
    ids: record::Id,
    millimetres: Hundredths,
    extractions: record::Extraction,
    crown_widths: record::CrownWidth,
    assessments: record::Assessment,
    series: record::Series,
    movements: record::Movement,
    achieved: record::AchievedMovement,
    attachments: record::Attachment,
    supports: record::Support,
    planned_reductions: record::PlannedReduction,
    elastics: record::Elastic,
    deliveries: record::Delivery,
    wear_periods: record::WearPeriod,
    wear_log: record::WearDay,
    check_ins: record::CheckIn,
    fit_gaps: record::FitGap,
    observations: record::Observation,
    advice: record::Advice,
    attachment_events: record::AttachmentEvent,
    appointments: record::Appointment,
    procedures: record::Procedure,
    done_reductions: record::DoneReduction,
    comfort: record::Comfort,
}

/// A record in rows, with its tables; reused from record to record.
///
/// It dereferences to the fields of the record ([`RecordRow`]); the entries of a list are indexed by its span:
/// `rows[rows.wear_periods]`.
#[derive(Debug)]
pub struct Rows {
    record: RecordRow,
    tables: Tables,
    sections: [u32; SECTIONS],
}

impl Default for Rows {
    fn default() -> Self {
        Self { record: Record::BLANK, tables: Tables::default(), sections: [0; SECTIONS] }
    }
}

impl Rows {
    /// Reads a whole record. After [`Fallback`] the rows hold nothing of use.
    pub fn read(&mut self, bytes: &[u8]) -> Result<(), Fallback> {
        self.read_with(bytes, false)
    }

    /// Reads a record from which whole sections may be missing.
    pub fn read_partial(&mut self, bytes: &[u8]) -> Result<(), Fallback> {
        self.read_with(bytes, true)
    }

    /// All values but texts, for comparing two readings of one record.
    #[doc(hidden)]
    pub fn values(&self) -> String {
        format!("{:?} {:?}", self.record, self.tables)
    }

    /// Where the value of a section begins in the record's bytes; the section by its index among the record's fields.
    pub fn section_start(&self, section: usize) -> Option<usize> {
        self.sections.get(section).filter(|start| **start > 0).map(|start| *start as usize)
    }

    /// The owned record. `bytes` are those that were read.
    pub fn own(&self, bytes: &[u8]) -> Record {
        Record::own(&self.record, &self.tables, bytes)
    }

    /// Adds a value of the record to `out` so that equal values give equal bytes, whatever their spelling.
    pub fn write<K: Stored<Tables>>(&self, row: &K::Row, bytes: &[u8], out: &mut Vec<u8>) {
        K::write(row, &self.tables, &mut ValueBytes::new(bytes, out));
    }

    fn read_with(&mut self, bytes: &[u8], partial: bool) -> Result<(), Fallback> {
        self.tables.clear();
        let mut reader = RecordReader::new(bytes, partial);
        self.record = Record::read(&mut reader, &mut self.tables, Bounds::new(0, 0))?;
        self.sections = reader.sections();
        reader.finish()
    }
}

impl Deref for Rows {
    type Target = RecordRow;

    fn deref(&self) -> &RecordRow {
        &self.record
    }
}

impl<T: InTable> Index<Span<T>> for Rows {
    type Output = [T::Row];

    #[inline]
    fn index(&self, span: Span<T>) -> &[T::Row] {
        &T::table(&self.tables)[span.range()]
    }
}

impl<T: InTable> Index<Option<Span<T>>> for Rows {
    type Output = [T::Row];

    #[inline]
    fn index(&self, span: Option<Span<T>>) -> &[T::Row] {
        span.map_or(&[], |span| &self[span])
    }
}
