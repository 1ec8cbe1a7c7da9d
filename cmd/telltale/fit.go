package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"telltale/finding"
	"telltale/fitfactor"
	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
	"telltale/report"
	"telltale/tracefile"
	"telltale/uncertainty"
)

type fitCmd struct {
	Trace      []string `arg:"" help:"Trace file (CSV); two files where room and inside were recorded apart."`
	Layout     string   `help:"Layout file that maps foreign columns and units." placeholder:"FILE"`
	Protocol   string   `help:"Exercise protocol: ${default} = the whole trace." default:"free" placeholder:"ID"`
	FlowCM3S   *float64 `name:"flow-cm3-s" help:"Sample flow that the counter counts, cm3/s; without it no counting interval." placeholder:"Q"`
	DeadTimeS  *float64 `name:"dead-time-s" help:"Dead time per particle, s." placeholder:"T"`
	TopPerCM3  *float64 `name:"top-per-cm3" help:"Highest concentration the counter can state." placeholder:"C"`
	Zero       string   `help:"Zero check: a trace of filtered air on the same counter." placeholder:"TRACE"`
	SideBySide string   `help:"Trace with both counters on the same air." placeholder:"TRACE"`
	TransitS   *float64 `help:"Delay of the sample line, s." placeholder:"T"`
	WashoutS   *float64 `help:"Time constant of the line's mixing volume, s." placeholder:"T"`
	Limit      *float64 `help:"Fit factor to decide against (default: the protocol's for half masks)." placeholder:"FF"`
	Level      float64  `help:"Level of the intervals." default:"0.95"`
	JSON       bool     `help:"Print JSON alone."`
}

// Run computes and prints the fit factor of a trace.
func (c fitCmd) Run(s streams) error {
	settings, err := c.settings()
	if err != nil {
		return err
	}
	t, err := c.read()
	if err != nil {
		return err
	}
	if err := c.checks(t, &settings); err != nil {
		return err
	}
	f, err := finding.OfTrace(t, settings, program())
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(s.out, f)
	}
	return printSingle(s.out, f)
}

// settings checks the options and turns them into settings.
func (c fitCmd) settings() (s fitfactor.Settings, err error) {
	if len(c.Trace) > 2 {
		return s, usage{fmt.Errorf("%d traces were named; one run has one trace, or one of the room and one of the inside", len(c.Trace))}
	}
	if err := checkLevel(c.Level); err != nil {
		return s, err
	}
	for _, o := range []struct {
		name  string
		value *float64
		zero  bool // may be zero
	}{{"flow-cm3-s", c.FlowCM3S, false}, {"dead-time-s", c.DeadTimeS, true}, {"top-per-cm3", c.TopPerCM3, false},
		{"transit-s", c.TransitS, true}, {"washout-s", c.WashoutS, true}, {"limit", c.Limit, false}} {
		if o.value == nil {
			continue
		}
		if err := positive(o.name, *o.value); err != nil {
			return s, err
		}
		if *o.value == 0 && !o.zero {
			return s, usage{fmt.Errorf("--%s is 0; it must be above zero", o.name)}
		}
	}
	if s.Protocol, err = reference.ProtocolByID(c.Protocol); err != nil {
		return s, usage{err}
	}
	s.Level = c.Level
	if l, ok := s.Protocol.HalfMask(); ok {
		s.Limit = &l
	}
	if c.Limit != nil {
		s.Limit = &reference.Limit{FitFactor: *c.Limit, Source: reference.Source{Title: "the option --limit", State: reference.Own}}
	}
	return s, nil
}

// read opens one trace, or joins two.
func (c fitCmd) read() (*record.Trace, error) {
	first, err := openTrace(c.Trace[0], c.Layout)
	if err != nil || len(c.Trace) == 1 {
		return first, err
	}
	second, err := openTrace(c.Trace[1], c.Layout)
	if err != nil {
		return nil, err
	}
	return tracefile.Join(first, second)
}

// checks fills the counter from options, or from the notes of the trace where no
// option says otherwise, and reads the traces of the checks.
func (c fitCmd) checks(t *record.Trace, s *fitfactor.Settings) (err error) {
	counter := fitfactor.Counter{
		Flow:     quantity.Flow(known(c.FlowCM3S, t, "flow_cm3_s")),
		DeadTime: quantity.Seconds(known(c.DeadTimeS, t, "dead_time_s")),
		Top:      quantity.Concentration(known(c.TopPerCM3, t, "top_per_cm3")),
		Transit:  quantity.Seconds(known(c.TransitS, t, "transit_s")),
		Washout:  quantity.Seconds(known(c.WashoutS, t, "washout_s")),
	}
	s.Ambient, s.Inside = counter, counter
	if c.Zero != "" {
		if s.ZeroInside, err = openTrace(c.Zero, c.Layout); err != nil {
			return err
		}
		s.ZeroAmbient = s.ZeroInside
	}
	if c.SideBySide != "" {
		both, err := openTrace(c.SideBySide, c.Layout)
		if err != nil {
			return err
		}
		p, ok := fitfactor.Pair(both, *s)
		if !ok {
			return fmt.Errorf("%s: no row in which both counters read the same air; a side-by-side trace needs both columns", c.SideBySide)
		}
		s.Pairing = &p
	}
	return nil
}

// known is an option, else a note of the trace, else 0.
func known(option *float64, t *record.Trace, note string) float64 {
	if option != nil {
		return *option
	}
	for _, n := range t.Notes {
		if n.Key == note {
			if v, err := strconv.ParseFloat(strings.TrimSpace(n.Value), 64); err == nil && v > 0 {
				return v
			}
		}
	}
	return 0
}

// printSingle shows a trace's finding: the answer, the exercises, the steps.
func printSingle(w io.Writer, f *finding.Single) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", f.Trace.Name)
	fmt.Fprintf(&b, "  %s.\n", strings.ToUpper(f.Overall.OneIn[:1])+f.Overall.OneIn[1:])
	fmt.Fprintf(&b, "  Fit factor %s\n", f.Overall.FitFactor.Words())
	if d := f.Overall.Decision; d != nil {
		fmt.Fprintf(&b, "  %s: %s.\n", decisionWords(*d), f.Overall.Reason)
		fmt.Fprintf(&b, "  Limit %s, %s.\n", uncertainty.Number(f.Overall.Limit.FitFactor), f.Overall.Limit.Source)
	}
	b.WriteString("\n")
	rows := [][]string{{"exercise", "room /cm3", "inside /cm3", "counts", "fit factor", ""}}
	for _, x := range f.Exercises {
		counted := ""
		if !x.Counted {
			counted = "not counted"
		}
		rows = append(rows, []string{x.Name, number(x.AmbientPerCM3), number(x.InsidePerCM3), number(x.InsideCounts), x.FitFactor.Words(), counted})
	}
	for _, c := range f.Channels {
		rows = append(rows, []string{"size " + channelWords(c), "", "", number(c.InsideCounts), c.FitFactor.Words(), "all exercises"})
	}
	if err := report.Columns(&b, rows, "lrrrll"); err != nil {
		return err
	}
	b.WriteString("\nHow it was done\n")
	for _, s := range f.Steps {
		fmt.Fprintf(&b, "  %-10s %s\n", s.Name, s.Text)
	}
	b.WriteString("\nTo know beside it\n")
	for _, c := range append(append([]string{}, f.Remarks...), f.Caveats...) {
		fmt.Fprintf(&b, "  - %s\n", c)
	}
	for _, c := range f.Cautions {
		fmt.Fprintf(&b, "  ! %s\n", c)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func decisionWords(code string) string {
	return map[string]string{"pass": "Pass", "conditional_pass": "Conditional pass", "cannot_decide": "Cannot decide", "fail": "Fail"}[code]
}

func number(v *float64) string {
	if v == nil {
		return "-"
	}
	return uncertainty.Number(*v)
}

func channelWords(c finding.Channel) string {
	if c.HighUM == nil {
		return fmt.Sprintf("above %v um", c.LowUM)
	}
	return fmt.Sprintf("%v to %v um", c.LowUM, *c.HighUM)
}
