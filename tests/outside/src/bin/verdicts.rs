//! Prints the checker's shape verdict on every dataset file, for comparison with validators in other languages:
//! `right`, `wrong`, or `text` when the text is at fault before any schema applies.

use oar_outside_checks::dataset_files;
use open_aligner_record::Checker;

fn main() {
    let mut checker = Checker::new();
    for file in dataset_files() {
        let text = std::fs::read(&file).expect("a readable file");
        let verdict = match checker.fits_schema(&text) {
            Some(true) => "right",
            Some(false) => "wrong",
            None => "text",
        };
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        println!("{name}\t{verdict}");
    }
}
