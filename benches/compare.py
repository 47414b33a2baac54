#!/usr/bin/env python3
"""Runs the checker and what it is compared with side by side, and prints ratios.

Each pair of commands runs in turns (A B A B …) on the same file, so that a busy moment of the machine falls on both. The
ratio of a round is B's wall time over A's; what is printed is the median over the rounds, with the least and the greatest.
Run it on a quiet machine. Needs cargo, node, npm and network access to install the peers once.

    python3 benches/compare.py [--megabytes 420] [--rounds 5]
"""

import argparse
import statistics
import subprocess
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORK = ROOT / "benches/work"
OAR = ROOT / "target/release/oar"
TYPED = ROOT / "benches/target/release/typed_parse"
JSONSCHEMA = WORK / "bin/jsonschema-cli"


def build(megabytes: int) -> None:
    run = lambda *command: subprocess.run(command, cwd=ROOT, check=True)
    run("cargo", "build", "--release", "--quiet")
    run("cargo", "build", "--release", "--quiet", "--manifest-path", "benches/Cargo.toml")
    WORK.mkdir(exist_ok=True)
    if not (ROOT / ".ci/node/node_modules/ajv").exists():
        run("npm", "install", "--silent", "--prefix", ".ci/node", "ajv@8.20.0", "ajv-formats@3.0.1")
    if not JSONSCHEMA.exists():
        run("cargo", "install", "--quiet", "--root", str(WORK), "jsonschema-cli")
    run("benches/target/release/vary", "datasets/demo/quillmere.oar.jsonl", str(WORK / "data.oar.jsonl"), str(megabytes))
    split(8000)


def split(count: int) -> None:
    """The first records as files, for the peer that reads files."""
    folder = WORK / "files"
    folder.mkdir(exist_ok=True)
    if len(list(folder.iterdir())) == count:
        return
    with (WORK / "data.oar.jsonl").open("rb") as lines:
        for number, line in zip(range(count), lines):
            (folder / f"{number:04}.oar.json").write_bytes(line)


def timed(command: list[str]) -> float:
    """Wall seconds of a command that has to succeed."""
    start = time.perf_counter()
    subprocess.run(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, cwd=ROOT, check=True)
    return time.perf_counter() - start


def peak(command: str) -> float:
    """Peak resident mebibytes of a shell command, by GNU time: this process would lend its own to a child."""
    shell = ["/usr/bin/time", "-f", "%M", "sh", "-c", command]
    told = subprocess.run(shell, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, cwd=ROOT, check=True, text=True)
    return int(told.stderr.split()[-1]) / 1024


def pair(name: str, ours: list[str], theirs: list[str], rounds: int, size: int) -> None:
    ratios, own, other = [], [], []
    timed(ours), timed(theirs)
    for _ in range(rounds):
        a, b = timed(ours), timed(theirs)
        own.append(a), other.append(b), ratios.append(b / a)
    speed = lambda times: size / statistics.median(times) / 1e6
    print(f"| {name} | {statistics.median(ratios):.2f} | {min(ratios):.2f} to {max(ratios):.2f} "
          f"| {speed(own):.0f} | {speed(other):.0f} |", flush=True)


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--megabytes", type=int, default=420)
    arguments.add_argument("--rounds", type=int, default=5)
    asked = arguments.parse_args()
    build(asked.megabytes)
    data, files = WORK / "data.oar.jsonl", WORK / "files"
    size, file_size = data.stat().st_size, sum(file.stat().st_size for file in files.iterdir())
    check = lambda threads, path: [str(OAR), "check", "--output", "brief", "--threads", str(threads), str(path)]
    print("| full check against | times faster | over the rounds | checker MB/s | other MB/s |")
    print("|---|---|---|---|---|")
    pair("a bare typed parse (sonic-rs), one thread each", check(1, data), [str(TYPED), str(data)], asked.rounds, size)
    pair("itself with one thread, two against one", check(2, data), check(1, data), asked.rounds, size)
    pair("ajv, structure only, one thread each", check(1, data), ["node", "benches/ajv.mjs", str(data)], min(asked.rounds, 3), size)
    names = [str(file) for file in sorted(files.iterdir())]
    pair("the jsonschema command, structure only, 8000 files", check(1, files),
         [str(JSONSCHEMA), "validate", "--errors-only", "schema/v1/record.schema.json", *(x for name in names for x in ("-i", name))], asked.rounds, file_size)
    review = lambda *options: [str(OAR), "review", "--threads", "1", *options, str(data)]
    print("\n| review, as a share of the speed of a full check | share | over the rounds | review MB/s | check MB/s |")
    print("|---|---|---|---|---|")
    pair("the worklist, 40 records", review(), check(1, data), asked.rounds, size)
    pair("JSON Lines of all records", review("-o", "jsonl"), check(1, data), asked.rounds, size)
    print("\n| peak memory | once the data (MiB) | ten times the data (MiB) |\n|---|---|---|")
    for threads in (1, 2):
        once = peak(" ".join(check(threads, data)))
        often = peak(f"cat {' '.join([str(data)] * 10)} | {' '.join(check(threads, Path('-')))}")
        print(f"| {threads} thread(s) | {once:.1f} | {often:.1f} |")
    for form in ("text", "jsonl"):
        shell = f"{OAR} review -o {form}"
        once, often = peak(f"{shell} {data}"), peak(f"cat {' '.join([str(data)] * 10)} | {shell} -")
        print(f"| review, {form} | {once:.1f} | {often:.1f} |")


if __name__ == "__main__":
    main()
