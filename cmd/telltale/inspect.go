package main

import (
	"telltale/tracefile"
)

type inspectCmd struct {
	Trace  string `arg:"" help:"Trace file (CSV)."`
	Layout string `help:"Layout file that maps foreign columns and units." placeholder:"FILE"`
	JSON   bool   `help:"Print JSON alone."`
}

// Run says what a trace holds.
func (c inspectCmd) Run(s streams) error {
	t, err := openTrace(c.Trace, c.Layout)
	if err != nil {
		return err
	}
	r := tracefile.Inspect(t)
	if c.JSON {
		return writeJSON(s.out, r)
	}
	return printInspect(s.out, r)
}
