//! The reader against `JSONTestSuite`; `json_test_suite/README.md` says where the cases are from.

use open_aligner_record::json::{Problem, SyntaxErrorKind, Tree};
use std::{collections::BTreeMap, fs, path::Path};

/// Cases of each kind in the package, less the damaged ones the README lists.
const ACCEPTED: usize = 95;
const REFUSED: usize = 188 - 12;
const FREE: usize = 35 - 13;

/// What the reader makes of a case: the problems it lists, or why it stopped.
type Verdict = Result<Vec<Problem>, SyntaxErrorKind>;

fn cases(prefix: &str) -> BTreeMap<String, Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/json_test_suite/cases");
    let mut cases = BTreeMap::new();
    for file in fs::read_dir(folder).expect("the cases") {
        let file = file.expect("a case");
        let name = file.file_name().into_string().expect("a name in UTF-8");
        cases.insert(name, fs::read(file.path()).expect("a case"));
    }
    let arrays = ("n_structure_100000_opening_arrays.json", "[".repeat(100_000));
    let objects = ("n_structure_open_array_object.json", "[{\"\":".repeat(50_000) + "\n");
    for (name, text) in [arrays, objects] {
        cases.insert(name.to_owned(), text.into_bytes());
    }
    cases.retain(|name, _| name.starts_with(prefix));
    cases
}

fn verdict(tree: &mut Tree, bytes: &[u8]) -> Verdict {
    tree.parse(bytes).map_err(|error| error.kind)?;
    Ok(tree.problems().iter().map(|&(problem, _)| problem).collect())
}

/// Cases that RFC 8259 accepts and RFC 7493 (I-JSON) finds fault with. They are read all the same.
const FAULTS_OF_I_JSON: &[(&str, &[Problem], &str)] = &[
    ("y_number.json", &[Problem::NumberTooLarge], "123e65 is whole and above 2^53 - 1"),
    ("y_number_real_capital_e.json", &[Problem::NumberTooLarge], "1E22 is whole and above 2^53 - 1"),
    ("y_number_real_exponent.json", &[Problem::NumberTooLarge], "123e45 is whole and above 2^53 - 1"),
    ("y_number_real_fraction_exponent.json", &[Problem::NumberTooLarge], "123.456e78 is whole and above 2^53 - 1"),
    ("y_object_extreme_numbers.json", &[Problem::NumberTooLarge; 2], "1.0e+28 is whole and above 2^53 - 1"),
    ("y_object_duplicated_key.json", &[Problem::RepeatedName], "\"a\" twice"),
    ("y_object_duplicated_key_and_value.json", &[Problem::RepeatedName], "\"a\" twice"),
    ("y_string_escaped_noncharacter.json", &[Problem::Noncharacter], "U+FFFF"),
    ("y_string_last_surrogates_1_and_2.json", &[Problem::Noncharacter], "U+10FFFF"),
    ("y_string_nonCharacterInUTF-8_U+10FFFF.json", &[Problem::Noncharacter], "U+10FFFF"),
    ("y_string_nonCharacterInUTF-8_U+FFFF.json", &[Problem::Noncharacter], "U+FFFF"),
    ("y_string_unicode_U+10FFFE_nonchar.json", &[Problem::Noncharacter], "U+10FFFE"),
    ("y_string_unicode_U+1FFFE_nonchar.json", &[Problem::Noncharacter], "U+1FFFE"),
    ("y_string_unicode_U+FDD0_nonchar.json", &[Problem::Noncharacter], "U+FDD0"),
    ("y_string_unicode_U+FFFE_nonchar.json", &[Problem::Noncharacter], "U+FFFE"),
];

#[test]
fn every_case_to_accept_is_accepted_and_its_faults_of_i_json_are_the_named_ones() {
    let cases = cases("y_");
    assert_eq!(cases.len(), ACCEPTED);
    let mut tree = Tree::default();
    for (name, bytes) in &cases {
        let named = FAULTS_OF_I_JSON.iter().find(|row| row.0 == name);
        let expected = named.map_or(&[][..], |row| row.1).to_vec();
        assert_eq!(verdict(&mut tree, bytes), Ok(expected), "{name}");
    }
    for (name, ..) in FAULTS_OF_I_JSON {
        assert!(cases.contains_key(*name), "{name} is not a case");
    }
}

#[test]
fn every_case_to_refuse_is_refused() {
    let cases = cases("n_");
    assert_eq!(cases.len(), REFUSED);
    let mut tree = Tree::default();
    for (name, bytes) in &cases {
        let error = tree.parse(bytes).expect_err(name);
        assert!(error.at <= bytes.len(), "{name}: {error}");
        assert!(tree.is_empty(), "{name}");
    }
}

/// Cases left to the reader, and what it makes of them.
struct Choice {
    verdict: Verdict,
    why: &'static str,
    cases: &'static [&'static str],
}

fn choices() -> [Choice; 5] {
    [
        Choice {
            verdict: Ok(vec![]),
            why: "the double nearest to it is zero",
            cases: &["i_number_double_huge_neg_exp.json", "i_number_real_underflow.json"],
        },
        Choice {
            verdict: Ok(vec![Problem::NumberTooLarge]),
            why: "whole and beyond 2^53 - 1, or larger than a double can be: listed, not refused",
            cases: LARGE,
        },
        Choice {
            verdict: Err(SyntaxErrorKind::LoneSurrogate),
            why: "RFC 7493, section 2.1, forbids surrogates, and no Rust string holds one",
            cases: HALF_A_PAIR,
        },
        Choice {
            verdict: Err(SyntaxErrorKind::TooDeep),
            why: "deeper than MAX_DEPTH",
            cases: &["i_structure_500_nested_arrays.json"],
        },
        Choice {
            verdict: Err(SyntaxErrorKind::Expected("a value")),
            why: "a byte order mark is for the caller to take off",
            cases: &["i_structure_UTF-8_BOM_empty_object.json"],
        },
    ]
}

const LARGE: &[&str] = &[
    "i_number_huge_exp.json",
    "i_number_neg_int_huge_exp.json",
    "i_number_pos_double_huge_exp.json",
    "i_number_real_neg_overflow.json",
    "i_number_real_pos_overflow.json",
    "i_number_too_big_neg_int.json",
    "i_number_too_big_pos_int.json",
    "i_number_very_big_negative_int.json",
];

const HALF_A_PAIR: &[&str] = &[
    "i_object_key_lone_2nd_surrogate.json",
    "i_string_1st_surrogate_but_2nd_missing.json",
    "i_string_1st_valid_surrogate_2nd_invalid.json",
    "i_string_incomplete_surrogate_and_escape_valid.json",
    "i_string_incomplete_surrogate_pair.json",
    "i_string_incomplete_surrogates_escape_valid.json",
    "i_string_invalid_lonely_surrogate.json",
    "i_string_invalid_surrogate.json",
    "i_string_inverted_surrogates_U+1D11E.json",
    "i_string_lone_second_surrogate.json",
];

#[test]
fn every_case_left_to_the_reader_is_decided_as_the_table_says() {
    let mut cases = cases("i_");
    assert_eq!(cases.len(), FREE);
    let mut tree = Tree::default();
    for choice in choices() {
        for &name in choice.cases {
            let bytes = cases.remove(name).expect(name);
            assert_eq!(verdict(&mut tree, &bytes), choice.verdict, "{name}: {}", choice.why);
        }
    }
    assert!(cases.is_empty(), "not in the table: {:?}", cases.keys());
}
