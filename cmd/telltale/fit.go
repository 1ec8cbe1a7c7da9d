package main

import (
	"fmt"
	"io"
	"slices"
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
		span  span
	}{{"flow-cm3-s", c.FlowCM3S, flowSpan}, {"dead-time-s", c.DeadTimeS, deadTimeSpan}, {"top-per-cm3", c.TopPerCM3, topSpan},
		{"transit-s", c.TransitS, lineSpan}, {"washout-s", c.WashoutS, lineSpan}, {"limit", c.Limit, limitSpan}} {
		if err := o.span.check(o.name, o.value); err != nil {
			return s, err
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
	counter, err := c.counter(t)
	if err != nil {
		return err
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

// counter gathers what is known of the counter.
func (c fitCmd) counter(t *record.Trace) (k fitfactor.Counter, err error) {
	for _, q := range []struct {
		span   span
		option *float64
		note   string
		to     func(float64)
	}{
		{flowSpan, c.FlowCM3S, "flow_cm3_s", func(v float64) { k.Flow = quantity.Flow(v) }},
		{deadTimeSpan, c.DeadTimeS, "dead_time_s", func(v float64) { k.DeadTime = quantity.Seconds(v) }},
		{topSpan, c.TopPerCM3, "top_per_cm3", func(v float64) { k.Top = quantity.Concentration(v) }},
		{lineSpan, c.TransitS, "transit_s", func(v float64) { k.Transit = quantity.Seconds(v) }},
		{lineSpan, c.WashoutS, "washout_s", func(v float64) { k.Washout = quantity.Seconds(v) }},
	} {
		v, err := q.span.known(q.option, t, q.note)
		if err != nil {
			return k, err
		}
		q.to(v)
	}
	return k, nil
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
	for _, c := range slices.Concat(f.Remarks, f.Overall.FitFactor.Caveats, f.Caveats) {
		fmt.Fprintf(&b, "  - %s\n", c)
	}
	for _, c := range f.Cautions {
		fmt.Fprintf(&b, "  ! %s\n", c)
	}
	_, err := io.WriteString(w, printable(b.String()))
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
