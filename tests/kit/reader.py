"""An independent reader of Open Aligner Records that answers a conformance kit: python3 reader.py KIT > answers.jsonl

Written from docs/reference/format.md and the published schema, with Python's standard library alone. It checks the JSON, the shape by the schema,
decimals, calendar days and the version. The derived values come from ../derived/derived.py, which was written from docs/reference/derived.md. It knows
none of the rules about what a record says: reader.py --claims KIT prints the names of the cases that it claims to answer rightly, for oar kit --case.
"""

import gzip, json, re, sys
from datetime import date
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "derived"))
from derived import derived

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
