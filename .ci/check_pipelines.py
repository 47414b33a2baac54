"""Reads the files for other people's pipelines back and runs their steps with the given oar: check_pipelines.py oar"""

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


def same(what, found, expected):
    if found != expected:
        sys.exit(f"{what}: {found!r}, not {expected!r}")


def shell(script, **variables):
    """The exit code and the output of a script, run as GitHub and GitLab run theirs: it stops at the first failure."""
    environment = {**os.environ, **variables}
    done = subprocess.run(["bash", "-e", "-o", "pipefail", "-c", script], cwd=work, env=environment,
                          capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


# A repository with a right record, a broken one, and one whose name a shell would take apart.
(work / "exports").mkdir()
shutil.copy(root / "datasets/demo/lh-01-clean-finish.oar.json", work / "exports/right.oar.json")
shutil.copy(root / "datasets/broken/worn_backwards.oar.json", work / "exports/wrong.oar.json")
shutil.copy(root / "datasets/demo/lh-06-one-arch.oar.json", work / "exports/$(touch touched).oar.json")

# The action: what its steps name is there, and its last step runs.
action = yaml.safe_load((root / "action.yml").read_text(encoding="utf-8"))
steps = action["runs"]["steps"]
same("action", action["runs"]["using"], "composite")
named = set(re.findall(r"inputs\.(\w+)", str(steps)))
same("inputs of the action", named, set(action["inputs"]))
check = next(step for step in steps if step.get("id") == "check")
same("a value in the script", "${{" in check["run"], False)
(work / "root/bin").mkdir(parents=True)
shutil.copy(oar, work / "root/bin/oar")
places = {"ROOT": str(work / "root"), "REPORT": str(work / "report"), "GITHUB_OUTPUT": str(work / "output")}
code, text = shell(check["run"], PATHS="exports", OPTIONS="--fail-level warning", **places)
same("exit code of the action", code, 1)
same("annotation", text.startswith("::error file=exports/wrong.oar.json,line="), True)
same("report", json.loads((work / "report").read_text().splitlines()[-1])["errors"], 1)
same("output", (work / "output").read_text(), f"report={work / 'report'}\n")
code, _ = shell(check["run"], PATHS="exports/right.oar.json $(touch touched) ;false", OPTIONS="", **places)
same("exit code for paths that are no commands", code, 2)
same("a command in paths was run", (work / "touched").exists(), False)

# The job for GitLab.
_, jobs = yaml.safe_load_all((root / "pipelines/gitlab.yml").read_text(encoding="utf-8"))
((_, job),) = jobs.items()
(work / ".cargo/bin").mkdir(parents=True)
shutil.copy(oar, work / ".cargo/bin/oar")
inputs = {"$[[ inputs.options ]]": "", "$[[ inputs.paths ]]": "exports"}
script = "\n".join(job["script"])
for name, value in inputs.items():
    script = script.replace(name, value)
code, text = shell(script)
same("exit code of the job", code, 1)
report = json.loads((work / job["artifacts"]["reports"]["codequality"]).read_text())
same("entries of the job", [entry["location"]["path"] for entry in report], ["exports/wrong.oar.json"])

# The hook of pre-commit: it is given the files that its pattern fits.
(hook,) = yaml.safe_load((root / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
fits = re.compile(hook["files"]).search
for name in ("a.oar.json", "in/b.oar.jsonl", "c.oar.json.gz", "d.oar.jsonl.zst"):
    same(name, bool(fits(name)), True)
for name in ("a.json", "oar.json", "a.oar.json.bak", "a.oar.jsonx"):
    same(name, bool(fits(name)), False)
program, *arguments = hook["entry"].split()
same("program of the hook", program, "oar")
files = sorted(str(path.relative_to(work)) for path in (work / "exports").iterdir() if fits(path.name))
same("files of the hook", len(files), 3)
done = subprocess.run([oar, *arguments, *files], cwd=work, capture_output=True, text=True)
same("exit code of the hook", done.returncode, 1)
same("line of the hook", done.stdout.startswith("exports/wrong.oar.json:124:76: error worn_backwards "), True)

# The container: what its file copies from here and starts is there.
container = (root / "Containerfile").read_text(encoding="utf-8")
version = re.search(r'rust-version = "(.+)"', (root / "Cargo.toml").read_text(encoding="utf-8")).group(1)
for image in re.findall(r"rust:[\w.-]+", container + job["image"]):
    same("image", image.split(":")[1].split("-")[0], version)

shutil.rmtree(work)
print("pipelines: the action, the job and the hook were run; no container was built")
