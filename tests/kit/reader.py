"""An independent reader of Open Aligner Records that answers a conformance kit: python3 reader.py KIT > answers.jsonl

Written from docs/format.md, the published schema and docs/derived.md, with Python's standard library alone. It checks the JSON, the shape by
the schema, decimals, calendar days and the version, and computes the derived values. It knows none of the rules about what a
record says: reader.py --claims KIT prints the names of the cases that it claims to answer rightly, for oar kit --only.
"""

import gzip, json, re, sys
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from math import ceil
from pathlib import Path
from statistics import median

# The faults that it claims to refuse: what the bytes, the JSON and the schema tell.
RULES = """not_utf8 not_json cut_short repeated_name nothing_inside another_format newer_version missing_field unknown_field wrong_type
unknown_word out_of_range too_many_decimals not_a_date not_an_instant not_a_tooth not_a_reverse_domain bad_id too_long
wrong_count""".split()
KINDS = ["accept", "question", "derive", "edge", "spelling", "upgrade"]


class Refused(Exception):
    """Why a file is not taken: the arguments are the pointers, if there are any."""


def members(pairs):
    if len(pairs) != len(dict(pairs)):
        raise Refused()
    return dict(pairs)


def constant(name):
    raise Refused()


def number(text):
    """A decimal as it is written; 11.0 and 1.1e1 are the whole number 11."""
    value = Decimal(text)
    return int(value) if value.adjusted() < 20 and value == int(value) else value


def parse(text):
    """JSON with decimals as they are written, no repeated names, no NaN."""
    try:
        return json.loads(text, parse_float=number, parse_constant=constant, object_pairs_hook=members)
    except (ValueError, RecursionError):
        raise Refused() from None


def is_whole(value):
    return isinstance(value, int) and not isinstance(value, bool)


TYPES = {
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "string": lambda value: isinstance(value, str),
    "boolean": lambda value: isinstance(value, bool),
    "integer": is_whole,
    "number": lambda value: isinstance(value, (int, Decimal)) and not isinstance(value, bool),
}


def departs(value, schema, root, at=""):
    """The pointers at which a value departs from a schema, for the keywords that the published one has."""
    while "$ref" in schema:
        schema = root["$defs"][schema["$ref"].rpartition("/")[2]]
    kind = schema.get("type")
    if kind and not TYPES[kind](value):
        yield at
        return
    if "const" in schema and value != schema["const"] or "enum" in schema and value not in schema["enum"]:
        yield at
    if kind in ("integer", "number"):
        if not schema.get("minimum", value) <= value <= schema.get("maximum", value):
            yield at
        if kind == "number" and Decimal(value).normalize().as_tuple().exponent < -2:
            yield at  # Principle 4: at most two places, which the schema leaves unsaid.
    if isinstance(value, str):
        long = schema.get("minLength", 0) <= len(value) <= schema.get("maxLength", len(value))
        if not long or "pattern" in schema and not re.search(schema["pattern"], value):
            yield at
        elif schema.get("format") in ("date", "date-time") and not is_day(value[:10]):
            yield at  # The pattern lets 30 February pass.
    if kind == "array":
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
            yield at
        for place, entry in enumerate(value):
            yield from departs(entry, schema.get("items", {}), root, f"{at}/{place}")
    if kind == "object":
        known = schema.get("properties", {})
        yield from (f"{at}/{name}" for name in schema.get("required", []) if name not in value)
        for name, entry in value.items():
            below = f"{at}/" + name.replace("~", "~0").replace("/", "~1")
            if name in known:
                yield from departs(entry, known[name], root, below)
            elif schema.get("additionalProperties") is False:
                yield below
            for _ in departs(name, schema.get("propertyNames", {}), root):
                yield below


def is_day(text):
    try:
        date.fromisoformat(text)
        return True
    except ValueError:
        return False


def read(path, root):
    """The records of a file."""
    data = path.read_bytes()
    data = gzip.decompress(data) if data[:2] == b"\x1f\x8b" else data
    try:
        text = data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError:
        raise Refused() from None
    texts = [line for line in text.split("\n") if line.strip()] if ".jsonl" in path.name else [text]
    records = [parse(text) for text in texts]
    for record in records:
        # A newer version comes first, since what is new there would look wrong here.
        version = record.get("version") if isinstance(record, dict) else None
        if isinstance(version, str) and version != "1.0":
            raise Refused("/version")
        if places := list(departs(record, root, root)):
            raise Refused(*places)
    return records


def day(text):
    return date.fromisoformat(text[:10])


def days_in(worn, today):
    """The days on which a tray was in."""
    days = set()
    for stretch in worn:
        first, end = day(stretch["from"]), day(stretch["to"]) if "to" in stretch else today + timedelta(1)
        days.update(first + timedelta(n) for n in range((end - first).days))
    return days


def longest_low_run(logged, floor):
    longest = run = 0
    for on in sorted(logged):
        run = (run if on - timedelta(1) in logged else 0) + 1 if logged[on] < floor else 0
        longest = max(longest, run)
    return longest


def of_log(record, today):
    """The values of the wear log."""
    log, prescription = record.get("wear_log"), record["prescription"]
    told = ["patient", "timer", "sensor"]
    logged = {day(entry["date"]): entry["minutes"] for entry in sorted(log or [], key=lambda entry: told.index(entry["source"]))}
    goal, floor = prescription["wear_goal_minutes"], prescription["wear_floor_minutes"]
    days = days_in(record["worn"], today)
    count = len(logged)
    return {
        "wear_share": Fraction(sum(logged.values()), goal * count) if count and goal else None,
        "coverage": Fraction(len(days & set(logged)), len(days)) if log is not None and days else None,
        "days_at_floor": Fraction(sum(minutes >= floor for minutes in logged.values()), count) if count else None,
        "low_run": longest_low_run(logged, floor) if count else None,
    }


def of_current(record, today):
    """The values of the current stretch."""
    names = "tray_due days_over trays_left pace_days projected_end rescan_due reductions_due".split()
    if not record["worn"] or "to" in record["worn"][-1]:
        return dict.fromkeys(names)
    now = record["worn"][-1]
    number, tray, began = now["series"], now["tray"], day(now["from"])
    series = next(one for one in record["series"] if one["number"] == number)
    looks = [one for one in record.get("check_ins", []) if (one["series"], one["tray"]) == (number, tray)]
    held = sum(one["decision"].get("days", 0) for one in looks if one["decision"]["kind"] == "hold" and day(one["at"]) >= began)
    due = began + timedelta(record["prescription"]["days_per_tray"] + held)
    left = max(series["trays"].values()) - tray
    mine = [one for one in record["worn"] if one["series"] == number and "to" in one]
    done = {one["tray"] for one in mine if one.get("ended") == "advanced"}
    lengths = [sum((day(one["to"]) - day(one["from"])).days for one in mine if one["tray"] == tray) for tray in done]
    pace = Fraction(median(map(Fraction, lengths))) if lengths else None
    visits = [one for one in record.get("visits", []) if one["on"] >= series.get("scanned_on", "")]
    reduced = [sorted(one["between"]) for visit in visits for one in visit.get("reductions", [])]
    planned = [one["between"] for one in series.get("reductions", []) if one["before_tray"] <= tray + 1]
    end = today + timedelta(max(0, (due - today).days) + ceil(left * pace)) if pace is not None else None
    last = all(one["number"] <= number for one in record["series"])
    reductions = [between for between in planned if sorted(between) not in reduced]
    return dict(zip(names, [due, (today - due).days if today > due else None, left, pace, end, left <= 3 and last, reductions]))


def derived(record):
    """The derived values, as docs/derived.md defines them."""
    today = day(record["source"]["exported_at"])
    offsets = record.get("assessments", [{}])[:1] or [{}]
    offsets = offsets[0].get("contact_offsets_mm", {})
    return {
        "treatment_day": (today - day(record["worn"][0]["from"])).days if record["worn"] else None,
        **of_log(record, today),
        **of_current(record, today),
        "irregularity_mm": [sum(map(abs, offsets[arch])) if arch in offsets else None for arch in ("upper", "lower")],
    }


def written(value):
    return value.isoformat() if isinstance(value, date) else float(value)


def answer(kit, case, root):
    if case["file"].endswith(".zst"):
        return {}  # The standard library cannot unpack it: not claimed.
    try:
        records = read(kit / case["file"], root)
    except Refused as refused:
        return {"accepted": False, "places": [{"pointer": at} for at in refused.args]}
    return {"accepted": True, **({"derived": derived(records[0])} if len(records) == 1 else {})}


def main():
    kit = Path(sys.argv[-1])
    cases = json.loads((kit / "manifest.json").read_text("utf-8"))["cases"]
    if "--claims" in sys.argv:
        there = {case["case"].rpartition("-")[0] for case in cases}
        return print(",".join(KINDS + [f"refuse/{rule}" for rule in RULES if f"refuse/{rule}" in there]))
    root = json.loads((kit / "schema/record.schema.json").read_text("utf-8"))
    for case in cases:
        print(json.dumps({"case": case["case"], **answer(kit, case, root)}, default=written))


main()
