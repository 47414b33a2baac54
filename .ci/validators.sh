#!/usr/bin/env bash
# Judges every dataset file with ajv (Node) and jsonschema (Python) against the published schema, and compares their
# verdicts with the checker's. Files whose text is at fault before any schema applies are left out on both sides.
set -euo pipefail
cd "$(dirname "$0")/.."

.ci/install.sh node python

mkdir -p .ci/out
cargo run --quiet --manifest-path tests/outside/Cargo.toml --bin verdicts > .ci/out/ours.tsv
node .ci/verdicts.mjs > .ci/out/ajv.tsv
.ci/python/bin/python .ci/verdicts.py > .ci/out/jsonschema.tsv

compare() {
  # Only files that the checker judged by shape are compared.
  join -t $'\t' <(grep -v $'\ttext$' .ci/out/ours.tsv | sort) <(sort "$1") |
    awk -F'\t' -v who="$2" '$2 != $3 { print who " says " $3 " of " $1 ", the checker " $2; bad = 1 }
      { n++; right += $2 == "right" } END { print who ": agrees on " n " files, " right " of them right"; exit bad || n < 60 || right < 12 }'
}
compare .ci/out/ajv.tsv ajv
compare .ci/out/jsonschema.tsv jsonschema
