package main

import (
	"fmt"
	"io"
	"strings"

	"telltale/report"
	"telltale/tracefile"
	"telltale/uncertainty"
)

// listed is how many gaps the terminal shows; JSON has them all.
const listed = 12

// printInspect shows what a trace holds.
func printInspect(w io.Writer, r tracefile.Report) error {
	n := uncertainty.Number
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", r.Name)
	fmt.Fprintf(&b, "  %s rows over %s s, a row every %s s; coverage %s %%\n", n(float64(r.Rows)), n(r.SpanS), number(r.MedianStepS), n(r.CoveragePercent))
	fmt.Fprintf(&b, "  layout: %s\n", strings.Join(r.Forms, "; "))
	if r.Start != "" {
		fmt.Fprintf(&b, "  starts %s\n", r.Start)
	}
	fmt.Fprintf(&b, "  %s rows repeat the row before (%s %%)\n", n(float64(r.Repeated.Count)), n(100*r.Repeated.Share))
	fmt.Fprintf(&b, "  %s gaps of more than three periods\n", n(float64(r.GapCount)))
	for i, g := range r.Gaps {
		if i == listed {
			fmt.Fprintf(&b, "    ... and %d more\n", r.GapCount-listed)
			break
		}
		fmt.Fprintf(&b, "    %s s long after %s s (row %d)\n", n(g.LengthS), n(g.FromS), g.Row)
	}
	b.WriteString("\n")
	if err := printColumns(&b, r); err != nil {
		return err
	}
	if err := printStretches(&b, "exercises", r.Exercises); err != nil {
		return err
	}
	if err := printStretches(&b, "sampling", r.Sampling); err != nil {
		return err
	}
	for _, note := range r.Notes {
		fmt.Fprintf(&b, "  # %s: %s\n", note.Key, note.Value)
	}
	for _, m := range r.Remarks {
		fmt.Fprintf(&b, "  - %s %s\n", m.Code, m.Text)
	}
	_, err := io.WriteString(w, printable(b.String()))
	return err
}

func printColumns(b *strings.Builder, r tracefile.Report) error {
	rows := [][]string{{"column", "read", "missing", "zeros", "min", "median", "max", "saturated", "change/h", "decay/h", "longest equal"}}
	for _, c := range r.Columns {
		rows = append(rows, []string{c.Name, uncertainty.Number(float64(c.Readings)), uncertainty.Number(float64(c.Missing)), uncertainty.Number(float64(c.Zeros)),
			number(c.Min), number(c.Median), number(c.Max), uncertainty.Number(float64(c.Saturated.Rows)), slope(c.Drift), slope(c.DecayAfterPeak),
			fmt.Sprintf("%d rows of %s", c.LongestConstant.Rows, uncertainty.Number(c.LongestConstant.Value))})
	}
	return report.Columns(b, rows, "lrrrrrrrrrl")
}

func slope(d *tracefile.Drift) string {
	if d == nil {
		return "-"
	}
	return uncertainty.Number(d.PerHour)
}

func printStretches(b *strings.Builder, title string, all []tracefile.Stretch) error {
	if len(all) == 0 {
		return nil
	}
	rows := [][]string{{title, "from s", "rows", "seconds"}}
	for _, s := range all {
		rows = append(rows, []string{s.Label, uncertainty.Number(s.FromS), uncertainty.Number(float64(s.Rows)), uncertainty.Number(s.Seconds)})
	}
	b.WriteString("\n")
	return report.Columns(b, rows, "lrrr")
}
