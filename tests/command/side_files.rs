//! Files beside the records are read up to a limit: a device without end is an error, with the limit in the message.
#![cfg(target_os = "linux")]

use oar_testing::command::oar;
use oar_testing::{BASE, Folder};

/// So much address space suffices for every limit but not for an endless file.
fn bounded(folder: &Folder, arguments: &str) -> (Option<i32>, String) {
    let command = format!("ulimit -v 2000000; exec timeout 60 '{}' {arguments} < /dev/null", oar());
    let output = std::process::Command::new("bash").args(["-c", &command]).current_dir(folder.path()).output().unwrap();
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_file_without_end_is_an_error_wherever_one_can_be_named() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("kit/manifest.json", b"{}")]);
    assert_eq!(folder.oar(&["kit", "made"]).code, Some(0));
    std::os::unix::fs::symlink("/dev/zero", folder.path().join("endless.toml")).unwrap();
    let text = "it has more than 16 MiB, the limit\n";
    let line = "a line of it has more than 16 MiB, the limit\n";
    let kit = "it has more than 256 MiB, the limit\n";
    for (arguments, said) in [
        ("check a.oar.json --config /dev/zero", text),
        ("check a.oar.json --waivers /dev/zero", text),
        ("check a.oar.json --baseline /dev/zero", line),
        ("review a.oar.json -o letter --letter-text /dev/zero", text),
        ("compare /dev/zero a.oar.json", line),
        ("compare a.oar.json - < /dev/zero", ""),
        ("kit made --score /dev/zero", kit),
        ("generate --recipe endless.toml --output -", text),
    ] {
        let (code, errors) = bounded(&folder, arguments);
        assert_eq!(code, Some(2), "{arguments}: {errors}");
        assert!(errors.starts_with("error: ") && errors.ends_with(said), "{arguments}: {errors}");
    }
}

#[test]
fn settings_that_are_found_are_read_up_to_the_limit() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let long = format!("#{}\n", "x".repeat(16 << 20));
    std::fs::write(folder.path().join("oar.toml"), long).unwrap();
    let printed = folder.oar(&["check", "a.oar.json"]);
    assert_eq!(printed.code, Some(2));
    assert_eq!(printed.errors, "error: oar.toml: it has more than 16 MiB, the limit\n");
}
