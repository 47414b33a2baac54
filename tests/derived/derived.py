#!/usr/bin/env python3
"""Derived values of an Open Aligner Record, written from docs/reference/derived.md alone.

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
ARCHES = ("upper", "lower")
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
    for name, field in (("wear_periods", "from"), ("series", "scanned_on"), ("assessments", "on"), ("deliveries", "on"),
                        ("wear_log", "on"), ("check_ins", "at"), ("attachment_events", "on"), ("appointments", "on"),
                        ("comfort", "on")):
        if name in record:
            then[name] = until(record[name], field)
    then["wear_periods"] = [without(w, ["to", "ended"], w.get("to"), day) for w in then["wear_periods"]]
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
        day, rank = day_of(entry["on"]), SOURCES.index(entry["source"])
        if day not in best or rank < best[day][0]:
            best[day] = (rank, entry["minutes"])
    return {day: minutes for day, (_, minutes) in sorted(best.items())}


def days_in(record, today):
    """The days on which a tray was in."""
    days = set()
    for stretch in record["wear_periods"]:
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
    goal, floor = record["prescription"]["wear_goal_minutes"], record["prescription"]["wear_minimum_minutes"]
    count = len(minutes)
    at_floor = sum(m >= floor for m in minutes.values())
    told = "wear_log" in record and worn_days
    return {
        "wear_share": Fraction(sum(minutes.values()), goal * count) if count and goal else None,
        "days_logged": Fraction(len(worn_days & minutes.keys()), len(worn_days)) if told else None,
        "days_at_minimum": Fraction(at_floor, count) if count else None,
        "low_run": longest_low_run(minutes, floor) if count else None,
    }


def series_of(record, number):
    return next((s for s in record["series"] if s["number"] == number), None)


def stretches(record, arch):
    return [w for w in record["wear_periods"] if w["arches"] in (arch, "both")]


def tray_of(stretch):
    return stretch["series"], stretch["tray"]


def current_stretches(record):
    """The current stretch of each arch that has one, by arch."""
    last = {arch: stretches(record, arch)[-1:] for arch in ARCHES}
    return {arch: of[0] for arch, of in last.items() if of and "to" not in of[0]}


def distinct(current):
    """The current stretches, of which those of one series, tray and first day count as one."""
    return {(*tray_of(w), w["from"]): w for w in current.values()}


def trays_after(record, arch, stretch):
    """Trays of the arch after that of a stretch, in the series of the stretch."""
    return max(series_of(record, stretch["series"])["trays"][arch] - stretch["tray"], 0)


def leading_arch(record):
    """The arch whose current stretch speaks for the record."""
    current = current_stretches(record)

    def rank(arch):
        stretch = current[arch]
        first = min(w["from"] for w in stretches(record, arch) if tray_of(w) == tray_of(stretch))
        return trays_after(record, arch, stretch), first, stretch["series"]

    return max((arch for arch in ARCHES if arch in current), key=rank, default=None)  # of equal ones the first


def current_stretch(record):
    return current_stretches(record).get(leading_arch(record))


def due_day(record, stretch, last=date.max):
    """The day on which the tray of a stretch is due, with its holds up to a day."""
    start = day_of(stretch["from"])
    held = sum(c["decision"].get("days", 0) for c in record.get("check_ins", [])
               if c["decision"]["kind"] == "hold" and start <= day_of(c["at"]) <= last
               and tray_of(c) == tray_of(stretch))
    return start + timedelta(days=record["prescription"]["change_interval_days"] + held)


def pace(record, number, arch):
    """The median days of the completed trays of a series in an arch."""
    days, completed = {}, set()
    for stretch in stretches(record, arch):
        if stretch["series"] == number and "to" in stretch:
            tray = stretch["tray"]
            days[tray] = days.get(tray, 0) + days_between(day_of(stretch["from"]), day_of(stretch["to"]))
            if stretch.get("ended") == "advanced":
                completed.add(tray)
    return median(Fraction(days[tray]) for tray in completed) if completed else None


def has_later(record, number, arch):
    return any(s["number"] > number and s["trays"][arch] for s in record["series"])


def finished_on(record, arch, today):
    """The day on which an arch was through with its trays."""
    own = stretches(record, arch)
    if not own or own[-1]["tray"] != series_of(record, own[-1]["series"])["trays"][arch]:
        return None
    if has_later(record, own[-1]["series"], arch):
        return None
    days = []
    for stretch in own:
        if tray_of(stretch) == tray_of(own[-1]):
            end = day_of(stretch["to"]) if "to" in stretch else today
            due = due_day(record, stretch, end)
            days += [due] if due <= end else []
    if days:
        return min(days)
    went_on = own[-1].get("ended") in ("advanced", "replaced_by_series")
    return day_of(own[-1]["to"]) if went_on else None


def arch_values(record, arch, today):
    """Where one arch is; None when the treatment is not of it."""
    own, current = stretches(record, arch), current_stretches(record).get(arch)
    series = series_of(record, (own[-1] if own else current_stretch(record))["series"])
    if not own and not series["trays"][arch]:
        return None
    finished = finished_on(record, arch, today)
    left = due = end = None
    if current:
        left, due = trays_after(record, arch, current), due_day(record, current)
        days = pace(record, series["number"], arch) if left else 0
        if finished is None and days is not None:
            end = today + timedelta(days=math.ceil(max(days_between(today, due), 0) + left * days))
        if not left and not has_later(record, series["number"], arch):
            due = None
    elif finished:
        left = 0
    return {"arch": arch, "series": series["number"], "trays": series["trays"][arch],
            "tray": current["tray"] if current else None, "left": left, "due": due,
            "projected_end": end, "finished_on": finished}


def per_arch(record, today):
    """Where each arch is, when the arches differ."""
    current = current_stretches(record)
    if not current:
        return None
    trays = series_of(record, current_stretch(record)["series"])["trays"]
    if len(current) == 2 and len(distinct(current)) == 1 and trays["upper"] == trays["lower"]:
        return None
    both = [arch_values(record, arch, today) for arch in ARCHES]
    return both if all(both) else None


def tray_values(record, today):
    names = ("tray_due", "days_overdue", "trays_left", "pace_days", "projected_end", "per_arch", "rescan_due")
    current, arch = current_stretches(record), leading_arch(record)
    if arch is None:
        return dict.fromkeys(names)
    stretch, number = current[arch], current[arch]["series"]
    due = due_day(record, stretch)
    if len(distinct(current)) > 1:
        due = min((due_day(record, w) for a, w in current.items() if trays_after(record, a, w)), default=due)
    over = days_between(due, today)
    left, days = trays_after(record, arch, stretch), pace(record, number, arch)
    differ = per_arch(record, today)
    end = today + timedelta(days=math.ceil(max(-over, 0) + left * days)) if days is not None else None
    if differ:
        ends = [one["projected_end"] or (one["finished_on"] and today) for one in differ if one["tray"] is not None]
        end = max(ends) if all(ends) else None
    rescan = left <= 3 and all(s["number"] <= number for s in record["series"])
    return dict(zip(names, (due, over if over > 0 else None, left, days, end, differ, rescan)))


def tooth_tray(record, number, tooth):
    """The tray with which a tooth of a series is looked at; None when it is left out."""
    current = current_stretches(record)
    arch = "upper" if tooth // 10 in (1, 2, 5, 6) else "lower"
    stretch = current.get(arch) or current_stretch(record)
    return stretch["tray"] if stretch["series"] == number else None


def reductions_due(record, series):
    """The contacts whose planned reduction is due and not done."""
    scanned = series.get("scanned_on", "")  # days as text sort as days do
    done = {frozenset(r["between"]) for v in record.get("appointments", []) if v["on"] >= scanned
            for r in v.get("interproximal_reductions", [])}
    trays = [tooth_tray(record, series["number"], r["between"][0]) for r in series.get("interproximal_reductions", [])]
    return [r["between"] for r, tray in zip(series.get("interproximal_reductions", []), trays)
            if tray is not None and r["before_tray"] <= tray + 1 and frozenset(r["between"]) not in done]


def lagging_teeth(record):
    """The teeth that lag at the latest check-in, each with the length of its row."""
    if not record.get("check_ins"):
        return None
    lagging = [[g["tooth"] for g in c.get("fit_gaps", []) if g["gap_mm"] >= LAGGING_GAP_MM] for c in record["check_ins"]]

    def row_of(tooth):
        return len(list(takewhile(lambda teeth: tooth in teeth, reversed(lagging))))

    return [{"tooth": tooth, "check_ins": row_of(tooth)} for tooth in dict.fromkeys(lagging[-1])]


def is_off(record, number, attachment):
    """Whether an attachment of a series is off, by its last event and by the check-ins after that."""
    events = [e for e in record.get("attachment_events", [])
              if (e["series"], e["attachment"]) == (number, attachment)]
    last = max(reversed(events), key=lambda e: e["on"], default=None)  # the one listed last of the latest day
    if last and last["event"] in ("debonded", "removed"):
        return last["event"] == "debonded"
    return any(c["series"] == number and attachment in c.get("attachments_debonded", [])
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


def attachments_debonded(record, series):
    trays = [(a, tooth_tray(record, series["number"], a["tooth"])) for a in series.get("attachments", [])]
    return [{"attachment": a["id"], "tooth": a["tooth"], "needed": need(series, a, tray)}
            for a, tray in trays if tray is not None and is_off(record, series["number"], a["id"])]


def mouth_values(record):
    numbers = sorted({w["series"] for w in current_stretches(record).values()})
    due = off = None
    if numbers:
        worn = [series_of(record, number) for number in numbers]
        due = [between for series in worn for between in reductions_due(record, series)]
        off = [one for series in worn for one in attachments_debonded(record, series)]
    return {"reductions_due": due, "lagging_teeth": lagging_teeth(record), "attachments_debonded": off}


def irregularity(record):
    first = next(iter(record.get("assessments", [])), {})
    offsets = first.get("contact_displacements_mm", {})
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
    """All values of docs/reference/derived.md by name, in the order of that page; with a day, as they were on that day."""
    if day is not None:
        record = as_of(record, day)
    today = day_of(record["source"]["exported_at"])
    start = day_of(record["wear_periods"][0]["from"]) if record["wear_periods"] else None
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
