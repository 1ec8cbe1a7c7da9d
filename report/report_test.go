package report

import (
	"bytes"
	"flag"
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
