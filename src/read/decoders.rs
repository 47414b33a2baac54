//! Decoders of compressed files, in builds that have them.

#[cfg(any(feature = "gzip", feature = "zstd"))]
mod plain {
    use std::io::{self, Read};

    /// A decoder with plain error messages.
    pub(super) struct Plain<R> {
        pub(super) reader: R,
        pub(super) form: &'static str,
    }

    impl<R: Read> Read for Plain<R> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            self.reader.read(buffer).map_err(|error| damaged(error, self.form))
        }
    }

    /// The error of a decoder. Errors of the system, and of a truncated file, are kept unchanged.
    fn damaged(error: io::Error, form: &str) -> io::Error {
        if error.raw_os_error().is_some() || error.kind() == io::ErrorKind::UnexpectedEof {
            return error;
        }
        let text = if error.to_string().contains("too much memory") {
            "it was compressed with a window of more than 128 MiB; compress it again with a smaller one".to_owned()
        } else {
            format!("its {form} data is damaged; whole lines before the damage were checked")
        };
        io::Error::new(io::ErrorKind::InvalidData, text)
    }
}

use std::io::{self, Read};

/// The bytes of a file, decompressed as they are read.
type Bytes<'r> = io::Result<Box<dyn Read + 'r>>;

#[cfg(feature = "gzip")]
#[expect(clippy::unnecessary_wraps, reason = "a build without it returns an error")]
pub(super) fn gzip<'r>(packed: impl Read + 'r) -> Bytes<'r> {
    Ok(Box::new(plain::Plain { reader: flate2::read::MultiGzDecoder::new(packed), form: "gzip" }))
}

#[cfg(not(feature = "gzip"))]
pub(super) fn gzip<'r>(_: impl Read + 'r) -> Bytes<'r> {
    Err(io::Error::new(io::ErrorKind::Unsupported, "it is compressed with gzip, which this build cannot read"))
}

#[cfg(feature = "zstd")]
pub(super) fn zstd<'r>(packed: impl Read + 'r) -> Bytes<'r> {
    Ok(Box::new(plain::Plain { reader: zstd::stream::read::Decoder::new(packed)?, form: "zstd" }))
}

#[cfg(not(feature = "zstd"))]
pub(super) fn zstd<'r>(_: impl Read + 'r) -> Bytes<'r> {
    Err(io::Error::new(io::ErrorKind::Unsupported, "it is compressed with zstd, which this build cannot read"))
}
