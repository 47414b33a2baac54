"""Holds a conformance kit, answers to it and their score against their published schemas: check_kit.py FOLDER"""

import json
import sys
from pathlib import Path

from jsonschema import Draft202012Validator

folder = Path(sys.argv[1])


def validator(name):
    schema = json.loads(Path(f"schema/v1/{name}.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


manifest = json.loads((folder / "kit/manifest.json").read_text("utf-8"))
validator("kit_manifest").validate(manifest)
validator("kit_score").validate(json.loads((folder / "score.json").read_text("utf-8")))
answer = validator("kit_answer")
for line in (folder / "answers.jsonl").read_text("utf-8").splitlines():
    answer.validate(json.loads(line))
record = validator("record")
accepted = 0
for case in manifest["cases"]:
    if case["accepted"] and case["file"].endswith((".json", ".jsonl")):
        text = (folder / "kit" / case["file"]).read_text("utf-8-sig")
        for one in text.splitlines() if case["file"].endswith("l") else [text]:
            record.validate(json.loads(one))
            accepted += 1
print(f"{len(manifest['cases'])} cases, of which {accepted} records to accept fit the schema")
