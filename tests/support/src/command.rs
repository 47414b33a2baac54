//! Runs the command `oar` as a user does, in a folder of its own.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// The built command. Cargo names it to the tests that it runs.
pub fn oar() -> String {
    std::env::var("CARGO_BIN_EXE_oar").expect("cargo runs this test and tells it where `oar` is")
}

/// A folder that is gone after the test.
pub struct Folder(TempDir);

/// What a run of the command came to.
#[derive(Debug, PartialEq, Eq)]
pub struct Told {
    /// The exit code; none when a signal ended it.
    pub code: Option<i32>,
    /// What it wrote to standard output.
    pub out: String,
    /// What it wrote to standard error.
    pub errors: String,
}

impl Folder {
    /// A folder with these files.
    pub fn with(files: &[(&str, &[u8])]) -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        for (name, bytes) in files {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
        folder
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.0.path()
    }

    /// The text of a file in it.
    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path().join(name)).unwrap()
    }

    /// The command, to be run in the folder, without what the environment says about colours.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(oar());
        command.args(arguments).current_dir(self.path()).env_remove("NO_COLOR").env_remove("TERM");
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    /// Runs `oar` with these arguments.
    pub fn oar(&self, arguments: &[&str]) -> Told {
        self.piped(arguments, b"")
    }

    /// Runs `oar generate` with these arguments, which must succeed without a word of complaint.
    pub fn generated(&self, arguments: &[&str]) -> Told {
        let printed = self.oar(&[&["generate"], arguments].concat());
        assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""), "{arguments:?}");
        printed
    }

    /// Runs `oar` with these arguments and this on standard input.
    pub fn piped(&self, arguments: &[&str], input: &[u8]) -> Told {
        let mut child = self.command(arguments).stdin(Stdio::piped()).spawn().unwrap();
        let mut stdin = child.stdin.take().unwrap();
        let output = std::thread::scope(|scope| {
            // The command may end before it has read everything.
            scope.spawn(move || drop(stdin.write_all(input)));
            child.wait_with_output().unwrap()
        });
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Told { code: output.status.code(), out: text(output.stdout), errors: text(output.stderr) }
    }
}

impl Told {
    /// The lines of the form `jsonl` of one type.
    pub fn lines(&self, kind: &str) -> Vec<Value> {
        let lines = self.out.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
        lines.filter(|line| line["type"] == kind).collect()
    }

    /// Each finding as `rule record:line`.
    pub fn findings(&self) -> Vec<String> {
        let found = self.lines("finding");
        found.iter().map(|one| format!("{} {}:{}", one["rule"].as_str().unwrap(), one["record"], one["line"])).collect()
    }

    /// How many records were checked, if there was no finding.
    pub fn records_without_findings(&self) -> u64 {
        assert_eq!((self.code, self.findings()), (Some(0), Vec::new()), "{self:?}");
        self.total("records")
    }

    /// A number of the totals.
    pub fn total(&self, name: &str) -> u64 {
        self.lines("summary")[0][name].as_u64().unwrap()
    }
}
