//! The conformance kit from outside: what it holds is as it says, the scorer finds what is wrong, and an independent reader in
//! another language can be tested with it.

mod cases;
mod reader;
mod scores;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use oar_testing::Folder;
use open_aligner_record::kit::{self, Manifest};

/// A kit: its files by name, and the manifest.
struct Made {
    files: BTreeMap<String, Vec<u8>>,
    manifest: Manifest,
}

/// The kit of seed 1, made once.
fn made() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| {
        let mut files = BTreeMap::new();
        let mut put = |name: &str, bytes: &[u8]| {
            assert!(files.insert(name.to_owned(), bytes.to_vec()).is_none(), "{name} is written twice");
            Ok(())
        };
        let manifest = kit::make(1, 1, &mut put).unwrap();
        Made { files, manifest }
    })
}

/// A folder with the kit below `kit/`.
fn folder() -> Folder {
    let files: Vec<(String, &[u8])> =
        made().files.iter().map(|(name, bytes)| (format!("kit/{name}"), bytes.as_slice())).collect();
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), *bytes)).collect();
    Folder::with(&files)
}
