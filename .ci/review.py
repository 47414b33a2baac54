"""Holds `oar review` against Python on the same records: each line against its published schema, the days of the worklist against datetime, the derived values against
tests/derived/derived.py, the clinic's curves against lifelines and its quantiles against numpy. Usage: review.py OAR_BINARY"""

import json
import random
import subprocess
import sys
import tempfile
import warnings
from collections import Counter
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import jsonschema
import lifelines
import lifelines.utils
import numpy as np

warnings.filterwarnings("ignore")
oar = str(Path(sys.argv[1]).resolve())
root = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(root / "tests/derived"))
import derived  # noqa: E402

schema = json.loads((root / "schema/review/v1/review.schema.json").read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)

COHORTS = [("general", 150, 71), ("live", 250, 72), ("low-wear", 50, 73), ("edge", 60, 74)]
DAYS_PER_RECORD = 3
compared = 0
wrong = []


def same(what, ours, theirs, within=1e-6):
    global compared
    compared += 1
    if ours is None or theirs is None or isinstance(theirs, (bool, str, date, list, dict)):
        right = ours == (theirs.isoformat() if isinstance(theirs, date) else theirs)
    else:
        right = abs(float(ours) - float(theirs)) <= within * max(1, abs(float(theirs)))
    if not right:
        wrong.append(f"{what}: {ours}, elsewhere {theirs}")


def run(*arguments):
    return subprocess.run([oar, *map(str, arguments)], check=True, capture_output=True, text=True).stdout


def review(path, *arguments):
    lines = [json.loads(line) for line in run("review", *arguments, "-o", "jsonl", path).splitlines()]
    for line in lines:
        validator.validate(line)
    return {line["id"]: line for line in lines}


# ---- derived values

PLACES = {"pace_days": 0.05, "irregularity_mm": 0.005, "bolton_percent": 0.005}


def compare_values(what, ours, theirs):
    ours = {"per_arch": None, **ours}  # left out when the arches do not differ
    theirs = {**theirs, "per_arch": json.loads(json.dumps(theirs["per_arch"], default=derived.plain))}
    assert set(ours) == set(theirs), set(ours) ^ set(theirs)
    for name, value in theirs.items():
        mine = ours[name]
        if name in ("irregularity_mm", "bolton_percent"):
            for part, one, other in zip(("first", "second"), mine, value):
                same(f"{what}, {name}, {part}", one, other, PLACES[name])
        else:
            same(f"{what}, {name}", mine, value, PLACES.get(name, 1e-9))


def compare_days(what, record, line):
    """What the worklist says of days, by datetime alone."""
    today, values = date.fromisoformat(line["day"]), line["values"]
    first = record["wear_periods"][0]["from"] if record["wear_periods"] else None
    begun = first is not None and date.fromisoformat(first) <= today
    same(f"{what}, treatment_day", values["treatment_day"], (today - date.fromisoformat(first)).days if begun else None)
    due = values["tray_due"] and date.fromisoformat(values["tray_due"])
    same(f"{what}, days_overdue", values["days_overdue"], (today - due).days if due and due < today else None)
    for signal in line["signals"]:
        if signal["signal"] in ("overdue", "change_due"):
            same(f"{what}, {signal['signal']}", signal["args"]["due"], due)
        if signal["signal"] == "overdue":
            same(f"{what}, overdue, days", signal["args"]["days"], (today - due).days)
    if line["finish"]:
        for name, span in line["finish"].items():
            if isinstance(span, dict):
                low, high = date.fromisoformat(span["low"]), date.fromisoformat(span["high"])
                same(f"{what}, {name}, in order", today <= low <= high, True)


def compare_records(what, path, records):
    lines = review(path)
    for id, record in records.items():
        compare_days(f"{what} {id}", record, lines[id])
        compare_values(f"{what} {id}", lines[id]["values"], derived.derived(record))
    return lines


def compare_earlier(what, path, records):
    """The same on earlier days, drawn by a fixed seed; each run of the command is of one day for all records."""
    draw = random.Random(what)
    known = sorted(derived.day_of(record["source"]["exported_at"]) for record in records.values())
    begun = min(date.fromisoformat(record["wear_periods"][0]["from"]) for record in records.values() if record["wear_periods"])
    for _ in range(DAYS_PER_RECORD):
        day = begun + timedelta(days=draw.randrange((known[-1] - begun).days))
        lines = review(path, "--as-of", day)
        for id, record in records.items():
            on = min(day, derived.day_of(record["source"]["exported_at"]))
            same(f"{what} {id} as of {day}, day", lines[id]["day"], on)
            compare_days(f"{what} {id} as of {day}", record, lines[id])
            compare_values(f"{what} {id} as of {day}", lines[id]["values"], derived.derived(record, on))


# ---- arches on different trays, which no generated clinic has


def hold_back(record, draw):
    """The record with one arch a tray behind the other, or waiting with its last tray, made anew; None where that does not suit."""
    worn = record["wear_periods"]
    if len(worn) < 2 or any(one["arches"] != "both" for one in worn[-2:]) or "to" in worn[-1]:
        return None
    before, last = worn[-2:]
    if before["series"] != last["series"] or before.get("ended") != "advanced":
        return None
    on, behind = draw.sample(["upper", "lower"], 2)
    stays = {name: value for name, value in before.items() if name not in ("to", "ended")}
    parts = [{**before, "arches": on}, {**stays, "arches": behind}, {**last, "arches": on}]
    since = date.fromisoformat(last["from"])
    days = (derived.day_of(record["source"]["exported_at"]) - since).days
    if days > 1 and draw.random() < 0.5:
        again = (since + timedelta(days=draw.randrange(1, days))).isoformat()
        parts[1].update({"to": again, "ended": "lost"})
        parts.append({**stays, "arches": behind, "from": again})
    if draw.random() < 0.5:  # the plan ends there, so the arch waits
        series = next(one for one in record["series"] if one["number"] == last["series"])
        series["trays"][behind] = before["tray"]
        for name in ("movements", "attachments"):
            for one in series.get(name, []):
                if ((one["tooth"] // 10) % 4 in (1, 2)) == (behind == "upper"):
                    one["to_tray"] = min(one["to_tray"], before["tray"])
                    one["from_tray"] = min(one["from_tray"], one["to_tray"])
    record["wear_periods"] = worn[:-2] + parts
    return record


def compare_apart(folder):
    draw = random.Random("arches")
    path = Path(folder) / "apart.oar.jsonl"
    run("generate", "--recipe", "live", "--patients", 400, "--seed", 75, "--output", path)
    made = [hold_back(json.loads(line), draw) for line in path.read_text(encoding="utf-8").splitlines()]
    made = {record["id"]: record for record in made if record}
    path.write_text("".join(json.dumps(record) + "\n" for record in made.values()), encoding="utf-8")
    done = subprocess.run([oar, "review", "-o", "jsonl", str(path)], capture_output=True, text=True, check=False)
    records = {record["id"]: record for record in derived.records(path)}
    told = 0
    for line in map(json.loads, done.stdout.splitlines()):
        if line["type"] != "review":
            continue
        validator.validate(line)
        told += "per_arch" in line["values"]
        compare_values(f"apart {line['id']}", line["values"], derived.derived(records[line["id"]]))
    print(f"{told} of {len(made)} records with arches apart")
    assert told > 100, told


# ---- the clinic's numbers


def compare_curve(what, told, durations, events):
    fitter = lifelines.KaplanMeierFitter(alpha=0.05).fit(durations, events)
    bounds, known = fitter.confidence_interval_survival_function_, fitter.event_table
    steps = {step["day"]: step for step in told["steps"]}
    for day in known.index[known["observed"] > 0]:
        step = steps[int(day)]
        same(f"{what}, day {day}, at risk", step["at_risk"], known.loc[day, "at_risk"])
        same(f"{what}, day {day}, events", step["events"], known.loc[day, "observed"])
        same(f"{what}, day {day}", step["without"], fitter.predict(day))
        if 0 < step["without"] < 1:
            same(f"{what}, day {day}, lower end", step["low"], bounds.loc[day].iloc[0])
            same(f"{what}, day {day}, upper end", step["high"], bounds.loc[day].iloc[1])
    median = fitter.median_survival_time_
    same(f"{what}, median", told["median"] and told["median"]["day"], None if np.isinf(median) else int(median))
    same(f"{what}, n", told["n"], len(durations))


def compare_tally(what, told, values):
    same(f"{what}, n", told["n"], len(values))
    if values:
        same(f"{what}, mean", told["mean"], np.mean(values))
    if len(values) > 1:
        same(f"{what}, sd", told["sd"], np.std(values, ddof=1))
    for row in told["quantiles"]:
        same(f"{what}, quantile {row['p']}", row["value"], np.quantile(values, row["p"]) if values else None)


def compare_clinic(what, path, records, lines):
    told = json.loads(run("review", "-o", "json", path))
    same(f"{what}, reviewed", told["reviewed"], len(records))
    same(f"{what}, states", told["states"], dict(Counter(record["status"]["state"] for record in records.values())))
    priorities = Counter(line["priority"] for line in lines.values() if line["priority"])
    same(f"{what}, priorities", told["priorities"], {priority: priorities[priority] for priority in ("today", "this_week", "next_contact")})
    signals = Counter(name for line in lines.values() for name in {one["signal"] for one in line["signals"]})
    same(f"{what}, signals", told["signals"], dict(signals))
    values = [derived.derived(record) for record in records.values()]
    for name in ("wear_share", "days_logged"):
        percent = [float(Fraction(value[name]) * 100) for value in values if value[name] is not None]
        # The command counts hundredths of a percent.
        compare_tally(f"{what}, {name}", told[f"{name}_percent"], [np.floor(one * 100 + 0.5) / 100 for one in percent])
    lagging = Counter(str(one["tooth"]) for value in values for one in value["lagging_teeth"] or [])
    same(f"{what}, lagging", told["lagging"], dict(lagging))
    gaps = {}
    for record in records.values():
        for gap in (record.get("check_ins") or [{}])[-1].get("fit_gaps", []):
            gaps.setdefault(str(gap["tooth"]), []).append(float(gap["gap_mm"]))
    same(f"{what}, teeth with gaps", sorted(told["gap_mm"]), sorted(gaps))
    for tooth, of_tooth in gaps.items():
        compare_tally(f"{what}, gap of {tooth}", told["gap_mm"][tooth], of_tooth)
    compare_times(what, told, records)


def compare_times(what, told, records):
    finish, refinement, refinements = [], [], []
    for record in records.values():
        over = record["status"]["state"] not in ("planned", "active", "paused")
        numbers = [series for series in record["series"] if series["number"] > 0]
        if not record["wear_periods"]:
            continue
        if over:
            refinements.append(len(numbers))
        start = date.fromisoformat(record["wear_periods"][0]["from"])
        end = date.fromisoformat(record["status"]["since"]) if over else derived.day_of(record["source"]["exported_at"])
        finish.append(((end - start).days, record["status"]["state"] == "finished"))
        scans = [date.fromisoformat(series["scanned_on"]) for series in numbers if "scanned_on" in series]
        refinement.append((((min(scans) if scans else end) - start).days, bool(scans)))
    compare_curve(f"{what}, finish", told["days_to_finish"], *zip(*finish))
    compare_curve(f"{what}, refinement", told["days_to_refinement"], *zip(*refinement))
    compare_tally(f"{what}, refinements", told["refinements"], refinements)


def main():
    with tempfile.TemporaryDirectory() as folder:
        for recipe, patients, seed in COHORTS:
            path = Path(folder) / f"{recipe}.oar.jsonl"
            run("generate", "--recipe", recipe, "--patients", patients, "--seed", seed, "--output", path)
            records = {record["id"]: record for record in derived.records(path)}
            assert len(records) == patients
            lines = compare_records(recipe, path, records)
            compare_clinic(recipe, path, records, lines)
            compare_earlier(recipe, path, records)
        compare_apart(folder)
    for line in wrong[:40]:
        print(line)
    print(f"{compared} numbers compared, {len(wrong)} differ")
    sys.exit(1 if wrong or compared < 10_000 else 0)


main()
