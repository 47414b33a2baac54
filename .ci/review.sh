#!/usr/bin/env bash
# Holds the numbers of oar review against Python on the same records. The argument is the oar binary.
set -euo pipefail
oar="$(realpath "$1")"
cd "$(dirname "$0")/.."

[ -x .ci/python/bin/python ] || python3 -m venv .ci/python
.ci/python/bin/python -c 'import jsonschema, lifelines' 2>/dev/null ||
  .ci/python/bin/pip install --quiet 'jsonschema==4.26.0' 'lifelines==0.30.0' 'scipy==1.17.1'

.ci/python/bin/python .ci/review.py "$oar"
