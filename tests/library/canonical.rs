//! Canonical bytes against the examples of RFC 8785, and layouts.

use oar_testing::DEMO;
use open_aligner_record::canonical::{CanonicalError, canonical, digest, number};
use open_aligner_record::layout::{Form, laid_out};
use serde_json::Value;

/// RFC 8785, appendix B: the bits of a double, and how it is written.
const APPENDIX_B: [(u64, &str); 24] = [
    (0x0000_0000_0000_0000, "0"),
    (0x8000_0000_0000_0000, "0"),
    (0x0000_0000_0000_0001, "5e-324"),
    (0x8000_0000_0000_0001, "-5e-324"),
    (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
    (0xffef_ffff_ffff_ffff, "-1.7976931348623157e+308"),
    (0x4340_0000_0000_0000, "9007199254740992"),
    (0xc340_0000_0000_0000, "-9007199254740992"),
    (0x4430_0000_0000_0000, "295147905179352830000"),
    (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
    (0x44b5_2d02_c7e1_4af6, "1e+23"),
    (0x44b5_2d02_c7e1_4af7, "1.0000000000000001e+23"),
    (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
    (0x444b_1ae4_d6e2_ef4f, "999999999999999900000"),
    (0x444b_1ae4_d6e2_ef50, "1e+21"),
    (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
    (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
    (0x41b3_de43_5555_5553, "333333333.3333332"),
    (0x41b3_de43_5555_5554, "333333333.33333325"),
    (0x41b3_de43_5555_5555, "333333333.3333333"),
    (0x41b3_de43_5555_5556, "333333333.3333334"),
    (0x41b3_de43_5555_5557, "333333333.33333343"),
    (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
    (0x4314_3ff3_c1cb_0959, "1424953923781206.2"),
];

#[test]
fn numbers_are_written_as_in_the_table_of_the_rfc() {
    for (bits, written) in APPENDIX_B {
        assert_eq!(number(f64::from_bits(bits)), written, "{bits:016x}");
    }
}

#[test]
fn the_sample_object_of_the_rfc_has_the_bytes_of_the_rfc() {
    // RFC 8785, sections 3.2.2 and 3.2.3.
    let sample = r#"{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}"#;
    let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
    assert_eq!(String::from_utf8(canonical(sample.as_bytes()).unwrap()).unwrap(), expected);
}

#[test]
fn members_are_sorted_by_the_code_units_of_their_names_as_in_the_rfc() {
    // RFC 8785, section 3.2.3: an emoji (two code units from d83d on) stands before a letter at fb33.
    let sample = r#"{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}"#;
    let text = String::from_utf8(canonical(sample.as_bytes()).unwrap()).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    let order: Vec<&str> = value.as_object().unwrap().values().map(|value| value.as_str().unwrap()).collect();
    let expected = [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ];
    assert_eq!(order, expected);
}

#[test]
fn the_digest_is_that_of_the_canonical_bytes() {
    // SHA-256 of `{}`, as `printf '{}' | sha256sum` has it.
    assert_eq!(digest(b" { } ").unwrap(), "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a");
}

#[test]
fn what_is_no_i_json_has_no_canonical_bytes() {
    assert_eq!(canonical(br#"{"a": 1, "\u0061": 2}"#), Err(CanonicalError::RepeatedName));
    assert_eq!(canonical(b"[1e400]"), Err(CanonicalError::NumberTooLarge));
    assert_eq!(canonical(b"[\"\\ufdd0\"]"), Err(CanonicalError::Noncharacter));
    assert!(matches!(canonical(b"{"), Err(CanonicalError::Syntax(_))));
}

/// A record with its members turned round, and what others add left alone.
fn turned(value: &Value) -> Value {
    match value {
        Value::Object(members) => {
            let turn = |(name, value): (&String, &Value)| {
                (name.clone(), if name == "extensions" { value.clone() } else { turned(value) })
            };
            Value::Object(members.iter().rev().map(turn).collect())
        }
        Value::Array(entries) => entries.iter().map(turned).collect(),
        other => other.clone(),
    }
}

#[test]
fn a_layout_depends_on_nothing_but_the_values() {
    for line in DEMO.lines() {
        let value: Value = serde_json::from_str(line).unwrap();
        let other = serde_json::to_vec_pretty(&turned(&value)).unwrap();
        for form in [Form::Lines, Form::Compact] {
            let text = laid_out(line.as_bytes(), form).unwrap();
            assert!(text == laid_out(&other, form).unwrap() && text == laid_out(&text, form).unwrap());
            assert!(serde_json::from_slice::<Value>(&text).unwrap() == value);
        }
        // The demo records were written from the types, which have the order of the descriptions.
        assert_eq!(laid_out(&other, Form::Compact).unwrap(), line.as_bytes());
        assert_eq!(canonical(&other), canonical(line.as_bytes()));
    }
}

#[test]
fn a_list_or_object_without_an_object_in_it_stands_on_one_line() {
    let text = br#"{"x":[[1,2],[]],"patient":{"time_zone":"UTC","id":"P-1"},"wear_periods":[{"tray":1,"series":0}],"series":[],"status":{}}"#;
    let expected = "{
  \"patient\": {\"id\": \"P-1\", \"time_zone\": \"UTC\"},
  \"series\": [],
  \"wear_periods\": [
    {\"series\": 0, \"tray\": 1}
  ],
  \"status\": {},
  \"x\": [[1, 2], []]
}
";
    assert_eq!(String::from_utf8(laid_out(text, Form::Lines).unwrap()).unwrap(), expected);
}
