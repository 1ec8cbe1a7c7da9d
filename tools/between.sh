#!/bin/sh
# between.sh FILE WORDS ROWS: puts the lines of ROWS between the markers of FILE,
# <!-- rows --> and <!-- end -->, under the table's heading, and WORDS below them.
set -eu
grep -q '^<!-- rows' "$1" && grep -q '^<!-- end -->' "$1" || { echo "$1 has no markers"; exit 1; }
new=$(mktemp)
awk -v rows="$3" -v words="$2" '
	/^<!-- rows/ { print; getline; print; getline; print; while ((getline line < rows) > 0) print line; print "\n" words; skip = 1; next }
	/^<!-- end -->/ { skip = 0 }
	!skip { print }' "$1" >"$new"
cat "$new" >"$1"
rm -f "$new"
