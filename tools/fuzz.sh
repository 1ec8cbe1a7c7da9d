#!/bin/sh
# fuzz.sh TIME: runs each fuzz target of the house for TIME, such as 2s or 5m.
# Shrinking of new inputs is off (-fuzzminimizetime 0): with it on, a target with
# large inputs spends its whole time shrinking, at nought runs a second. A failing
# input is written to the package's testdata/fuzz all the same.
set -u
log=$(mktemp)
trap 'rm -f "$log"' EXIT
failed=0
targets=0
for file in $(grep -rl --include='*_test.go' '^func Fuzz' .); do
	for target in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\)(.*/\1/p' "$file"); do
		targets=$((targets + 1))
		if go test -run '^$' -fuzz "^$target\$" -fuzztime "$1" -fuzzminimizetime 0s "$(dirname "$file")" >"$log" 2>&1; then
			echo "$(dirname "$file") $target: $(grep -o 'execs: [0-9]*' "$log" | tail -n 1), no failure"
		else
			echo "$(dirname "$file") $target: FAILED"
			cat "$log"
			failed=1
		fi
	done
done
[ "$targets" -gt 0 ] || { echo "no fuzz target was found"; exit 1; }
exit $failed
