#!/usr/bin/env bash
# Opens the pages of a review in Chromium, as people see them, and checks them with axe-core: .ci/page.sh target/release/oar
set -euo pipefail
oar="$(realpath "$1")"
cd "$(dirname "$0")/.."

.ci/install.sh node chromium

work=.ci/out/page
rm -rf "$work"
mkdir -p "$work"
"$oar" generate --recipe live --patients 200 --seed 3 --output "$work/clinic.oar.jsonl" > /dev/null
"$oar" review --output "html=$work/clinic.html" "$work/clinic.oar.jsonl"
"$oar" review --output "html=$work/demo.html" datasets/demo || [ $? = 1 ]
"$oar" review --output "html=$work/step-back.html" datasets/demo/qm-03-step-back.oar.json
"$oar" review --output "html=$work/mixed.html" datasets/demo/qm-05-mixed-dentition.oar.json
"$oar" review --as-of 2031-03-07 --output "html=$work/base.html" tests/base.oar.json
node .ci/page.mjs "$work" clinic demo step-back mixed base
