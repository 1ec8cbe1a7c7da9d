package finding

import (
	"telltale/control"
	"telltale/record"
)

// leaveOut keeps runs out of pooled figures that may not be mixed with the others
// of their respirator: those on a counter in doubt where other runs are not, and
// those on another kind of counter, which sees other sizes. With nothing else
// left, the numbers are kept and the gates hold statements back.
func (e *evening) leaveOut() {
	sound := map[string]bool{}
	for _, r := range e.results {
		if r.counts() && !control.Distrusted(r.gates) {
			sound[r.wearing.Respirator] = true
		}
	}
	for id, r := range e.results {
		if g, doubt := control.FirstDistrust(r.gates); doubt && sound[r.wearing.Respirator] {
			r.leftOut = g.Name + ": " + g.Text
			e.results[id] = r
		}
	}
	for _, p := range e.study.Respirators {
		e.leaveOutKinds(p.ID)
	}
}

// leaveOutKinds keeps the kind of counter with most runs; of equally many, the
// condensation counters.
func (e *evening) leaveOutKinds(respirator string) {
	runs := map[record.CounterKind]int{}
	for _, r := range e.results {
		if r.wearing.Respirator == respirator && r.counts() {
			runs[e.kind(r)]++
		}
	}
	kept := record.Condensation
	for _, k := range []record.CounterKind{record.Condensation, record.Optical, ""} {
		if runs[k] > runs[kept] {
			kept = k
		}
	}
	for id, r := range e.results {
		if k := e.kind(r); r.wearing.Respirator == respirator && r.counts() && k != kept {
			r.leftOut = "another kind of counter (" + kindWords(k) + "), which sees other sizes than the " + kindWords(kept) + " ones"
			e.results[id] = r
		}
	}
}

func (e *evening) kind(r result) record.CounterKind {
	c, _ := e.study.Counter(r.wearing.Inside)
	return c.Kind
}

func kindWords(k record.CounterKind) string {
	if k == "" {
		return "not stated"
	}
	return string(k)
}
