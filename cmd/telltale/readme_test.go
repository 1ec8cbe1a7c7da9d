package main

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// examples are the lines of the README's sh blocks that call the program.
func examples(t *testing.T) []string {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, block := range regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllStringSubmatch(string(text), -1) {
		for _, line := range strings.Split(block[1], "\n") {
			if strings.HasPrefix(line, "telltale ") {
				out = append(out, line)
			}
		}
	}
	return out
}

// call runs the program in the folder of the test and gives what it printed.
func call(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if err := run(context.Background(), args, strings.NewReader(""), &out, &errs); err != nil {
		t.Fatalf("telltale %s: %v\n%s", strings.Join(args, " "), err, errs.String())
	}
	if out.Len() == 0 {
		t.Fatalf("telltale %s prints nothing", strings.Join(args, " "))
	}
	return out.String()
}

func TestTheExamplesOfTheReadmeWork(t *testing.T) {
	lines := examples(t)
	t.Chdir(t.TempDir())
	for _, line := range lines {
		args := strings.Fields(line)[1:]
		out := call(t, args...)
		if slices.Contains(args, "--json") && !json.Valid([]byte(out)) {
			t.Errorf("%s: not JSON alone", line)
		}
	}
}

func TestTheReadmeShowsEveryCommand(t *testing.T) {
	lines := examples(t)
	all := reflect.TypeFor[commands]()
	for i := range all.NumField() {
		name := strings.ToLower(all.Field(i).Name)
		if !slices.ContainsFunc(lines, func(l string) bool { return strings.Fields(l)[1] == name }) {
			t.Errorf("the README has no example of telltale %s", name)
		}
	}
}

// keysOf collects the keys of a JSON document, however deep.
func keysOf(v any, into map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, inner := range v {
			into[k] = true
			keysOf(inner, into)
		}
	case []any:
		for _, inner := range v {
			keysOf(inner, into)
		}
	}
}

func TestTheManualNamesEveryKeyOfTheResults(t *testing.T) {
	manual, err := os.ReadFile("../../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, ok := strings.Cut(string(manual), "## Results as JSON")
	if !ok {
		t.Fatal("the manual has no section on results")
	}
	t.Chdir(t.TempDir())
	call(t, "simulate", "--scenario", "leaky-nose-good-filter", "--out", "practice")
	entries, err := os.ReadDir("practice/traces")
	if err != nil {
		t.Fatal(err)
	}
	trace := "practice/traces/" + entries[0].Name()
	for _, args := range [][]string{
		{"demo", "--json"}, {"report", "practice", "--json"}, {"expect", "--class", "FFP2", "--json"},
		{"inspect", trace, "--json"}, {"fit", "out/demo/study/traces/plain-1.csv", "--protocol", "us-8", "--json"},
	} {
		var v any
		if err := json.Unmarshal([]byte(call(t, args...)), &v); err != nil {
			t.Fatalf("%v: %v", args, err)
		}
		keys := map[string]bool{}
		keysOf(v, keys)
		if len(keys) < 10 {
			t.Errorf("%v: only %d keys", args, len(keys))
		}
		for _, k := range slices.Sorted(maps.Keys(keys)) {
			if !strings.Contains(section, "`"+k+"`") && !strings.Contains(section, "`"+k+"[]`") && !strings.Contains(section, `"`+k+`"`) {
				t.Errorf("%s: the key %q is not in docs/formats.md", args[0], k)
			}
		}
	}
}

// A link of a page to a file must lead to one.
func TestTheLinksOfThePagesLeadSomewhere(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:]+)(?:#[^)]*)?\)`)
	for _, page := range []string{"README.md", "docs/architecture.md", "docs/formats.md", "docs/science.md", "docs/words.md"} {
		text, err := os.ReadFile("../../" + page)
		if err != nil {
			t.Error(err)
			continue
		}
		folder := "../../" + page[:strings.LastIndex(page, "/")+1]
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			if _, err := os.Stat(folder + m[1]); err != nil {
				t.Errorf("%s links to %s: %v", page, m[1], err)
			}
		}
	}
}
