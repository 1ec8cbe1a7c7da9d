package marks

import (
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
			if len(claims) == 0 || !r.it.holdsAll(i, d.When) || r.it.any(i, d.Without) {
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

func (it *item) holdsAll(regime int, conditions []string) bool {
	_, ok := it.all(regime, conditions)
	return ok
}

func (r *reporter) demand(regime int, d reference.Demand, claims []claimed) {
	read, text := r.it.readOf(d)
	if len(read) == 0 {
		return
	}
	var there, else_ []word
	for _, id := range d.Marks {
		if r.it.malformed(regime, id) {
			return // it stands there in a form that has its own finding
		}
		for _, w := range r.it.find(regime, id) {
			switch {
			case slices.Contains(read, w.where):
				there = append(there, w)
			case groupOf(w.where) == printed:
				else_ = append(else_, w)
			}
		}
	}
	switch {
	case len(there) > 0:
	case len(else_) > 0:
		r.add("mark-stands-elsewhere", reference.Note, d.Source, "a mark that belongs on "+join(d.Places, "or")+" was read elsewhere only", d.Clears, quote(else_))
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
