#!/usr/bin/env bash
# Builds docs/ as a book into .ci/book and follows every link and anchor in it. Installs mdBook on the first run, not optimised: it
# builds in a third of the time, and the book is small.
set -euo pipefail
cd "$(dirname "$0")/.."

version=0.5.4
if ! .ci/cargo/bin/mdbook --version 2>/dev/null | grep -qx "mdbook v$version"; then
  cargo install --quiet --debug --locked --no-default-features --root .ci/cargo "mdbook@$version"
fi
rm -rf .ci/book
.ci/cargo/bin/mdbook build docs
python3 .ci/book.py files .ci/book
python3 .ci/check_links.py .ci/book
