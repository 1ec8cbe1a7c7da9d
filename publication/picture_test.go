package publication

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"os/exec"
	"strings"
	"testing"
	"testing/fstest"

	"telltale/demo"
	"telltale/finding"
	"telltale/ledger"
	"telltale/record"
	"telltale/uncertainty"
)

// published is the demo as it is published, with a plain page; made once.
func published(t *testing.T) *Sealed {
	t.Helper()
	if demoSealed == nil {
		demoSealed = publishDemo(t)
	}
	return demoSealed
}

var demoSealed *Sealed

func publishDemo(t *testing.T) *Sealed {
	t.Helper()
	folder := fstest.MapFS{}
	for name, data := range demo.Files(demo.Seed) {
		folder[name] = &fstest.MapFile{Data: data}
	}
	m := maker()
	m.Page = func(w io.Writer, f *finding.Findings, _ *record.Study) error {
		_, err := io.WriteString(w, `<!doctype html><html lang="en"><title>t</title><h1>First heading</h1><p>Second words.</p></html>`)
		return err
	}
	k, l := key(t), ledger.New("telltale/x")
	p, err := Prepare(wish(folder, "2026-08-20"), k.Public(), m, l)
	if err != nil {
		t.Fatal(err)
	}
	d, err := p.Draft(k, l)
	if err != nil {
		t.Fatal(err)
	}
	s, err := p.Seal(d, k, l)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestPicturesShowNoMoreThanTheFindings(t *testing.T) {
	s := published(t)
	held := 0
	for _, f := range Pictures(s) {
		d := xml.NewDecoder(bytes.NewReader(f.Data))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", f.Name, err)
			}
		}
		for _, r := range s.Draft.Findings.Respirators {
			if strings.HasPrefix(f.Name, "post-"+r.ID+"-") && strings.HasPrefix(r.Subline, "No statement is made") {
				held++
				if bytes.Contains(f.Data, []byte("<circle")) || bytes.Contains(f.Data, []byte("1 particle in")) {
					t.Errorf("%s shows a figure of which nothing is said", f.Name)
				}
			}
		}
	}
	if held == 0 {
		t.Error("the demo has a respirator of which nothing is said; no picture of it was looked at")
	}
}

func TestDotsAreRoundedOutwards(t *testing.T) {
	for _, c := range []struct {
		p         uncertainty.Estimate
		low, high int
		ok        bool
	}{
		{uncertainty.New(0.11, 0.085, 0.143, 0.95, ""), 8, 15, true},
		{uncertainty.NewAtMost(0.0004, 0.95, ""), 0, 1, true},
		{uncertainty.NewAtLeast(0.25, 0.95, ""), 25, 100, true},
		{uncertainty.NewUnknown(0.95, ""), 0, 0, false},
	} {
		low, high, ok := ofHundred(finding.Respirator{Configurations: []finding.Configuration{{Penetration: c.p}}})
		if low != c.low || high != c.high || ok != c.ok {
			t.Errorf("%v: %d to %d %v", c.p, low, high, ok)
		}
	}
}

func TestLongWordsAreBroken(t *testing.T) {
	for _, text := range []string{"", "a", strings.Repeat("x", 50), "ab " + strings.Repeat("y", 23) + " c"} {
		joined := ""
		for _, line := range wrapped(text, 8) {
			if n := len([]rune(line)); n > 8 || n == 0 {
				t.Errorf("%q: a line of %d letters: %q", text, n, line)
			}
			joined += line
		}
		if strings.ReplaceAll(joined, " ", "") != strings.ReplaceAll(text, " ", "") {
			t.Errorf("%q became %q", text, joined)
		}
	}
}

func TestSubtitlesAndChaptersFollowTheRuns(t *testing.T) {
	s := published(t)
	names := map[string]string{}
	for _, f := range Film(s.Draft.Findings) {
		names[f.Name] = string(f.Data)
	}
	srt := names["subtitles-fold-1.srt"]
	if !strings.HasPrefix(srt, "1\n00:00:00,000 --> ") || !strings.Contains(srt, "normal breathing: fit factor ") {
		t.Errorf("%.200s", srt)
	}
	day := names["chapters-2026-05-09.txt"]
	if !strings.HasPrefix(day, "0:00:00 ") {
		t.Errorf("%.200s", day)
	}
	if got := stamp(3723.5); got != "01:02:03,500" { // 1 h 2 min 3.5 s by hand
		t.Error(got)
	}
}

func TestTheBrowserPrintsTheSameBytesTwice(t *testing.T) {
	b, ok := FindBrowser()
	if !ok {
		t.Skip("chromium is not installed (Debian: apt-get install chromium); printing not checked")
	}

	if testing.Short() {
		t.Skip("short")
	}
	s := published(t)
	files, troubles := Printed(context.Background(), b, s, true, false)
	again, _ := Printed(context.Background(), b, s, true, false)
	if len(troubles) > 0 || len(files) != 1 || !bytes.Equal(files[0].Data, again[0].Data) {
		t.Fatal(troubles, len(files))
	}
	if !bytes.Contains(files[0].Data, []byte("(D:20260820000000")) {
		t.Error("the PDF holds another day than that of publication")
	}
	if tool, err := exec.LookPath("pdftotext"); err == nil {
		cmd := exec.Command(tool, "-", "-")
		cmd.Stdin = bytes.NewReader(files[0].Data)
		out, err := cmd.Output()
		if first, second := bytes.Index(out, []byte("First heading")), bytes.Index(out, []byte("Second words")); err != nil || first < 0 || second < first {
			t.Errorf("%v: %q", err, out)
		}
	}
	svg := Pictures(s)[0]
	data, err := b.PNG(context.Background(), svg.Data, 1600, 900)
	if err != nil {
		t.Fatal(err)
	}
	c, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil || c.Width != 1600 || c.Height != 900 {
		t.Errorf("%+v %v", c, err)
	}
}
