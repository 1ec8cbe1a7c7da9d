package marks

import (
	"fmt"
	"slices"

	"telltale/reference"
)

// demands reports the marks that make a regime's set complete and are not there.
//
// A mark is missed only where a text was read in which it would have to stand. A
// mark of the facepiece is also missed on the pack when no facepiece was read,
// since packs repeat it; a mark of the pack is never missed on a facepiece.
func demands(r *reporter) {
	for _, i := range r.it.claimants() {
		for _, d := range r.it.book.regimes[i].Complete {
			claims := r.it.concerned(i, d)
			if len(claims) == 0 || !r.it.isPrinted(i, d.When, true) || r.it.isPrinted(i, d.Without, false) {
				continue
			}
			r.demand(i, d, claims)
		}
	}
}

// concerned gives the printed claims that a demand speaks of.
func (it *item) concerned(regime int, d reference.Demand) []claimed {
	return slices.DeleteFunc(it.of(regime, printed), func(c claimed) bool {
		return len(d.Classes) > 0 && !slices.Contains(d.Classes, c.class.Name)
	})
}

// isPrinted says whether all conditions, or any one of them, hold by what is
// printed; a paper or a listing does not mark a respirator.
func (it *item) isPrinted(regime int, conditions []string, all bool) bool {
	for _, c := range conditions {
		holds := slices.ContainsFunc(it.condition(regime, c), func(e Evidence) bool { return groupOf(e.Where) == printed })
		if holds != all {
			return !all
		}
	}
	return all
}

func (r *reporter) demand(regime int, d reference.Demand, claims []claimed) {
	read, text := r.it.readOf(d)
	if len(read) == 0 {
		return
	}
	var there, elsewhere []word
	for _, id := range d.Marks {
		if r.it.malformed(regime, id) || r.misspelled(regime, id) {
			return // it stands there in a form that has its own finding
		}
		for _, w := range r.it.find(regime, id) {
			switch {
			case slices.Contains(read, w.where):
				there = append(there, w)
			case groupOf(w.where) == printed:
				elsewhere = append(elsewhere, w)
			}
		}
	}
	switch {
	case len(there) > 0:
	case len(elsewhere) > 0:
		r.add("mark-stands-elsewhere", reference.Note, d.Source, "a mark that belongs on "+join(d.Places, "or")+" was read elsewhere only", d.Clears, quote(elsewhere))
	default:
		clears := d.Clears
		if r.it.allMachine(read) {
			clears = "a person's reading of the picture, since a machine may have missed it; or " + clears
		}
		r.add(d.Rule, d.Severity, d.Source, fill(d.Text, claims)+text, clears, quote(claimWords(claims)))
	}
}

// readOf gives the places of a demand that were read, and words for the case that
// only the pack was.
func (it *item) readOf(d reference.Demand) (places []string, text string) {
	for _, p := range it.places {
		if slices.Contains(d.Places, p.Where) {
			places = append(places, p.Where)
		}
	}
	if len(places) > 0 || !slices.Contains(d.Places, "facepiece") {
		return places, ""
	}
	for _, p := range it.places {
		if p.Where == "pouch" || p.Where == "box" {
			places = append(places, p.Where)
		}
	}
	return places, " (the facepiece was not read)"
}

func (it *item) allMachine(places []string) bool {
	return !slices.ContainsFunc(places, func(p string) bool { return !slices.Contains(it.m.MachineRead, p) })
}

// misspelled says whether a finding already speaks of the mark's spelling.
func (r *reporter) misspelled(regime int, id string) bool {
	return slices.ContainsFunc(r.it.book.regimes[regime].Marks, func(m reference.Mark) bool { return m.ID == id && m.Spelling != "" }) &&
		slices.ContainsFunc(r.out, func(f Finding) bool { return f.Rule == "agency-name-misspelt" })
}

// classless reports a respirator standard printed without any class of its regime.
func classless(r *reporter) {
	for i, regime := range r.it.book.regimes {
		words := slices.DeleteFunc(r.it.main(i, printed), func(w word) bool { return w.where == "leaflet" })
		odd := slices.ContainsFunc(r.it.odd, func(o familyWord) bool { return o.regime == i })
		if len(words) == 0 || odd || regime.Kind != reference.RespiratorKind || len(r.it.of(i, "")) > 0 || r.disagrees(words[0]) {
			continue
		}
		r.add("standard-without-class", reference.Missing, words[0].standardSource(regime), words[0].text+" is named, and none of its classes is", "a photograph of the class beside the standard", quote(words))
	}
}

func (w word) standardSource(regime reference.Regime) reference.Source {
	return regime.Standards[w.row].Source
}

// disagrees says whether a finding already sets this standard against a class.
func (r *reporter) disagrees(w word) bool {
	return slices.ContainsFunc(r.out, func(f Finding) bool {
		return f.Rule == "class-and-standard-disagree" && slices.Contains(f.Evidence, w.evidence())
	})
}

// packOnly reports a class on the pack that the respirator does not bear though it
// bears another one. Regimes that mark only the pack are left out.
func packOnly(r *reporter) {
	onMask := slices.DeleteFunc(r.it.of(-1, printed), func(c claimed) bool { return c.word.where != "facepiece" && c.word.where != "strap" })
	if len(onMask) == 0 {
		return
	}
	for _, i := range r.it.claimants() {
		marked := slices.ContainsFunc(r.it.book.regimes[i].Complete, func(d reference.Demand) bool { return slices.Contains(d.Places, "facepiece") })
		pack := slices.DeleteFunc(r.it.of(i, printed), func(c claimed) bool { return c.word.where != "pouch" && c.word.where != "box" })
		if !marked || len(pack) == 0 || slices.ContainsFunc(onMask, func(c claimed) bool { return c.regime == i }) {
			continue
		}
		r.add("class-on-pack-only", reference.Unusual, own, fmt.Sprintf("the pack says %s, and the respirator itself says only %s", names(pack), names(onMask)),
			"a photograph of that class on the respirator", quote(append(claimWords(pack), claimWords(onMask)...)))
	}
}
