package telltale_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// house is the table of permitted imports: package -> what it may import of the
// house. Arrows only fall. Whoever needs a new arrow changes the table in the
// same commit and says why in docs/architecture.md.
var house = map[string][]string{
	"fault":       {},
	"quantity":    {},
	"uncertainty": {},
	"reference":   {"fault"},
	"record":      {"quantity"},
	"tracefile":   {"fault", "quantity", "record"},
	"studyfile":   {"fault", "quantity", "record", "reference", "tracefile"},
	"simulate":    {"quantity", "record", "reference"},
	"aerosol":     {"fault", "quantity", "reference"},
	"medium":      {"aerosol", "fault", "quantity", "reference", "uncertainty"},
	"fitfactor":   {"fault", "quantity", "record", "reference", "uncertainty"},
	"marks":       {"fault", "record", "reference"},
	"attribution": {"fault", "fitfactor", "medium", "quantity", "record", "reference", "uncertainty"},
	"control":     {"fitfactor", "quantity", "record", "reference", "uncertainty"},
	"claim":       {"medium", "quantity", "record", "reference", "uncertainty"},
	"finding": {"attribution", "claim", "control", "fault", "fitfactor", "marks", "medium", "quantity", "record",
		"reference", "uncertainty"},
	"compare":     {"finding", "uncertainty"},
	"report":      {"finding", "fitfactor", "record", "reference", "uncertainty"},
	"signature":   {},
	"stamp":       {},
	"ledger":      {"signature"},
	"dossier":     {"fault", "finding", "ledger", "quantity", "record", "reference", "signature", "stamp", "studyfile", "tracefile"},
	"publication": {"dossier", "fault", "finding", "ledger", "record", "signature", "uncertainty"},
	"cmd/telltale": {"attribution", "claim", "control", "demo", "dossier", "fault", "finding", "fitfactor", "ledger", "marks", "medium", "aerosol",
		"papers", "publication", "quantity", "record", "reference", "report", "signature", "simulate", "studyfile", "tracefile", "uncertainty"},
	"cmd/checkpage": {"dossier", "finding", "ledger", "report"},
	"demo":          {"record", "simulate", "quantity"},
	"papers":        {"fault"},
}

// pure names the packages that may not reach outside: no file, network,
// database, clock, log or process.
var pure = []string{"fault", "quantity", "uncertainty", "reference", "record", "tracefile", "studyfile", "simulate",
	"aerosol", "medium", "fitfactor", "marks", "attribution", "control", "claim", "finding", "compare", "report", "signature", "ledger", "stamp", "dossier", "demo"}

// outside are the imports (or their parents) that a pure package may not have.
// math/rand/v2 is allowed: its generators take a seed; the global functions are
// looked for in the source.
var outside = []string{"os", "net", "database/sql", "log", "syscall", "math/rand", "crypto/rand", "path/filepath"}

// owners names the one package that imports each dependency, and why it is here.
var owners = map[string]struct {
	packages []string
	why      string
}{
	"gonum.org/v1/gonum":              {[]string{"uncertainty", "aerosol", "medium", "attribution"}, "distributions, special functions, quadrature"},
	"go.yaml.in/yaml/v3":              {[]string{"studyfile", "reference", "tracefile", "marks"}, "YAML with line numbers"},
	"github.com/alecthomas/kong":      {[]string{"cmd/telltale"}, "flags and commands"},
	"golang.org/x/text":               {[]string{"tracefile", "marks", "reference"}, "UTF-16, Windows-1252, NFKC"},
	"github.com/makiuchi-d/gozxing":   {[]string{"papers"}, "barcodes; runs in a child process only"},
	"github.com/rogpeppe/go-internal": {[]string{"cmd/telltale"}, "command-line scenes in tests"},
	"aead.dev/minisign":               {[]string{"signature"}, "keys and signatures that a generic tool checks"},
	"golang.org/x/mod":                {[]string{"signature", "ledger"}, "signed notes, the hash tree of an append-only list and its proofs"},
	"github.com/digitorus":            {[]string{"stamp"}, "time stamps of RFC 3161"},
	"pgregory.net/rapid":              {nil, "property tests"},
}

// ceiling is the number of lines a source file may have (generated tables in
// files named *_table.go aside).
const ceiling = 400

type source struct {
	pkg, path string
	imports   []string
	text      string
	test      bool
}

func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name := d.Name(); path != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "internal") {
				return filepath.SkipDir
			}
			if _, err := os.Stat(filepath.Join(path, "go.mod")); err == nil && path != "." {
				return filepath.SkipDir // another module: tools that are no part of the program
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, raw, parser.ImportsOnly)
		if err != nil {
			return err
		}
		s := source{pkg: filepath.ToSlash(filepath.Dir(path)), path: path, text: string(raw), test: strings.HasSuffix(path, "_test.go")}
		for _, spec := range file.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			s.imports = append(s.imports, name)
		}
		out = append(out, s)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestArrowsOnlyFall(t *testing.T) {
	for _, s := range sources(t) {
		if s.pkg == "." || s.test {
			continue
		}
		allowed, known := house[s.pkg]
		if !known {
			t.Errorf("%s: package %s has no row in the table of the house", s.path, s.pkg)
			continue
		}
		for _, name := range s.imports {
			inner, ours := strings.CutPrefix(name, "telltale/")
			if ours && !slices.Contains(allowed, inner) {
				t.Errorf("%s: imports %s, which %s may not", s.path, inner, s.pkg)
			}
		}
	}
}

func TestTheTableHasNoCircle(t *testing.T) {
	var walk func(pkg string, path []string)
	walk = func(pkg string, path []string) {
		if slices.Contains(path, pkg) {
			t.Fatalf("circle: %s", strings.Join(append(path, pkg), " -> "))
		}
		for _, next := range house[pkg] {
			walk(next, append(path, pkg))
		}
	}
	for pkg := range house {
		walk(pkg, nil)
	}
}

func TestThePureCoreReachesNothingOutside(t *testing.T) {
	clock := []string{"time.Now(", "time.Since(", "time.After(", "time.Sleep(", "rand.Int(", "rand.Float64(", "rand.IntN(", "rand.NormFloat64("}
	for _, s := range sources(t) {
		if s.test || !slices.Contains(pure, s.pkg) {
			continue
		}
		for _, name := range s.imports {
			for _, bad := range outside {
				if name == bad || strings.HasPrefix(name, bad+"/") && name != "math/rand/v2" {
					t.Errorf("%s: the pure core may not import %s", s.path, name)
				}
			}
		}
		for _, call := range clock {
			if strings.Contains(s.text, call) {
				t.Errorf("%s: the pure core may not call %s...)", s.path, call)
			}
		}
	}
}

func TestEachDependencyHasItsOwner(t *testing.T) {
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		for _, name := range s.imports {
			if !strings.Contains(strings.Split(name, "/")[0], ".") {
				continue
			}
			found := false
			for dep, owner := range owners {
				if name == dep || strings.HasPrefix(name, dep+"/") {
					found = true
					if !slices.Contains(owner.packages, s.pkg) {
						t.Errorf("%s: %s is not imported by package %s (%s)", s.path, dep, s.pkg, owner.why)
					}
				}
			}
			if !found {
				t.Errorf("%s: dependency %s has no owner in the table", s.path, name)
			}
		}
	}
}

func TestAFileSaysItsThingBriefly(t *testing.T) {
	for _, s := range sources(t) {
		if s.test || strings.HasSuffix(s.path, "_table.go") {
			continue
		}
		if n := strings.Count(s.text, "\n"); n > ceiling {
			t.Errorf("%s has %d lines; the ceiling is %d: give each of its things a file", s.path, n, ceiling)
		}
	}
}
