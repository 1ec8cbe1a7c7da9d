package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// stream is govulncheck's JSON (golang.org/x/vuln, internal/govulncheck, read)
// with made-up findings: one called in a module, one called in the standard
// library, one only required.
const stream = `{"config":{"protocol_version":"v1.0.0"}}
{"finding":{"osv":"GO-1-1","fixed_version":"v0.3.8","trace":[{"module":"example.org/text","package":"example.org/text/language","function":"Parse"},{"module":"telltale","function":"main"}]}}
{"finding":{"osv":"GO-1-2","fixed_version":"v1.26.10","trace":[{"module":"stdlib","package":"crypto/x509","function":"Verify"}]}}
{"finding":{"osv":"GO-1-2","fixed_version":"v1.26.10","trace":[{"module":"stdlib","package":"crypto/x509","function":"Verify"}]}}
{"finding":{"osv":"GO-1-3","trace":[{"module":"example.org/other"}]}}
`

func TestOnlyWhatCanBeReachedIsAHit(t *testing.T) {
	got, err := reached(strings.NewReader(stream))
	if err != nil || len(got) != 2 || got[0].id != "GO-1-1" || got[1].symbol != "crypto/x509.Verify" {
		t.Errorf("got %v, %v", got, err)
	}
	for _, broken := range []string{"", stream[:100]} {
		if _, err := reached(strings.NewReader(broken)); err == nil {
			t.Errorf("%q is taken as a whole answer", broken)
		}
	}
}

func TestOnlyTheStandardLibraryMayBeAllowed(t *testing.T) {
	hits, err := reached(strings.NewReader(stream))
	if err != nil {
		t.Fatal(err)
	}
	both := map[string]string{"GO-1-1": "a reason", "GO-1-2": "a reason"}
	for _, c := range []struct {
		name string
		hits []hit
		list map[string]string
		want bool
	}{
		{"none", nil, nil, true},
		{"not listed", hits[1:], nil, false},
		{"listed", hits[1:], both, true},
		{"listed, but of a module", hits[:1], both, false},
	} {
		var out bytes.Buffer
		if got := judge(&out, c.hits, c.list); got != c.want {
			t.Errorf("%s: %v\n%s", c.name, got, out.String())
		}
	}
}

func TestAnIdWithoutAReasonIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "allowed.txt")
	if err := os.WriteFile(path, []byte("# words\n\nGO-1-2 until 1.26.10\nGO-1-3\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := readAllowed(path); err == nil || !strings.Contains(err.Error(), ":4: GO-1-3") {
		t.Errorf("got %v", err)
	}
}
