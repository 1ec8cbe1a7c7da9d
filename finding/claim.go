package finding

import (
	"fmt"
	"strings"

	"telltale/attribution"
	"telltale/claim"
	"telltale/control"
	"telltale/medium"
	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// smallestLightLike is the size from which a counter's figure is weighed like that
// of a class test's light detector: the smallest channel of optical counters.
const smallestLightLike = quantity.Diameter(0.3)

// claimCheck asks whether the printed class can be true, by measurement alone; nil
// where no class is claimed.
func (e *evening) claimCheck(r record.Respirator, groups []group, a *attributedLadder) *ClaimCheck {
	if strings.TrimSpace(r.Claim) == "" {
		return nil
	}
	class, err := reference.ClassByName(r.Claim)
	ev := claim.Evidence{Class: class, ClassText: r.Claim, ClassKnown: err == nil, Worn: uncertainty.NewUnknown(e.level, "not worn as it is")}
	faces := map[string]bool{}
	kinds := map[record.CounterKind]string{} // kind -> a counter of it
	for _, g := range groups {
		if g.key == "" {
			ev.Worn = g.pooled(e.level)
		}
		sealed, words := claim.SealedConfiguration(g.repairs)
		for _, x := range g.results {
			if x.wearing.Excluded != "" || x.fit == nil {
				continue
			}
			faces[x.wearing.Wearer] = true
			if sealed {
				ev.Sealed = append(ev.Sealed, e.sealed(x, words, a))
				kinds[e.kind(x)] = x.wearing.Inside
			}
		}
	}
	ev.Faces = len(faces)
	e.claimHolders(r, &ev, kinds)
	if a != nil {
		ev.Filter = claim.Filter{Penetration: a.result.Filter, Separable: a.result.Separable, Counter: e.claimCounter(a.counter)}
	}
	if len(kinds) == 0 {
		e.anyCounter(r, groups, kinds)
	}
	for _, k := range []record.CounterKind{record.Condensation, record.Optical, ""} {
		if counter, used := kinds[k]; used && err == nil {
			if band, err := medium.Expect(class, e.conditions(counter)); err == nil {
				ev.Bands = append(ev.Bands, band)
			}
		}
	}
	return e.judged(r, ev)
}

// anyCounter names a counter for the band where nothing was sealed, so that the
// report can show what a sealed run would have to be compared with.
func (e *evening) anyCounter(r record.Respirator, groups []group, kinds map[record.CounterKind]string) {
	for _, g := range groups {
		for _, x := range g.results {
			if x.counts() {
				kinds[e.kind(x)] = x.wearing.Inside
				return
			}
		}
	}
}

// sealed is one wearing that was sealed as well as could.
func (e *evening) sealed(x result, words string, a *attributedLadder) claim.Sealed {
	s := claim.Sealed{ID: x.wearing.ID, Repairs: x.wearing.Repairs, FitFactor: x.fit.FitFactor,
		Circumstances: claim.Circumstances{Specimen: x.wearing.Specimen, Day: day(x.wearing.At), Counter: e.claimCounter(x.wearing.Inside)}}
	gate, held := control.Holding(x.gates, true)
	s.InOrder = !held
	if held {
		s.Open = gate.Name + ", " + gate.Text
	}
	s.Reference = referenceInOrder(x.gates)
	if a != nil && a.result.Separable && a.path(repairsKey(x.wearing.Repairs)) == attribution.MostlyFilter {
		s.Demonstrated, s.Shown = true, "with "+words+" most of what gets in comes through the filter ("+a.result.Reason+")"
	}
	for _, c := range x.fit.Channels {
		s.Channels = append(s.Channels, claim.Channel{Low: c.Low, High: c.High, Penetration: c.FitFactor.Inverse()})
	}
	return s
}

func referenceInOrder(gates []control.Gate) bool {
	for _, g := range gates {
		if g.Name == control.ReferenceGate {
			return g.State == control.InOrder
		}
	}
	return false
}

// claimCounter says what kind of counter a figure is of and from which size on.
func (e *evening) claimCounter(id string) claim.Counter {
	c, _ := e.study.Counter(id)
	out := claim.Counter{Kind: medium.CounterKind(c.Kind), Smallest: c.Smallest}
	if c.Kind == record.Optical && out.Smallest == 0 {
		out.Smallest = smallestLightLike
	}
	return out
}

// claimHolders adds the runs of the filter alone, with the day's gates of their
// counter.
func (e *evening) claimHolders(r record.Respirator, ev *claim.Evidence, kinds map[record.CounterKind]string) {
	_, read := e.holders(r)
	for _, h := range read {
		c := claim.Holder{ID: h.run.ID, WholeFlow: h.result.WholeFlow,
			Circumstances: claim.Circumstances{Specimen: h.run.Specimen, Day: day(h.run.At), Counter: e.claimCounter(h.run.Counter)}}
		if len(h.result.Channels) > 0 {
			c.Reading = h.result.Channels[0]
		}
		c.InOrder, c.Open, c.Reference = e.dayOf(h.run.Counter, day(h.run.At))
		ev.Holders = append(ev.Holders, c)
		counter, _ := e.study.Counter(h.run.Counter)
		kinds[counter.Kind] = h.run.Counter
	}
}

// dayOf tells how a counter stood on a day: from the sessions in which it was used.
func (e *evening) dayOf(counter, on string) (inOrder bool, open string, ref bool) {
	for _, key := range e.order {
		if key.day != on || key.ambient != counter && key.inside != counter {
			continue
		}
		g := e.sessions[key]
		gate, held := control.Holding(g.gates, true)
		if held {
			open = gate.Name + ", " + gate.Text
		}
		return !held, open, referenceInOrder(g.gates)
	}
	return false, "reference respirator, not worn on this counter that day", false
}

// judged puts the verdict into the finding's shape.
func (e *evening) judged(r record.Respirator, ev claim.Evidence) *ClaimCheck {
	v := claim.Judge(ev)
	out := &ClaimCheck{Class: r.Claim, Verdict: string(v.Outcome), Text: v.Text, Measured: v.Measured, Rule: v.Rule,
		Ground: unnumbered(v.Ground), WouldChange: append([]string{}, v.WouldChange...)}
	if out.Measured.Level == 0 { // nothing was compared, at the level asked
		out.Measured.Level = e.level
	}
	band := v.Expected
	if band == nil && len(ev.Bands) > 0 {
		band = &ev.Bands[0]
	}
	if band != nil {
		out.Expected = expected(*band)
	}
	return out
}

// unnumbered takes the numbers off the grounds: a list has its own.
func unnumbered(ground []string) []string {
	out := []string{}
	for i, g := range ground {
		out = append(out, strings.TrimPrefix(g, fmt.Sprintf("%d. ", i+1)))
	}
	return out
}

func expected(b medium.Band) *Expected {
	out := &Expected{Low: b.FitFactor.Low, Central: b.FitFactor.Central, High: b.FitFactor.High, HardBelow: b.HardToReconcileBelow,
		BetterAbove: b.BetterThanClassMinimumAbove, LimitPenetration: b.LimitPenetration, TestFlowLMin: b.TestFlow, Standard: b.Standard,
		Ventilation: fmt.Sprintf("%s L/min", uncertainty.Number(b.Ventilation)), Assumptions: []Assumption{}}
	if !b.VentilationKnown {
		out.Ventilation = fmt.Sprintf("not recorded; %d to %d L/min assumed", medium.CalmLow, medium.CalmHigh)
	}
	if b.Narrows != nil {
		out.Narrow = b.Narrows.Input + ": " + b.Narrows.Settles
	}
	for _, a := range b.Assumptions {
		out.Assumptions = append(out.Assumptions, Assumption{a.Name, a.Values, a.Low, a.High, a.Source.String()})
	}
	return out
}
