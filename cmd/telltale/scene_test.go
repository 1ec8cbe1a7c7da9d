package main

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"telltale/papers"
)

// The scenes in testdata/scenes are a manual that runs: each file tells one thing,
// steps and inputs together. The program runs in this test's binary.
func TestMain(m *testing.M) {
	papers.Serve()
	testscript.Main(m, map[string]func(){"telltale": func() {
		err := run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
		if err != nil {
			fmt.Fprintln(os.Stderr, message(err))
		}
		os.Exit(exitCode(err))
	}})
}

func TestScenes(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/scenes",
		RequireUniqueNames:  true,
		RequireExplicitExec: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"ends":     ends,
			"json":     jsonIs,
			"jsonfree": jsonFree,
			"rows":     rows,
			"bytes":    writeBytes,
			"fill":     fill,
		},
	})
}

// ends CODE ARG... runs telltale and holds its exit code against CODE.
// What it printed is then looked at with stdout and stderr.
func ends(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: ends CODE ARG...")
	}
	err := ts.Exec("telltale", args[1:]...)
	code := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		code = exit.ExitCode()
	case err != nil:
		ts.Fatalf("telltale did not run: %v", err)
	}
	if strconv.Itoa(code) != args[0] {
		ts.Fatalf("ended with %d, not %s", code, args[0])
	}
}

// json FILE PATH WANT looks into a JSON file, or into stdout. PATH is keys and
// indices with points between. WANT is a value as it stands in JSON (quotes may be
// left out), ~NUMBER (equal in every digit written), len:N (a list of N), or a word:
// exists, list, object, string, number.
func jsonIs(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: json FILE PATH WANT")
	}
	var all any
	if err := json.Unmarshal([]byte(ts.ReadFile(args[0])), &all); err != nil {
		ts.Fatalf("%s is not JSON alone: %v", args[0], err)
	}
	got, err := at(all, args[1])
	if err != nil {
		if neg && args[2] == "exists" {
			return
		}
		ts.Fatalf("%v", err)
	}
	if equal := matches(got, args[2]); equal == neg {
		text, _ := json.Marshal(got)
		ts.Fatalf("%s is %s; asked: %s (not: %v)", args[1], text, args[2], neg)
	}
}

// jsonfree FILE holds that a JSON file has no word for what is no number.
func jsonFree(ts *testscript.TestScript, neg bool, args []string) {
	text := ts.ReadFile(args[0])
	if neg || !json.Valid([]byte(text)) || strings.Contains(text, "NaN") || strings.Contains(text, "+Inf") {
		ts.Fatalf("%s is not plain JSON", args[0])
	}
}

func at(v any, path string) (any, error) {
	for _, key := range strings.Split(path, ".") {
		switch x := v.(type) {
		case map[string]any:
			next, ok := x[key]
			if !ok {
				return nil, fmt.Errorf("%s: no key %q", path, key)
			}
			v = next
		case []any:
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= len(x) {
				return nil, fmt.Errorf("%s: no item %s in a list of %d", path, key, len(x))
			}
			v = x[i]
		default:
			return nil, fmt.Errorf("%s: nothing below %q", path, key)
		}
	}
	return v, nil
}

func matches(got any, want string) bool {
	list, isList := got.([]any)
	object, isObject := got.(map[string]any)
	number, isNumber := got.(float64)
	text, isText := got.(string)
	switch {
	case want == "exists":
		return true
	case want == "list":
		return isList
	case want == "object":
		return isObject && object != nil
	case want == "string":
		return isText
	case want == "number":
		return isNumber
	case strings.HasPrefix(want, "len:"):
		return isList && strconv.Itoa(len(list)) == want[4:]
	case strings.HasPrefix(want, "~"):
		asked, err := strconv.ParseFloat(want[1:], 64)
		_, fraction, _ := strings.Cut(want, ".")
		return err == nil && isNumber && math.Abs(number-asked) <= 0.5000001*math.Pow10(-len(fraction))
	case isText:
		return text == want || strconv.Quote(text) == want
	}
	raw, err := json.Marshal(got)
	return err == nil && string(raw) == want
}

// rows FILE HEADING STRETCH... writes a trace with a row a second: HEADING once,
// then for each STRETCH, "SECONDS:CELLS", so many rows of a time and these cells.
func rows(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 {
		ts.Fatalf("usage: rows FILE HEADING SECONDS:CELLS...")
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "time_s,%s\n", args[1])
	t := 0
	for _, stretch := range args[2:] {
		seconds, cells, found := strings.Cut(stretch, ":")
		n, err := strconv.Atoi(seconds)
		if !found || err != nil {
			ts.Fatalf("%q is not SECONDS:CELLS", stretch)
		}
		for range n {
			fmt.Fprintf(&b, "%d,%s\n", t, cells)
			t++
		}
	}
	path := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o777))
	ts.Check(os.WriteFile(path, b.Bytes(), 0o666))
}

// bytes FILE PART... writes a file of parts: x:HEX bytes, or else Go text with
// its escapes.
func writeBytes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: bytes FILE PART...")
	}
	var out []byte
	for _, part := range args[1:] {
		if digits, ok := strings.CutPrefix(part, "x:"); ok {
			raw, err := hex.DecodeString(digits)
			ts.Check(err)
			out = append(out, raw...)
			continue
		}
		text, err := strconv.Unquote(`"` + part + `"`)
		if err != nil {
			ts.Fatalf("%q is not text with escapes: %v", part, err)
		}
		out = append(out, text...)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), out, 0o666))
}

// fill FILE BYTES TEXT adds TEXT again and again until the file has BYTES bytes.
func fill(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: fill FILE BYTES TEXT")
	}
	size, err := strconv.Atoi(args[1])
	ts.Check(err)
	text, err := strconv.Unquote(`"` + args[2] + `"`)
	ts.Check(err)
	path := ts.MkAbs(args[0])
	have, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		ts.Check(err)
	}
	n := max(0, size-len(have))
	have = append(have, strings.Repeat(text, n/len(text)+1)[:n]...)
	ts.Check(os.WriteFile(path, have, 0o666))
}

// TestEveryBadInputHasAScene reads the comment lines of the scenes: each numbered
// bad input (B1 to B34) is named by one.
func TestEveryBadInputHasAScene(t *testing.T) {
	files, err := filepath.Glob("testdata/scenes/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, path := range files {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(raw), "\n") {
			if !strings.HasPrefix(line, "# B") {
				continue
			}
			id, _, _ := strings.Cut(line[2:], " ")
			named[id] = true
		}
	}
	for i := 1; i <= 34; i++ {
		if id := fmt.Sprintf("B%d", i); !named[id] {
			t.Errorf("no scene for bad input %s", id)
		}
	}
}
