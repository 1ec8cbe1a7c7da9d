package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"telltale/fault"
	"telltale/finding"
	"telltale/marks"
	"telltale/papers"
	"telltale/record"
	"telltale/report"
)

// writeSheet writes the page and the words to correct into a folder and says where
// they are. A marks file that is there already may hold a person's corrections: it
// is never written over.
func writeSheet(dir string, all []paper, m record.Marks, found marks.Findings) ([]string, error) {
	words, page := filepath.Join(dir, "marks.yaml"), filepath.Join(dir, "marks.html")
	text := marks.Format(m, fileHead(all)...)
	kept, err := isThere(words, text, all)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := report.MarksPage(&b, sheet(dir, all, m, found)); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, cannotWrite(dir, err)
	}
	if !kept {
		if err := replace(words, text); err != nil {
			return nil, err
		}
	}
	if err := replace(page, b.Bytes()); err != nil {
		return nil, err
	}
	return []string{"Pictures beside their words: " + page, "The words, to be corrected: " + words}, nil
}

// isThere says whether the marks file is one of those read, or already holds the
// text. Another one in its place is a fault.
func isThere(words string, text []byte, all []paper) (bool, error) {
	there, err := os.Stat(words)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, missing(words, err)
	}
	for _, p := range all {
		if info, err := os.Stat(p.path); err == nil && os.SameFile(info, there) {
			return true, nil
		}
	}
	if have, err := os.ReadFile(words); err == nil && bytes.Equal(have, text) {
		return true, nil
	}
	return false, &fault.Fault{Code: "E137", File: words, What: "is there already and may hold corrections",
		Do: "Name it among the files to make its page anew, or name another folder with --out."}
}

// fileHead says in the marks file what it holds and from which files.
func fileHead(all []paper) []string {
	out := []string{"What is printed on one respirator, written by telltale marks.",
		"Compare each place under machine_read with its picture and correct it here;",
		"move words to the place they stand in, then take the place out of machine_read."}
	for _, p := range all {
		if p.read.SHA256 != "" {
			out = append(out, "Read: "+report.Clean(filepath.Base(p.path))+", SHA-256 "+p.read.SHA256)
		}
	}
	return out
}

// sheet gathers what the page shows.
func sheet(dir string, all []paper, m record.Marks, found marks.Findings) report.Sheet {
	words := filepath.Join(dir, "marks.yaml")
	s := report.Sheet{Title: "The words on one respirator", Marks: finding.OfMarks(m), File: "marks.yaml", Program: "telltale " + program().Version + ", " + program().Commit}
	again := []string{"telltale", "marks", quoted(words)}
	for _, p := range all {
		if p.own {
			continue
		}
		s.Papers = append(s.Papers, paperOf(p, m))
		again = append(again, quoted(p.path))
	}
	s.Again = strings.Join(append(again, "--out", quoted(dir)), " ")
	for _, l := range found.LookUps {
		s.LookUps = append(s.LookUps, report.LookUp{Register: l.Register, Compare: l.Compare, Numbers: l.Numbers})
	}
	return s
}

// paperOf shows a paper beside the words of its place: those a person gave, where
// there are any, else those that a machine read from it.
func paperOf(p paper, m record.Marks) report.Paper {
	out := report.Paper{Name: filepath.Base(p.path), Where: p.where, SHA256: p.read.SHA256, Picture: p.read.Preview, Text: p.read.Text, Machine: p.read.Machine}
	if now := *m.At(p.where); !strings.Contains(now, strings.TrimRight(p.read.Text, "\n")) || p.read.Text == "" {
		out.Text = now // a person's file states this place
	}
	out.Machine = out.Machine && slices.Contains(m.MachineRead, p.where)
	for _, c := range p.read.Codes {
		out.Codes = append(out.Codes, c.Kind+": "+c.Text)
	}
	if p.read.Kind == papers.PDF {
		out.Notes = append(out.Notes, "This is a PDF; it is not drawn here.")
	}
	for _, note := range []string{p.read.Remark, faultNote(p.fault)} {
		if note != "" {
			out.Notes = append(out.Notes, note)
		}
	}
	if p.read.Cut {
		out.Notes = append(out.Notes, "Its text was longer than is read; the rest was left out.")
	}
	return out
}

func faultNote(f *fault.Fault) string {
	if f == nil {
		return ""
	}
	return f.What + ". " + f.Do
}

// quoted makes a name fit for a shell where it needs to be.
func quoted(name string) string {
	if strings.ContainsFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-/", r))
	}) {
		return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
	}
	return name
}
