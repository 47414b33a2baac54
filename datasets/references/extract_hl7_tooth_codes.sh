#!/usr/bin/env bash
# Writes hl7_tooth_codes.tsv beside this script from the HL7 Terminology package.
# Needs npm (to fetch the package), sha256sum and python3. The result is the same bytes each time.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
# "npm install" fails on a dependency of the package; "npm pack" needs none.
npm pack --silent hl7.terminology.r4@7.0.1 >/dev/null
echo "170c546f761fb51b3355788ca500206f6b772b21c57348c29205de85a6612baa  hl7.terminology.r4-7.0.1.tgz" |
  sha256sum --check --quiet
tar xzf hl7.terminology.r4-7.0.1.tgz
python3 - "$here/hl7_tooth_codes.tsv" <<'PYTHON'
import json, re, sys

# The code systems in use, and the codes taken from each.
WANTED = [
    ("ADAUniversalToothDesignationSystem", r".*"),
    ("ADAToothSurfaceCodes", r".*"),
    ("ex-tooth", r"\d\d"),
    ("v3-Dentition", r"TID(\d+|[A-T])s?"),
]

def concepts(nodes):
    for node in nodes:
        yield node
        yield from concepts(node.get("concept", []))

with open(sys.argv[1], "w", encoding="utf-8", newline="\n") as out:
    print("code_system", "version", "code", "definition", sep="\t", file=out)
    for name, pattern in WANTED:
        with open(f"package/CodeSystem-{name}.json", encoding="utf-8") as file:
            system = json.load(file)
        for concept in concepts(system["concept"]):
            if re.fullmatch(pattern, concept["code"]):
                row = name, system["version"], concept["code"], concept["definition"]
                assert not any("\t" in field or "\n" in field for field in row), row
                print(*row, sep="\t", file=out)
PYTHON
