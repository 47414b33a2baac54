//! `oar --help`, `oar explain` and `oar schema`.

use oar_schema::limits::LIMITS;
use open_aligner_record::{page, rules};

use oar_testing::{Folder, Told};

fn oar(arguments: &[&str]) -> Told {
    Folder::with(&[]).oar(arguments)
}

#[test]
fn help_goes_to_standard_output_and_gives_0() {
    for arguments in
        [["--help"].as_slice(), &["-h"], &["help"], &["check", "--help"], &["explain", "-h"], &["--version"]]
    {
        let printed = oar(arguments);
        assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""), "{arguments:?}");
        assert!(!printed.out.is_empty() && !printed.out.contains('\x1b'), "{arguments:?}");
        assert!(printed.out.lines().all(|line| line.chars().count() <= 100), "{arguments:?}: {}", printed.out);
    }
}

#[test]
fn nothing_asked_for_gives_2_and_the_way_to_help() {
    for arguments in [[].as_slice(), &["check"], &["chek"]] {
        let printed = oar(arguments);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(printed.errors.contains("--help"), "{arguments:?}: {}", printed.errors);
    }
}

#[test]
fn explain_all_lists_every_rule_and_every_limit() {
    let printed = oar(&["explain", "all"]);
    assert_eq!(printed.code, Some(0));
    let listed = |name: &str| printed.out.lines().any(|line| line.split_whitespace().take(2).any(|word| word == name));
    let names = rules::all().map(|rule| rule.name).chain(LIMITS.iter().map(|limit| limit.name));
    for name in names {
        assert!(listed(name), "{name} is not listed");
    }
    assert!(printed.out.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn explain_shows_the_page_of_each_rule_and_the_row_of_each_limit() {
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for rule in rules::all() {
        let printed = oar(&["explain", rule.name]).out;
        let shown = words(&printed);
        let sections = ["Why", "Source", "Limits"].iter().filter_map(|title| page::section(rule.page, title));
        for part in sections.map(str::to_owned).chain([page::summary(rule.page)]) {
            assert!(shown.contains(&words(&part)), "{}: {part}", rule.name);
        }
        assert!(page::templates(rule.page).all(|line| shown.contains(&words(line))), "{printed}");
        assert!(printed.starts_with(rule.name) && !printed.contains("```") && printed.contains("edits"), "{printed}");
    }
    for limit in LIMITS {
        let printed = oar(&["explain", limit.name]);
        assert_eq!(printed.code, Some(0));
        let value = format!("value: {} {} ", limit.written(limit.value), limit.unit);
        assert!(
            words(&printed.out).contains(&value) && words(&printed.out).contains(&words(limit.doc)),
            "{}",
            printed.out
        );
    }
}

#[test]
fn a_misspelt_name_gives_2_and_the_name_that_is_meant() {
    for (name, meant) in [("cut_shrt", "cut_short"), ("wear_lgo", "wear_log")] {
        let printed = oar(&["explain", name]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{name}");
        assert!(printed.errors.contains(&format!("did you mean {meant}?")), "{}", printed.errors);
    }
    let printed = oar(&["explain", "qqqq"]);
    assert!(printed.code == Some(2) && !printed.errors.contains("perhaps"), "{printed:?}");
}

#[test]
fn explain_takes_a_name_in_another_spelling_a_part_of_a_name_and_a_theme() {
    assert_eq!(oar(&["explain", "Cut-Short"]), oar(&["explain", "cut_short"]));
    let names = |printed: &Told| -> Vec<String> {
        let rows = printed
            .out
            .lines()
            .filter(|line| ["error", "warning", "note"].iter().any(|level| line.starts_with(&format!("  {level} "))));
        rows.map(|row| row.split_whitespace().nth(1).unwrap().to_owned()).collect()
    };
    let holding: Vec<&str> = rules::all().map(|rule| rule.name).filter(|name| name.contains("twice")).collect();
    let printed = oar(&["explain", "twice"]);
    assert!(holding.len() > 1 && printed.code == Some(0) && names(&printed) == holding, "{printed:?}");
    for theme in ["worn_trays", "worn trays"] {
        let of_theme: Vec<&str> =
            rules::all().filter(|rule| rule.theme == "worn_trays").map(|rule| rule.name).collect();
        assert_eq!(names(&oar(&["explain", theme])), of_theme);
    }
    let printed = oar(&["explain", "limits"]);
    assert!(LIMITS.iter().all(|limit| printed.out.contains(limit.name)), "{printed:?}");
}

#[test]
fn explain_without_a_name_begins_with_the_themes() {
    let printed = oar(&["explain"]);
    for rule in rules::all() {
        let count = rules::all().filter(|other| other.theme == rule.theme).count().to_string();
        let row = printed.out.lines().find(|line| line.split_whitespace().next() == Some(rule.theme));
        assert_eq!(row.unwrap().split_whitespace().nth(1), Some(count.as_str()), "{}", printed.out);
    }
    assert!(printed.out.lines().count() < 25 && printed.out.contains("oar explain THEME"), "{}", printed.out);
    let empty = oar(&["explain", ""]);
    assert!(empty.code == Some(2) && empty.errors.starts_with("error: the name is empty"), "{empty:?}");
}

#[test]
fn check_without_a_path_says_what_it_takes() {
    let printed = oar(&["check"]);
    assert!(printed.errors.contains("folders, or - for standard input"), "{printed:?}");
}

#[test]
fn an_unknown_option_is_not_turned_into_a_file() {
    let printed = oar(&["check", "--quick", "."]);
    assert!(printed.code == Some(2) && printed.errors.contains("'--quick'"), "{printed:?}");
    assert!(!printed.errors.contains("-- --quick"), "{printed:?}");
}

#[test]
fn schema_prints_the_published_schema() {
    let printed = oar(&["schema"]);
    assert_eq!(printed.code, Some(0));
    assert_eq!(printed.out, include_str!("../../schema/v1/record.schema.json"));
}

#[test]
fn the_rules_about_waivers_are_told_like_others_but_have_no_level_to_be_set() {
    for name in ["waivers", "all"] {
        let printed = oar(&["explain", name]);
        assert!(printed.code == Some(0) && printed.out.contains("  warning  waiver_expired "), "{printed:?}");
    }
    assert!(oar(&["explain"]).out.contains("  waivers             2\n"));
    for name in ["waiver_expired", "waivers"] {
        let printed = oar(&["check", ".", "--level", &format!("{name}=off")]);
        assert!(
            printed.code == Some(2) && printed.errors.contains("is about waivers, not about records"),
            "{printed:?}"
        );
    }
}

#[test]
fn a_command_of_another_program_leads_to_the_command_that_does_it() {
    for (name, does) in [
        ("lint", "oar check PATH"),
        ("validate", "oar check PATH"),
        ("Verify", "oar check PATH"),
        ("test", "oar check PATH"),
        ("fix", "oar repair PATH"),
        ("format", "oar repair PATH"),
        ("rules", "oar explain"),
        ("diff", "oar compare OLD NEW"),
        ("report", "oar review PATH"),
        ("version", "oar --version"),
        ("init", "oar config --starter"),
    ] {
        let printed = oar(&[name, "x"]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{name}");
        assert!(printed.errors.starts_with(&format!("error: unknown command {name}\n  help: ")), "{}", printed.errors);
        assert!(printed.errors.contains(does), "{}", printed.errors);
    }
    let printed = oar(&["chekc"]);
    assert!(printed.errors.starts_with("error: unknown command chekc (did you mean check?)\n"), "{}", printed.errors);
    let printed = oar(&["qqqq"]);
    assert_eq!(printed.errors, "error: unknown command qqqq\n  help: oar --help lists the commands\n");
    let file = Folder::with(&[("a.oar.json", b"{}")]).oar(&["a.oar.json"]);
    assert!(file.code == Some(2) && file.errors.contains("help: oar check PATH"), "{file:?}");
}

#[test]
fn no_hint_names_a_command_or_an_option_that_there_is_not() {
    let commands: Vec<String> = oar(&["--help"]).out.lines().filter_map(command_name).collect();
    assert!(commands.len() > 12, "{commands:?}");
    for name in ["lint", "fix", "rules", "diff", "report", "worklist", "version", "init", "make", "hash", "reduce"] {
        let printed = oar(&[name]).errors;
        let words: Vec<&str> = printed.split_whitespace().collect();
        let named = words.windows(2).filter(|pair| pair[0] == "oar").map(|pair| pair[1]);
        assert!(named.clone().count() > 0, "{printed}");
        assert!(
            named.clone().all(|word| word == "--version" || commands.iter().any(|known| known == word)),
            "{printed}"
        );
        assert!(!commands.iter().any(|known| known == name), "{name} is a command");
    }
}

/// The name of the command in a line of the list of commands.
fn command_name(line: &str) -> Option<String> {
    let rest = line.strip_prefix("  ").filter(|rest| rest.starts_with(|letter: char| letter.is_ascii_lowercase()))?;
    (rest.split_whitespace().next()? != "oar").then(|| rest.split_whitespace().next().unwrap_or_default().to_owned())
}

#[test]
fn an_option_of_another_program_leads_to_the_option_that_does_it() {
    for (arguments, does) in [
        (["check", "--format=json", "."], "-o/--output"),
        (["check", "--jobs", "2"], "-j/--threads"),
        (["check", "--rule", "bad_id"], "--select"),
        (["check", "--disable", "bad_id"], "--ignore"),
        (["check", "--fix", "."], "oar repair --write"),
        (["repair", "--force", "."], "--overwrite"),
        (["review", "--top", "3"], "--max-rows"),
    ] {
        let printed = oar(&arguments);
        assert!(printed.code == Some(2) && printed.errors.contains(&format!("\n  help: {does}")), "{printed:?}");
        let option = does.split('/').next_back().unwrap();
        let help = oar(&[arguments[0], "--help"]).out;
        assert!(!option.starts_with("--") || help.contains(option), "{option}");
    }
    // Where a command has no such option, no other is named.
    assert!(!oar(&["digest", "--format", "json", "."]).errors.contains("--output"));
    let near = oar(&["check", "--max-finding", "3", "."]);
    assert!(near.code == Some(2) && near.errors.contains("'--max-findings'"), "{near:?}");
}

#[test]
fn each_shell_gets_a_script_that_names_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let printed = oar(&["completions", shell]);
        assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""), "{shell}");
        for word in ["check", "review", "completions", "max-findings", "exit-zero"] {
            assert!(printed.out.contains(word), "{shell}: {word}");
        }
    }
    assert_eq!(oar(&["completions", "abacus"]).code, Some(2));
}

#[test]
fn the_manual_has_a_page_for_each_command_with_all_its_options() {
    let all = oar(&["man"]);
    assert_eq!((all.code, all.errors.as_str()), (Some(0), ""));
    assert!(all.out.contains("not a medical device"));
    let commands: Vec<String> = oar(&["--help"]).out.lines().filter_map(command_name).collect();
    for command in commands.iter().filter(|command| *command != "help") {
        let page = oar(&["man", command]).out;
        assert!(page.contains(&format!(".TH oar-{command} 1")) && all.out.contains(&page), "{command}");
        let help = oar(&[command, "--help"]).out;
        let options = help.lines().filter_map(|line| line.trim_start().split("--").nth(1).filter(|_| is_option(line)));
        for option in options {
            let name = option.split([' ', '=', '[']).next().unwrap();
            assert!(page.contains(&format!("\\-\\-{}", name.replace('-', "\\-"))), "{command}: {name}");
        }
    }
    assert!(oar(&["man", "chek"]).errors.contains("unknown command chek (did you mean check?)"));
}

/// Whether a line of a help text begins with an option.
fn is_option(line: &str) -> bool {
    line.trim_start().starts_with('-')
}
