#!/bin/sh
# run.sh: whole processes, and ratios to scripts in numpy and scipy, in one run.
set -eu
python=${PYTHON:-/usr/bin/python3}
here=$(dirname "$0")
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT

# best COMMAND...: least wall time of 15 runs, in milliseconds
best() {
	"$python" - "$@" <<'P'
import subprocess, sys, time
out = []
for _ in range(15):
    start = time.perf_counter()
    subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL)
    out.append(time.perf_counter() - start)
print("%.1f" % (1000 * min(out)))
P
}

# Two counters, ten minutes, one row a second.
awk 'BEGIN { srand(1); print "time_s,ambient_per_cm3,inside_per_cm3"; for (i = 0; i < 600; i++) printf "%d,%.1f,%.2f\n", i, 8000 + 300 * rand(), 30 + 20 * rand() }' >"$dir/ten.csv"
echo "telltale fit, two counters, ten minutes at 1 Hz, whole process: $(best bin/telltale fit "$dir/ten.csv" --flow-cm3-s 1.67 --limit 100) ms"
echo "telltale demo, study made, read, reported, whole process: $(best bin/telltale demo --out "$dir/demo") ms"

script=$("$python" "$here/overall.py")
counting=$(GOMAXPROCS=1 go test -run '^$' -bench '^BenchmarkOverallOfSevenExercises$' ./uncertainty | awk '/^BenchmarkOverall/ { print $3 / 1e9 }')
overall=$(GOMAXPROCS=1 go test -run '^$' -bench '^BenchmarkOverallOfEightExercises$' ./fitfactor | awk '/^BenchmarkOverall/ { print $3 / 1e9 }')
ratio=$(GOMAXPROCS=1 go test -run '^$' -bench '^BenchmarkRatioExact$' ./uncertainty | awk '/^BenchmarkRatioExact/ { print $3 / 1e9 }')
echo "$script $overall $ratio $counting" | awk '{
	printf "overall of seven exercises, counting alone: numpy, a million draws %.4f s; ours, in closed form %.2e s; ratio %.0f\n", $1, $5, $1 / $5
	printf "the same from the trace, with scatter and decision: ours %.5f s; ratio to those draws %.0f\n", $3, $1 / $3
	printf "exact ratio of two counts: scipy %.2e s, ours %.2e s, ratio %.0f\n", $2, $4, $2 / $4 }'
