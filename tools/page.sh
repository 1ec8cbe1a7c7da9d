#!/bin/sh
# page.sh: the demo's report as a reader prints it. A browser without network
# prints it to PDF; each respirator's name must stand in the text of the PDF, and
# the page may name nothing that is fetched from elsewhere.
set -eu
for program in chromium pdftotext; do
	command -v $program >/dev/null || { echo "the printed page was NOT checked: $program is not installed and apt could not install it"; exit 1; }
done
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
bin/telltale demo --out "$dir/demo" >/dev/null
if grep -Eo '(src|href)="?(https?:)?//[^" >]*|url\((https?:)?//[^)]*|@import' "$dir/demo/report.html"; then
	echo "the page fetches something from elsewhere"
	exit 1
fi
if grep -iq '<script' "$dir/demo/report.html"; then
	echo "the page has a script; see tools/vulndb/allowed.txt"
	exit 1
fi
timeout 120 chromium --headless --no-sandbox --disable-gpu --disable-background-networking --disable-component-update \
	--user-data-dir="$dir/profile" --no-pdf-header-footer --print-to-pdf="$dir/report.pdf" "file://$dir/demo/report.html" >"$dir/log" 2>&1 ||
	{ tail -n 5 "$dir/log"; exit 1; }
pdftotext -layout "$dir/report.pdf" "$dir/report.txt"
tr -s ' \n\f' ' ' <"$dir/report.txt" >"$dir/words.txt"
failed=0
sed -n 's/^    name: "\(.*\)"$/\1/p' "$dir/demo/study/study.yaml" >"$dir/names.txt"
[ -s "$dir/names.txt" ] || { echo "no names in study.yaml"; exit 1; }
while read -r name; do
	grep -qiF -- "$name" "$dir/words.txt" || { echo "the printed page does not name $name"; failed=1; }
done <"$dir/names.txt"
echo "$(grep -c . "$dir/names.txt") respirators on $(pdfinfo "$dir/report.pdf" | sed -n 's/^Pages: *//p') printed pages"
exit $failed
