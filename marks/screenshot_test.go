package marks

import (
	"strings"
	"testing"
)

// A look-up is a person's: the picture that was kept of it goes with the evidence,
// and comes back when the file is written again.
func TestALookUpNamesThePictureThatWasKept(t *testing.T) {
	text := "facepiece: \"Norrvik N1 EN 149:2001+A1:2009 FFP2 NR CE 8841\"\nregisters: [{register: NANDO, number: \"8841\", state: no_such_number, date: 2026-08-01, screenshot: nando-8841.png}]\n"
	m, err := ReadFile("m.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	said := false
	for _, f := range Examine(m).Findings {
		for _, e := range f.Evidence {
			said = said || strings.Contains(e.Text, "picture nando-8841.png")
		}
	}
	if !said {
		t.Error("the picture is not named")
	}
	again, err := ReadFile("m.yaml", []byte(Format(m)))
	if err != nil || again.Registers[0].Screenshot != "nando-8841.png" {
		t.Errorf("%v, %+v", err, again.Registers)
	}
}
