package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"telltale/fault"
	"telltale/marks"
	"telltale/papers"
	"telltale/record"
	"telltale/report"
)

type marksCmd struct {
	Files []string `arg:"" name:"file" help:"Marks file (YAML), plain text, PDF or picture; several files are of one respirator."`
	JSON  bool     `help:"Print JSON alone."`
}

// mostPaper is the largest paper that is read, in bytes.
const mostPaper = 30 << 20

// Run examines the words on one respirator.
func (c marksCmd) Run(ctx context.Context, s streams) error {
	var all record.Marks
	for _, path := range c.Files {
		m, err := readMarks(ctx, path)
		if err != nil {
			return err
		}
		all = joinMarks(all, m)
	}
	f := marks.Examine(all)
	if c.JSON {
		return writeJSON(s.out, f)
	}
	return printMarks(s.out, all, f)
}

// readMarks reads one file: our own format and text as they are, papers through a
// reader in a process of its own, their words marked as machine-read.
func readMarks(ctx context.Context, path string) (record.Marks, error) {
	data, err := readBounded(path, mostPaper)
	if err != nil {
		return record.Marks{}, err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".yaml", ".yml", ".json", ".txt", ".md", "":
		return marks.ReadFile(path, data)
	}
	read, err := papers.Read(ctx, path, data, papers.Usual)
	if err != nil {
		return record.Marks{}, err
	}
	if read.Kind == papers.PDF {
		return record.Marks{Certificate: read.Text, MachineRead: []string{"certificate"}}, nil
	}
	m := record.Marks{Box: read.Text}
	if read.Machine {
		m.MachineRead = []string{"box"}
	}
	return m, nil
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
	add := func(to *string, text string) {
		if *to != "" && text != "" {
			*to += "\n"
		}
		*to += text
	}
	add(&a.Facepiece, b.Facepiece)
	add(&a.Strap, b.Strap)
	add(&a.Pouch, b.Pouch)
	add(&a.Box, b.Box)
	add(&a.Leaflet, b.Leaflet)
	add(&a.Certificate, b.Certificate)
	add(&a.Listing, b.Listing)
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
	a.MachineRead = append(a.MachineRead, b.MachineRead...)
	return a
}

// printMarks shows the findings in order of strength, then the words as read.
func printMarks(w io.Writer, m record.Marks, f marks.Findings) error {
	var b strings.Builder
	summary := map[marks.Summary]string{
		marks.Inconsistent:       "The words contradict each other or the regime they name.",
		marks.NoInconsistency:    "No inconsistency was found among the words.",
		marks.NotEnoughToExamine: "Too few words to examine.",
	}[f.Summary]
	fmt.Fprintf(&b, "%s\nThis speaks of the words only, not of what the respirator does.\n\n", summary)
	rows := [][]string{{"claim", "regime", "where"}}
	for _, c := range f.Claims {
		rows = append(rows, []string{c.Class, c.Regime, c.Where})
	}
	if len(rows) > 1 {
		if err := report.Columns(&b, rows, "lll"); err != nil {
			return err
		}
		b.WriteString("\n")
	}
	for _, x := range f.Findings {
		fmt.Fprintf(&b, "  %s: %s [%s]\n", x.Severity, report.Clean(x.Text), x.Rule)
		for _, e := range x.Evidence {
			fmt.Fprintf(&b, "      %s: %q\n", e.Where, report.Clean(e.Text))
		}
		fmt.Fprintf(&b, "      source: %s (%s)\n", x.Source, x.State)
		if x.Clears != "" {
			fmt.Fprintf(&b, "      would clear it: %s\n", x.Clears)
		}
	}
	for _, where := range m.MachineRead {
		fmt.Fprintf(&b, "\nRead by machine from the %s; correct it in a marks file before anything is published:\n", where)
		for _, p := range m.Places() {
			if p.Where == where {
				b.WriteString("  " + strings.ReplaceAll(strings.TrimSpace(p.Text), "\n", "\n  ") + "\n")
			}
		}
	}
	_, err := io.WriteString(w, printable(b.String()))
	return err
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
