package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"telltale/finding"
	"telltale/record"
)

// pageOf renders findings with the study that belongs to them.
func pageOf(t *testing.T, f *finding.Findings, s *record.Study) string {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, f, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// short is the findings of the golden page: one respirator, two wearings, the
// reference.
func short() (*finding.Findings, *record.Study) {
	f := fixture()
	f.Respirators = []finding.Respirator{cup(), known()}
	s := recorded(f)
	for i := range s.Wearings {
		t := s.Wearings[i].Trace
		t.TimeS, t.Ambient, t.Inside = t.TimeS[:90], t.Ambient[:90], t.Inside[:90]
	}
	return f, s
}

func compareGolden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		at := 0
		for at < min(len(got), len(want)) && got[at] == want[at] {
			at++
		}
		t.Errorf("%s differs from byte %d on:\n got ...%s\nwant ...%s\n(-update writes it anew; read the change as a change of meaning)",
			name, at, got[at:min(len(got), at+120)], want[at:min(len(want), at+120)])
	}
}

func TestThePageIsTheSameByteForByte(t *testing.T) {
	f, s := short()
	compareGolden(t, "page.html", pageOf(t, f, s))
}

func TestTheTerminalPageIsTheSameByteForByte(t *testing.T) {
	var b bytes.Buffer
	if err := Text(&b, fixture(), 96); err != nil {
		t.Fatal(err)
	}
	compareGolden(t, "page.txt", b.String())
}

func TestTwoRunsWriteTheSameBytes(t *testing.T) {
	f := fixture()
	if pageOf(t, f, recorded(f)) != pageOf(t, fixture(), recorded(fixture())) {
		t.Error("the same findings made two different pages")
	}
}

func TestTheFindingsAreNotTouched(t *testing.T) {
	f := fixture()
	f.Respirators[0].Name = "a\u202Eb\x07"
	before, _ := json.Marshal(f)
	pageOf(t, f, recorded(f))
	if after, _ := json.Marshal(f); !bytes.Equal(before, after) {
		t.Error("showing the findings changed them")
	}
}

// element is one start tag of a page with what the tests look at.
type element struct {
	name  string
	attrs map[string]string
}

// void are the elements of HTML that have no end tag and occur here.
var void = []string{"meta"}

// walk reads the tags of a page and fails when they do not nest. It returns the
// start tags in order.
func walk(t *testing.T, page string) (all []element) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict = false
	d.Entity = xml.HTMLEntity
	var open []string
	for {
		token, err := d.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("byte %d: %v", d.InputOffset(), err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			e := element{x.Name.Local, map[string]string{}}
			for _, a := range x.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			all = append(all, e)
			if !slices.Contains(void, x.Name.Local) {
				open = append(open, x.Name.Local)
			}
		case xml.EndElement:
			if len(open) == 0 || open[len(open)-1] != x.Name.Local {
				t.Fatalf("byte %d: </%s> ends %v", d.InputOffset(), x.Name.Local, open)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Fatalf("not ended: %v", open)
	}
	return all
}

func TestATagThatDoesNotNestIsNoticed(t *testing.T) {
	// The walk itself must be able to fail: RawToken does not check nesting.
	d := xml.NewDecoder(strings.NewReader("<p><b></p></b>"))
	d.Strict = false
	for range 3 {
		if _, err := d.RawToken(); err != nil {
			t.Fatal("the walk rests on RawToken passing over bad nesting")
		}
	}
}

func TestThePageIsWellFormed(t *testing.T) {
	page := render(t)
	if *show != "" {
		if err := os.WriteFile(*show, []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	all := walk(t, page)
	ids, links := map[string]bool{}, []string{}
	level := 0
	for _, e := range all {
		if id := e.attrs["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q stands twice", id)
			}
			ids[id] = true
		}
		if to, has := e.attrs["href"]; has {
			links = append(links, to)
		}
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			if now := int(e.name[1] - '0'); now > level+1 {
				t.Errorf("a heading jumps from h%d to h%d", level, now)
			} else {
				level = now
			}
		}
		if e.name == "svg" && e.attrs["aria-hidden"] == "" && (e.attrs["role"] != "img" || e.attrs["aria-label"] == "") {
			t.Errorf("a drawing without role or label: %v", e.attrs)
		}
		if e.name == "html" && e.attrs["lang"] != "en" {
			t.Error("the page does not say its language")
		}
	}
	for _, to := range links {
		if !strings.HasPrefix(to, "#") || !ids[to[1:]] {
			t.Errorf("link to %q leads nowhere on the page", to)
		}
	}
}

func TestEveryFigureHasItsSentenceItsPictureAndItsTable(t *testing.T) {
	parts := strings.Split(render(t), "<figure>")[1:]
	if len(parts) < 20 { // 4 respirators, 13 wearings: far more than twenty pictures
		t.Fatalf("only %d figures", len(parts))
	}
	for _, p := range parts {
		p, _, _ = strings.Cut(p, "</figure>")
		for _, want := range []string{"<figcaption>", "<svg class=\"wide", "<desc>", "<table>", "<tbody><tr>"} {
			if !strings.Contains(p, want) {
				t.Errorf("no %s in figure %.80s", want, p)
			}
		}
	}
}

// body is the page without its style sheet and fonts.
func body(page string) string {
	before, rest, _ := strings.Cut(page, "<style>")
	_, after, _ := strings.Cut(rest, "</style>")
	return before + after
}

func needsNothingFromOutside(t *testing.T, page string) {
	t.Helper()
	for _, bad := range []string{"http:", "https:", "//", "src=", "@import", "<script", "<link", "<iframe", "<img", "javascript:"} {
		if i := strings.Index(strings.ToLower(body(page)), bad); i >= 0 {
			t.Errorf("the page holds %q: ...%.80s", bad, body(page)[max(0, i-20):])
		}
	}
	_, rest, _ := strings.Cut(page, "<style>")
	css, _, _ := strings.Cut(rest, "</style>")
	for _, at := range strings.Split(css, "url(")[1:] {
		if !strings.HasPrefix(at, "#") && !strings.HasPrefix(at, "data:font/woff2;base64,") {
			t.Errorf("the style sheet reaches outside: url(%.40s", at)
		}
	}
}

func TestThePageNeedsNothingFromOutside(t *testing.T) { needsNothingFromOutside(t, render(t)) }

var notNumbers = regexp.MustCompile(`NaN|\bInf\b|[+-]Inf|Infinity|%!`)

func TestANamedReachOutsideIsNoticed(t *testing.T) {
	inner := &testing.T{}
	needsNothingFromOutside(inner, `<style>a{b:url(//x)}</style><img src="http://x">`)
	if !inner.Failed() {
		t.Error("the check passes a page that reaches outside")
	}
}

func TestNoTextSaysThatANumberIsNone(t *testing.T) {
	if bad := notNumbers.FindString(body(render(t))); bad != "" {
		t.Errorf("the page says %q", bad)
	}
}

// each calls on for every settable leaf of v.
func each(v reflect.Value, on func(reflect.Value)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			each(v.Elem(), on)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			each(v.Field(i), on)
		}
	case reflect.Slice:
		for i := range v.Len() {
			each(v.Index(i), on)
		}
	default:
		on(v)
	}
}

func TestAnyNumberCanBeShown(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -3, 1e-300, 1e300, 1, math.SmallestNonzeroFloat64} {
		f := fixture()
		s := recorded(f)
		n := 0
		each(reflect.ValueOf(f), func(v reflect.Value) {
			if v.Kind() == reflect.Float64 {
				v.SetFloat(bad)
				n++
			}
		})
		for i := range s.Wearings {
			tr := s.Wearings[i].Trace
			for j := range tr.Ambient {
				tr.Ambient[j], tr.Inside[j] = bad, bad
			}
		}
		page := pageOf(t, f, s)
		walk(t, page)
		var b bytes.Buffer
		if err := Text(&b, f, 80); err != nil {
			t.Fatal(err)
		}
		if words := notNumbers.FindString(body(page) + b.String()); words != "" && n > 500 {
			t.Errorf("with every number %v the page says %q", bad, words)
		}
	}
}

// hostile are names that try to leave their place.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img onerror=x>`, `' onload='x`, `</style><b>`, `</svg></figure>`, `<!--`, `]]>`, `&#60;b&#62;`,
	"\u202Egnp.exe", "a\u2066b\u2069c", "\x00\x1b[31m\x07", "\xff\xfe", "line\nbreak\ttab\u2028", strings.Repeat("long", 500),
	strings.Repeat("wide word ", 200), "呼吸用保護具 방진마스크", "e\u0301\u0301\u0301\u0301", "{{.}}", "%s%d", "", " ", "?q=#x",
}

func TestHostileTextStaysText(t *testing.T) {
	tags := func(page string) (names []string) {
		for _, e := range walk(t, page) {
			names = append(names, e.name)
			for a := range e.attrs {
				if strings.HasPrefix(a, "on") || a == "style" {
					t.Errorf("attribute %s on %s", a, e.name)
				}
			}
		}
		slices.Sort(names)
		return slices.Compact(names)
	}
	usual := tags(render(t))
	for _, bad := range hostile {
		f := fixture()
		s := recorded(f)
		each(reflect.ValueOf(f), func(v reflect.Value) {
			if v.Kind() == reflect.String {
				v.SetString(bad)
			}
		})
		page := pageOf(t, f, s)
		for _, name := range tags(page) {
			if !slices.Contains(usual, name) {
				t.Errorf("%.30q brought the element %s", bad, name)
			}
		}
		var b bytes.Buffer
		if err := Text(&b, f, 80); err != nil {
			t.Fatal(err)
		}
		for _, r := range page + b.String() {
			if isBidi(r) || r < ' ' && r != '\n' || r == 0x7f {
				t.Fatalf("%.30q left the character %U on the page", bad, r)
			}
		}
	}
}

func TestWhatIsMissingIsSaid(t *testing.T) {
	full := fixture()
	for _, x := range []struct {
		name string
		f    *finding.Findings
		s    *record.Study
		says string
	}{
		{"nothing at all", nil, nil, "nothing can be said"},
		{"an empty study", &finding.Findings{}, &record.Study{}, "A study without a title"},
		{"no traces", full, nil, "The trace is not at hand here"},
		{"a respirator without wearings", &finding.Findings{Respirators: []finding.Respirator{{ID: "x", Name: "X"}}}, nil, "no wearings"},
		{"a reference alone", &finding.Findings{Respirators: []finding.Respirator{known()}}, nil, "the reference respirator"},
	} {
		page := pageOf(t, x.f, x.s)
		walk(t, page)
		if !strings.Contains(page, x.says) {
			t.Errorf("%s: the page does not say %q", x.name, x.says)
		}
		if !strings.Contains(page, "follow the local rules") {
			t.Errorf("%s: the page does not send the reader to the local rules", x.name)
		}
		if err := Text(io.Discard, x.f, 0); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
	}
}

func TestFortyLongWearingsStayUnderAMegabyte(t *testing.T) {
	f := fixture()
	r := fold()
	r.Configurations = r.Configurations[:1]
	r.Configurations[0].Wearings = nil
	for i := range 40 {
		r.Configurations[0].Wearings = append(r.Configurations[0].Wearings, wearing(fmt.Sprintf("run-%d", i), at(i), 9))
	}
	f.Respirators = []finding.Respirator{r}
	s := recorded(f)
	for i := range s.Wearings { // five hours at 1 Hz each
		tr := s.Wearings[i].Trace
		for n := len(tr.TimeS); n < 18000; n++ {
			tr.TimeS = append(tr.TimeS, float64(n))
			tr.Ambient, tr.Inside = append(tr.Ambient, 5000+float64(n*7919%997)), append(tr.Inside, 100+float64(n*104729%499))
		}
	}
	if n := len(pageOf(t, f, s)); n >= 1_000_000 {
		t.Errorf("the page has %d bytes", n)
	}
}

// refused are words that no page of ours uses of a respirator.
var refused = regexp.MustCompile(`(?i)\b(safe|certified|fake|genuine|proves?|protects|compliant|counterfeit)\b`)

func TestOurOwnWordsClaimNothing(t *testing.T) {
	entries, err := files.ReadDir("page")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		raw, err := files.ReadFile("page/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		if bad := refused.Find(raw); bad != nil && strings.HasSuffix(e.Name(), ".html") {
			t.Errorf("%s says %q", e.Name(), bad)
		}
	}
	if bad := refused.FindString(body(render(t))); bad != "" {
		t.Errorf("the page says %q", bad)
	}
}

func TestPageAndTerminalSayTheSameFigures(t *testing.T) {
	f := fixture()
	page := pageOf(t, f, recorded(f))
	var b bytes.Buffer
	if err := Text(&b, f, 200); err != nil {
		t.Fatal(err)
	}
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			x := brief(c.FitFactor)
			if !strings.Contains(page, x.Strong) || !strings.Contains(page, x.Light) || !strings.Contains(b.String(), x.Strong) || !strings.Contains(b.String(), x.Light) {
				t.Errorf("%s %s: %v does not stand on both pages", r.ID, c.Name, x)
			}
		}
	}
}
