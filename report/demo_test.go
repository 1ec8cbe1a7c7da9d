package report_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"telltale/demo"
	"telltale/finding"
	"telltale/report"
)

var showDemo = flag.String("show-demo", "", "write the demo's page to this file, to be looked at")

func TestTheDemoStudyMakesAPageUnderAMegabyte(t *testing.T) {
	_, study, _ := demo.Study(1)
	f := finding.Of(study, finding.Options{})
	var page, text bytes.Buffer
	if err := report.HTML(&page, f, study); err != nil {
		t.Fatal(err)
	}
	if err := report.Text(&text, f, 96); err != nil {
		t.Fatal(err)
	}
	if page.Len() >= 1<<20 {
		t.Errorf("the page has %d bytes; it must stay under a megabyte", page.Len())
	}
	if *showDemo == "" {
		return
	}
	t.Log(text.String())
	if err := os.WriteFile(*showDemo, page.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
