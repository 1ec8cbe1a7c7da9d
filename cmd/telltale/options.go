package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// span is what a quantity of an option or of a trace's note can be. Spans are wide
// and those of a study's keys: they catch a wrong unit or a slipped point.
type span struct {
	low, high float64
	unit      string
	zero      bool // 0 stands for none
}

var (
	flowSpan     = span{0.01, 5000, " cm3/s", false}
	deadTimeSpan = span{1e-10, 0.01, " s", true}
	topSpan      = span{1, 1e8, " particles per cm3", false}
	lineSpan     = span{0.001, 600, " s", true}
	limitSpan    = span{1, 1e7, "", false}
)

// within says what is wrong with a value, "" when nothing is.
func (s span) within(v float64) string {
	if v >= s.low && v <= s.high || v == 0 && s.zero {
		return ""
	}
	none := ""
	if s.zero {
		none = ", or 0"
	}
	return fmt.Sprintf("%v is not from %v to %v%s%s", v, s.low, s.high, s.unit, none)
}

// check refuses an option that cannot be meant.
func (s span) check(name string, option *float64) error {
	if option == nil {
		return nil
	}
	if wrong := s.within(*option); wrong != "" {
		return usage{fmt.Errorf("--%s: %s", name, wrong)}
	}
	return nil
}

// known is an option, else a note of the trace, else 0.
func (s span) known(option *float64, t *record.Trace, note string) (float64, error) {
	if option != nil {
		return *option, nil
	}
	for _, n := range t.Notes {
		if n.Key != note {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(n.Value), 64)
		if err != nil {
			return 0, &fault.Fault{Code: "E216", File: t.Name, What: fmt.Sprintf("the note %s is %q, not a plain number", note, n.Value), Do: "Write it with a decimal point and without a unit, or take the note out."}
		}
		if wrong := s.within(v); wrong != "" || math.IsNaN(v) {
			return 0, &fault.Fault{Code: "E215", File: t.Name, What: fmt.Sprintf("the note %s: %s", note, wrong), Do: "Check its unit and its decimal point."}
		}
		return v, nil
	}
	return 0, nil
}

// positive refuses an option that is not a positive number.
func positive(name string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return usage{fmt.Errorf("--%s is %v; it must be a number above zero", name, v)}
	}
	return nil
}

func checkLevel(v float64) error {
	if !(v > 0.5 && v <= 0.999999) {
		return usage{fmt.Errorf("--level is %v; it must lie above 0.5 and not above 0.999999, such as 0.95", v)}
	}
	return nil
}
