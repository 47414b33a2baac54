#!/usr/bin/env python3
"""Counts what the given `oar` does on inputs of three sizes, and fails where the work grows faster than the input.

    .ci/linear.py target/release/oar [--only TEXT] [--jobs 2] [--sweep]

Instructions, counted by valgrind, are the same in every run, however busy the machine is. Each case is made of n, 2n and 4n
entries. When the work is linear, the second step costs twice the first; more than 2.4 times fails. A case is one line of a
table below: its name, how its files are made of n, n, and the arguments. `--sweep` tries every list of the base record with
every kind of damage in every field, which takes an hour.
"""

import argparse
import copy
import datetime
import json
import os
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BASE = json.loads((ROOT / "tests/base.oar.json").read_text())
#: How much dearer the second step may be than the first; 2 is linear, 4 quadratic.
MOST = 2.4
#: Steps of less work than this say nothing: buffers that grow are as dear.
LEAST = 3_000_000

TEETH = [quadrant * 10 + place for quadrant in (1, 2, 3, 4) for place in range(1, 9)]


# How files are made.

def record(**changes):
    """The base record with changes; `a__b` is field b of a."""
    made = copy.deepcopy(BASE)
    for name, value in changes.items():
        *way, last = name.split("__")
        inside = made
        for step in way:
            inside = inside[int(step) if step.isdigit() else step]
        inside[last] = value
    return made


def named(prefix, n, value=1):
    return {f"{prefix}{i:06}": value for i in range(n)}


def day(i):
    return (datetime.date(2031, 2, 3) + datetime.timedelta(days=i)).isoformat()


def entries(n, entry, **changing):
    """n copies of an entry; of each changing field the value is made from the place."""
    return [{**entry, **{name: make(i) for name, make in changing.items()}} for i in range(n)]


def one(made):
    """One record, in a file."""
    return {"r.oar.json": json.dumps(made)}


def lines(made):
    """Records, one a line."""
    return {"r.oar.jsonl": "".join(json.dumps(record) + "\n" for record in made)}


def nested(n, deep=60):
    """n values, each in as many lists as may be open."""
    return [json.loads("[" * deep + "1" + "]" * deep) for _ in range(n)]


WORN, DELIVERY, LOG = BASE["wear_periods"][0], BASE["deliveries"][0], BASE["wear_log"][0]
CHECK_IN, EVENT, VISIT, COMFORT = BASE["check_ins"][0], BASE["attachment_events"][0], BASE["appointments"][0], BASE["comfort"][0]
SERIES, ASSESSMENT = BASE["series"][0], BASE["assessments"][0]
MOVEMENT, ATTACHMENT = SERIES["movements"][0], SERIES["attachments"][0]
REDUCTION = SERIES["interproximal_reductions"][0]


def plan(n, **fields):
    """A record whose first series has lists of n entries."""
    return record(series=[{**SERIES, **fields}, BASE["series"][1]])


def bad_days(n):
    return entries(n, LOG, date=lambda i: "Monday")


#: name, files of n, n
CHECKS = [
    ("unknown names", lambda n: one(record(**named("k", n))), 250),
    ("unknown names that are like known ones", lambda n: one(record(**named("worn_", n))), 250),
    ("unknown names in each of many entries", lambda n: one(record(wear_log=entries(n, LOG, colour=day))), 250),
    ("one name over and over", lambda n: {"r.oar.json": json.dumps(BASE)[:-1] + ', "id": 1' * n + "}"}, 500),
    ("one unknown name over and over", lambda n: {"r.oar.json": json.dumps(BASE)[:-1] + ', "x": 1' * n + "}"}, 500),
    ("unknown values, deep", lambda n: one(record(x=nested(n))), 250),
    ("repeated names, deep in an unknown value",
     lambda n: {"r.oar.json": json.dumps(BASE)[:-1] + ', "x": [' + ",".join(['{"a":1,"a":2}'] * n) + "]}"}, 500),
    ("bad names of extensions", lambda n: one(record(extensions=named("k", n))), 500),
    ("good names of extensions", lambda n: one(record(extensions=named("org.example.k", n))), 1000),
    ("a long name", lambda n: one({**BASE, "k" * n: 1}), 100_000),
    ("a long name of underscores", lambda n: one({**BASE, "_" * n: 1}), 100_000),
    ("a long name of an extension", lambda n: one(record(extensions={"k" * n: 1})), 100_000),
    ("a long id", lambda n: one(record(id="k" * n, wear_log=bad_days(n // 100))), 50_000),
    ("a long text", lambda n: one(record(patient__time_zone="k" * n, source__system="é" * n)), 10_000),
    ("a long note", lambda n: one(record(check_ins__0__note="call 0 " * n)), 10_000),
    ("a long number", lambda n: {"r.oar.json": json.dumps(BASE).replace("1320", "1" * n, 1)}, 100_000),
    ("long decimals", lambda n: {"r.oar.json": json.dumps(BASE).replace("0.84", "0." + "1" * n, 1)}, 100_000),
    ("numbers too large", lambda n: one(record(x=[10**20] * n)), 500),
    ("noncharacters", lambda n: one(record(x=["\ufffe"] * n)), 500),
    ("no list", lambda n: one(record(wear_periods={"from": named("k", n)})), 1000),
    ("more series than may be", lambda n: one(record(series=entries(n, SERIES, number=lambda i: i))), 100),
    ("more entries than may be", lambda n: one(record(wear_periods=entries(n, WORN))), 5001),
    ("movements with teeth of another notation", lambda n: one(plan(n, movements=entries(n, MOVEMENT, tooth=lambda i: i % 32 + 1))), 500),
    ("movements with one bad tooth each", lambda n: one(plan(n, movements=entries(n, MOVEMENT, tooth=lambda i: 99))), 500),
    ("minutes in seconds", lambda n: one(record(wear_log=entries(n, LOG, minutes=lambda i: 70000 + i % 99))), 500),
    ("minutes in hours", lambda n: one(record(wear_log=entries(n, LOG, minutes=lambda i: 21.5))), 500),
    ("wrong types in a log", lambda n: one(record(wear_log=entries(n, LOG, minutes=lambda i: "x"))), 500),
    ("nulls in a log", lambda n: one(record(wear_log=entries(n, LOG, minutes=lambda i: None))), 500),
    ("unknown words in a log", lambda n: one(record(wear_log=entries(n, LOG, source=lambda i: "wrist"))), 250),
    ("no days in a log", lambda n: one(record(wear_log=bad_days(n))), 500),
    ("a log with one day over and over", lambda n: one(record(wear_log=entries(n, LOG))), 1000),
    ("a log backwards", lambda n: one(record(wear_log=entries(n, LOG, date=lambda i: day(-i)))), 1000),
    ("a log in order", lambda n: one(record(wear_log=entries(n, LOG, date=day))), 1000),
    ("comfort backwards", lambda n: one(record(comfort=entries(n, COMFORT, date=lambda i: day(-i)))), 1000),
    ("records with findings", lambda n: lines([record(id=f"QM-{i}", sex=1) for i in range(n)]), 10),
    ("records without findings", lambda n: lines([record(id=f"QM-{i}") for i in range(n)]), 25),
    ("one record over and over", lambda n: lines([BASE] * n), 25),
    ("one patient over and over", lambda n: lines([record(id=f"QM-{i}", patient__birth_year=1990 + i % 9) for i in range(n)]), 50),
    ("lines that are no JSON", lambda n: {"r.oar.jsonl": "{\n" * n}, 1000),
    ("an object that is cut short", lambda n: {"r.oar.json": json.dumps(record(**named("k", n)))[:-1]}, 5000),
    ("many files", lambda n: {f"{i}.oar.json": "{}" for i in range(n)}, 100),
    ("one line each", lambda n: {"r.oar.json": json.dumps(record(wear_log=bad_days(n)), indent=1)}, 500),
]

#: As above, with lists that the rules look at: within the bounds of the format.
RULES = [
    ("worn: one tray over and over", lambda n: one(record(wear_periods=entries(n, WORN))), 500),
    ("worn: tray after tray", lambda n: one(record(wear_periods=entries(n, WORN, **{"from": day, "to": lambda i: day(i + 1), "tray": lambda i: i % 6 + 1}))), 500),
    ("worn: backwards", lambda n: one(record(wear_periods=entries(n, WORN, **{"from": lambda i: day(-(i % 200)), "to": lambda i: day(-(i % 200) - 3)}))), 500),
    ("worn: out of order", lambda n: one(record(wear_periods=entries(n, WORN, **{"from": lambda i: day(-(i % 200)), "to": lambda i: day(-(i % 200) + 3)}))), 500),
    ("worn: beyond the series", lambda n: one(record(wear_periods=entries(n, WORN, tray=lambda i: 200))), 500),
    ("worn: beyond the plan", lambda n: one(record(wear_periods=entries(n, WORN, series=lambda i: i % 40 + 5))), 500),
    ("worn: with gaps", lambda n: one(record(wear_periods=entries(n, WORN, **{"from": lambda i: day(i * 40), "to": lambda i: day(i * 40 + 7)}))), 250),
    ("worn: never ended", lambda n: one(record(wear_periods=[{k: v for k, v in w.items() if k not in ("to", "ended")} for w in entries(n, WORN, **{"from": day})])), 500),
    ("worn: one arch", lambda n: one(record(wear_periods=entries(n, WORN, arches=lambda i: "upper", **{"from": lambda i: day(9 * i), "to": lambda i: day(9 * i + 9)}))), 500),
    ("deliveries: one over and over", lambda n: one(record(deliveries=entries(n, DELIVERY))), 200),
    ("deliveries: beyond the series", lambda n: one(record(deliveries=entries(n, DELIVERY, to_tray=lambda i: 200))), 200),
    ("deliveries: after the trays", lambda n: one(record(deliveries=entries(n, DELIVERY, on=lambda i: "2031-05-01"))), 200),
    ("check-ins: one over and over", lambda n: one(record(check_ins=entries(n, CHECK_IN))), 500),
    ("check-ins: of another tray", lambda n: one(record(check_ins=entries(n, CHECK_IN, tray=lambda i: 5))), 500),
    ("check-ins: holds", lambda n: one(record(check_ins=entries(n, CHECK_IN, decision=lambda i: {"kind": "hold", "days": 2}, fit_gaps=lambda i: [{"tooth": 13, "gap_mm": 0}]))), 500),
    ("check-ins: over gaps", lambda n: one(record(check_ins=entries(n, CHECK_IN, fit_gaps=lambda i: [{"tooth": 13, "gap_mm": 1.2}]))), 500),
    ("check-ins: with attachments off", lambda n: one(record(check_ins=entries(n, CHECK_IN, attachments_debonded=lambda i: [f"X{i}"]))), 500),
    ("events: one over and over", lambda n: one(record(attachment_events=entries(n, EVENT))), 500),
    ("events: unknown attachments", lambda n: one(record(attachment_events=entries(n, EVENT, attachment=lambda i: f"X{i}"))), 500),
    ("events: removed twice", lambda n: one(record(attachment_events=entries(n, EVENT, event=lambda i: "removed"))), 500),
    ("events: lost first", lambda n: one(record(attachment_events=entries(n, EVENT, event=lambda i: "debonded"))), 500),
    ("events: out of order", lambda n: one(record(attachment_events=entries(n, EVENT, on=lambda i: day(-(i % 200))))), 500),
    ("attachments: one id over and over", lambda n: one(plan(n, attachments=entries(n, ATTACHMENT))), 100),
    ("attachments: many", lambda n: one(plan(n, attachments=entries(n, ATTACHMENT, id=lambda i: f"A{i}"))), 100),
    ("movements: one over and over", lambda n: one(plan(n, movements=entries(n, MOVEMENT))), 500),
    ("movements: of all teeth", lambda n: one(plan(n, movements=entries(n, MOVEMENT, tooth=lambda i: TEETH[i % 32]))), 500),
    ("movements: outside the trays", lambda n: one(plan(n, movements=entries(n, MOVEMENT, to_tray=lambda i: 100))), 500),
    ("movements: empty", lambda n: one(plan(n, movements=[{"tooth": 11, "from_tray": 1, "to_tray": 2}] * n)), 500),
    ("reductions: one over and over", lambda n: one(plan(n, reductions=entries(n, REDUCTION))), 50),
    ("visits: one over and over", lambda n: one(record(appointments=entries(n, VISIT))), 300),
    ("visits: without purpose", lambda n: one(record(appointments=entries(n, {"on": "2031-02-03", "reason": "review", "attended": True, "procedures": []}, on=day))), 300),
    ("visits: backwards", lambda n: one(record(appointments=entries(n, VISIT, on=lambda i: day(-i)))), 300),
    ("assessments: one over and over", lambda n: one(record(assessments=entries(n, ASSESSMENT))), 50),
    ("series: many", lambda n: one(record(series=entries(n, {**SERIES, "interproximal_reductions": []}, number=lambda i: i))), 12),
    ("series: backwards", lambda n: one(record(series=entries(n, {**SERIES, "interproximal_reductions": []}, number=lambda i: 50 - i))), 12),
]

WAIVER = '[[waiver]]\nrecord = "{0}"\nrule = "not_a_date"\nat = "{1}"\nreason = "known"\n'
FINDINGS = ["--output", "jsonl=report.jsonl"]


def settings(text, **more):
    return lambda n: {"oar.toml": text(n), "r.oar.json": "{}", **{name: make(n) for name, make in more.items()}}


def waivers(of, at):
    text = lambda n: "".join(WAIVER.format(of(i), at(i)) for i in range(n))
    return lambda n: {"oar-waivers.toml": text(n), **one(record(wear_log=bad_days(n)))}


def report(n):
    head = '{"type":"run","format":"open-aligner-record findings","version":"1.0"}\n'
    line = {"type": "finding", "rule": "not_a_date", "level": "error", "file": "r", "line": 1, "column": 1, "pointer": "", "message": "m"}
    told = "".join(json.dumps({**line, "fingerprint": f"{i:032x}"}) + "\n" for i in range(n))
    return {"old.jsonl": head + told + '{"type":"summary"}\n', "new.jsonl": head + told + '{"type":"summary"}\n'}


def baseline(n):
    head = '{"type":"baseline","format":"open-aligner-record baseline","version":"1.0"}\n'
    line = '{{"rule":"not_a_date","fingerprint":"{:032x}","count":1}}\n'
    return {"known.jsonl": head + "".join(line.format(i) for i in range(n)), **one(record(wear_log=bad_days(n)))}


CHECK = ["check", "--threads", "1", "."]
#: name, files of n, n, arguments
COMMANDS = [
    ("settings: unknown levels", settings(lambda n: "[levels]\n" + "".join(f'k{i:06} = "off"\n' for i in range(n))), 100, CHECK),
    ("settings: unknown limits", settings(lambda n: "[limits]\n" + "".join(f"k{i:06} = 1\n" for i in range(n))), 200, CHECK),
    ("settings: unknown signals", settings(lambda n: "[signals]\n" + "".join(f'k{i:06} = "off"\n' for i in range(n))), 200, CHECK),
    ("settings: unknown keys", settings(lambda n: "".join(f"k{i:06} = 1\n" for i in range(n))), 500, CHECK),
    ("settings: excludes", settings(lambda n: "exclude = [\n" + "".join(f'"k{i:06}",\n' for i in range(n)) + "]\n"), 2000, CHECK),
    ("settings: excludes on one line", settings(lambda n: "exclude = [" + "".join(f'"k{i:06}",' for i in range(n)) + "]\n"), 2000, CHECK),
    ("settings: excludes and files", lambda n: {"oar.toml": "exclude = [" + "".join(f'"k{i:06}",' for i in range(n)) + "]\n", **{f"{i}.oar.json": "{}" for i in range(n)}}, 100, CHECK),
    ("settings: paths to be excluded", settings(lambda n: "exclude = [" + "".join(f'"a/k{i:06}",\n' for i in range(n)) + "]\n"), 500, CHECK),
    ("settings: profiles", settings(lambda n: "".join(f'[profile."k{i:06}".levels]\ntoo_long = "off"\n' for i in range(n))), 50, CHECK),
    ("settings: profiles and records", lambda n: {"oar.toml": "".join(f'[profile."k{i:06}".levels]\ntoo_long = "off"\n' for i in range(n)), **lines([record(source__system=f"k{i:06}") for i in range(n)])}, 50, CHECK),
    ("settings: bad profiles", settings(lambda n: "".join(f'[profile."k {i}".levels]\ntoo_long = "off"\n' for i in range(n))), 500, CHECK),
    ("settings: a key twice", settings(lambda n: "[levels]\n" + 'too_long = "off"\n' * n), 1000, CHECK),
    ("config: levels", settings(lambda n: "exclude = [" + "".join(f'"k{i:06}",\n' for i in range(n)) + "]\n"), 500, ["config"]),
    ("waivers: of one record, for each place", waivers(lambda i: "QM-0007", lambda i: f"/wear_log/{i}/date"), 200, CHECK),
    ("waivers: of other records", waivers(lambda i: f"k{i:06}", lambda i: "/**"), 200, CHECK),
    ("waivers: all the same", waivers(lambda i: "*", lambda i: "/**"), 200, CHECK),
    ("waivers: with unknown rules", lambda n: {"oar-waivers.toml": "".join(WAIVER.format("*", "/**").replace("not_a_date", f"k{i:06}") for i in range(n)), "r.oar.json": "{}"}, 100, CHECK),
    ("waivers: with unknown fields", lambda n: {"oar-waivers.toml": "[[waiver]]\n" + "".join(f"k{i:06} = 1\n" for i in range(n)), "r.oar.json": "{}"}, 200, CHECK),
    ("baseline", baseline, 300, ["check", "--threads", "1", "--baseline", "known.jsonl", "."]),
    ("baseline written", baseline, 300, ["check", "--threads", "1", "--write-baseline", "written.jsonl", "r.oar.json"]),
    *((f"output {form}", lambda n: lines([record(id=f"QM-{i}", wear_log=bad_days(10)) for i in range(n)]), 20,
       ["check", "--threads", "1", "--max-findings", "all", "--no-fold", "--output", form, "r.oar.jsonl"])
      for form in ("text", "brief", "jsonl", "sarif", "junit", "github", "gitlab", "overview", "overview-json", "overview-csv")),
    ("output text of one record", lambda n: one(record(**named("k", n))), 200, ["check", "--max-findings", "all", "--no-fold", "--output", "text", "r.oar.json"]),
    ("output text of one folded record", lambda n: one(record(wear_log=bad_days(n))), 300, ["check", "--output", "text", "r.oar.json"]),
    ("compare", report, 500, ["compare", "old.jsonl", "new.jsonl"]),
    ("repair: one name over and over", lambda n: {"r.oar.json": json.dumps(BASE)[:-1] + ', "id": "QM-0007"' * n + "}"}, 500, ["repair", "r.oar.json"]),
    ("repair: nulls", lambda n: one(record(wear_log=entries(n, LOG, removals=lambda i: None))), 300, ["repair", "--output", "-", "r.oar.json"]),
    ("repair: days", lambda n: one(record(wear_log=entries(n, LOG, date=lambda i: day(i).replace("-", "/")))), 400, ["repair", "--output", "-", "r.oar.json"]),
    ("repair: a list backwards", lambda n: one(record(wear_log=entries(n, LOG, date=lambda i: day(-i)))), 200, ["repair", "--output", "-", "r.oar.json"]),
    ("repair: what cannot be", lambda n: one(record(**named("k", n))), 100, ["repair", "--output", "-", "r.oar.json"]),
    ("repair: laid out", lambda n: one(record(x=nested(n, 20))), 200, ["repair", "--layout", "--output", "-", "r.oar.json"]),
    ("digest: names", lambda n: one(record(**named("k", n))), 500, ["digest", "r.oar.json"]),
    ("digest: records", lambda n: lines([BASE] * n), 20, ["digest", "r.oar.jsonl"]),
    ("review: records", lambda n: lines([record(id=f"QM-{i}", patient__id=f"P-{i}") for i in range(n)]), 20, ["review", "--threads", "1", "."]),
    ("review: a page", lambda n: lines([record(id=f"QM-{i}", patient__id=f"P-{i}") for i in range(n)]), 20, ["review", "--threads", "1", "--max-rows", "all", "--output", "html", "."]),
    ("review: a long log", lambda n: one(record(wear_log=entries(n, LOG, date=day))), 500, ["review", "--as-of", "2041-01-01", "."]),
    ("review: many trays", lambda n: one(record(wear_periods=entries(n, WORN, **{"from": day, "to": lambda i: day(i + 1), "tray": lambda i: i % 6 + 1}))), 300, ["review", "."]),
    ("realism", lambda n: lines([record(id=f"QM-{i}", patient__id=f"P-{i}") for i in range(n)]), 20, ["realism", "--threads", "1", "."]),
    ("edition", lambda n: lines([record(id=f"QM-{i}", wear_log=bad_days(9)) for i in range(n)]), 20, ["edition", "."]),
]


# How the work is counted.

def counted(oar, files, arguments):
    """The instructions of one run; the run may fail, but no signal may end it."""
    with tempfile.TemporaryDirectory(prefix="oar-linear-") as folder:
        for name, text in files.items():
            Path(folder, name).write_text(text)
        command = ["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null", "--log-file=count", oar, *arguments]
        run = subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        found = re.search(r"I\s+refs:\s+([\d,]+)", Path(folder, "count").read_text())
        if run.returncode not in (0, 1, 2) or found is None:
            sys.exit(f"valgrind could not count {arguments}: exit code {run.returncode}")
        return int(found[1].replace(",", ""))


def tried(oar, case):
    name, make, n, arguments = case
    counts = [counted(oar, make(size), arguments) for size in (n, 2 * n, 4 * n)]
    first, second = counts[1] - counts[0], counts[2] - counts[1]
    return name, counts, second / max(first, LEAST)


def sweep():
    """Every list of the base record, with each kind of damage in each field."""
    for way, entry in lists(BASE):
        yield from ((f"{'/'.join(map(str, way))} {name}", lambda n, way=way, make=make: one(put(BASE, way, make(n))), 300) for name, make in damages(entry))


def lists(value, way=()):
    if isinstance(value, dict):
        for name, inside in value.items():
            yield from lists(inside, (*way, name))
    elif isinstance(value, list):
        yield way, value[0] if value else 1
        if value:
            yield from lists(value[0], (*way, 0))


def fields(value, way=()):
    if isinstance(value, dict):
        for name, inside in value.items():
            yield from fields(inside, (*way, name))
    elif isinstance(value, list) and value:
        yield from fields(value[0], (*way, 0))
    else:
        yield way


def put(value, way, new):
    if not way:
        return new
    made = copy.copy(value)
    made[way[0]] = put(made[way[0]], way[1:], new)
    return made


def damages(entry):
    yield "the same", lambda n: [entry] * n
    for way in fields(entry):
        for name, wrong in (("null", None), ("object", {"x": 1}), ("text", "Zz 9"), ("decimals", 7.123), ("far", 99999999), ("list", [1])):
            yield f"{'/'.join(map(str, way))} {name}", lambda n, way=way, wrong=wrong: [put(entry, way, wrong)] * n


def main():
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("oar")
    arguments.add_argument("--only", default="")
    arguments.add_argument("--jobs", type=int, default=os.cpu_count())
    arguments.add_argument("--sweep", action="store_true")
    asked = arguments.parse_args()
    subprocess.run([ROOT / ".ci/install.sh", "valgrind"], check=True)
    brief = ["check", "--threads", "1", "--max-findings", "0", "--output", "brief", "."]
    checks = [(*case, brief) for case in (sweep() if asked.sweep else CHECKS + RULES)]
    cases = [case for case in checks + ([] if asked.sweep else COMMANDS) if asked.only in case[0]]
    oar, failed = str(Path(asked.oar).resolve()), 0
    with ThreadPoolExecutor(asked.jobs) as pool:
        for name, counts, ratio in pool.map(lambda case: tried(oar, case), cases):
            bad = ratio > MOST
            failed += bad
            millions = ", ".join(f"{count / 1e6:,.0f}" for count in counts)
            print(f"{'FAILS' if bad else 'ok   '} x{ratio:4.2f}  {name}  ({millions} million)", flush=True)
    print(f"{len(cases) - failed} of {len(cases)} are linear")
    return min(failed, 1)


if __name__ == "__main__":
    sys.exit(main())
