package main

import (
	"context"
	"path/filepath"

	"telltale/demo"
)

type demoCmd struct {
	Out  string `help:"Folder for the study and its report." default:"out/demo" placeholder:"DIR"`
	Seed uint64 `help:"Seed of the simulated traces." default:"${demoSeed}"`
	JSON bool   `help:"Print the findings as JSON alone."`
}

// Run writes the demo study as a folder, reads it back like any other, and
// reports on it.
func (c demoCmd) Run(ctx context.Context, s streams) error {
	files := demo.Files(c.Seed)
	folder := filepath.Join(c.Out, "study")
	if err := writeFiles(folder, files); err != nil {
		return err
	}
	study, err := openStudy(folder)
	if err != nil {
		return err
	}
	return publish(s, study, c.Out, 0.95, c.JSON)
}
