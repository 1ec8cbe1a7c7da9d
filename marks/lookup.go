package marks

import (
	"fmt"
	"slices"

	"telltale/record"
	"telltale/reference"
)

// LookUp is a register that a person has to look into, since a number can only be
// judged there.
type LookUp struct {
	Regime   string   `json:"regime"`
	Register string   `json:"register"`
	Compare  string   `json:"compare"` // what to compare, as a sentence
	Numbers  []string `json:"numbers"` // as printed; empty where none was found
}

// lookUps names, for each claimed regime, the register that nobody looked into.
func lookUps(r *reporter) {
	for _, i := range r.it.claimants() {
		regime := r.it.book.regimes[i]
		done := slices.ContainsFunc(r.it.m.Registers, func(e record.RegisterEntry) bool {
			return e.State != record.NotLookedUp && e.State != "" && (isOf(e, regime) || r.it.bears(i, e.Number))
		})
		if regime.Register.Name == "" || done {
			continue
		}
		l := LookUp{regime.ID, regime.Register.Name, regime.Register.Compare, []string{}}
		evidence := quote(claimWords(r.it.of(i, "")))
		for _, m := range regime.Marks {
			if !m.Number {
				continue
			}
			for _, w := range r.it.find(i, m.ID) {
				evidence = append(evidence, w.evidence())
				if !slices.Contains(l.Numbers, w.raw) && len(l.Numbers) < mostEvidence {
					l.Numbers = append(l.Numbers, w.raw)
				}
			}
		}
		r.lookUps = append(r.lookUps, l)
		r.add("look-the-number-up", reference.Note, regime.Register.Source, fmt.Sprintf("not looked up: %s. %s", regime.Register.Name, regime.Register.Compare),
			"a dated look-up with a picture of the entry", evidence)
	}
}

// unconfirmed marks the findings that rest on words which a machine read and nobody
// has compared with the picture.
func (it *item) unconfirmed(all []Finding) {
	for i := range all {
		all[i].NeedsConfirmation = slices.ContainsFunc(all[i].Evidence, func(e Evidence) bool { return slices.Contains(it.m.MachineRead, e.Where) })
	}
}
