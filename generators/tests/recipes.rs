//! Recipes: every number has a source, and what is wrong in one is said.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use oar_generators::recipe::{BUILT_IN, DESCRIBED, Recipe, RecipeError, UNPUBLISHED};

fn load(text: &str) -> Result<Recipe, RecipeError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("own.toml");
    std::fs::write(&path, text).unwrap();
    Recipe::load(path.to_str().unwrap(), &[])
}

fn message(text: &str) -> String {
    load(text).unwrap_err().to_string()
}

const HEAD: &str = "name = \"own\"\nversion = \"1.0\"\nsummary = \"one of our own\"\nextend = \"general\"\n";

#[test]
fn every_recipe_can_be_followed_and_every_value_has_its_source() {
    for (name, _) in BUILT_IN {
        let recipe = Recipe::load(name, &[]).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(recipe.name.0, *name);
        assert_eq!(recipe.entries.len(), DESCRIBED.len());
        for (key, entry) in &recipe.entries {
            let known = UNPUBLISHED.contains(&entry.source.as_str());
            assert!(known || recipe.references.contains_key(&entry.source), "{name}: {key}");
            assert!(entry.note.as_ref().is_some_and(|note| !note.is_empty()), "{name}: {key} has no note");
        }
    }
}

/// Every reference says at its end how its numbers came here, in words of a closed set.
#[test]
fn every_reference_says_how_it_was_read() {
    let ways = ["read", "repeated elsewhere", "from memory"];
    for (name, _) in BUILT_IN {
        for (key, text) in &Recipe::load(name, &[]).unwrap().references {
            let way = text.rsplit_once('(').and_then(|(_, way)| way.strip_suffix(')')).unwrap_or_default();
            assert!(ways.iter().any(|known| way.contains(known)), "{name}: {key}: {text}");
        }
    }
}

/// A value that a note takes from memory has that mark, unless what was read of the source is beside it.
#[test]
fn what_is_from_memory_has_the_mark() {
    let from_memory = |name: &str, key: &str| Recipe::load(name, &[]).unwrap().entries[key].source == "from memory";
    for key in
        ["population.agenesis_upper", "population.agenesis_lower", "response.rotation_upper", "response.intrusion"]
    {
        assert!(from_memory("general", key), "{key}");
    }
}

/// Six patients who wore nothing are no days, a mean over people is no spread of days, and so on: choices are called so.
#[test]
fn choices_are_called_assumptions() {
    for (name, keys) in [
        (
            "general",
            &[
                "population.age_median_years",
                "start.crowding_lower_mm",
                "start.overbite_sd_mm",
                "plan.distalisation_mm",
            ][..],
        ),
        (
            "general",
            &[
                "clinic.expression_sd",
                "wear.low_stretch",
                "care.remote_stretch",
                "report.flattery",
                "report.later_pain",
            ],
        ),
        ("complex-adults", &["start.crowding_sd_mm"]),
        ("low-wear", &["wear.zero_days_per_year"]),
        ("teenagers", &["wear.day_sigma"]),
    ] {
        let recipe = Recipe::load(name, &[]).unwrap();
        for key in keys {
            assert_eq!(recipe.entries[*key].source, "assumption", "{name}: {key}");
        }
    }
}

#[test]
fn every_reference_is_used() {
    for (name, text) in BUILT_IN {
        let recipe = Recipe::load(name, &[]).unwrap();
        let table: toml::Table = text.parse().unwrap();
        for key in table.get("references").and_then(toml::Value::as_table).into_iter().flatten().map(|(key, _)| key) {
            assert!(recipe.references.contains_key(key), "{name}: nothing rests on {key}");
        }
    }
}

#[test]
fn an_own_recipe_extends_another_one() {
    let text = format!("{HEAD}[wear]\nday_sigma = {{ value = 0.5, source = \"assumption\", note = \"restless\" }}\n");
    let recipe = load(&text).unwrap();
    assert!((recipe.values.wear.day_sigma - 0.5).abs() < 1e-12);
    let general = Recipe::load("general", &[]).unwrap();
    assert!((recipe.values.wear.tray_sigma - general.values.wear.tray_sigma).abs() < 1e-12);
}

#[test]
fn what_is_wrong_is_said() {
    let value = |line: &str| message(&format!("{HEAD}{line}\n"));
    let printed = value("[wear]\nday_sgma = { value = 0.5, source = \"common practice\" }");
    assert_eq!(printed, "unknown recipe value wear.day_sgma (did you mean wear.day_sigma?)");
    let printed = value("[ware]\nday_sigma = { value = 0.5, source = \"common practice\" }");
    assert_eq!(printed, "unknown recipe value ware.day_sigma (did you mean wear.day_sigma?)");
    let printed = value("[wear]\nday_sigma = { value = 7, source = \"common practice\" }");
    assert_eq!(printed, "7 is outside 0.05 to 1.5 log, the range of wear.day_sigma");
    let printed = value("[wear]\nday_sigma = { value = 0.5, source = \"tim_2021\" }");
    assert!(
        printed.starts_with(
            "the source of wear.day_sigma, tim_2021, is not among the references (did you mean timm_2021?"
        )
    );
    assert!(value("[wear]\nday_sigma = { value = 0.5, source = \"assumption\" }").contains("has no reason"));
    assert!(value("[wear]\nday_sigma = { value = 0.5, source = \"from memory\" }").contains("has no reason"));
    assert!(value("[wear]\nday_sigma = { value = 0.5 }").starts_with("wear.day_sigma.source is missing"));
    assert_eq!(value("[wear]\nday_sigma = 0.5"), "wear.day_sigma takes { value = …, source = \"…\" }");
    assert!(value("[wear]\nday_sigma = { valu = 0.5, source = \"common practice\" }").contains("did you mean value?"));
    let printed = value("[plan]\ncheck_in_trays = { value = 1.5, source = \"common practice\" }");
    assert_eq!(printed, "plan.check_in_trays takes a whole number");
    let printed = value("[clinic]\ntime_zones = { value = [\"Europe/Brannock\"], source = \"common practice\" }");
    assert_eq!(printed, "Europe/Brannock is not a time zone of the IANA database");
    assert!(message("name = ").contains("is not valid TOML, at byte"));
    assert!(Recipe::load("generl", &[]).unwrap_err().to_string().contains("did you mean general?"));
}

#[test]
fn single_values_are_set_for_a_run() {
    let set = |text: &str| Recipe::load("general", &[text.to_owned()]);
    assert!((set("wear.day_sigma=0.25").unwrap().values.wear.day_sigma - 0.25).abs() < 1e-12);
    assert_eq!(set("clinic.anchor=2032-01-05").unwrap().values.clinic.anchor.to_string(), "2032-01-05");
    assert_eq!(set("clinic.time_zones=[\"UTC\"]").unwrap().values.clinic.time_zones, ["UTC"]);
    assert!(set("day_sigma=0.25").unwrap_err().to_string().contains("did you mean wear.day_sigma?"));
    assert_eq!(set("wear.day_sigma").unwrap_err().to_string().lines().next(), Some("wear.day_sigma sets nothing"));
    assert!(set("wear.day_sigma=much").unwrap_err().to_string().contains("takes a number"));
}
