"""Prints Python jsonschema's verdict on every dataset file: right, wrong, or text when it is no JSON."""

import json
from pathlib import Path

from jsonschema import Draft202012Validator

root = Path(__file__).resolve().parent.parent
schema = json.loads((root / "schema/v1/record.schema.json").read_text(encoding="utf-8"))
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)

for folder in ("demo", "broken"):
    for file in sorted((root / "datasets" / folder).glob("*.oar.json")):
        try:
            record = json.loads(file.read_bytes())
            verdict = "right" if validator.is_valid(record) else "wrong"
        except ValueError:
            verdict = "text"
        print(f"{file.name}\t{verdict}")
