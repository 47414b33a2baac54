#!/bin/sh
# Checks that the given `oar` holds as little of a large file as of a small one: .ci/memory.sh target/release/oar
# The most memory that a run takes may be 16 MB, and 2 MB more for a file that is ten times as large.
set -eu
oar=$(realpath "$1")
root=$(realpath "$(dirname "$0")/..")
work=$root/.ci/out/memory
most=16384
apart=2048

mkdir -p "$work"
trap 'rm -rf "$work"' EXIT

# The demo records over and over, to a file of so many megabytes.
repeated() {
    size=$(wc -c < "$root/datasets/demo/larkhill.oar.jsonl")
    seq $(($1 * 1000000 / size + 1)) | while read -r _; do cat "$root/datasets/demo/larkhill.oar.jsonl"; done
}
repeated 50 > "$work/small.oar.jsonl"
repeated 500 > "$work/large.oar.jsonl"
# Far more findings than records could have: each line is one.
yes '[]' | head -n 1000000 > "$work/findings.oar.jsonl"

# The most memory of a run in kilobytes.
peak() {
    /usr/bin/time --format %M --output "$work/peak" "$oar" check --most 0 --threads "$1" "$2" > "$work/out" || true
    tail -n 1 "$work/peak"
}

failed=0
for threads in 1 2; do
    small=$(peak $threads "$work/small.oar.jsonl")
    large=$(peak $threads "$work/large.oar.jsonl")
    findings=$(peak $threads "$work/findings.oar.jsonl")
    grep -q "^1000000 errors in" "$work/out" || { echo "not every line was a finding" >&2; failed=1; }
    echo "$threads threads: $small kB for 50 MB, $large kB for 500 MB, $findings kB for a million findings"
    if [ "$small" -gt $most ] || [ "$large" -gt $most ] || [ "$findings" -gt $most ]; then
        echo "  more than $most kB" >&2
        failed=1
    fi
    difference=$((large > small ? large - small : small - large))
    if [ $difference -gt $apart ]; then
        echo "  they differ by $difference kB, more than $apart" >&2
        failed=1
    fi
done
exit $failed
