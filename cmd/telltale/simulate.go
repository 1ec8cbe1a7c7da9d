package main

import (
	"fmt"
	"os"
	"path/filepath"

	"telltale/demo"
	"telltale/fault"
	"telltale/report"
	"telltale/simulate"
)

type simulateCmd struct {
	Scenario string `help:"Name of the scenario; without it the scenarios are listed." placeholder:"NAME"`
	Seed     uint64 `help:"Seed: the same seed makes the same study." default:"1"`
	Out      string `help:"Folder for the study (default: out/NAME)." placeholder:"DIR"`
	JSON     bool   `help:"Print the truth (or the list of scenarios) as JSON alone."`
}

// Run writes a practice study, with the truth in a file apart.
func (c simulateCmd) Run(s streams) error {
	if c.Scenario == "" {
		return c.list(s)
	}
	scenario, ok := demo.ScenarioByName(c.Scenario)
	if !ok {
		var known []string
		for _, sc := range demo.Scenarios() {
			known = append(known, sc.Name)
		}
		return usage{fmt.Errorf("scenario %q is not known. %s", c.Scenario, fault.DidYouMean(c.Scenario, known))}
	}
	if c.Out == "" {
		c.Out = filepath.Join("out", c.Scenario)
	}
	files, _, truth := simulate.Study(c.Seed, scenario)
	if err := writeFiles(c.Out, files); err != nil {
		return err
	}
	apart := c.Out + ".truth.json"
	if err := replace(apart, truth.JSON()); err != nil {
		return err
	}
	if c.JSON {
		_, err := s.out.Write(truth.JSON())
		return err
	}
	_, err := fmt.Fprintf(s.out, "The study: %s\nThe truth, apart: %s\nNext: telltale report %s\n", c.Out, apart, c.Out)
	return err
}

// list tells the scenarios.
func (c simulateCmd) list(s streams) error {
	type line struct {
		Name  string `json:"name"`
		About string `json:"about"`
	}
	var all []line
	rows := [][]string{{"scenario", "what it shows"}}
	for _, sc := range demo.Scenarios() {
		all = append(all, line{sc.Name, sc.About})
		rows = append(rows, []string{sc.Name, sc.About})
	}
	if c.JSON {
		return writeJSON(s.out, all)
	}
	return report.Columns(s.out, rows, "ll")
}

// writeFiles writes a folder of files; their names come from this program.
func writeFiles(dir string, files simulate.Files) error {
	for _, name := range files.Names() {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return cannotWrite(filepath.Dir(path), err)
		}
		if err := replace(path, files[name]); err != nil {
			return err
		}
	}
	return nil
}
