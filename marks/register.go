package marks

import (
	"fmt"
	"slices"
	"strings"

	"telltale/record"
	"telltale/reference"
)

// registers turns what a person found in a register into findings. Only such a
// look-up can speak against a number.
func registers(r *reporter) {
	for _, e := range r.it.m.Registers {
		source := r.it.registerSource(e)
		evidence := r.it.registerEvidence(e)
		name := e.Register
		if name == "" {
			name = "the register"
		}
		switch e.State {
		case record.NoSuchNumber:
			r.add("register-no-such-number", reference.Contradiction, source, fmt.Sprintf("%s holds no number %s for this kind of product", name, e.Number), "a dated picture of the register's entry", evidence)
		case record.Revoked:
			r.add("register-revoked", reference.Contradiction, source, fmt.Sprintf("%s shows %s as revoked", name, e.Number), "a dated picture of the register that shows it in force when this was made", evidence)
		case record.OtherHolder:
			r.otherHolder(e, source, name, evidence)
		}
		if made := r.it.made(); !e.ValidUntil.IsZero() && made.known() && e.ValidUntil.Before(made.first) {
			r.add("register-expired", reference.Contradiction, source, fmt.Sprintf("%s shows %s as valid until %s, before this was made", name, e.Number, e.ValidUntil.Format(reference.Day)),
				"a dated picture of the register that shows a later validity", append(evidence, made.evidence()))
		}
	}
}

// otherHolder reports a number of somebody else, unless that holder is printed too
// (a private label may be sold under another name).
func (r *reporter) otherHolder(e record.RegisterEntry, source reference.Source, name string, evidence []Evidence) {
	if e.Holder != "" && len(plain(e.Holder)) > 2 && r.it.prints(e.Holder) {
		r.add("register-other-name", reference.Note, source, fmt.Sprintf("%s names %s as holder of %s, which is printed here too, as on a private label", name, e.Holder, e.Number),
			"the holder's word that this is its product", evidence)
		return
	}
	holder := e.Holder
	if holder == "" {
		holder = "another holder or product"
	}
	r.add("register-other-holder", reference.Contradiction, source, fmt.Sprintf("%s gives %s to %s", name, e.Number, holder), "a dated picture of the register's entry with this holder and model", evidence)
}

// prints says whether a name stands in any text but the certificate.
func (it *item) prints(name string) bool {
	want := plain(name)
	return slices.ContainsFunc(it.places, func(p record.Place) bool {
		head := it.texts[p.Where].text
		return p.Where != "certificate" && strings.Contains(plain(head[:min(len(head), headBytes)]), want)
	})
}

// registerEvidence quotes the number where it is printed, and the look-up.
func (it *item) registerEvidence(e record.RegisterEntry) []Evidence {
	var out []Evidence
	for _, w := range it.words {
		if e.Number != "" && !w.standard && len(plain(e.Number)) > 2 && strings.Contains(plain(w.text), plain(e.Number)) {
			out = append(out, w.evidence())
		}
	}
	text := fmt.Sprintf("%s %s: %s", e.Register, e.Number, e.State)
	if e.Holder != "" {
		text += ", holder " + e.Holder
	}
	if !e.Date.IsZero() {
		text += ", looked up " + e.Date.Format(reference.Day)
	}
	if e.Screenshot != "" {
		text += ", picture " + e.Screenshot
	}
	return append(out, Evidence{"registers", strings.TrimSpace(text)})
}

// registerSource is the regime's own register, found by name, else a person's look.
func (it *item) registerSource(e record.RegisterEntry) reference.Source {
	return reference.Source{Title: "a person's look-up in " + e.Register, Section: e.Date.Format(reference.Day), State: reference.Read}
}

// isOf says whether a look-up is of this regime's register.
func isOf(e record.RegisterEntry, regime reference.Regime) bool {
	for _, name := range append([]string{regime.Register.Name}, regime.Register.Aliases...) {
		if name != "" && (strings.EqualFold(name, e.Register) || len(name) > 2 && strings.Contains(strings.ToLower(e.Register), strings.ToLower(name))) {
			return true
		}
	}
	return false
}

// bears says whether a mark of the regime bears the number.
func (it *item) bears(regime int, number string) bool {
	return len(plain(number)) > 2 && slices.ContainsFunc(it.words, func(w word) bool {
		return w.regime == regime && !w.standard && strings.Contains(plain(w.text), plain(number))
	})
}
