package studyfile

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// page is the section of the manual on study folders.
func page(t *testing.T) string {
	t.Helper()
	raw, err := os.ReadFile("../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(raw), "## Study folder\n")
	section, _, _ := strings.Cut(rest, "\n## ")
	if !ok || !strings.Contains(section, "### A whole study") {
		t.Fatal("the manual has no section on study folders")
	}
	return section
}

func TestTheStudiesOfTheManualAreRead(t *testing.T) {
	blocks := regexp.MustCompile("(?s)```yaml\n(format: telltale-study/1\n.*?)```").FindAllStringSubmatch(page(t), -1)
	if len(blocks) != 2 {
		t.Fatalf("%d studies, want the first and the whole one", len(blocks))
	}
	for _, b := range blocks {
		fsys := fstest.MapFS{Name: {Data: []byte(b[1])}}
		for _, name := range regexp.MustCompile(`(papers|traces|layouts)/[a-z0-9.-]+`).FindAllString(b[1], -1) {
			fsys[name] = &fstest.MapFile{Data: []byte("of " + name)}
		}
		if _, err := Read(fsys, options); err != nil {
			t.Errorf("%v\nin\n%s", err, b[1])
		}
	}
}

// The codes are looked for in the source and in the table of the manual.
func TestTheManualListsEveryCode(t *testing.T) {
	code := regexp.MustCompile(`"(E[0-9]{3})"`)
	var used []string
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		raw, err := os.ReadFile(e.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range code.FindAllStringSubmatch(string(raw), -1) {
			used = append(used, m[1])
		}
	}
	slices.Sort(used)
	used = slices.Compact(used)
	text := page(t)
	for _, c := range used {
		if !strings.Contains(text, "| "+c+" |") {
			t.Errorf("%s is not in the manual", c)
		}
	}
	if len(used) < 30 {
		t.Errorf("only %d codes found in the source: %v", len(used), used)
	}
}
