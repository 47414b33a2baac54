//! The published schema, in plain words.

use super::table::reading_rules;

reading_rules! { "shape":
    Error missing_field;
    Error unknown_field;
    Error wrong_type;
    Error unknown_word;
    Error out_of_range;
    Error too_many_decimals;
    Error not_a_date;
    Error not_an_instant;
    Error not_a_time_zone;
    Error not_a_tooth;
    Error not_a_reverse_domain;
    Error bad_id;
    Error too_long;
    Error wrong_count;
}
