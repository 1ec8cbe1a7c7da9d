package marks

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"telltale/reference"
)

// side is a group of texts that is compared with another: what is on the
// respirator, on its pack, on both, in a paper, in a shop.
type side struct {
	name   string
	places []string
}

var (
	mask    = side{"the respirator", []string{"facepiece", "strap"}}
	pack    = side{"the pack", []string{"pouch", "box"}}
	both    = side{"what is printed", []string{"facepiece", "strap", "pouch", "box"}}
	papers  = side{"the certificate", []string{"certificate"}}
	listing = side{"the listing", []string{"listing"}}
)

// differences compares classes and numbers between the sides. Two sides that share
// one value do not differ: packs and papers may list several.
func differences(r *reporter) {
	for _, pair := range [][2]side{{mask, pack}, {both, papers}, {both, listing}} {
		a, b := pair[0], pair[1]
		r.classesDiffer(a, b)
		for i, regime := range r.it.book.regimes {
			if regime.Kind != reference.CommonKind && len(r.it.of(i, "")) == 0 {
				continue
			}
			for _, m := range regime.Marks {
				if m.Number {
					r.numbersDiffer(a, b, i, m)
				}
			}
		}
	}
}

func (r *reporter) classesDiffer(a, b side) {
	on := func(s side) []claimed {
		return slices.DeleteFunc(r.it.of(-1, ""), func(c claimed) bool {
			return !slices.Contains(s.places, c.word.where) || r.it.book.regimes[c.regime].Kind != reference.RespiratorKind
		})
	}
	x, y := on(a), on(b)
	if len(x) == 0 || len(y) == 0 || slices.ContainsFunc(x, func(c claimed) bool {
		return slices.ContainsFunc(y, func(o claimed) bool { return o.class.Name == c.class.Name })
	}) {
		return
	}
	r.addForm("class-differs-between-places", reference.Contradiction, own,
		fmt.Sprintf("%s says %s and %s says %s", a.name, names(x), b.name, names(y)), "photographs of both that show the same class", append(claimWords(x), claimWords(y)...))
}

// papersDiffer reports papers, parted by an empty line, that speak of different
// classes of one regime. They may be of two models, so it is unusual.
func papersDiffer(r *reporter) {
	for _, i := range r.it.claimants() {
		claims := r.it.of(i, paper)
		for k := 1; k < len(claims); k++ {
			a, b := claims[k-1], claims[k]
			n := r.it.texts["certificate"]
			if a.class.Name != b.class.Name && apart(n, a.word.start, b.word.start) {
				r.add("certificates-disagree", reference.Unusual, own, fmt.Sprintf("the certificates speak of %s", names(claims)), "the certificate of this model", quote(claimWords(claims)))
			}
		}
	}
}

// apart says whether an empty line stands between two places of a text.
func apart(n *normal, a, b int) bool {
	return strings.Contains(n.raw[n.back(min(a, b)):n.back(max(a, b))], "\n\n")
}

func (r *reporter) numbersDiffer(a, b side, regime int, m reference.Mark) {
	on := func(s side) []word {
		return slices.DeleteFunc(r.it.find(regime, m.ID), func(w word) bool {
			return !slices.Contains(s.places, w.where) || r.it.isClass(w.text)
		})
	}
	x, y := on(a), on(b)
	if len(x) == 0 || len(y) == 0 || slices.ContainsFunc(x, func(w word) bool {
		return slices.ContainsFunc(y, func(o word) bool { return plain(o.text) == plain(w.text) })
	}) {
		return
	}
	rule, severity := "number-differs-between-places", reference.Unusual
	switch {
	case m.ID == "model-code" && b.name == "the certificate":
		rule, severity = "certificate-for-other-model", reference.Missing
	case m.ID == "lot-code" && groupOf(b.places[0]) != printed:
		return // papers and listings speak of no lot
	}
	r.addForm(rule, severity, own, fmt.Sprintf("%s: %s says %s and %s says %s", m.Name, a.name, x[0].raw, b.name, y[0].raw),
		"photographs of both that show the same, or the maker's word that both belong together", append(x, y...))
}

// isClass says whether a code is only a class name ("Model KN95").
func (it *item) isClass(text string) bool { return len(reference.ClassesByName(text)) > 0 }

// plain is a number without blanks, dots and hyphens.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, text)
}
