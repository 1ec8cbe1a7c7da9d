package marks

import (
	"fmt"
	"regexp"
	"slices"

	"telltale/reference"
)

// main gives the words of a regime's own standard in a group of places: the first
// of a respirator's file, any of the others'.
func (it *item) main(regime int, group string) []word {
	r := it.book.regimes[regime]
	var out []word
	for _, w := range it.words {
		if w.standard && w.regime == regime && (w.row == 0 || r.Kind != reference.RespiratorKind) && !w.mention && groupOf(w.where) == group {
			out = append(out, w)
		}
	}
	return out
}

// backed says whether a regime's own standard or own mark stands in a group of
// places. A law that it also names does not back a class.
func (it *item) backed(regime int, group string) bool {
	return len(it.main(regime, group)) > 0 || slices.ContainsFunc(it.support(regime, group), func(w word) bool { return !w.standard })
}

// otherStandard reports a class whose own standard is not there while another
// regime's is, without that regime's class. Each group of places is looked at by
// itself: what is printed, what a paper says, what a seller says.
func otherStandard(r *reporter) {
	for _, group := range []string{printed, paper, seller} {
		for _, i := range r.it.claimants() {
			claims := r.it.of(i, group)
			if len(claims) == 0 || r.it.backed(i, group) || r.it.book.regimes[i].Kind != reference.RespiratorKind {
				continue
			}
			for j, other := range r.it.book.regimes {
				orphans := r.it.main(j, group)
				if j == i || len(orphans) == 0 || other.Kind == reference.RespiratorKind && len(r.it.of(j, group)) > 0 {
					continue
				}
				source := r.it.book.regimes[i].Families[0].Source // who says which classes the regime has
				if s := other.Standards[orphans[0].row].Source; s.State == reference.FromMemory {
					source = s // the weaker of the two grounds
				}
				r.add(ruleFor(other.Kind), reference.Contradiction, source,
					fmt.Sprintf("%s is a class of %s, and the only standard named is %s of %s", names(claims), r.it.book.regimes[i].Name, orphans[0].text, other.Name),
					fmt.Sprintf("a photograph that shows %s beside the class", claims[0].class.Standard), append(quote(claimWords(claims)), quote(orphans)...))
			}
		}
	}
}

func ruleFor(kind reference.Kind) string {
	switch kind {
	case reference.MedicalKind:
		return "medical-standard-for-respirator"
	case reference.BarrierKind:
		return "barrier-standard-for-respirator"
	}
	return "class-and-standard-disagree"
}

// paperOfOtherStandard reports a certificate that names only standards of regimes
// whose classes are not claimed on the item.
func paperOfOtherStandard(r *reporter) {
	claims := append(r.it.of(-1, printed), r.it.of(-1, seller)...)
	claims = slices.DeleteFunc(claims, func(c claimed) bool { return r.it.book.regimes[c.regime].Kind != reference.RespiratorKind })
	if len(claims) == 0 {
		return
	}
	var foreign []word
	for j := range r.it.book.regimes {
		isClaimed := slices.ContainsFunc(claims, func(c claimed) bool { return c.regime == j })
		if isClaimed && r.it.backed(j, paper) {
			return // a paper of the claimed regime is there as well
		}
		if !isClaimed {
			foreign = append(foreign, r.it.main(j, paper)...)
		}
	}
	if len(foreign) > 0 {
		r.add("certificate-names-other-standard", reference.Contradiction, r.it.book.regimes[claims[0].regime].Families[0].Source,
			fmt.Sprintf("the item claims %s, and the certificate names %s and no standard of that class", names(claims), foreign[0].text),
			fmt.Sprintf("a certificate under %s for this model", claims[0].class.Standard), append(quote(claimWords(claims)), quote(foreign)...))
	}
}

// editions compares each printed edition with the day of manufacture, or of sale.
func editions(r *reporter) {
	for _, w := range r.it.words {
		if !w.standard || w.mention || w.guessed { // a guessed year is for a person to read first
			continue
		}
		s := r.it.book.regimes[w.regime].Standards[w.row]
		if s.Year == "" || !regexp.MustCompile(s.Year).MatchString(w.text) {
			continue // shorthand: no edition is printed
		}
		e, ok := editionOf(s, w)
		if !ok {
			r.addForm("edition-unknown", reference.Unusual, own, fmt.Sprintf("no edition %s is known here; known are %s", w.text, editionList(s)),
				"the title page of that edition", []word{w})
			continue
		}
		r.edition(w, s, e)
	}
}

func editionOf(s reference.Standard, w word) (reference.Edition, bool) {
	for _, e := range s.Editions {
		if regexp.MustCompile(e.Match).MatchString(w.text) {
			return e, true
		}
	}
	return reference.Edition{}, false
}

func editionList(s reference.Standard) string {
	var out []string
	for _, e := range s.Editions {
		out = append(out, e.Print)
	}
	return join(out, "and")
}

// edition judges one printed edition.
func (r *reporter) edition(w word, s reference.Standard, e reference.Edition) {
	d, sure := r.it.date()
	day := func(t interface{ Format(string) string }) string { return t.Format(reference.Day) }
	const clears = "the date of manufacture as printed, and a photograph of the edition"
	evidence := quote([]word{w})
	if d.known() {
		evidence = append(evidence, d.evidence())
	}
	switch {
	case !d.known():
		if !e.Withdrawn.IsZero() && !r.current(w, s) {
			r.add("edition-withdrawn", reference.Note, e.Source, fmt.Sprintf("%s was withdrawn on %s; no date of manufacture is stated", e.Print, day(e.Withdrawn)), clears, evidence)
		}
	case d.last.Before(e.Published):
		r.add("edition-before-publication", reference.Contradiction, e.Source, fmt.Sprintf("%s was published on %s, after the day stated here", e.Print, day(e.Published)), clears, evidence)
	case d.last.Before(e.InForce):
		r.add("edition-not-yet-in-force", reference.Note, e.Source, fmt.Sprintf("%s came into force on %s; naming it earlier is permitted", e.Print, day(e.InForce)), clears, evidence)
	case e.Withdrawn.IsZero() || d.first.Before(e.Withdrawn):
	case !e.Grace.IsZero() && !d.first.After(e.Grace):
		r.add("edition-withdrawn", reference.Note, e.Source, fmt.Sprintf("%s ended on %s; certificates under it could run until %s", e.Print, day(e.Withdrawn), day(e.Grace)), clears, evidence)
	case r.current(w, s):
		r.add("edition-withdrawn", reference.Note, e.Source, fmt.Sprintf("%s stands beside the edition that was in force, perhaps as a shorthand", e.Print), clears, evidence)
	case groupOf(w.where) == paper:
		r.add("edition-withdrawn", reference.Unusual, e.Source, fmt.Sprintf("the certificate rests on %s, withdrawn on %s, before the day stated here", e.Print, day(e.Withdrawn)), "a certificate under the edition that was in force", evidence)
	case !sure:
		r.add("edition-withdrawn", reference.Unusual, e.Source, fmt.Sprintf("%s was withdrawn on %s, before the day stated here; the date of manufacture is not stated, so older stock is possible", e.Print, day(e.Withdrawn)), clears, evidence)
	default:
		r.add("edition-withdrawn", reference.Contradiction, e.Source, fmt.Sprintf("%s was withdrawn on %s, and the item was made on or after that day", e.Print, day(e.Withdrawn)), clears, evidence)
	}
}

// current says whether another word of the same standard, in the same group of
// places, names an edition that is not withdrawn.
func (r *reporter) current(w word, s reference.Standard) bool {
	return slices.ContainsFunc(r.it.words, func(o word) bool {
		if o.id != w.id || o.regime != w.regime || o.mention || groupOf(o.where) != groupOf(w.where) {
			return false
		}
		e, ok := editionOf(s, o)
		return ok && e.Withdrawn.IsZero()
	})
}
