//! Rules that apply before there is a record: bytes, text, JSON.

use super::table::reading_rules;

reading_rules! { "file":
    Error not_utf8;
    Error not_json;
    Error cut_short;
    Error repeated_name;
    Error number_too_large;
    Error noncharacter;
    Error nested_too_deep;
    Note byte_order_mark;
    Error nothing_inside;
    Error record_too_large;
    Error another_format;
    Error newer_version;
}
