#!/usr/bin/env bash
# Holds the numbers of oar review against Python on the same records. The argument is the oar binary.
set -euo pipefail
oar="$(realpath "$1")"
cd "$(dirname "$0")/.."

.ci/install.sh python

.ci/python/bin/python .ci/review.py "$oar"
