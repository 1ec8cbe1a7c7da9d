package report

import (
	"bytes"
	"flag"
	"os"
	"testing"
)

var (
	update = flag.Bool("update", false, "write the golden files anew")
	show   = flag.String("show", "", "write the fixture's page to this file, to be looked at")
)

func render(t *testing.T) string {
	t.Helper()
	var b bytes.Buffer
	f := fixture()
	if err := HTML(&b, f, recorded(f)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestThePageCanBeLookedAt(t *testing.T) {
	page := render(t)
	if *show == "" {
		return
	}
	if err := os.WriteFile(*show, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestTheTerminalCanBeLookedAt(t *testing.T) {
	var b bytes.Buffer
	if err := Text(&b, fixture(), 96); err != nil {
		t.Fatal(err)
	}
	if *show != "" {
		t.Log(b.String())
	}
}
