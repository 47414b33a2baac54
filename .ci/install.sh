#!/usr/bin/env bash
# Installs tools that the checks need, once: .ci/install.sh python|node|chromium|strace|valgrind …
# Packages go into folders that git ignores; programs come from the system's packages. Two runs wait for each other.
set -euo pipefail
cd "$(dirname "$0")/.."
mkdir -p .ci/out
exec 9> .ci/out/install.lock
flock 9

# Whether a folder was made from what is asked for now.
is_current() { [ -f "$1" ] && cmp -s "$1" "$2"; }

python() {
  is_current .ci/python/installed .ci/requirements.txt && return
  python3 -m venv .ci/python
  .ci/python/bin/python -m pip install --quiet --disable-pip-version-check --requirement .ci/requirements.txt
  cp .ci/requirements.txt .ci/python/installed
}

node() {
  local asked='ajv@8.20.0 ajv-formats@3.0.1 playwright-core@1.64.1 axe-core@4.14.1'
  is_current .ci/node/installed <(echo "$asked") && return
  # shellcheck disable=SC2086
  npm install --silent --no-fund --no-audit --prefix .ci/node $asked
  echo "$asked" > .ci/node/installed
}

# A program of the system.
program() {
  command -v "$1" > /dev/null && return
  { apt-get -qq update && apt-get -qq install --yes "$1"; } > /dev/null 2>&1 && command -v "$1" > /dev/null && return
  echo "there is no $1 here, and it could not be installed" >&2
  return 1
}

for tool in "$@"; do
  case $tool in
    python | node) $tool ;;
    *) program "$tool" ;;
  esac
done
