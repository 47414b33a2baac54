#!/bin/sh
# Checks every output of the given `oar` with programs that are not ours: .ci/check_outputs.sh target/release/oar
set -eu
oar=$(realpath "$1")
root=$(realpath "$(dirname "$0")/..")
work=$root/.ci/out/outputs
python=$root/.ci/python/bin/python

"$root/.ci/install.sh" python

# The broken corpus; a file with a name that every form has to escape; several records in one file, one with wide letters
# before a value; a file with damaged compression.
rm -rf "$work"
mkdir -p "$work/in/a b"
cp "$root"/datasets/broken/*.oar.json "$root/tests/base.oar.json" "$work/in"
cp "$root/datasets/broken/worn_backwards.oar.json" "$work/in/a b/ü#%:,<>&\".oar.json"
{ printf "\037\213\010\000\000\000\000\000\000\003"; cat "$root/tests/base.oar.json"; } > "$work/in/damaged.oar.json.gz"
"$python" - "$work/in" "$root/datasets/broken/worn_backwards.oar.json" <<'PYTHON'
import json, sys
folder, broken = sys.argv[1:]
record = json.load(open(broken, encoding="utf-8"))
one = json.dumps(record, ensure_ascii=False)
wide = one.replace('"arches": "both"', '"日本語𝒙": 1, "arches": "bøth𝒙"', 1)
with open(folder + "/several.oar.jsonl", "w", encoding="utf-8") as out:
    out.write(one + "\n\n" + wide + "\n" + one + "\n")
PYTHON

cd "$work"
# What is accepted: one finding by a waiver, all others by a new baseline.
cat > waivers.toml <<'TOML'
[[waiver]]
record = "QM-*"
rule = "worn_backwards"
at = "/wear_periods/*/to"
file = "in/worn_backwards.oar.json"
reason = "checked on <paper> & kept"
until = 2031-05-31
TOML
"$oar" check in/*.oar.json --no-cross-record --waivers waivers.toml --today 2031-05-31 --write-baseline baseline \
    --output jsonl=accepted.jsonl --output sarif=accepted.sarif
# A waiver that has ended, and one about nothing.
{ cat waivers.toml; printf '[[waiver]]\nrecord = "*"\nrule = "worn_backwards"\nat = "/appointments/*"\nreason = "about nothing"\n'; } > stale.toml
"$oar" check in/*.oar.json --waivers stale.toml --today 2031-06-01 --output sarif=stale.sarif || test $? = 1
code=0
"$oar" check in --max-findings all --output text=text --output brief=brief --output jsonl=jsonl --output sarif=sarif \
    --output junit=junit --output github=github --output gitlab=gitlab 2>errors || code=$?
test "$code" = 2 || { echo "oar check gave the exit code $code, not 2 for a file that cannot be read" >&2; exit 1; }
"$oar" check in --threads 1 --max-findings all --output text=text.again --output sarif=sarif.again 2>/dev/null || true
"$oar" check in --max-findings all --output overview-json=overview.json 2>/dev/null || true
# Two reports, of which the second has one finding more and another less.
"$oar" check in/base.oar.json in/more_than_a_day.oar.json --no-cross-record --output jsonl=before || true
"$oar" check in/base.oar.json in/worn_backwards.oar.json --no-cross-record --output jsonl=after || true
"$oar" compare before after --output jsonl > comparison || test $? = 1
for form in text sarif; do cmp "$form" "$form.again"; done 2>/dev/null || { echo "two runs differ" >&2; exit 1; }
"$python" "$root/.ci/check_outputs.py" "$root" "$work"
