#!/usr/bin/env python3
"""Derived values of an Open Aligner Record, written from docs/derived.md alone.

derived(record, day=None) gives all values by name; as_of(record, day) gives the record as it stood at the end of a day.
As a script: derived.py [--day YYYY-MM-DD] FILE... prints one JSON object for each record.
"""

import argparse
import json
import math
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import takewhile
from statistics import median

LAGGING_GAP_MM = Decimal("0.5")
SOURCES = ("sensor", "timer", "patient")  # what is measured comes before what is told
UPPER = (16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26)
LOWER = (46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36)
SUPPORTED = {  # the movements that a word of `supports` stands for: field and sign, 0 for either
    "mesial": ("mesial_mm", 1), "distal": ("mesial_mm", -1), "facial": ("facial_mm", 1), "lingual": ("facial_mm", -1),
    "extrusion": ("occlusal_mm", 1), "intrusion": ("occlusal_mm", -1),
    "rotation": ("rotation_deg", 0), "tip": ("tip_deg", 0), "torque": ("torque_deg", 0),
}


def day_of(text):
    """The calendar day that is written in a day or an instant."""
    return date.fromisoformat(text[:10])


def days_between(first, last):
    return (last - first).days


def as_of(record, day):
    """The record as it stood at the end of an earlier day."""
    if day >= day_of(record["source"]["exported_at"]):
        return record

    def until(entries, field):
        return [e for e in entries if field not in e or day_of(e[field]) <= day]

    then = dict(record)
    then["source"] = {**record["source"], "exported_at": f"{day}T23:59:59Z"}
    for name, field in (("worn", "from"), ("series", "scanned_on"), ("assessments", "on"), ("deliveries", "on"),
                        ("wear_log", "date"), ("check_ins", "at"), ("attachment_events", "on"), ("visits", "on"),
                        ("comfort", "date")):
        if name in record:
            then[name] = until(record[name], field)
    then["worn"] = [without(w, ["to", "ended"], w.get("to"), day) for w in then["worn"]]
    then["series"] = [without(s, ["ordered_on"], s.get("ordered_on"), day) for s in then["series"]]
    then["series"] = [without(s, ["achieved"], s.get("achieved", {}).get("on"), day) for s in then["series"]]
    if "extracted" in record["dentition"]:
        then["dentition"] = {**record["dentition"], "extracted": until(record["dentition"]["extracted"], "on")}
    then = without(then, ["status"], record["status"]["since"], day)
    return without(then, ["retention"], record.get("retention", {}).get("from"), day)


def without(entry, fields, on, day):
    """The entry without some fields when the day they tell of came later."""
    return {k: v for k, v in entry.items() if k not in fields} if on and day_of(on) > day else entry


def logged_minutes(record):
    """Minutes by logged day: the sensor's, else the timer's, else the patient's; of one source, the first."""
    best = {}
    for entry in record.get("wear_log", []):
        day, rank = day_of(entry["date"]), SOURCES.index(entry["source"])
        if day not in best or rank < best[day][0]:
            best[day] = (rank, entry["minutes"])
    return {day: minutes for day, (_, minutes) in sorted(best.items())}


def days_in(record, today):
    """The days on which a tray was in."""
    days = set()
    for stretch in record["worn"]:
        first = day_of(stretch["from"])
        end = day_of(stretch["to"]) if "to" in stretch else today + timedelta(days=1)
        days.update(first + timedelta(days=n) for n in range(days_between(first, end)))
    return days


def longest_low_run(minutes, floor):
    """The longest run of consecutive logged days under the floor."""
    longest = run = 0
    for day, worn in minutes.items():
        if day - timedelta(days=1) not in minutes:
            run = 0
        run = run + 1 if worn < floor else 0
        longest = max(longest, run)
    return longest


def wear_values(record, today):
    minutes, worn_days = logged_minutes(record), days_in(record, today)
    goal, floor = record["prescription"]["wear_goal_minutes"], record["prescription"]["wear_floor_minutes"]
    count = len(minutes)
    at_floor = sum(m >= floor for m in minutes.values())
    told = "wear_log" in record and worn_days
    return {
        "wear_share": Fraction(sum(minutes.values()), goal * count) if count and goal else None,
        "coverage": Fraction(len(worn_days & minutes.keys()), len(worn_days)) if told else None,
        "days_at_floor": Fraction(at_floor, count) if count else None,
        "low_run": longest_low_run(minutes, floor) if count else None,
    }


def current_stretch(record):
    worn = record["worn"]
    return worn[-1] if worn and "to" not in worn[-1] else None


def series_of(record, number):
    return next((s for s in record["series"] if s["number"] == number), None)


def due_day(record, stretch):
    """The day on which the tray of the current stretch is due, with its holds."""
    start = day_of(stretch["from"])
    held = sum(c["decision"].get("days", 0) for c in record.get("check_ins", [])
               if c["decision"]["kind"] == "hold" and day_of(c["at"]) >= start
               and (c["series"], c["tray"]) == (stretch["series"], stretch["tray"]))
    return start + timedelta(days=record["prescription"]["days_per_tray"] + held)


def pace(record, number):
    """The median days of the completed trays of a series."""
    days, completed = {}, set()
    for stretch in record["worn"]:
        if stretch["series"] == number and "to" in stretch:
            tray = stretch["tray"]
            days[tray] = days.get(tray, 0) + days_between(day_of(stretch["from"]), day_of(stretch["to"]))
            if stretch.get("ended") == "advanced":
                completed.add(tray)
    return median(Fraction(days[tray]) for tray in completed) if completed else None


def tray_values(record, today):
    stretch = current_stretch(record)
    names = ("tray_due", "days_over", "trays_left", "pace_days", "projected_end", "rescan_due")
    if stretch is None:
        return dict.fromkeys(names)
    series = series_of(record, stretch["series"])
    due = due_day(record, stretch)
    over = days_between(due, today)
    left = max(series["trays"]["upper"], series["trays"]["lower"]) - stretch["tray"] if series else None
    median_days = pace(record, stretch["series"])
    end = rescan = None
    if left is not None:
        rescan = left <= 3 and all(s["number"] <= stretch["series"] for s in record["series"])
        if median_days is not None:
            end = today + timedelta(days=math.ceil(max(-over, 0) + left * median_days))
    return dict(zip(names, (due, over if over > 0 else None, left, median_days, end, rescan)))


def reductions_due(record, series, tray):
    """The contacts whose planned reduction is due and not done."""
    scanned = series.get("scanned_on", "")  # days as text sort as days do
    done = {frozenset(r["between"]) for v in record.get("visits", []) if v["on"] >= scanned
            for r in v.get("reductions", [])}
    return [r["between"] for r in series.get("reductions", [])
            if r["before_tray"] <= tray + 1 and frozenset(r["between"]) not in done]


def lagging_teeth(record):
    """The teeth that lag at the latest check-in, each with the length of its row."""
    if not record.get("check_ins"):
        return None
    lagging = [[g["tooth"] for g in c.get("gaps", []) if g["gap_mm"] >= LAGGING_GAP_MM] for c in record["check_ins"]]

    def row_of(tooth):
        return len(list(takewhile(lambda teeth: tooth in teeth, reversed(lagging))))

    return [{"tooth": tooth, "check_ins": row_of(tooth)} for tooth in dict.fromkeys(lagging[-1])]


def is_off(record, number, attachment):
    """Whether an attachment of a series is off, by its last event and by the check-ins after that."""
    events = [e for e in record.get("attachment_events", [])
              if (e["series"], e["attachment"]) == (number, attachment)]
    last = max(reversed(events), key=lambda e: e["on"], default=None)  # the one listed last of the latest day
    if last and last["event"] in ("lost", "removed"):
        return last["event"] == "lost"
    return any(c["series"] == number and attachment in c.get("attachments_off", [])
               and (last is None or day_of(c["at"]) > day_of(last["on"])) for c in record.get("check_ins", []))


def moves_as(movement, word):
    """Whether a movement is one that a word of `supports` stands for."""
    field, sign = SUPPORTED[word]
    amount = movement.get(field, 0)
    return amount != 0 if sign == 0 else amount * sign > 0


def need(series, attachment, tray):
    """When an attachment is needed, seen from a tray: `now`, `later` or `not`."""
    moves = [m for m in series["movements"] if m["tooth"] == attachment["tooth"]]
    if "supports" in attachment:
        words = attachment["supports"]
        moves = [m for m in moves if any(moves_as(m, w) for w in words if w != "anchorage")]
        moves += [attachment] * ("anchorage" in words)
    if any(m["from_tray"] <= t <= m["to_tray"] for m in moves for t in (tray, tray + 1)):
        return "now"
    return "later" if any(max(m["from_tray"], tray + 2) <= m["to_tray"] for m in moves) else "not"


def mouth_values(record):
    stretch = current_stretch(record)
    series = series_of(record, stretch["series"]) if stretch else None
    due = off = None
    if series:
        due = reductions_due(record, series, stretch["tray"])
        off = [{"attachment": a["id"], "tooth": a["tooth"], "needed": need(series, a, stretch["tray"])}
               for a in series.get("attachments", []) if is_off(record, series["number"], a["id"])]
    return {"reductions_due": due, "lagging_teeth": lagging_teeth(record), "attachments_off": off}


def irregularity(record):
    first = next(iter(record.get("assessments", [])), {})
    offsets = first.get("contact_offsets_mm", {})
    return [sum(abs(x) for x in offsets[arch]) if arch in offsets else None for arch in ("upper", "lower")]


def bolton(record):
    widths = {}
    for crown in record["dentition"].get("crown_widths", []):
        widths.setdefault(crown["tooth"], Fraction(crown["width_mm"]))

    def ratio(lower, upper):
        if any(tooth not in widths for tooth in lower + upper):
            return None
        hundredths = 10000 * sum(widths[t] for t in lower) / sum(widths[t] for t in upper)
        return Fraction(math.floor(hundredths + Fraction(1, 2)), 100)

    return [ratio(LOWER, UPPER), ratio(LOWER[3:9], UPPER[3:9])]


def derived(record, day=None):
    """All values of docs/derived.md by name, in the order of that page; with a day, as they were on that day."""
    if day is not None:
        record = as_of(record, day)
    today = day_of(record["source"]["exported_at"])
    start = day_of(record["worn"][0]["from"]) if record["worn"] else None
    return {
        "treatment_day": days_between(start, today) if start else None,
        **wear_values(record, today),
        **tray_values(record, today),
        **mouth_values(record),
        "irregularity_mm": irregularity(record),
        "bolton_percent": bolton(record),
    }


def number(text):
    """A JSON number with a point or an exponent: whole when it is, else exact."""
    value = Decimal(text)
    return int(value) if value == value.to_integral_value() else value


def records(path):
    """The records of a file: one JSON document, or one a line."""
    with open(path, encoding="utf-8") as file:
        text = file.read()
    try:
        return [json.loads(text, parse_float=number)]
    except json.JSONDecodeError:
        return [json.loads(line, parse_float=number) for line in text.split("\n") if line.strip()]


def plain(value):
    return value.isoformat() if isinstance(value, date) else float(value)


def main():
    parser = argparse.ArgumentParser(description="Derived values of Open Aligner Records.")
    parser.add_argument("--day", type=date.fromisoformat, help="an earlier day, YYYY-MM-DD")
    parser.add_argument("files", nargs="+", metavar="FILE")
    options = parser.parse_args()
    for path in options.files:
        for record in records(path):
            print(json.dumps({"id": record["id"], "values": derived(record, options.day)}, default=plain))


if __name__ == "__main__":
    main()
