#!/bin/sh
# between.sh FILE NAME ROWS: puts the lines of ROWS between the markers of FILE,
# under the table's heading: <!-- rows --> and <!-- end -->. NAME is what was run.
set -eu
grep -q '^<!-- rows' "$1" && grep -q '^<!-- end -->' "$1" || { echo "$1 has no markers"; exit 1; }
new=$(mktemp)
awk -v rows="$3" -v name="$2" '
	/^<!-- rows/ { print "<!-- rows: " name " -->"; getline; print; getline; print; while ((getline line < rows) > 0) print line; skip = 1; next }
	/^<!-- end -->/ { skip = 0 }
	!skip { print }' "$1" >"$new"
cat "$new" >"$1"
rm -f "$new"
