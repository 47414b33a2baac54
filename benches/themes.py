#!/usr/bin/env python3
"""Counts the instructions of a full check, part by part: reading into rows, the facts of a record, each theme of rules.

Instructions, counted by valgrind's callgrind, are the same in every run, however busy the machine is. Needs valgrind and the
file that compare.py makes.

    python3 benches/themes.py [--records 1000] [--rules]
"""

import argparse
import subprocess
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORK = ROOT / "benches/work"
CRATE = "open_aligner_record"


def profile(records: int) -> Path:
    """Callgrind's counts of a check of the first records of the data."""
    some, counts = WORK / "some.oar.jsonl", WORK / "callgrind.out"
    with (WORK / "data.oar.jsonl").open("rb") as lines:
        some.write_bytes(b"".join(line for _, line in zip(range(records), lines)))
    command = ["valgrind", "--quiet", "--tool=callgrind", "--compress-strings=no", f"--callgrind-out-file={counts}"]
    check = [ROOT / "target/release/oar", "check", "--threads", "1", "--output", "brief", some]
    subprocess.run(command + check, check=True, stdout=subprocess.DEVNULL)
    return counts


def calls(counts: Path) -> tuple[int, Counter]:
    """All instructions, and those within each call from one function to another, what they call included."""
    caller, callee, takes, total, within = "", "", False, 0, Counter()
    for line in counts.read_text().splitlines():
        if line.startswith("fn="):
            caller = line[3:]
        elif line.startswith("cfn="):
            callee = line[4:]
        elif line.startswith("calls="):
            takes = True
        elif line and line[0] in "0123456789+-*":
            cost = int(line.split()[-1])
            if takes:
                within[caller, callee] += cost
            else:
                total += cost
            takes = False
    return total, within


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--records", type=int, default=1000)
    arguments.add_argument("--rules", action="store_true", help="each rule, not each theme")
    asked = arguments.parse_args()
    total, within = calls(profile(asked.records))
    parts = Counter()
    for (caller, callee), cost in within.items():
        path = callee.split("::")
        # Rules are called through pointers from one place.
        if caller.endswith("Checker::run_rules") and path[1:2] == ["rules"]:
            parts[f"rules: {path[-1] if asked.rules else path[2]}"] += cost
        elif callee.endswith("Rows::read_with"):
            parts["reading into rows"] += cost
    of_rules = sum(cost for name, cost in parts.items() if name.startswith("rules"))
    all_rules = sum(cost for (_, callee), cost in within.items() if callee.endswith("Checker::run_rules"))
    parts["facts of a record that rules ask for"] = all_rules - of_rules
    parts["everything else"] = total - sum(parts.values())
    print(f"{total / asked.records:,.0f} instructions a record\n")
    print("| part | share |\n|---|---|")
    for part, cost in parts.most_common():
        print(f"| {part} | {cost / total:.1%} |")


if __name__ == "__main__":
    main()
