package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"telltale/fault"
	"telltale/marks"
	"telltale/papers"
	"telltale/record"
)

type marksCmd struct {
	Files []string `arg:"" name:"file" help:"Marks file (YAML), plain text, PDF or picture; several files are of one respirator."`
	Out   string   `help:"Folder for marks.html, each picture beside its words, and marks.yaml, the words to correct." placeholder:"DIR"`
	JSON  bool     `help:"Print JSON alone."`
}

// mostPaper is the largest paper that is read, in bytes.
const mostPaper = 30 << 20

// Run examines the words on one respirator. With a folder, what could be read is
// written there even if a file could not; that file's fault is the error.
func (c marksCmd) Run(ctx context.Context, s streams) error {
	var all []paper
	var faults fault.List
	for _, path := range c.Files {
		p, err := readPaper(ctx, path)
		var f *fault.Fault
		switch {
		case errors.As(err, &f) && (p.read.SHA256 != "" && c.Out != "" || len(p.read.Codes) > 0):
			faults = append(faults, f)
			p.fault = f
		case err != nil:
			return err
		}
		all = append(all, p)
	}
	m := together(all)
	found := marks.Examine(m)
	var written []string
	if c.Out != "" {
		var err error
		if written, err = writeSheet(c.Out, all, m, found); err != nil {
			return err
		}
	}
	var err error
	if c.JSON {
		err = writeJSON(s.out, found)
	} else {
		err = printMarks(s.out, m, found, written)
	}
	if err != nil {
		return err
	}
	return faults.Or()
}

// paper is one file of a respirator, read.
type paper struct {
	path  string
	where string // the place its words stand in; "" for our own format, which says it itself
	words record.Marks
	own   bool // a person's file: a marks file or plain text
	read  papers.Reading
	fault *fault.Fault // why its text is missing
}

// readPaper reads one file: our own format and text as they are, papers through a
// reader in a process of its own, their words marked as machine-read.
func readPaper(ctx context.Context, path string) (paper, error) {
	p := paper{path: path}
	data, err := readBounded(path, mostPaper)
	if err != nil {
		return p, err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".yaml", ".yml", ".json", ".txt", ".md", "":
		p.own = true
		p.words, err = marks.ReadFile(path, data)
		return p, err
	}
	p.read, err = papers.Read(ctx, path, data, papers.Usual)
	p.where = placeOf(path, p.read.Kind)
	for _, c := range p.read.Codes {
		p.words.Codes = append(p.words.Codes, c.Text)
	}
	if err != nil {
		return p, err
	}
	*p.words.At(p.where) = p.read.Text
	if p.read.Machine {
		p.words.MachineRead = []string{p.where}
	}
	return p, nil
}

// placeOf is the place that a file's name begins with (facepiece-2.jpg), else
// certificate for a PDF and box for a picture.
func placeOf(path string, kind papers.Kind) string {
	name := strings.ToLower(filepath.Base(path))
	for _, p := range everyPlace {
		if rest, begins := strings.CutPrefix(name, p); begins && !strings.ContainsFunc(rest[:min(1, len(rest))], unicode.IsLetter) {
			return p
		}
	}
	if kind == papers.PDF {
		return "certificate"
	}
	return "box"
}

var everyPlace = []string{"facepiece", "strap", "pouch", "box", "leaflet", "certificate", "listing"}

// together joins the words of all files. A person's word stands: a place that a
// marks file or text states is not filled from a picture or PDF as well.
func together(all []paper) record.Marks {
	var m record.Marks
	for _, p := range all {
		if p.own {
			m = joinMarks(m, p.words)
		}
	}
	typed := m
	for _, p := range all {
		switch {
		case p.own:
		case *typed.At(p.where) != "":
			m = joinMarks(m, record.Marks{Codes: p.words.Codes})
		default:
			m = joinMarks(m, p.words)
		}
	}
	return m
}

func readBounded(path string, most int64) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, missing(path, err)
	}
	if int64(len(data)) > most {
		return nil, &fault.Fault{Code: "E132", File: path, What: fmt.Sprintf("is larger than %d MB", most>>20), Do: "Save it smaller, or type its words into a marks file."}
	}
	return data, nil
}

// joinMarks adds the words of a further file of the same respirator.
func joinMarks(a, b record.Marks) record.Marks {
	for _, where := range everyPlace {
		to, text := a.At(where), *b.At(where)
		between := "\n"
		if where == "certificate" {
			between = "\n\n" // a paper of its own
		}
		if *to != "" && text != "" {
			*to = strings.TrimRight(*to, "\n") + between
		}
		*to += text
	}
	if a.Attachment == "" {
		a.Attachment = b.Attachment
	}
	if a.Valve == nil {
		a.Valve = b.Valve
	}
	if a.Made.IsZero() {
		a.Made, a.MadeLast = b.Made, b.MadeLast
	}
	if a.Bought.IsZero() {
		a.Bought, a.BoughtLast = b.Bought, b.BoughtLast
	}
	if a.FirstSold.IsZero() {
		a.FirstSold, a.FirstSoldLast = b.FirstSold, b.FirstSoldLast
	}
	a.Registers = append(a.Registers, b.Registers...)
	a.Codes = addNew(a.Codes, b.Codes)
	a.MachineRead = addNew(a.MachineRead, b.MachineRead)
	return a
}

func addNew(to, more []string) []string {
	for _, s := range more {
		if !slices.Contains(to, s) {
			to = append(to, s)
		}
	}
	return to
}

// marksOfStudy refuses a study whose marks files cannot be read, before any figure
// is made.
func marksOfStudy(s *record.Study) error {
	var found fault.List
	for _, r := range s.Respirators {
		if !r.MarksPaper.Stated() {
			continue
		}
		if _, err := marks.ReadFile(r.MarksPaper.Path, r.MarksPaper.Data); err != nil {
			found = append(found, &fault.Fault{Code: "E305", What: "marks of respirator " + r.ID + ": " + err.Error(), Err: err})
		}
	}
	return found.Or()
}
