package attribution

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
	"telltale/record"
)

// Codes of what a person can mend in a ladder.
const (
	CodeEmpty   = "E501" // no rung, or a rung without wearings
	CodeTwice   = "E502" // a wearing or a configuration given twice
	CodeRepairs = "E503" // repairs that contradict each other
	CodeCounts  = "E504" // counts that cannot be
	CodeHolder  = "E505" // a holder's run without flow or area
	CodeWearers = "E506" // more than one wearer in a ladder
)

// Examine gives everything that is wrong with the ladder. Nothing of a faulty
// ladder is used.
func (l *Ladder) Examine() error {
	var found fault.List
	add := func(code, do, what string, args ...any) {
		found = append(found, &fault.Fault{Code: code, What: fmt.Sprintf(what, args...), Do: do})
	}
	if len(l.Rungs) == 0 {
		add(CodeEmpty, "Give at least one wearing.", "the ladder has no rung")
	}
	wearings, configurations, wearer := map[string]bool{}, map[string]bool{}, ""
	for _, r := range l.Rungs {
		key := r.Name()
		if configurations[key] {
			add(CodeTwice, "Put all wearings of one configuration on one rung.", "the configuration %s stands on two rungs", key)
		}
		configurations[key] = true
		if what := contradiction(r.Repairs); what != "" {
			add(CodeRepairs, "Name each repair once, by zones or for all zones.", "rung %s: %s", key, what)
		}
		if len(r.Wearings) == 0 {
			add(CodeEmpty, "Leave the rung out or add its wearing.", "rung %s has no wearing", key)
		}
		for _, w := range r.Wearings {
			if w.ID != "" && wearings[w.ID] {
				add(CodeTwice, "Each wearing counts once.", "wearing %s is given twice", w.ID)
			}
			wearings[w.ID] = true
			if wearer == "" {
				wearer = w.Wearer
			} else if w.Wearer != "" && w.Wearer != wearer {
				add(CodeWearers, "Make a ladder for each wearer: a leak belongs to a face.", "wearing %s is of wearer %s, the others of %s", w.ID, w.Wearer, wearer)
			}
			if what := w.wrong(); what != "" {
				add(CodeCounts, "Look at the trace: which column is the room?", "wearing %s: %s", w.ID, what)
			}
		}
	}
	for _, h := range l.Holders {
		if h.Flow <= 0 || h.Area <= 0 || !quantity.Finite(float64(h.Flow)) || !quantity.Finite(float64(h.Area)) {
			add(CodeHolder, "Give the flow and the clamped area: without them the result cannot be carried to breathing.", "holder run %s has no flow or no area", h.ID)
		}
		if what := wrongCounts(h.Upstream, h.Downstream, h.Exposure); what != "" {
			add(CodeCounts, "Look at the trace: which column is upstream?", "holder run %s: %s", h.ID, what)
		}
	}
	return found.Or()
}

// Name words the configuration.
func (r Rung) Name() string {
	if r.AsWorn() {
		return "as worn"
	}
	s := ""
	for i, p := range r.Repairs {
		if i > 0 {
			s += " + "
		}
		s += p.String()
	}
	return s
}

// contradiction words what cannot be in a list of repairs.
func contradiction(repairs []record.Repair) string {
	zones := map[string]map[string]bool{}
	for _, r := range repairs {
		if r.Word == "" {
			return "a repair has no word"
		}
		if zones[r.Word] == nil {
			zones[r.Word] = map[string]bool{}
		}
		if zones[r.Word][r.Zone] {
			return fmt.Sprintf("%s is named twice", r)
		}
		zones[r.Word][r.Zone] = true
		whole := zones[r.Word]["all"] || zones[r.Word][""]
		if whole && len(zones[r.Word]) > 1 {
			return fmt.Sprintf("%s is named for a zone and for all", r.Word)
		}
	}
	return ""
}

// wrong words what cannot be in a wearing's counts.
func (w *Wearing) wrong() string {
	if len(w.Exercises) == 0 {
		return "it has no counts"
	}
	in, room := 0.0, 0.0
	for _, e := range w.Exercises {
		if what := wrongCounts(e.Ambient, math.Min(e.Inside, e.Ambient*oneIfZero(e.Exposure)), e.Exposure); what != "" {
			return what
		}
		if !(e.Inside >= 0) || !quantity.Finite(e.Inside) || !(e.FlowFactor >= 0) || !quantity.Finite(e.FlowFactor) {
			return "a count or a flow is not a number of at least zero"
		}
		in, room = in+e.Inside, room+e.Ambient*oneIfZero(e.Exposure)
		if c := e.Coarse; c != nil {
			if what := wrongCounts(c.Ambient, c.Inside, c.Exposure); what != "" {
				return "coarse channel: " + what
			}
		}
	}
	if in > room {
		return fmt.Sprintf("inside is above ambient (%.4g against %.4g counts for the same volume)", in, room)
	}
	return ""
}

// wrongCounts words what cannot be in one pair of counts.
func wrongCounts(ambient, inside, exposure float64) string {
	for _, v := range []float64{ambient, inside, exposure} {
		if !quantity.Finite(v) || v < 0 {
			return "a count or an exposure is not a number of at least zero"
		}
	}
	switch {
	case ambient == 0:
		return "the ambient count is zero"
	case inside > ambient*oneIfZero(exposure):
		return fmt.Sprintf("inside is above ambient (%.4g against %.4g counts for the same volume)", inside, ambient*oneIfZero(exposure))
	}
	return ""
}
