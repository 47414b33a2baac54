"""Reads the files for other people's pipelines back and runs their steps with the given oar: check_pipelines.py oar

The steps run with Git and Cargo, in a repository that is made here: a program of a few lines, which is named as ours and starts
the given oar. So it is seen which revision of it a step builds, and when it builds anew.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import yaml

root = Path(__file__).resolve().parent.parent
oar = Path(sys.argv[1]).resolve()
work = Path(tempfile.mkdtemp(prefix="oar-pipelines-"))
rust = re.search(r'rust-version = "(.+)"', (root / "Cargo.toml").read_text(encoding="utf-8")).group(1)


def same(what, found, expected):
    if found != expected:
        sys.exit(f"{what}: {found!r}, not {expected!r}")


def holds(what, text, part):
    if part not in text:
        sys.exit(f"{what}: {part!r} is not in {text!r}")


def shell(script, folder=work, **variables):
    """The exit code and the output of a script, run as GitHub and GitLab run theirs: it stops at the first failure."""
    environment = {**os.environ, **variables}
    done = subprocess.run(["bash", "-e", "-o", "pipefail", "-c", script], cwd=folder, env=environment,
                          capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def git(*arguments):
    return subprocess.run(["git", "-C", work / "source", *arguments], check=True, capture_output=True, text=True).stdout.strip()


# A repository with a valid record, a broken one, and two whose names a shell would take apart.
exports = work / "exports of may"
exports.mkdir()
shutil.copy(root / "datasets/demo/qm-01-clean-finish.oar.json", exports / "right.oar.json")
shutil.copy(root / "datasets/broken/worn_backwards.oar.json", exports / "wrong.oar.json")
shutil.copy(root / "datasets/demo/qm-06-one-arch.oar.json", exports / "$(touch touched).oar.json")
(work / "known.jsonl").write_text("")
code, _ = shell(f"'{oar}' check --write-baseline 'known findings.jsonl' 'exports of may'")
same("exit code of the baseline", code, 0)

# The program: a version for each tag.
(work / "source/src").mkdir(parents=True)
git("init", "--quiet", "--initial-branch", "main")
git("config", "user.name", "somebody")
git("config", "user.email", "somebody@example.org")
(work / "source/src/main.rs").write_text("""use std::os::unix::process::CommandExt;
fn main() {
    let given: Vec<_> = std::env::args_os().skip(1).collect();
    if given.first().is_some_and(|first| first == "--version") {
        return println!("oar {}", env!("CARGO_PKG_VERSION"));
    }
    println!("this is {}", env!("CARGO_PKG_VERSION"));
    panic!("{}", std::process::Command::new(%s).args(given).exec());
}
""" % json.dumps(str(oar)))


def commit(version):
    (work / "source/Cargo.toml").write_text(
        f'[package]\nname = "open-aligner-record"\nversion = "{version}"\nedition = "2024"\n\n[[bin]]\nname = "oar"\npath = "src/main.rs"\n')
    (work / "source/Cargo.lock").write_text(f'version = 4\n\n[[package]]\nname = "open-aligner-record"\nversion = "{version}"\n')
    git("add", "--all")
    git("commit", "--quiet", "--message", version)
    git("tag", f"v{version}")
    return git("rev-parse", "HEAD")


first = commit("0.0.1")
second = commit("0.0.2")

# Programs that the steps find before those of the machine: a rustup that notes what it is asked for, and a cargo that knows
# the toolchain that was asked for as the one that is there.
(work / "bin").mkdir()
asked = work / "asked"
(work / "bin/rustup").write_text(f'#!/bin/sh\necho "rustup $*" >> "{asked}"\n')
(work / "bin/cargo").write_text(f'#!/bin/sh\necho "cargo $*" >> "{asked}"\ncase $1 in +*) shift ;; esac\nexec {shutil.which("cargo")} "$@"\n')
for program in ("rustup", "cargo"):
    (work / "bin" / program).chmod(0o755)
search = f"{work / 'bin'}:{os.environ['PATH']}"

# The action, step by step, with the values that GitHub puts in. Its cache keeps folders by key.
action = yaml.safe_load((root / "action.yml").read_text(encoding="utf-8"))
steps = action["runs"]["steps"]
same("action", action["runs"]["using"], "composite")
same("inputs of the action", set(re.findall(r"inputs\.(\w+)", str(steps))), set(action["inputs"]))
for step in steps:
    same("a value in a script", "${{" in step.get("run", ""), False)
    if "uses" in step:
        same("another action, by its commit", bool(re.fullmatch(r"[\w/-]+@[0-9a-f]{40}", step["uses"])), True)
cache = {}


def acted(temp, path=search, **inputs):
    """The exit code and the output of the action, with a folder for temporary files."""
    (work / temp).mkdir(exist_ok=True)
    known = {"github.action_path": str(work / "source"), "runner.temp": str(work / temp), "runner.os": "Linux", "runner.arch": "X64"}
    known |= {f"inputs.{name}": inputs.get(name, given["default"]) for name, given in action["inputs"].items()}
    put = lambda text: re.sub(r"\$\{\{ ([\w.]+) \}\}", lambda match: known[match[1]], text)
    shown, keep = "", []
    for step in steps:
        if "uses" in step:
            kept, key = Path(put(step["with"]["path"])), put(step["with"]["key"])
            keep.append((key, kept))
            if key in cache:
                shutil.copytree(cache[key], kept, dirs_exist_ok=True)
            continue
        values = {name: put(value) for name, value in step.get("env", {}).items()}
        output = work / temp / f"output-of-{step.get('id')}"
        code, text = shell(put(step["run"]), **values, PATH=path, GITHUB_OUTPUT=str(output), CARGO_HOME=str(work / "cargo"))
        shown += text
        if output.exists():
            given = (line.split("=", 1) for line in output.read_text().splitlines())
            known |= {f"steps.{step['id']}.outputs.{name}": value for name, value in given}
        if code:
            break
    for key, folder in keep:
        if key not in cache and folder.exists():
            cache[key] = shutil.copytree(folder, work / f"kept-{len(cache)}")
    return code, shown, known.get("steps.check.outputs.report")


code, text, report = acted("one", paths="exports of may", options="--fail-level warning")
same("exit code of the action", code, 1)
holds("program of the action", text, "this is 0.0.2\n")
holds("annotation", text, "::error file=exports of may/wrong.oar.json,line=")
same("report", json.loads(Path(report).read_text().splitlines()[-1])["errors"], 1)
holds("toolchain", asked.read_text(), f"rustup toolchain install {rust} ")
holds("toolchain", asked.read_text(), f"cargo +{rust} install --locked ")
asked.unlink()
same("exit code from the cache", acted("two", paths="exports of may")[0], 1)
same("built again though it is in the cache", asked.exists(), False)
# A branch moves, and the action is run as of that branch: the cache of before it has the program of before, of the same version or
# of another.
main = work / "source/src/main.rs"
main.write_text(main.read_text() + "// Another source of the same version.\n")
acted("three", paths="exports of may")
same("built for another source of the same version", asked.exists(), True)
third = commit("0.0.3")
holds("program of a branch that moved", acted("four", paths="exports of may")[1], "this is 0.0.3\n")
holds("program in the same temporary folder", acted("four", paths="exports of may")[1], "this is 0.0.3\n")
# Paths and options, one a line.
code, text, _ = acted("five", paths="exports of may/wrong.oar.json\n\nexports of may/right.oar.json\n", options="--max-findings 0\n--level=worn_trays=off")
same("exit code for two paths", code, 0)
holds("two paths", text, "2 records in 2 files: nothing to report")
for option in ("--baseline known findings.jsonl", "--baseline=known findings.jsonl"):
    code, text, _ = acted("five", paths="exports of may", options=option)
    same(f"exit code with {option}", code, 0)
code, _, _ = acted("five", paths="exports of may/right.oar.json\n$(touch touched)\n;false\n*")
same("exit code for paths that are no commands", code, 2)
same("a command in paths was run", (work / "touched").exists(), False)
# Without rustup the step says what it needs.
(work / "few").mkdir()
for program in ("bash", "find", "sort", "git", "sed", "mkdir", "cat", "head", "test", "grep", "env"):
    (work / "few" / program).symlink_to(shutil.which(program))
cache.clear()
code, text, _ = acted("six", path=str(work / "few"), paths="exports of may")
same("exit code without rustup", code != 0, True)
holds("without rustup", text, "::error::")
holds("without rustup", text, f"rustup or Rust {rust}")

# The job for GitLab, which runs in one folder again and again with what it keeps in its cache.
header, jobs = yaml.safe_load_all((root / "pipelines/gitlab.yml").read_text(encoding="utf-8"))
((_, job),) = jobs.items()
required = {name for name, given in header["spec"]["inputs"].items() if "default" not in (given or {})}
same("inputs that the job needs", required, {"source", "revision"})
pattern = header["spec"]["inputs"]["revision"]["regex"]
for revision, fits in ((first, True), ("v1.0.0", True), ("--force", False), ("a b", False), ("$(id)", False), ("", False)):
    same(f"a revision {revision!r}", bool(re.search(pattern, revision)), fits)
cache.clear()


def job_run(**inputs):
    """The exit code, the output and the findings of the job in a fresh clone of a repository, with its cache."""
    values = {name: (given or {}).get("default") for name, given in header["spec"]["inputs"].items()}
    values |= {"source": f"file://{work / 'source'}"} | inputs
    put = lambda text: re.sub(r"\$\[\[ inputs\.(\w+) \]\]", lambda match: values[match[1]], text)
    folder = Path(tempfile.mkdtemp(dir=work))
    shutil.copytree(exports, folder / "exports of may")
    shutil.copy(work / "known findings.jsonl", folder)
    key, paths = put(job["cache"]["key"]), [put(path) for path in job["cache"]["paths"]]
    for path in paths:
        if (key, path) in cache:
            shutil.copytree(cache[key, path], folder / path, symlinks=True)
    variables = {name: put(value).replace("$CI_PROJECT_DIR", str(folder)) for name, value in job["variables"].items()}
    same("an input in the script", "$[[" in "".join(job["script"]), False)
    code, text = shell("\n".join(job["script"]), folder, **variables, PATH=search)
    for path in paths:
        if (key, path) not in cache and (folder / path).exists():
            cache[key, path] = shutil.copytree(folder / path, work / f"kept-gitlab-{len(cache)}", symlinks=True)
    report = folder / job["artifacts"]["reports"]["codequality"]
    return code, text, json.loads(report.read_text()) if report.exists() else None


for revision, version in (("v0.0.1", "0.0.1"), (second, "0.0.2"), ("v0.0.1", "0.0.1"), (third, "0.0.3")):
    code, text, found = job_run(revision=revision, paths="exports of may")
    same("exit code of the job", code, 1)
    holds(f"program of {revision}", text, f"this is {version}\n")
    same("entries of the job", [entry["location"]["path"] for entry in found], ["exports of may/wrong.oar.json"])
asked.unlink()
job_run(revision=second, paths="exports of may")
same("built again though it is in the cache", asked.exists(), False)
# What is in the cache is not of the revision: another program was put there.
for (key, path), folder in cache.items():
    if second in key and (folder / ".crates.toml").exists():
        written = folder / ".crates.toml"
        written.write_text(written.read_text().replace(second, first))
holds("program that is not of the revision", job_run(revision=second, paths="exports of may")[1], "this is 0.0.2\n")
same("built again though it was of another revision", asked.exists(), True)
code, text, _ = job_run(revision="main", paths="exports of may")
same("exit code for a branch", code not in (0, 1), True)
code, text, _ = job_run(revision=first, paths="exports of may/wrong.oar.json\nexports of may/right.oar.json", options="--baseline known findings.jsonl\n--max-findings=0")
same("exit code for two paths and options", code, 0)
holds("two paths and options", text, "2 records in 2 files")

# The hook of pre-commit: it is given the files that its pattern fits, after its arguments.
(hook,) = yaml.safe_load((root / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
fits = re.compile(hook["files"]).search
for name in ("a.oar.json", "in/b.oar.jsonl", "c.oar.json.gz", "d.oar.jsonl.zst"):
    same(name, bool(fits(name)), True)
for name in ("a.json", "oar.json", "a.oar.json.bak", "a.oar.jsonx"):
    same(name, bool(fits(name)), False)
program, *arguments = [*hook["entry"].split(), *hook["args"]]
same("program of the hook", program, "oar")
shutil.copy(exports / "right.oar.json", exports / "--help.oar.json")
files = sorted(path.name for path in exports.iterdir() if fits(path.name))
same("files of the hook", len(files), 4)
done = subprocess.run([oar, *arguments, *files], cwd=exports, capture_output=True, text=True)
same("exit code of the hook", done.returncode, 1)
same("line of the hook", done.stdout.startswith("wrong.oar.json:124:76: error worn_backwards "), True)

# The problem matcher of docs/how-to/editors.md, on every finding of the broken corpus: JavaScript reads this pattern as Python does.
page = (root / "docs/how-to/editors.md").read_text(encoding="utf-8")
(tasks,) = (json.loads(block) for block in re.findall(r"```json\n(.*?)```", page, re.DOTALL) if "problemMatcher" in block)
(task,) = tasks["tasks"]
pattern = task["problemMatcher"]["pattern"]
program, *arguments = task["command"].split()
same("program of the editor", [program, arguments[-1]], ["oar", "."])
shutil.copytree(root / "datasets/broken", work / "records/with spaces")
run = lambda *given: subprocess.run([oar, *given], cwd=work / "records", capture_output=True, text=True).stdout
matches = [re.search(pattern["regexp"], line) for line in run(*arguments).splitlines()]
parts = ("file", "line", "column", "severity", "code", "message")
read = [{name: match[pattern[name]] for name in parts} for match in matches if match]
findings = [line for line in map(json.loads, run("check", ".", "--output", "jsonl").splitlines()) if line["type"] == "finding"]
same("findings in the editor", len(read), len(findings))
for found, line in zip(read, findings):
    told = [found[name] for name in parts[:-1]]
    same("place and rule in the editor", told, [str(line[name]) for name in ("file", "line", "column", "level", "rule")])
    if not found["message"].startswith(line["message"]):
        sys.exit(f"message in the editor: {found['message']!r}, not {line['message']!r}")

# The container and the job: the same Rust.
container = (root / "Containerfile").read_text(encoding="utf-8")
images = re.findall(r"rust:[\w.-]+", container + job["image"])
same("images", [image.split(":")[1].split("-")[0] for image in images], [rust, rust])

shutil.rmtree(work)
print("pipelines: the action, the job and the hook were run; no container was built")
