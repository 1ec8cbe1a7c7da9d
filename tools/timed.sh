#!/bin/sh
# timed.sh NAME COMMAND...: runs a check and says how it went and how long it took.
name=$1
shift
start=$(date +%s)
if "$@"; then word=ok; code=0; else code=$?; word=FAILED; fi
echo "--- $name: $word, $(($(date +%s) - start)) s"
exit $code
