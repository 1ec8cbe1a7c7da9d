package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"telltale/fault"
	"telltale/finding"
	"telltale/publication"
	"telltale/record"
	"telltale/report"
)

// textWidth is the width of a page on the terminal.
const textWidth = 96

type reportCmd struct {
	Study string  `arg:"" help:"Study folder with study.yaml in it."`
	Out   string  `help:"Folder for report.html and findings.json (default: the study folder's report)." placeholder:"DIR"`
	Level float64 `help:"Level of the intervals." default:"0.95"`
	JSON  bool    `help:"Print the findings as JSON alone."`
}

// Run says what may be said of a study.
func (c reportCmd) Run(ctx context.Context, s streams) error {
	if err := checkLevel(c.Level); err != nil {
		return err
	}
	study, err := openStudy(c.Study)
	if err != nil {
		return err
	}
	out := c.Out
	if out == "" {
		out = filepath.Join(c.Study, "report")
	}
	return publish(s, study, out, c.Level, c.JSON)
}

// publish computes the findings, writes them as page and JSON, and shows them.
func publish(s streams, study *record.Study, dir string, level float64, asJSON bool) error {
	f := finding.Of(study, finding.Options{Level: level, Program: program()})
	var page, data bytes.Buffer
	if err := report.HTML(&page, f, study); err != nil {
		return fmt.Errorf("draw the report: %w", err)
	}
	if err := writeJSON(&data, f); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return cannotWrite(dir, err)
	}
	for _, file := range []struct {
		name string
		data []byte
	}{{"report.html", page.Bytes()}, {"findings.json", data.Bytes()}} {
		if err := replace(filepath.Join(dir, file.name), file.data); err != nil {
			return err
		}
	}
	if asJSON {
		_, err := io.Copy(s.out, &data)
		return err
	}
	if err := report.Text(s.out, f, textWidth); err != nil {
		return err
	}
	_, err := fmt.Fprintf(s.out, "\nThe report: %s\nThe figures: %s\n", filepath.Join(dir, "report.html"), filepath.Join(dir, "findings.json"))
	return err
}

// replace writes a file whole or not at all, readable by all.
func replace(path string, data []byte) error { return publication.Replace(path, data, 0o644) }

func cannotWrite(path string, err error) error {
	return &fault.Fault{Code: "E304", File: path, What: "cannot be written", Do: err.Error() + ". Name another folder with --out.", Err: err}
}
