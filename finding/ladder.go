package finding

import (
	"fmt"
	"strings"

	"telltale/attribution"
	"telltale/fitfactor"
	"telltale/record"
	"telltale/uncertainty"
)

// attributedLadder is a solved ladder with what it was asked of.
type attributedLadder struct {
	wearer  string
	counter string   // an inside counter of its runs
	keys    []string // configuration of each rung
	ladder  attribution.Ladder
	result  attribution.Result
	err     error
}

// path is what may be said of a configuration's main way in.
func (a *attributedLadder) path(key string) attribution.Path {
	for i, k := range a.keys {
		if k == key && i < len(a.result.Rungs) {
			return a.result.Rungs[i].Path
		}
	}
	return attribution.Undecided
}

// ladder asks what the respirator's runs tell of seal and filter. A leak belongs
// to a face, so it is asked of the wearer with most runs; nil with fewer than two
// runs and no run of the filter alone, or where no run has counts.
func (e *evening) ladder(r record.Respirator, groups []group) *attributedLadder {
	wearer, _ := mainWearer(groups)
	a := &attributedLadder{wearer: wearer}
	runs := 0
	for _, g := range groups {
		rung := attribution.Rung{Repairs: g.repairs}
		for _, x := range g.results {
			if !x.counts() || x.wearing.Wearer != wearer {
				continue
			}
			if w, ok := rungWearing(x); ok {
				rung.Wearings = append(rung.Wearings, w)
				a.counter = x.wearing.Inside
				runs++
			}
		}
		if len(rung.Wearings) > 0 {
			a.ladder.Rungs, a.keys = append(a.ladder.Rungs, rung), append(a.keys, g.key)
		}
	}
	a.ladder.Holders = e.clamped(r.ID)
	if runs == 0 || runs < 2 && len(a.ladder.Holders) == 0 {
		return nil
	}
	a.result, a.err = attribution.Solve(a.ladder, attribution.Options{Level: e.level, Next: true})
	return a
}

// mainWearer is the face with most runs in figures, and how many they are.
func mainWearer(groups []group) (wearer string, runs int) {
	count := map[string]int{}
	for _, g := range groups {
		for _, x := range g.results {
			if !x.counts() {
				continue
			}
			w := x.wearing.Wearer
			if count[w]++; count[w] > runs || count[w] == runs && w < wearer {
				wearer, runs = w, count[w]
			}
		}
	}
	return wearer, runs
}

// rungWearing turns a run into effective counts, by exercise where each of them has
// its own. ok is false when the run's scatter is not known, or when more was counted
// inside than outside, which is no matter of seal or filter.
func rungWearing(x result) (w attribution.Wearing, ok bool) {
	w = attribution.Wearing{ID: x.wearing.ID, Donning: x.wearing.Donning, Specimen: x.wearing.Specimen, Wearer: x.wearing.Wearer}
	switch ambient, inside := x.fit.Capped(); {
	case ambient && inside:
		return w, false
	case ambient:
		w.Bound = attribution.PenetrationAtMost
	case inside:
		w.Bound = attribution.PenetrationAtLeast
	}
	c, known := x.fit.Effective()
	if !known || c.Inside/c.Ambient/c.Exposure > 1 {
		return w, false
	}
	if w.Exercises = inEffect(x.fit.Exercises); len(w.Exercises) < 2 {
		w.Exercises = []attribution.Exercise{{Name: "whole run", Ambient: c.Ambient, Inside: c.Inside, Exposure: c.Exposure}}
	}
	return w, true
}

// inEffect are the counted exercises in effective counts, with their breathing
// flow over the run's mean where it was recorded in all; nil when one of them
// cannot be used, so that the run is taken as a whole.
func inEffect(all []fitfactor.Exercise) (out []attribution.Exercise) {
	mean, recorded := 0.0, true
	for _, x := range all {
		if !x.Counted {
			continue
		}
		c, known := x.Effective()
		if !known || c.Inside/c.Ambient/c.Exposure > 1 {
			return nil
		}
		out = append(out, attribution.Exercise{Name: x.Name, Ambient: c.Ambient, Inside: c.Inside, Exposure: c.Exposure, FlowFactor: x.FlowLMin})
		mean += x.FlowLMin
		recorded = recorded && x.FlowLMin > 0
	}
	mean /= float64(len(out))
	for i := range out {
		if !recorded {
			mean, out[i].FlowFactor = 1, 0
		}
		out[i].FlowFactor /= mean
	}
	return out
}

// clamped are the runs of a respirator's filter alone.
func (e *evening) clamped(respirator string) (out []attribution.Holder) {
	for _, h := range e.study.Holders {
		if h.Respirator != respirator {
			continue
		}
		if c, ok := e.holderCounts(h); ok {
			out = append(out, attribution.Holder{ID: h.ID, Specimen: h.Specimen, Upstream: c.Ambient, Downstream: c.Inside, Exposure: c.Exposure, Flow: h.Flow, Area: h.Area})
		}
	}
	return out
}

// holderCounts computes a holder run like a trace without a protocol.
func (e *evening) holderCounts(h record.Holder) (fitfactor.Effective, bool) {
	r, err := fitfactor.Of(h.Trace, e.holderSettings(h))
	if err != nil {
		return fitfactor.Effective{}, false
	}
	return r.Effective()
}

// shown puts the answer into words and figures.
func (a *attributedLadder) shown(level float64) *Attribution {
	if a == nil {
		return nil
	}
	if a.err != nil {
		return &Attribution{Reason: a.err.Error(), FilterPenetration: uncertainty.NewUnknown(level, a.err.Error()), SealShare: []SealShare{}, Zones: []Zone{}, Text: []string{}}
	}
	p := a.result.Published()
	out := &Attribution{Separable: p.Separable, Reason: p.Reason, FilterPenetration: p.Filter.With(p.Caveats...), SealShare: []SealShare{}, Zones: []Zone{}}
	for i, g := range a.result.Rungs {
		s := SealShare{Repairs: []string{}, Name: configurationName(a.ladder.Rungs[i].Repairs), Share: g.SealShare, Dominant: pathWords(g.Path)}
		for _, x := range a.ladder.Rungs[i].Repairs {
			s.Repairs = append(s.Repairs, x.String())
		}
		if g.Helped != nil {
			s.Helped = &g.Helped.Value
		}
		out.SealShare = append(out.SealShare, s)
	}
	for _, z := range p.Zones {
		out.Zones = append(out.Zones, Zone{z.Zone, z.Share})
	}
	if n := p.Next; n != nil {
		out.NextWearing = &NextWearing{What: n.What, Text: n.Text, HowMany: n.Wearings, Narrowing: n.Narrowing}
	}
	out.Text = a.words(out)
	return out
}

func pathWords(p attribution.Path) string {
	switch p {
	case attribution.MostlySeal:
		return "mostly past the seal"
	case attribution.MostlyFilter:
		return "mostly through the filter"
	}
	return "cannot be told"
}

// words says in sentences what the ladder tells.
func (a *attributedLadder) words(shown *Attribution) []string {
	out := []string{fmt.Sprintf("Through the filter: %s, on face %s.", percentWords(shown.FilterPenetration), a.wearer)}
	ways := map[string][]string{}
	for _, s := range shown.SealShare {
		ways[s.Dominant] = append(ways[s.Dominant], fmt.Sprintf("%s (%s of it past the seal)", s.Name, percentWords(s.Share)))
	}
	for _, p := range []attribution.Path{attribution.MostlySeal, attribution.MostlyFilter} {
		if names := ways[pathWords(p)]; len(names) > 0 {
			out = append(out, fmt.Sprintf("What gets in comes %s: %s.", pathWords(p), strings.Join(names, "; ")))
		}
	}
	return out
}
