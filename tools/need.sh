#!/bin/sh
# need.sh PROGRAM=PACKAGE ...: installs the Debian packages of the programs that
# are missing, where apt and the right to use it are at hand. PYTHON:MODULE=PACKAGE
# asks for a module of that Python. Ends with 1 when something is missing still.
set -u

have() {
	case $1 in
	*:*) "${1%%:*}" -c "import ${1##*:}" 2>/dev/null ;;
	*) command -v "$1" >/dev/null 2>&1 ;;
	esac
}

packages=
for pair in "$@"; do
	have "${pair%=*}" || packages="$packages ${pair##*=}"
done
[ -n "$packages" ] || exit 0

root=
if [ "$(id -u)" != 0 ]; then root="sudo -n"; fi
if command -v apt-get >/dev/null 2>&1 && $root true 2>/dev/null; then
	echo "installing$packages"
	export DEBIAN_FRONTEND=noninteractive
	log=$(mktemp)
	if ! { $root apt-get update -qq && $root apt-get install -y -qq --no-install-recommends $packages; } >"$log" 2>&1; then
		tail -n 5 "$log"
	fi
	rm -f "$log"
fi

missing=0
for pair in "$@"; do
	have "${pair%=*}" && continue
	echo "missing: ${pair%=*} (Debian package ${pair##*=}); a check that needs it will fail"
	missing=1
done
exit $missing
