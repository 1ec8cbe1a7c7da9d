#!/bin/sh
# One class's band, all media and corners: the numpy script beside this file against the
# Go package, one core each, in one run. Prints both in seconds and their ratio.
set -e
cd "$(dirname "$0")/.."
script=$(/usr/bin/python3 testdata/band.py time)
ours=$(GOMAXPROCS=1 go test -run '^$' -bench 'BandOfOneClass|BandsOfAllClasses' -benchtime 20x . |
	awk '/^BenchmarkBandOfOneClass/ {one = $3 / 1e9} /^BenchmarkBandsOfAllClasses/ {all = $3 / 1e9} END {print one, all}')
echo "$script $ours" | awk '{printf "script %.3f s, ours %.4f s a class, ratio %.0f; all classes %.3f s\n", $1, $2, $1 / $2, $3}'
