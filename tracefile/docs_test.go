package tracefile

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

func manual(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// block is the first fenced block behind a heading.
func block(t *testing.T, text, heading string) string {
	t.Helper()
	_, rest, ok := strings.Cut(text, heading)
	if !ok {
		t.Fatalf("no heading %q", heading)
	}
	_, rest, _ = strings.Cut(rest, "```")
	_, rest, _ = strings.Cut(rest, "\n")
	out, _, _ := strings.Cut(rest, "```")
	return out
}

func TestTheExamplesOfTheManualCanBeRead(t *testing.T) {
	text := manual(t)
	if tr := read(t, block(t, text, "## Trace file, version 1")); tr.Rows() != 2 || len(tr.Remarks) > 0 || tr.Ambient[1] != 8099 {
		t.Errorf("got %+v", tr)
	}
	if l, err := ReadLayout("manual", strings.NewReader(block(t, text, "## Layout file"))); err != nil || len(l.Columns) != 4 {
		t.Errorf("got %v, %v", l, err)
	}
}

func TestTheManualExplainsEveryCodeColumnUnitAndKey(t *testing.T) {
	text := manual(t)
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile(`"([ER]1[0-9][0-9])"`)
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		source, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range code.FindAllStringSubmatch(string(source), -1) {
			if !strings.Contains(text, "\n| "+m[1]+" |") {
				t.Errorf("%s: %s is not in the tables of docs/formats.md", f.Name(), m[1])
			}
		}
	}
	for _, word := range append(append(known(), Units()...), append(layoutKeys, columnKeys...)...) {
		if !strings.Contains(text, word) {
			t.Errorf("%s is not explained in docs/formats.md", word)
		}
	}
}
