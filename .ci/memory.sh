#!/bin/sh
# Checks that the given `oar` holds as little of a large file as of a small one: .ci/memory.sh target/release/oar
# The most memory that a run takes may be 16 MB, and 2 MB more for a file that is ten times as large: both hold the same
# few records over and over. Of different records 120 bytes are kept, so that a million of them may take 180 MB.
set -eu
oar=$(realpath "$1")
root=$(realpath "$(dirname "$0")/..")
work=$root/.ci/out/memory
most=16384
apart=2048
most_of_a_million=184320

mkdir -p "$work"
trap 'rm -rf "$work"' EXIT

# The demo records over and over, to a file of so many megabytes.
repeated() {
    size=$(wc -c < "$root/datasets/demo/quillmere.oar.jsonl")
    seq $(($1 * 1000000 / size + 1)) | while read -r _; do cat "$root/datasets/demo/quillmere.oar.jsonl"; done
}
repeated 50 > "$work/small.oar.jsonl"
repeated 500 > "$work/large.oar.jsonl"
# Far more findings than records could have: each line is one.
yes '[]' | head -n 1000000 > "$work/findings.oar.jsonl"

# A million small records, all different; then each once more with another day, so that every record has a finding.
small='{"format":"open-aligner-record","version":"1.0","id":"QM-&","source":{"system":"quillmere-chart","system_version":"4.2",'
small=$small'"exported_at":"DAYT18:00:00+02:00"},"patient":{"id":"P-&","birth_year":1999,"sex":"female","time_zone":"Europe/Vienna"},'
small=$small'"dentition":{"absent":[18,28,38,48]},"prescription":{"wear_goal_minutes":1320,"wear_minimum_minutes":1200,'
small=$small'"change_interval_days":7,"follow_up":{"remote":true,"reminders":true,"sensor":false}},"series":[{"number":0,'
small=$small'"trays":{"upper":2,"lower":0},"movements":[{"tooth":11,"from_tray":1,"to_tray":2,"facial_mm":0.2}]}],'
small=$small'"wear_periods":[],"status":{"state":"planned","since":"2031-05-01"}}'
records() {
    seq "$2" | sed "s|.*|$(printf %s "$small" | sed "s|DAY|$1|")|"
}
records 2031-05-10 1000000 > "$work/million.oar.jsonl"
{ records 2031-05-10 500000; records 2031-05-11 500000; } > "$work/pairs.oar.jsonl"

# The most memory of a run in kilobytes.
peak() {
    /usr/bin/time --format %M --output "$work/peak" "$oar" check --max-findings 0 --threads "$1" "$2" > "$work/out" || true
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
    million=$(peak $threads "$work/million.oar.jsonl")
    grep -q "^1000000 records in 1 file: nothing to report" "$work/out" || { echo "a record had a finding" >&2; failed=1; }
    pairs=$(peak $threads "$work/pairs.oar.jsonl")
    grep -q "^500000 notes in 500000 of 1000000 records" "$work/out" || { echo "not every pair was found" >&2; failed=1; }
    echo "  $million kB for a million different records, $pairs kB for half a million pairs"
    if [ "$million" -gt $most_of_a_million ] || [ "$pairs" -gt $most_of_a_million ]; then
        echo "  more than $most_of_a_million kB" >&2
        failed=1
    fi
    difference=$((large > small ? large - small : small - large))
    if [ $difference -gt $apart ]; then
        echo "  they differ by $difference kB, more than $apart" >&2
        failed=1
    fi
done
exit $failed
