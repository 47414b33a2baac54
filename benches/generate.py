#!/usr/bin/env python3
"""Runs `oar generate` beside merely serialising the same records from memory with serde_json, in turns, and prints ratios.

A ratio is how fast the generator is as a share of serialising: processor time against processor time, which a busy machine changes
little, and wall time against processor time for what several threads do. With --instructions both are counted by valgrind's
callgrind on one thread, which a busy machine does not change at all.

    python3 benches/generate.py [--patients 500] [--rounds 5] [--instructions]
"""

import argparse
import os
import statistics
import subprocess
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OAR = ROOT / "target/release/oar"
SERIALISE = ROOT / "benches/target/release/serialise"


def build() -> None:
    subprocess.run(["cargo", "build", "--release", "--quiet"], cwd=ROOT, check=True)
    bench = ["--manifest-path", "benches/Cargo.toml", "--bin", "serialise"]
    subprocess.run(["cargo", "build", "--release", "--quiet", *bench], cwd=ROOT, check=True)


def generate(patients: int, *options: str) -> list[str]:
    return [str(OAR), "generate", "--patients", str(patients), "--output", "-", *options]


def timed(command: list[str]) -> tuple[float, float]:
    """Wall and processor seconds of a command that writes to nowhere."""
    start = time.perf_counter()
    child = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = status
    assert status == 0, command
    return time.perf_counter() - start, used.ru_utime + used.ru_stime


def serialised(patients: int) -> tuple[float, int]:
    """Processor seconds and bytes of one round of serialising."""
    told = subprocess.run([SERIALISE, str(patients), "5"], check=True, capture_output=True, text=True).stdout
    nanoseconds, size = map(int, told.split())
    return nanoseconds / 1e9, size


def instructions(command: list[str]) -> int:
    valgrind = ["valgrind", "--tool=callgrind", "--callgrind-out-file=/dev/null"]
    told = subprocess.run(valgrind + command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    (line,) = (line for line in told.stderr.splitlines() if "Collected" in line)
    return int(line.split(":")[-1])


def count(patients: int) -> None:
    """What one patient takes; what it takes to begin falls away in a difference."""
    apart = lambda more, less: (instructions(more) - instructions(less)) / patients
    one = generate(patients, "--threads", "1"), generate(2 * patients, "--threads", "1")
    made = apart(one[1], one[0])
    simulated = apart([str(SERIALISE), str(2 * patients), "0"], [str(SERIALISE), str(patients), "0"])
    written = apart([str(SERIALISE), str(patients), "1"], [str(SERIALISE), str(patients), "0"])
    print(f"instructions a patient: oar generate {made:,.0f}, of it simulating {simulated:,.0f}; serialising {written:,.0f}")
    print(f"speed as a share of serialising: {written / made:.2f}")


def compare(patients: int, rounds: int) -> None:
    print("| oar generate, to nowhere | speed as a share of serialising | over the rounds | patients a second |")
    print("|---|---|---|---|")
    ways = {
        "one thread, processor time": (["--threads", "1"], 1),
        "one thread, wall time": (["--threads", "1"], 0),
        "two threads, wall time": (["--threads", "2"], 0),
        "one thread with card, processor time": (["--threads", "1", "--card", "/dev/shm/oar-bench", "--overwrite"], 1),
    }
    for name, (options, which) in ways.items():
        shares, seconds = [], []
        for _ in range(rounds):
            written, _ = serialised(patients)
            own = timed(generate(patients, *options))[which]
            shares.append(written / own), seconds.append(own)
        speed = patients / statistics.median(seconds)
        print(f"| {name} | {statistics.median(shares):.2f} | {min(shares):.2f} to {max(shares):.2f} | {speed:.0f} |", flush=True)


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--patients", type=int, default=500)
    arguments.add_argument("--rounds", type=int, default=5)
    arguments.add_argument("--instructions", action="store_true", help="count instructions instead of time")
    asked = arguments.parse_args()
    build()
    _, size = serialised(asked.patients)
    print(f"{size / asked.patients / 1000:.1f} kB a record\n")
    if asked.instructions:
        count(min(asked.patients, 50))
    else:
        compare(asked.patients, asked.rounds)


if __name__ == "__main__":
    main()
