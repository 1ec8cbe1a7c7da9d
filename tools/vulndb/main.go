// Command vulndb answers: does the program call code with a known vulnerability?
//
// It runs govulncheck without its network service: the database is a Go module of
// a pinned version (data CC BY 4.0), which the module proxy serves; this lays it
// out as govulncheck wants it. It fails on every vulnerable function that can be
// reached, except those of the standard library that the file of allowed ids
// names, each with its reason.
//
//	vulndb -govulncheck bin/govulncheck -into bin -allowed tools/vulndb/allowed.txt ./...
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// database is the module that holds the reports; its version is in go.mod.
const database = "golang.org/x/vulndb"

func main() {
	check := flag.String("govulncheck", "govulncheck", "the program govulncheck")
	into := flag.String("into", "bin", "folder for the database")
	allowed := flag.String("allowed", "", "file of ids that do not fail: an id a line, then its reason")
	module := flag.String("module", "tools", "folder of the module that requires the database")
	flag.Parse()
	ok, err := run(os.Stdout, *check, *into, *allowed, *module, flag.Args())
	if err != nil {
		fmt.Fprintln(os.Stderr, "vulndb:", err)
	}
	if err != nil || !ok {
		os.Exit(1)
	}
}

func run(out io.Writer, check, into, allowedFile, module string, packages []string) (ok bool, err error) {
	reasons, err := readAllowed(allowedFile)
	if err != nil {
		return false, err
	}
	dir, err := lay(into, module)
	if err != nil {
		return false, err
	}
	cmd := exec.Command(check, append([]string{"-db", "file://" + filepath.ToSlash(dir), "-format", "json"}, packages...)...)
	cmd.Stderr = os.Stderr
	found, err := cmd.Output()
	if err != nil {
		return false, fmt.Errorf("%s: %w", check, err)
	}
	called, err := reached(bytes.NewReader(found))
	if err != nil {
		return false, err
	}
	return judge(out, called, reasons), nil
}

// readAllowed reads id and reason of each line; an id without a reason is refused.
func readAllowed(path string) (map[string]string, error) {
	out := map[string]string{}
	if path == "" {
		return out, nil
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for i, line := range strings.Split(string(raw), "\n") {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		id, reason, _ := strings.Cut(line, " ")
		if reason = strings.TrimSpace(reason); reason == "" {
			return nil, fmt.Errorf("%s:%d: %s has no reason", path, i+1, id)
		}
		out[id] = reason
	}
	return out, nil
}

// hit is a vulnerability whose function can be reached.
type hit struct{ id, module, fixed, symbol string }

// reached reads govulncheck's stream of JSON and keeps the hits with a function,
// one an id.
func reached(in io.Reader) ([]hit, error) {
	var out []hit
	dec := json.NewDecoder(in)
	for scanned := false; ; {
		var m struct {
			Config  *struct{}
			Finding *struct {
				OSV          string
				FixedVersion string `json:"fixed_version"`
				Trace        []struct{ Module, Package, Function string }
			}
		}
		switch err := dec.Decode(&m); {
		case err == io.EOF && scanned:
			return out, nil
		case err == io.EOF:
			return nil, fmt.Errorf("govulncheck said nothing")
		case err != nil:
			return nil, fmt.Errorf("read what govulncheck says: %w", err)
		}
		scanned = scanned || m.Config != nil
		f := m.Finding
		if f == nil || len(f.Trace) == 0 || f.Trace[0].Function == "" || slices.ContainsFunc(out, func(h hit) bool { return h.id == f.OSV }) {
			continue
		}
		out = append(out, hit{f.OSV, f.Trace[0].Module, f.FixedVersion, f.Trace[0].Package + "." + f.Trace[0].Function})
	}
}

// judge prints each hit and says whether all are allowed. Only the standard library
// may be allowed: it comes with the machine's Go; any other module can be raised.
func judge(out io.Writer, called []hit, reasons map[string]string) bool {
	ok := true
	for _, h := range called {
		reason, allowed := reasons[h.id]
		if allowed = allowed && h.module == "stdlib"; !allowed {
			ok, reason = false, "NOT ALLOWED: raise the version of "+h.module+", or explain it in the list of allowed ids when it is the standard library's"
		}
		fmt.Fprintf(out, "%s %s (%s, fixed in %s): %s\n", h.id, h.symbol, h.module, h.fixed, reason)
	}
	fmt.Fprintf(out, "%d known vulnerabilities can be reached\n", len(called))
	return ok
}
