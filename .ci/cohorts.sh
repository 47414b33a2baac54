#!/bin/sh
# Streams cohorts from `oar generate` into `oar check` and asks for no error and no warning: .ci/cohorts.sh target/release/oar
# 100,000 patients of the general recipe, 1,000 of each other one. Neither command may take more memory for ten times as many
# patients; a dataset card takes more until the values that it counts have all occurred, within a limit of its own. Another number
# of general patients may be given: .ci/cohorts.sh target/release/oar 1000000
set -eu
oar=$(realpath "$1")
root=$(realpath "$(dirname "$0")/..")
work=$root/.ci/out/cohorts
patients=${2:-100000}
# Kilobytes that a run may take without a card, and how many more for ten times as many patients, and those that it may take with a
# card. `check` keeps 120 bytes of each record.
most=32768
apart=4096
most_with_card=131072

mkdir -p "$work"
trap 'rm -rf "$work"' EXIT

# Streams so many patients of a recipe; what the checker says goes to `told`, the most memory of each command to its file.
stream() {
    recipe=$1
    number=$2
    shift 2
    {
        /usr/bin/time --format %M --output "$work/generate" \
            "$oar" generate --recipe "$recipe" --patients "$number" --seed 1 --output - "$@" || touch "$work/failed"
    } | /usr/bin/time --format %M --output "$work/check" \
        "$oar" check --max-findings 0 --fail-level warning - > "$work/told" || { cat "$work/told" >&2; exit 1; }
    [ ! -e "$work/failed" ] || exit 1
    grep -Eq "(^| )$number records" "$work/told" || { echo "not $number records:" >&2; cat "$work/told" >&2; exit 1; }
}

for recipe in teenagers complex-adults low-wear live edge; do
    stream "$recipe" 1000
    echo "1000 of $recipe: $(grep records "$work/told")"
done
stream general $((patients / 10))
few_made=$(tail -n 1 "$work/generate")
few_checked=$(tail -n 1 "$work/check")
begun=$(date +%s)
stream general "$patients"
made=$(tail -n 1 "$work/generate")
checked=$(tail -n 1 "$work/check")
echo "$patients of general: $(grep records "$work/told"), in $(($(date +%s) - begun)) s"
echo "  generate: $few_made kB for a tenth of them, $made kB; check: $few_checked kB, $checked kB"
kept=$((patients * 120 / 1024))
if [ "$made" -gt $most ] || [ $((made - few_made)) -gt $apart ] || [ $((checked - few_checked)) -gt $((apart + kept)) ]; then
    echo "  more than $most kB, or more than $apart kB apart" >&2
    exit 1
fi
stream general 10000 --card "$work/card"
made=$(tail -n 1 "$work/generate")
echo "  generate with a card of 10000: $made kB"
[ "$made" -le $most_with_card ] || { echo "  more than $most_with_card kB" >&2; exit 1; }
grep -q '"what": "patients",' "$work/card.card.json" && grep -q '"count": 10000$' "$work/card.card.json"
