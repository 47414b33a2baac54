#!/usr/bin/env bash
# Holds the statistics of the realism report against Python libraries on the same records. The argument is the oar binary.
set -euo pipefail
oar="$(realpath "$1")"
cd "$(dirname "$0")/.."

[ -x .ci/python/bin/python ] || python3 -m venv .ci/python
.ci/python/bin/python -c 'import jsonschema, lifelines, statsmodels' 2>/dev/null ||
  .ci/python/bin/pip install --quiet 'jsonschema==4.26.0' 'rfc3339-validator==0.1.4' 'lifelines==0.30.0' 'statsmodels==0.15.0' 'scipy==1.17.1'

.ci/python/bin/python .ci/realism.py "$oar"
