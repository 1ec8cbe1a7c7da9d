// Package report answers: how is a finding shown?
//
// HTML makes one page that needs nothing from outside: type, style and drawings
// stand inside it. Text makes the same for a terminal. Both print the figures and
// sentences of package finding and compute none; arithmetic here only places
// marks on a drawing. Each picture comes with the table that proves it.
//
// It assumes that findings and study belong together. It refuses to show control
// characters and marks that turn the writing direction: they are left out, and
// what was recorded stays as it was.
package report

import (
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"

	"telltale/finding"
	"telltale/record"
)

//go:embed page/*.html page/style.css fonts/*.woff2
var files embed.FS

var pages = template.Must(template.New("page").ParseFS(files, "page/*.html"))

// page is everything the templates show.
type page struct {
	Title       string
	Findings    *finding.Findings
	Style       template.CSS
	Contents    []link
	Meta        string
	Runs        string
	Overview    *figure
	Respirators []respiratorView
	References  []respiratorView
	Sessions    []sessionView
	RunTable    table
	SourceTable table
	Cautions    []string
	LevelWords  string
	Program     string
}

// link is an entry of the contents.
type link struct{ Anchor, Text string }

// HTML writes the report of the findings as one page. The study gives the traces
// to be drawn; without it, or without a trace, that is said in its place.
func HTML(w io.Writer, f *finding.Findings, s *record.Study) error {
	if err := pages.ExecuteTemplate(w, "page.html", newPage(cleaned(f), s)); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return nil
}

// newPage arranges cleaned findings for the templates.
func newPage(f *finding.Findings, s *record.Study) *page {
	p := &page{Title: f.Study.Title, Findings: f, Style: style(), LevelWords: percentWords(f.Level)}
	if p.Title == "" {
		p.Title = "A study without a title"
	}
	p.Meta = joined(span2(f.Study.First, f.Study.Last), plural(len(f.Respirators), "respirator", "respirators"), plural(f.Study.Faces, "face", "faces"))
	p.Runs = runsWords(f.Runs)
	taken := map[string]bool{}
	columns := traceColumns(countRuns(f))
	for _, r := range f.Respirators {
		v := newRespirator(r, s, anchor(r.ID, taken), columns)
		if v.Reference {
			p.References = append(p.References, v)
		} else {
			p.Respirators = append(p.Respirators, v)
		}
	}
	if len(f.Respirators) > 1 {
		p.Overview = overviewFigure(f)
	}
	for _, x := range f.Sessions {
		p.Sessions = append(p.Sessions, newSession(x, f, s))
	}
	p.RunTable, p.SourceTable, p.Cautions = runTable(f), sourceTable(f), cautions(f)
	p.Program = programWords(f.Program)
	p.contents()
	return p
}

func countRuns(f *finding.Findings) (n int) {
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			n += len(c.Wearings)
		}
	}
	return n
}

// anchor makes an anchor from an id that no other respirator has.
func anchor(id string, taken map[string]bool) string {
	base := "respirator-" + slug(id)
	name := base
	for i := 2; taken[name]; i++ {
		name = fmt.Sprintf("%s-%d", base, i)
	}
	taken[name] = true
	return name
}

func (p *page) contents() {
	add := func(anchor, text string) { p.Contents = append(p.Contents, link{anchor, text}) }
	if p.Overview != nil {
		add("overview", "All respirators at a glance")
	}
	for _, r := range append(append([]respiratorView(nil), p.Respirators...), p.References...) {
		add(r.Anchor, cut(r.Name, 24, 0.55))
	}
	if len(p.Sessions) > 0 {
		add("day", "The counter’s day")
	}
	add("runs", "Every run that was started")
	add("method", "How the figures were made")
	add("cautions", "Before you act on this")
}

// style is the style sheet with its colours and both fonts inside.
func style() template.CSS {
	read := func(name string) []byte {
		raw, err := files.ReadFile(name)
		if err != nil {
			panic("report: embedded file " + name + " is missing")
		}
		return raw
	}
	face := func(name, weight string) string {
		return `@font-face{font-family:"Atkinson Hyperlegible Next";font-style:normal;font-weight:` + weight +
			`;src:url(data:font/woff2;base64,` + base64.StdEncoding.EncodeToString(read(name)) + `) format("woff2")}` + "\n"
	}
	return template.CSS("/* Type: Atkinson Hyperlegible Next, SIL Open Font License 1.1 */\n" +
		face("fonts/regular.woff2", "400") + face("fonts/bold.woff2", "700") +
		":root{" + paper.css() + "}\n@media screen and (prefers-color-scheme:dark){:root{" + night.css() + "}}\n" + string(read("page/style.css")))
}
