package finding

import (
	"math"
	"slices"
	"sort"
	"strings"

	"telltale/control"
	"telltale/fitfactor"
	"telltale/record"
	"telltale/uncertainty"
)

// group is one configuration: the runs with the same repairs.
type group struct {
	key      string
	repairs  []record.Repair
	results  []result
	donnings []donning // of the runs that enter figures
}

// donning is one putting-on with its figure: the runs that share it averaged on
// the log scale.
type donning struct {
	id  string
	fit uncertainty.Estimate
}

// grouped sorts runs into configurations, as worn first, else in order of the
// study.
func grouped(results []result) []group {
	var out []group
	for _, r := range results {
		key := repairsKey(r.wearing.Repairs)
		i := slices.IndexFunc(out, func(g group) bool { return g.key == key })
		if i < 0 {
			out = append(out, group{key: key, repairs: sortedRepairs(r.wearing.Repairs)})
			i = len(out) - 1
		}
		out[i].results = append(out[i].results, r)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].key == "" && out[j].key != "" })
	for i := range out {
		out[i].donnings = donnings(out[i].results)
	}
	return out
}

func sortedRepairs(all []record.Repair) []record.Repair {
	out := slices.Clone(all)
	sort.SliceStable(out, func(i, j int) bool { return rank(out[i]) < rank(out[j]) })
	return out
}

// rank orders repairs as a tester climbs: strip, tape at a place, tape all round,
// then what holds it.
func rank(r record.Repair) string {
	order := map[string]string{"nose_strip": "0", "tape": "1", "brace": "2", "strap_clip": "3"}
	o, ok := order[r.Word]
	if !ok {
		o = "4"
	}
	return o + r.String()
}

func repairsKey(all []record.Repair) string {
	var words []string
	for _, r := range sortedRepairs(all) {
		if r.Word == "tape" && r.Zone == "all" {
			r.Zone = "" // tape without a place is tape all round
		}
		words = append(words, r.String())
	}
	return strings.Join(words, "+")
}

// donnings averages the runs of each donning.
func donnings(results []result) []donning {
	var order []string
	runs := map[string][]uncertainty.Estimate{}
	for _, r := range results {
		if !r.counts() {
			continue
		}
		id := r.wearing.Donning
		if _, seen := runs[id]; !seen {
			order = append(order, id)
		}
		runs[id] = append(runs[id], r.fit.FitFactor)
	}
	var out []donning
	for _, id := range order {
		out = append(out, donning{id, averaged(runs[id])})
	}
	return out
}

// averaged is the geometric mean of runs of one donning; their common luck means
// that only their own errors enter.
func averaged(runs []uncertainty.Estimate) uncertainty.Estimate {
	if len(runs) == 1 {
		return runs[0]
	}
	level := runs[0].Level
	var ln, square float64
	below, above, unknown := 0, 0, 0
	for _, e := range runs {
		switch e.Kind {
		case uncertainty.Interval:
			se := logError(e)
			ln, square = ln+math.Log(e.Value), square+se*se
		case uncertainty.AtLeast:
			ln, below = ln+math.Log(e.Low), below+1
		case uncertainty.AtMost:
			ln, above = ln+math.Log(e.High), above+1
		default:
			unknown++
		}
	}
	n := float64(len(runs))
	mean, half := ln/n, uncertainty.CoverageFactor(level, math.Inf(1))*math.Sqrt(square)/n
	const basis = "runs of one donning averaged on the log scale"
	switch {
	case unknown > 0 || below > 0 && above > 0:
		return uncertainty.NewUnknown(level, basis, "a run of this donning gave no figure that can be averaged")
	case below > 0:
		return uncertainty.NewAtLeast(math.Exp(mean-half), level, basis)
	case above > 0:
		return uncertainty.NewAtMost(math.Exp(mean+half), level, basis)
	}
	return uncertainty.New(math.Exp(mean), math.Exp(mean-half), math.Exp(mean+half), level, basis)
}

// logError is the standard error of the logarithm that an interval stands for: of
// its wider half.
func logError(e uncertainty.Estimate) float64 {
	half := math.Max(math.Log(e.High/e.Value), math.Log(e.Value/e.Low))
	return math.Max(0, half) / uncertainty.CoverageFactor(e.Level, math.Inf(1))
}

// pooled is the geometric mean over the donnings of a configuration.
func (g group) pooled(level float64) uncertainty.Estimate {
	switch len(g.donnings) {
	case 0:
		return uncertainty.NewUnknown(level, "no run of this configuration enters a figure")
	case 1:
		return g.donnings[0].fit.With("this wearing only: nothing is known of the scatter between wearings")
	}
	var all []uncertainty.Estimate
	for _, d := range g.donnings {
		all = append(all, d.fit)
	}
	return tellable(uncertainty.RepeatsWithBounds(all, level))
}

// tellable keeps an estimate whose limits are numbers; few wearings at a high level
// can put them beyond any.
func tellable(e uncertainty.Estimate) uncertainty.Estimate {
	number := func(v float64) bool { return v > 0 && !math.IsInf(v, 1) }
	switch e.Kind {
	case uncertainty.Interval:
		if number(e.Low) && number(e.High) {
			return e
		}
	case uncertainty.AtLeast:
		if number(e.Low) {
			return e
		}
	case uncertainty.AtMost:
		if number(e.High) {
			return e
		}
	default:
		return e
	}
	out := uncertainty.NewUnknown(e.Level, e.Assumption, e.Caveats...).With("Too few wearings for a limit at this level.")
	if e.Kind == uncertainty.Interval && number(e.Value) {
		out.Value = e.Value
	}
	return out
}

// configuration shows one configuration.
func (e *evening) configuration(g group, all []group) Configuration {
	out := Configuration{Repairs: []string{}, Name: configurationName(g.repairs), Donnings: len(g.donnings), Wearings: []Wearing{}}
	for _, r := range g.repairs {
		out.Repairs = append(out.Repairs, r.String())
	}
	for _, r := range g.results {
		out.Wearings = append(out.Wearings, wearing(r, e.level))
		if r.counts() {
			out.Used++
		}
	}
	out.FitFactor = g.pooled(e.level)
	out.Penetration = out.FitFactor.Inverse()
	out.OneIn = oneIn(out.FitFactor)
	if g.key != "" && len(all) > 0 && all[0].key == "" {
		change := tellable(versus(all[0], g, e.level))
		out.VersusAsWorn = &change
	}
	return out
}

// wearing shows one run with its decision after the gates.
func wearing(r result, level float64) Wearing {
	w := r.wearing
	out := Wearing{ID: w.ID, Specimen: w.Specimen, Wearer: w.Wearer, Counters: counters(w.Ambient, w.Inside), Donning: w.Donning,
		Protocol: w.Protocol, Observed: append([]string{}, w.Observed...), Excluded: w.Excluded, Problem: r.problem,
		Exercises: []Exercise{}, Channels: []Channel{}, Steps: []Step{}, Gates: []Gate{}, Caveats: []string{}}
	if !w.At.IsZero() {
		out.At = w.At.Format("2006-01-02T15:04:05Z07:00")
	}
	if w.Trace != nil {
		out.Trace, out.TraceSHA256 = w.Trace.Name, w.Trace.SHA256
	}
	for _, g := range r.gates {
		out.Gates = append(out.Gates, shown(g))
	}
	if r.fit == nil {
		out.FitFactor = uncertainty.NewUnknown(level, r.problem)
		out.Penetration = out.FitFactor
		return out
	}
	out.fill(r.fit)
	out.decide(r)
	out.LeftOut = r.leftOut
	return out
}

// decide lets an open gate hold the decision back; the numbers stay.
func (w *Wearing) decide(r result) {
	v := r.fit.Verdict
	if v == nil {
		return
	}
	outcome, reason := v.Outcome, v.Reason
	if outcome != fitfactor.CannotDecide {
		if g, held := control.Holding(r.gates, outcome == fitfactor.Fail); held {
			outcome, reason = fitfactor.CannotDecide, g.Name+": "+g.Text
		}
	}
	word := string(outcome)
	w.Decision, w.Reason = &word, reason
	w.Limit = &Limit{v.Limit.FitFactor, v.Limit.Facepiece, string(v.Rule), v.Limit.Source.String(), fitfactor.DecisionRule}
}
