package report

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"strings"

	"telltale/finding"
)

// Sheet is what the page of one respirator's words shows.
type Sheet struct {
	Title   string
	Marks   *finding.Marks
	Papers  []Paper
	LookUps []LookUp
	File    string // the marks file to correct
	Again   string // the command that makes the page anew
	Program string
}

// Paper is one file that words were read from.
type Paper struct {
	Name, Where string
	SHA256      string
	Text        string // as it was read; line breaks are kept
	Machine     bool   // a machine read it and nobody has compared it yet
	Codes       []string
	Picture     []byte // a JPEG, or nil
	Notes       []string
}

// LookUp is a register that a person has to look into.
type LookUp struct {
	Register, Compare string
	Numbers           []string
}

// Most letters of one text that are shown: more than any paper bears, and few
// enough for a page.
const (
	mostShown = 20000 // beside the picture
	mostDrawn = 2000  // in the drawing and its table
)

type sheetPage struct {
	Sheet
	Style  template.CSS
	Words  *marksView
	Papers []paperView
	Waits  int // findings that need confirmation
}

type paperView struct {
	Paper
	Lines string // cleaned, line by line
	Cut   bool
	Image template.URL
}

// MarksPage writes the page of one respirator's words: each picture beside what was
// read from it, the findings in order of strength, and how to correct them. It
// needs nothing from outside. Pictures are shown as they are given, so they must be
// pixels alone.
func MarksPage(w io.Writer, s Sheet) error {
	papers := s.Papers
	s = cleanCopy(reflect.ValueOf(s)).Interface().(Sheet)
	p := sheetPage{Sheet: s, Style: style()}
	if s.Marks != nil {
		for i, place := range s.Marks.Places {
			s.Marks.Places[i].Text, _ = clipped(place.Text, mostDrawn)
		}
		p.Words = newMarksView(s.Marks)
		for _, f := range p.Words.Findings {
			if f.NeedsConfirmation {
				p.Waits++
			}
		}
	}
	for i, clean := range s.Papers {
		v := paperView{Paper: clean}
		v.Lines, v.Cut = clipped(papers[i].Text, mostShown)
		v.Lines = cleanLines(v.Lines)
		if len(clean.Picture) > 0 {
			v.Image = template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(papers[i].Picture))
		}
		p.Papers = append(p.Papers, v)
	}
	if err := pages.ExecuteTemplate(w, "marks.html", p); err != nil {
		return fmt.Errorf("write the page of the words: %w", err)
	}
	return nil
}

// clipped is the head of a text, whole letters only.
func clipped(s string, most int) (string, bool) {
	if len(s) <= most {
		return s, false
	}
	return strings.ToValidUTF8(s[:most], "") + "…", true
}

// cleanLines cleans each line of a text and keeps the lines.
func cleanLines(s string) string {
	lines := strings.Split(strings.Trim(s, "\n"), "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(Clean(line), " ")
	}
	return strings.Join(lines, "\n")
}
