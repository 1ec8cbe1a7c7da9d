// Package fitfactor answers: how much cleaner is the air inside?
//
// From one trace it makes a fit factor per exercise and overall, each with its
// interval, in named steps that the result shows: counts, dead time, background,
// pairing of two counters, trimming, room air, exercises, scatter, overall.
//
// It assumes that particles arrive independently (Poisson) and that, beyond that,
// the air inside varies with a scatter the trace itself shows. It refuses to call
// a reading at the top of a counter's range a measurement, to print a counting
// interval without a sample flow, and to turn zero counts into infinity.
package fitfactor

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// Version names the rules of this package; a change of a figure changes it.
const Version = "fitfactor/1"

// Counter is what must be known of the counter on one air. A zero is not known.
type Counter struct {
	Flow     quantity.Flow
	DeadTime quantity.Seconds
	Top      quantity.Concentration
	Transit  quantity.Seconds // delay of the line
	Washout  quantity.Seconds // time constant of the line's mixing volume
}

// Settings are the wishes and the knowledge that do not stand in the trace.
type Settings struct {
	Protocol reference.Protocol
	Ambient  Counter // on the room
	Inside   Counter // on the mask; the same as Ambient for one counter
	Limit    *reference.Limit
	Level    float64 // 0 = 0.95

	ZeroAmbient, ZeroInside *record.Trace // zero checks of the two counters; nil = none
	Pairing                 *Pairing      // nil = not examined
}

// Step is one named step from the readings to the figure.
type Step struct{ Name, Text string }

// Exercise is one exercise with its figure. Concentrations are corrected
// numbers, InsideCounts the raw count (NaN without a flow).
type Exercise struct {
	Name         string
	Counted      bool
	StartS, EndS float64 // in seconds from the start of the trace
	SecondsS     float64 // inside air actually used
	Ambient      float64 // per cm3
	Inside       float64 // per cm3
	InsideCounts float64
	FitFactor    uncertainty.Estimate
	Drift        float64              // change of the room across the exercise, as a share of its mean
	Inflation    float64              // variance of the inside counts over Poisson's
	Coverage     float64              // share of the rows expected that were read
	FlowLMin     float64              // mean size of the breathing flow, in and out; 0 when it was not recorded
	guard        uncertainty.Estimate // exact limits, for decisions
	effective    Effective
	part         part
}

// Span is a stretch of a trace, in seconds from its start.
type Span struct{ StartS, EndS float64 }

// Result is everything that one trace says.
type Result struct {
	Protocol     reference.Protocol
	Level        float64
	FitFactor    uncertainty.Estimate // overall
	Penetration  uncertainty.Estimate // overall, its reciprocal
	Guard        uncertainty.Estimate // overall, exact limits: what the decision uses
	InsideCounts float64
	Exercises    []Exercise
	Missing      []string // counted exercises of the protocol that the trace does not hold
	Extra        []string // labels that are no exercise of the protocol
	Channels     []Channel
	Verdict      *Verdict // nil without a limit
	Steps        []Step
	Caveats      []string
	Trimmed      []Span // stretches of readings that still held the air before a switch
	Signs        Signs
	effective    Effective
}

// Signs are the facts about the trace on which the gates of a session look.
type Signs struct {
	Counters           int // 1 or 2 at once
	AmbientCapped      int // rows
	InsideCapped       int // rows
	Coverage           float64
	Gaps               int // inside counted exercises
	LongestGapS        float64
	StuckS             float64 // longest implausible run of equal readings
	StuckAir           record.Air
	DriftPerHour       float64 // change of ln(room) per hour
	LargestDrift       float64 // largest change of the room across an exercise, as a share
	AmbientMean        float64
	InsideAboveAmbient bool
	BackgroundPerCM3   float64 // NaN without a zero check
}

// Of computes the fit factor of one trace. It fails only when the trace has no
// inside or no ambient air, or the protocol needs labels that it lacks.
func Of(t *record.Trace, s Settings) (*Result, error) {
	if s.Level == 0 {
		s.Level = 0.95
	}
	r, err := figures(t, s)
	if err != nil {
		return nil, err
	}
	if err := channels(r, t, s); err != nil {
		return nil, err
	}
	if s.Limit != nil {
		v := decide(r, *s.Limit)
		r.Verdict = &v
	}
	return r, nil
}

// figures walks the steps for one pair of air columns.
func figures(t *record.Trace, s Settings) (*Result, error) {
	t, name := headline(t)
	if err := hasBothAirs(t); err != nil {
		return nil, err
	}
	r := &Result{Protocol: s.Protocol, Level: s.Level}
	if name != "" {
		r.caveat("%s", name)
	}
	ambient, inside := r.read(t, s)
	back := r.background(s, ambient, inside)
	pair := r.pair(t, s)
	r.trim(t, s, ambient, inside)
	r.Trimmed = trimmed(ambient, inside)
	exercises, err := r.segment(t, s.Protocol, inside)
	if err != nil {
		return nil, err
	}
	room := newRoom(t, s.Protocol, ambient, back)
	r.describeRoom(room, s.Protocol)
	for i := range exercises {
		r.measure(&exercises[i], room, inside, back, pair)
		exercises[i].FlowLMin = exercises[i].part.rows.flow(t.FlowLMin)
	}
	r.Exercises = exercises
	r.conclude(room, pair)
	r.summarise(room, pair)
	r.signs(t, ambient, inside, back)
	return r, nil
}

// hasBothAirs refuses a trace from which no ratio can be formed.
func hasBothAirs(t *record.Trace) error {
	for _, c := range []struct {
		air    record.Air
		values []float64
	}{{record.Ambient, t.Ambient}, {record.Inside, t.Inside}} {
		if !anyNumber(c.values) && !overloaded(t, c.air) {
			return &fault.Fault{Code: "E211", File: t.Name, What: fmt.Sprintf("no %s reading in the trace", c.air),
				Do: "A fit factor needs room air and air from inside. Give both columns, or a sampling column with ambient and inside."}
		}
	}
	return nil
}

func anyNumber(values []float64) bool {
	for _, v := range values {
		if !math.IsNaN(v) {
			return true
		}
	}
	return false
}

func overloaded(t *record.Trace, air record.Air) bool {
	for _, o := range t.Overload {
		if o.Air == air && o.Channel == 0 {
			return true
		}
	}
	return false
}

func (r *Result) step(name, format string, args ...any) {
	r.Steps = append(r.Steps, Step{name, fmt.Sprintf(format, args...)})
}

func (r *Result) caveat(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	for _, c := range r.Caveats {
		if c == text {
			return
		}
	}
	r.Caveats = append(r.Caveats, text)
}
