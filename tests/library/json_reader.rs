//! Positions, pointers, faults and numbers of the JSON reader, each against a printed source.

use open_aligner_record::json::{Kind, MAX_DEPTH, Problem, SyntaxError, SyntaxErrorKind, Tree, decimal, decode};

fn read(text: &str) -> Tree {
    let mut tree = Tree::default();
    tree.parse(text.as_bytes()).expect(text);
    tree
}

fn refused(bytes: &[u8]) -> (SyntaxErrorKind, usize) {
    let SyntaxError { kind, at, .. } = Tree::default().parse(bytes).expect_err("refused");
    (kind, at)
}

/// The problems of a text, each with the pointer to its value.
fn problems(text: &str) -> Vec<(Problem, String)> {
    let tree = read(text);
    let with_pointer = |&(problem, id)| (problem, tree.pointer(id, text.as_bytes()));
    tree.problems().iter().map(with_pointer).collect()
}

/// The document of RFC 6901, section 5.
const POINTERS: &str = r#"{
    "foo": ["bar", "baz"],
    "": 0,
    "a/b": 1,
    "c%d": 2,
    "e^f": 3,
    "g|h": 4,
    "i\\j": 5,
    "k\"l": 6,
    " ": 7,
    "m~n": 8
}"#;

#[test]
fn pointers_are_those_of_rfc_6901_section_5() {
    let (bytes, tree) = (POINTERS.as_bytes(), read(POINTERS));
    let table = [
        ("/foo", "[\"bar\", \"baz\"]"),
        ("/foo/0", "\"bar\""),
        ("/", "0"),
        ("/a~1b", "1"),
        ("/c%d", "2"),
        ("/e^f", "3"),
        ("/g|h", "4"),
        ("/i\\j", "5"),
        ("/k\"l", "6"),
        ("/ ", "7"),
        ("/m~0n", "8"),
        ("", POINTERS),
    ];
    for (pointer, value) in table {
        let id = tree.find(bytes, pointer).expect(pointer);
        assert_eq!(tree.node(id).token(bytes), value.as_bytes(), "{pointer}");
        assert_eq!(tree.pointer(id, bytes), pointer);
    }
}

#[test]
fn pointers_to_nothing_find_nothing() {
    let (bytes, tree) = (POINTERS.as_bytes(), read(POINTERS));
    // RFC 6901: sections 3 (tilde, leading slash) and 4 (leading zeros, "-", past the end).
    for pointer in ["foo", "/foo/2", "/foo/00", "/foo/-", "/foo/+1", "/foo/", "/m~n", "/m~2", "/m~", "/foo/0/0", "/x"] {
        assert_eq!(tree.find(bytes, pointer), None, "{pointer}");
    }
    assert_eq!(Tree::default().find(b"", ""), None);
}

#[test]
fn nodes_say_where_values_and_names_stand() {
    // Offsets counted by hand.
    let text = r#" {"a" : [ true, "x" ], "\u0062":{}} "#;
    let (bytes, tree) = (text.as_bytes(), read(text));
    let root = tree.node(tree.root());
    assert_eq!((root.kind, root.start, root.end, root.key), (Kind::Object, 1, 35, None));
    let members: Vec<_> = tree.children(tree.root()).collect();
    let list = tree.node(members[0]);
    assert_eq!((list.kind, list.start, list.end, list.key), (Kind::Array, 8, 21, Some((2, 5))));
    assert_eq!((list.parent, list.index, list.next_sibling), (Some(tree.root()), 0, Some(members[1])));
    let object = tree.node(members[1]);
    assert_eq!((object.start, object.end, object.key, object.index), (32, 34, Some((23, 31)), 1));
    assert_eq!(object.first_child, None);
    let kinds: Vec<_> = tree.children(members[0]).map(|id| tree.node(id).kind).collect();
    assert_eq!(kinds, [Kind::Bool(true), Kind::String]);
    assert_eq!(tree.member(bytes, tree.root(), "b"), Some(members[1]));
    assert_eq!(tree.member(bytes, tree.root(), r"\u0062"), None);
    assert_eq!(tree.len(), 5);
}

#[test]
fn a_tree_forgets_the_document_before() {
    let mut tree = read(r#"{"a":1,"a":[1e999]}"#);
    tree.parse(b"null").expect("sound");
    assert_eq!((tree.len(), tree.problems().len()), (1, 0));
    assert!(tree.parse(b"[1,").is_err());
    assert!(tree.is_empty() && tree.problems().is_empty());
    tree.parse(b"[[]]").expect("an open list of the failed document is forgotten");
}

#[test]
fn faults_are_placed_at_the_first_byte_that_does_not_fit() {
    use SyntaxErrorKind as K;
    // Kinds and offsets worked out by hand from the grammar of RFC 8259, sections 2 to 7.
    let table: &[(&str, K, usize)] = &[
        ("", K::Empty, 0),
        (" \n", K::Empty, 2),
        ("[1,]", K::Expected("a value"), 3),
        ("[1 2]", K::Expected("a comma or the end of the list"), 3),
        (r#"{"a":1 "b":2}"#, K::Expected("a comma or the end of the object"), 7),
        (r#"{"a" 1}"#, K::Expected("a colon"), 5),
        (r#"{"a":1,}"#, K::Expected("a name in quotes"), 7),
        ("{1:1}", K::Expected("a name in quotes"), 1),
        ("[,1]", K::Expected("a value"), 1),
        ("[}", K::Expected("a value"), 1),
        ("{]", K::Expected("a name in quotes"), 1),
        ("[+1]", K::Expected("a value"), 1),
        ("[NaN]", K::Expected("a value"), 1),
        ("[trux]", K::Expected("a value"), 1),
        ("tru", K::CutShort, 3),
        ("\"abcdefghijk", K::CutShort, 12),
        ("\"a\\", K::CutShort, 3),
        ("\"\\u12", K::CutShort, 5),
        ("[1", K::CutShort, 2),
        ("-", K::CutShort, 1),
        ("1.", K::CutShort, 2),
        ("{\"a\"", K::CutShort, 4),
        ("[01]", K::BadNumber, 2),
        ("[-x]", K::BadNumber, 2),
        ("[1.e1]", K::BadNumber, 3),
        ("[1e+]", K::BadNumber, 4),
        ("1 2", K::TextAfterEnd, 2),
        ("[]]", K::TextAfterEnd, 2),
        ("[\"abcdefgh\\x\"]", K::BadEscape, 10),
        ("[\"\\u12G4\"]", K::BadEscape, 2),
        ("[\"\\uD834\"]", K::LoneSurrogate, 2),
        ("[\"\\uD834\\uD834\"]", K::LoneSurrogate, 2),
        ("[\"\\uDD1E\"]", K::LoneSurrogate, 2),
        ("[\"a\nb\"]", K::ControlCharacterInString, 3),
        ("[\"0123456789\u{1f}\"]", K::ControlCharacterInString, 12),
    ];
    for &(text, kind, at) in table {
        assert_eq!(refused(text.as_bytes()), (kind, at), "{text:?}");
    }
}

#[test]
fn bytes_that_rfc_3629_forbids_are_refused_where_they_start() {
    // RFC 3629: overlong forms and section 10, surrogates in section 3, F5 to FF in section 1,
    // a lone continuation byte, a sequence cut short, ISO 8859-1 and UTF-16 text.
    let table: &[(&[u8], usize)] = &[
        (b"[\"\xC0\xAF\"]", 2),
        (b"[\"\xE0\x80\xAF\"]", 2),
        (b"[\"a\xED\xA0\x80\"]", 3),
        (b"[\"\xF4\x90\x80\x80\"]", 2),
        (b"[\"\xFC\x80\x80\x80\x80\x80\"]", 2),
        (b"[\"\x81\"]", 2),
        (b"[\"\xE6\x97\"]", 2),
        (b"[\"\xE9\"]", 2),
        (b"[1\xE5]", 2),
        (b"\xFF\xFE[\0]\0", 0),
    ];
    for &(bytes, at) in table {
        assert_eq!(refused(bytes), (SyntaxErrorKind::NotUtf8, at), "{bytes:?}");
    }
}

#[test]
fn every_place_in_a_string_is_looked_at() {
    // RFC 8259, section 7: unescaped = %x20-21 / %x23-5B / %x5D-10FFFF.
    for length in 0..20 {
        for byte in 0..0x80_u8 {
            let text = format!("\"{}{}{}\"", "a".repeat(length), char::from(byte), "b".repeat(9));
            let sound = matches!(byte, 0x20..=0x21 | 0x23..=0x5B | 0x5D..);
            let accepted = Tree::default().parse(text.as_bytes()).is_ok();
            // "\b" is an escape, since b follows.
            assert_eq!(accepted, sound || byte == b'\\', "{text:?}");
        }
    }
}

#[test]
fn lists_and_objects_nest_as_deep_as_the_limit_and_no_deeper() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let nested = |depth: usize| open.repeat(depth) + "0" + &close.repeat(depth);
        read(&nested(MAX_DEPTH));
        let at = open.len() * MAX_DEPTH;
        assert_eq!(refused(nested(MAX_DEPTH + 1).as_bytes()), (SyntaxErrorKind::TooDeep, at));
    }
}

#[test]
fn repeated_names_are_found_after_unescaping() {
    let found = |text| problems(text).into_iter().map(|p| p.1).collect::<Vec<_>>();
    assert_eq!(found(r#"{"a":1,"\u0061":2}"#), ["/a"]);
    assert_eq!(found(r#"[{"a":{"b":1},"b":{"b":2},"a":0}]"#), ["/0/a"]);
    assert_eq!(found(r#"{"ab":1,"ba":2,"":3,"a":4}"#), [""; 0]);
    assert_eq!(found(r#"{"x":1,"x":2,"x":3}"#), ["/x", "/x"]);
    // Alike but for the middle.
    let middles =
        r#"{"the trays after 1 day. worn":1,"the trays after 2 day. worn":2,"the trays after 1 day. worn":3}"#;
    assert_eq!(found(middles), ["/the trays after 1 day. worn"]);
    // Precomposed and decomposed é differ: RFC 7493 compares code points.
    assert_eq!(found("{\"\u{e9}\":1,\"e\u{301}\":2}"), [""; 0]);
}

#[test]
fn the_problem_of_a_repeated_name_is_on_the_second_member() {
    let text = r#"{"a":1,"b":2,"a":3}"#;
    let tree = read(text);
    let (problem, id) = tree.problems()[0];
    assert_eq!((problem, tree.node(id).index), (Problem::RepeatedName, 2));
}

#[test]
fn problems_are_listed_in_the_order_of_the_document() {
    let found = problems(r#"[1e99,{"a":1,"a":{"b":1e99}},1e99]"#);
    let pointers: Vec<_> = found.iter().map(|p| p.1.as_str()).collect();
    assert_eq!(pointers, ["/0", "/1/a", "/1/a/b", "/2"]);
}

#[test]
fn large_objects_are_searched_for_repeated_names_too() {
    for count in [31, 32, 33, 5000] {
        let members: Vec<_> = (0..count).map(|n| format!("\"name {n}\":{n},")).collect();
        let members = members.concat();
        assert_eq!(problems(&format!("{{{members}\"z\":0}}")), []);
        let repeated = format!("{{{members}\"name 7\":0}}");
        assert_eq!(problems(&repeated), [(Problem::RepeatedName, "/name 7".to_owned())]);
    }
}

#[test]
fn numbers_beyond_rfc_7493_section_2_2_are_listed() {
    let long = "9".repeat(400) + ".5";
    let largest = format!("{:.1}", f64::MAX).replace(".0", ".5");
    let table = [
        ("9007199254740991", false),
        ("-9007199254740991", false),
        ("9007199254740992", true),
        ("-9007199254740992", true),
        ("9007199254740992.0", true),
        ("9007199254740991.00", false),
        ("90071992547409920e-1", true),
        ("0e99999999999999999999", false),
        ("1e15", false),
        ("1e16", true),
        ("1e-400", false),
        ("3.14159265358979323846264338327950288", false),
        (long.as_str(), true),
        (largest.as_str(), false),
    ];
    for (text, expected) in table {
        let listed = problems(text) == [(Problem::NumberTooLarge, String::new())];
        assert_eq!(listed, expected, "{text}");
        assert_eq!(problems(text).len(), usize::from(expected), "{text}");
    }
}

#[test]
fn a_noncharacter_is_listed_once_for_its_value_or_name() {
    assert_eq!(problems("[\"a\u{FFFE}\"]"), [(Problem::Noncharacter, "/0".to_owned())]);
    let short = "[\"a\u{FFFE}\", \"and more text\"]";
    assert_eq!(problems(short), [(Problem::Noncharacter, "/0".to_owned())]);
    let both = "{\"\\uFDD0\":\"\u{1FFFF}\"}";
    assert_eq!(problems(both), [(Problem::Noncharacter, "/\u{FDD0}".to_owned())]);
    assert_eq!(problems("[\"\u{FFFD}\", \"\u{1BFFF}\", \"é\\n\"]"), []);
}

#[test]
fn a_decimal_is_read_exactly_however_it_is_written() {
    // Arithmetic by hand; the ends of the 64-bit range are those of two's complement.
    let table = [
        ("11", Some(11), Some(1100)),
        ("11.0", Some(11), Some(1100)),
        ("1.1e1", Some(11), Some(1100)),
        ("110E-1", Some(11), Some(1100)),
        ("-0", Some(0), Some(0)),
        ("-0.00e-7", Some(0), Some(0)),
        ("0e99999999999999999999999", Some(0), Some(0)),
        ("0.25", None, Some(25)),
        ("-0.250", None, Some(-25)),
        ("0.1", None, Some(10)),
        ("0.005", None, None),
        ("1e-2", None, Some(1)),
        ("1e-99999999999999999999", None, None),
        ("1e99999999999999999999", None, None),
        ("9223372036854775807", Some(i64::MAX), None),
        ("-9223372036854775808", Some(i64::MIN), None),
        ("9223372036854775808", None, None),
        ("-92233720368547758.08", None, Some(i64::MIN)),
        ("92233720368547758.08", None, None),
        ("1000000000000000000000000000000e-30", Some(1), Some(100)),
        ("0.000000000000000000000000000003e30", Some(3), Some(300)),
        ("1.00000000000000000000000000000000001", None, None),
    ];
    for (token, integer, hundredths) in table {
        let value = decimal(token.as_bytes()).expect(token);
        assert_eq!(value.as_integer(), integer, "{token}");
        assert_eq!(value.as_hundredths(), hundredths, "{token}");
    }
}

#[test]
fn whole_numbers_are_told_whatever_their_size() {
    for whole in ["0", "-0.0", "1e400", "123456789012345678901234567890", "1.5e1", "0.0e-5"] {
        assert!(decimal(whole.as_bytes()).expect(whole).is_integer(), "{whole}");
    }
    for broken in ["0.5", "15e-1", "123456789012345678901234567890.1", "1e-400"] {
        assert!(!decimal(broken.as_bytes()).expect(broken).is_integer(), "{broken}");
    }
}

#[test]
fn what_is_not_one_number_is_no_decimal() {
    for token in ["", "-", "+1", "01", "1.", ".5", "1e", "1 ", " 1", "1,2", "NaN", "0x1", "\"1\""] {
        assert!(decimal(token.as_bytes()).is_none(), "{token}");
    }
}

#[test]
fn values_of_a_tree_can_be_decoded() {
    let text = r#"["\ud834\udd1e/\/"]"#;
    let tree = read(text);
    let id = tree.find(text.as_bytes(), "/0").expect("a value");
    assert_eq!(decode(tree.node(id).token(text.as_bytes())), "\u{1D11E}//");
}
