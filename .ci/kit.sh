#!/usr/bin/env bash
# Writes a conformance kit, lets the reader in tests/kit answer it, and scores what that reader claims. The manifest, the answers
# and the score have to fit their published schemas, and the records to accept that of a record.
set -euo pipefail
.ci/install.sh python
oar=$1
folder=.ci/out/kit
rm -rf "$folder" && mkdir -p "$folder"
"$oar" kit --seed 7 --each 2 "$folder/kit" > /dev/null
python3 tests/kit/reader.py "$folder/kit" > "$folder/answers.jsonl"
"$oar" kit --score "$folder/answers.jsonl" --case "$(python3 tests/kit/reader.py --claims "$folder/kit")" "$folder/kit"
"$oar" kit --score "$folder/answers.jsonl" --output json "$folder/kit" > "$folder/score.json" || [ $? -eq 1 ]
.ci/python/bin/python .ci/check_kit.py "$folder"
