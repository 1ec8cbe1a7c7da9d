package marks

import (
	"cmp"
	"slices"

	"telltale/record"
	"telltale/reference"
)

// settle decides what each word that looks like a class is: a claim of one or more
// regimes, a mere mention, a word that is no class, or nothing.
func (it *item) settle() {
	place := func(where string) int {
		return slices.IndexFunc(it.places, func(p record.Place) bool { return p.Where == where })
	}
	byPlace := func(a, b word) int { return cmp.Or(place(a.where)-place(b.where), a.start-b.start) }
	slices.SortStableFunc(it.families, func(a, b familyWord) int { return byPlace(a.word, b.word) })
	for i := 0; i < len(it.families); {
		next := i + 1
		for next < len(it.families) && overlap(it.families[next].word, it.families[i].word) {
			next++
		}
		it.decide(it.families[i:next])
		i = next
	}
	it.dropAdvice()
}

// decide settles the candidates for one word, one for each regime that prints its
// like.
func (it *item) decide(candidates []familyWord) {
	var known, odd []familyWord
	for _, f := range candidates {
		if !it.holds(f) {
			continue
		}
		if _, ok := it.book.class(f.regime, f.name); ok {
			known = append(known, f)
		} else if it.oddHolds(f) {
			odd = append(odd, f)
		}
	}
	switch {
	case len(known) == 0 && len(odd) > 0 && !odd[0].mention:
		it.odd = append(it.odd, odd[0])
	case len(known) > 0 && known[0].mention:
		it.likes = append(it.likes, known[0].word)
	case len(known) > 0:
		it.claim(known)
	}
}

// holds says whether a family's context stands anywhere on the item.
func (it *item) holds(f familyWord) bool {
	return f.family.Context == "" || it.seen[meaning{f.regime, isContext, f.row}]
}

func (it *item) oddHolds(f familyWord) bool {
	return f.family.OddContext == "" || it.seen[meaning{f.regime, isOddContext, f.row}]
}

// claim files a class word under the regimes whose standard or own mark stands on
// the item; with none, under the first that prints the word.
func (it *item) claim(candidates []familyWord) {
	var backed []familyWord
	for _, f := range candidates {
		if len(it.support(f.regime, "")) > 0 {
			backed = append(backed, f)
		}
	}
	if backed == nil {
		for k, c := range it.book.regimes[candidates[0].regime].Collisions {
			if c.Marker != "" && it.seen[meaning{candidates[0].regime, isMarker, k}] &&
				slices.ContainsFunc(c.Classes, func(n string) bool { return reference.FoldClass(n) == candidates[0].name }) {
				it.shared = append(it.shared, sharedName{candidates[0].word, c})
				return
			}
		}
		backed = candidates[:1]
	}
	for _, f := range backed {
		class, _ := it.book.class(f.regime, f.name)
		it.claims = append(it.claims, claimed{class, f.regime, f.word})
	}
}

// support gives the words that stand behind a regime's classes: its standards and
// its own marks. With a group only those of the group's places.
func (it *item) support(regime int, group string) []word {
	r := it.book.regimes[regime]
	var out []word
	for _, w := range it.words {
		if w.regime == regime && !w.mention && (w.standard || r.Marks[w.row].Own) && (group == "" || groupOf(w.where) == group) {
			out = append(out, w)
		}
	}
	return out
}

// dropAdvice leaves out the classes of a leaflet where the item's class stands
// elsewhere: leaflets speak of other products too.
func (it *item) dropAdvice() {
	elsewhere := slices.ContainsFunc(it.claims, func(c claimed) bool { return c.word.where != "leaflet" })
	if !elsewhere {
		return
	}
	it.claims = slices.DeleteFunc(it.claims, func(c claimed) bool {
		return c.word.where == "leaflet" && !slices.ContainsFunc(it.claims, func(o claimed) bool {
			return o.word.where != "leaflet" && o.class.Name == c.class.Name && o.regime == c.regime
		})
	})
}

// The texts stand in three groups: what is printed on and around the respirator,
// what a paper says, what a seller says.
const (
	printed = "printed"
	paper   = "paper"
	seller  = "seller"
)

func groupOf(where string) string {
	switch where {
	case "certificate":
		return paper
	case "listing":
		return seller
	}
	return printed
}

// of gives the claims of a regime, or of all for -1, in a group, or in all for "".
func (it *item) of(regime int, group string) []claimed {
	var out []claimed
	for _, c := range it.claims {
		if (regime < 0 || c.regime == regime) && (group == "" || groupOf(c.word.where) == group) {
			out = append(out, c)
		}
	}
	return out
}

// claimants gives the indices of the regimes that are claimed, in order.
func (it *item) claimants() []int {
	var out []int
	for i := range it.book.regimes {
		if len(it.of(i, "")) > 0 {
			out = append(out, i)
		}
	}
	return out
}

// names words the classes of claims, each once.
func names(claims []claimed) string {
	var out []string
	for _, c := range claims {
		if !slices.Contains(out, c.class.Name) {
			out = append(out, c.class.Name)
		}
	}
	return join(out, "and")
}

func join(words []string, last string) string {
	text := ""
	for i, w := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			text += " " + last + " "
		default:
			text += ", "
		}
		text += w
	}
	return text
}

// quote gives the evidence of words, each stretch once.
func quote(words []word) []Evidence {
	var out []Evidence
	for _, w := range words {
		if e := w.evidence(); !slices.Contains(out, e) {
			out = append(out, e)
		}
	}
	return out
}

func claimWords(claims []claimed) []word {
	out := make([]word, len(claims))
	for i, c := range claims {
		out[i] = c.word
	}
	return out
}
