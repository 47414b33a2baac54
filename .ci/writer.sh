#!/usr/bin/env bash
# Checks from outside that the given `oar` destroys nothing that it writes to: .ci/writer.sh target/release/oar
# System calls fail on purpose under strace (its option -e inject); devices and a full disk are those of a tmpfs, in name spaces of
# their own; runs are killed at random moments. Without strace or root it fails, since those checks would not be run.
set -euo pipefail
oar=$(realpath "$1")
root=$(realpath "$(dirname "$0")/..")
work=$root/.ci/out/writer
rm -rf "$work" && mkdir -p "$work"
trap 'rm -rf "$work"' EXIT
failed=0

fail() { echo "  $*" >&2; failed=1; }

# A folder with a clean record, one with an error, one that a repair changes, and a file "old" for each way to write.
prepare() {
    rm -rf "$work/run" && mkdir "$work/run" && cd "$work/run"
    cp "$root/tests/base.oar.json" clean.oar.json
    cp "$root/datasets/broken/worn_backwards.oar.json" wrong.oar.json
    sed 's/"change_interval_days": 7,/"change_interval_days": 7.0,/' clean.oar.json > old
    cp old fixable.oar.json
    chmod 640 old
    cp old before
}

# Ways to write the file "old", one a line. PATH is its name, FORM=PATH where a format stands before it.
ways='check wrong.oar.json -o text=PATH
check wrong.oar.json -o sarif=PATH
check wrong.oar.json --write-baseline PATH
review clean.oar.json -o html=PATH
review clean.oar.json -o json=PATH
review clean.oar.json -o csv=PATH
review clean.oar.json -o letter=PATH
realism clean.oar.json --min-count 1 -o json=PATH
repair fixable.oar.json --overwrite --output PATH
shrink wrong.oar.json --rule worn_backwards --overwrite --output PATH
generate --patients 2 --output cohort.oar.jsonl --no-card --overwrite --key PATH'

run() {
    # shellcheck disable=SC2086
    "${@:2}" "$oar" ${1//PATH/$path} > "$work/said" 2> "$work/errors" < /dev/null
}

# Nothing but whole files: the one of before, or one that a run finishes.
left_whole() {
    cmp -s old before || fail "$1: the file of before is gone or changed"
    [ -z "$(find . -name '.oar-*.partial')" ] || fail "$1: a temporary file is left"
}

echo "a system call that fails"
path=old
"$root/.ci/install.sh" strace
if strace -o /dev/null true 2> /dev/null; then
    while read -r way; do
        for injected in fsync:error=ENOSPC fsync:error=EIO '?rename,?renameat,?renameat2:error=EIO' fchmod:error=EPERM; do
            prepare
            code=0
            run "$way" strace -f -o /dev/null -e "inject=$injected" || code=$?
            [ $code = 2 ] || fail "$way: exit code $code after $injected"
            grep -q '^error: .*cannot be written' "$work/errors" || fail "$way: nothing is said of $injected"
            left_whole "$way after $injected"
        done
    done <<< "$ways"
    for injected in fsync:error=ENOSPC '?rename,?renameat,?renameat2:error=EIO'; do
        prepare
        cp fixable.oar.json before && cp before old
        code=0
        run "repair --write fixable.oar.json" strace -f -o /dev/null -e "inject=$injected" || code=$?
        [ $code = 2 ] || fail "repair --write: exit code $code after $injected"
        cmp -s fixable.oar.json before || fail "repair --write: the file changed after $injected"
        left_whole "repair --write after $injected"
    done
else
    fail "strace cannot trace here, so that no system call failed"
fi

echo "devices and a full disk"
# In a mount name space of its own, so that nothing of this machine is at stake.
devices() {
    mount -t tmpfs tmpfs "$work/disk" && cd "$work/disk" || return 1
    mknod null c 1 3 && mknod full c 1 7 && mkfifo pipe && mkdir small && mount -t tmpfs -o size=64k tmpfs small || return 1
    cp "$root/tests/base.oar.json" clean.oar.json
    cp "$root/datasets/broken/worn_backwards.oar.json" wrong.oar.json
    sed 's/"change_interval_days": 7,/"change_interval_days": 7.0,/' clean.oar.json > fixable.oar.json
    ln -s null link && ln -s small/old small-link
    echo old > small/old
    head -c 1M /dev/zero > small/filler 2> /dev/null || true
    cp small/old "$work/small-before"
    while read -r way; do
        for path in null link pipe; do
            code=0
            if [ $path = pipe ]; then timeout 20 cat pipe > "$work/piped" & fi
            run "$way" || code=$?
            wait
            [ $code -le 1 ] || fail "$way to $path: exit code $code: $(cat "$work/errors")"
            [ $path != pipe ] || [ -s "$work/piped" ] || fail "$way: nothing came through the pipe"
        done
        for path in full small/old small-link; do
            code=0
            run "$way" || code=$?
            [ $code = 2 ] || fail "$way to $path: exit code $code"
            grep -q 'the disk is full' "$work/errors" || fail "$way to $path: $(cat "$work/errors")"
        done
        [ -c null ] && [ -c full ] && [ -p pipe ] && [ -L link ] && [ -L small-link ] || fail "$way: a device, a pipe or a link was replaced"
        cmp -s small/old "$work/small-before" || fail "$way: the file of before is gone or changed"
        [ -z "$(find . -name '.oar-*.partial')" ] || fail "$way: a temporary file is left"
    done <<< "$ways"
    for option in --help --version "check --help" "explain all" schema; do
        code=0
        # shellcheck disable=SC2086
        "$oar" $option > full 2> "$work/errors" || code=$?
        [ $code = 2 ] || fail "$option to a full disk: exit code $code"
    done
    exit $failed
}
mkdir -p "$work/disk"
export -f devices fail run
if [ "$(id -u)" = 0 ] && unshare --mount mount -t tmpfs tmpfs "$work/disk" 2> /dev/null; then
    oar=$oar root=$root work=$work ways=$ways failed=0 unshare --mount bash -c devices || failed=1
else
    fail "no file system can be mounted here, so that no device and no full disk was tried"
fi

echo "40 kills"
prepare
for _ in $(seq 300); do tr -d '\n' < wrong.oar.json; echo; done > many.oar.jsonl
start=$(date +%s%N)
"$oar" check --no-cross-record many.oar.jsonl -o sarif=whole || [ $? = 1 ]
took=$((($(date +%s%N) - start) / 1000))
cut=0
for turn in $(seq 40); do
    if [ $((turn % 2)) = 0 ]; then cp before report; else rm -f report; fi
    "$oar" check --no-cross-record many.oar.jsonl -o sarif=report 2> /dev/null &
    pid=$!
    sleep "$(awk "BEGIN { srand($turn); print rand() * $took / 1000000 }")"
    if kill -9 $pid 2> /dev/null; then cut=$((cut + 1)); fi
    wait $pid 2> /dev/null || true
    if [ -e report ]; then
        cmp -s report whole || cmp -s report before || fail "kill $turn left half a report of $(wc -c < report) bytes"
    elif [ $((turn % 2)) = 0 ]; then
        fail "kill $turn took the report of before away"
    fi
done
echo "  $cut of 40 runs were killed before their end"
[ $cut -gt 0 ] || fail "no run was killed"
code=0
"$oar" repair clean.oar.json > /dev/null 2> "$work/errors" || code=$?
left=$(find . -name '.oar-*.partial' | wc -l)
[ "$(grep -c 'was left behind by an interrupted run' "$work/errors")" = "$left" ] || fail "not all $left leftovers were named"
exit $failed
