package marks

import (
	"regexp"
	"slices"
	"sync"

	"telltale/reference"
)

// book is the regimes' knowledge made ready for reading: one scanner over all
// patterns, and what each pattern means.
type book struct {
	regimes []reference.Regime
	scan    *scanner
	means   []meaning
	groups  []int // the group that marks the word itself
}

// meaning says whose pattern it is: the regime, the kind and the place in that
// kind's list.
type meaning struct {
	regime int
	kind   patternKind
	row    int
}

type patternKind int

const (
	isFamily patternKind = iota
	isContext
	isOddContext
	isStandard
	isMark
	isLooks
	isMarker // of a collision
)

// theBook is made once, of the embedded regime files.
var theBook = sync.OnceValue(func() *book { return newBook(reference.Regimes()) })

func newBook(regimes []reference.Regime) *book {
	b := &book{regimes: regimes}
	var patterns []string
	add := func(pattern string, m meaning) {
		if pattern == "" {
			return
		}
		patterns = append(patterns, pattern)
		b.means = append(b.means, m)
		b.groups = append(b.groups, wordGroup(regexp.MustCompile(pattern)))
	}
	for i, r := range regimes {
		for k, f := range r.Families {
			add(f.Pattern, meaning{i, isFamily, k})
			add(f.Context, meaning{i, isContext, k})
			add(f.OddContext, meaning{i, isOddContext, k})
		}
		for k, s := range r.Standards {
			add(s.Pattern, meaning{i, isStandard, k})
		}
		for k, m := range r.Marks {
			add(m.Pattern, meaning{i, isMark, k})
			add(m.Looks, meaning{i, isLooks, k})
		}
		for k, c := range r.Collisions {
			add(c.Marker, meaning{i, isMarker, k})
		}
	}
	b.scan = newScanner(patterns)
	return b
}

// common is the index of the regime that holds the words of no regime.
func (b *book) common() int {
	return slices.IndexFunc(b.regimes, func(r reference.Regime) bool { return r.Kind == reference.CommonKind })
}

// index finds a regime by its id; -1 = none.
func (b *book) index(id string) int {
	return slices.IndexFunc(b.regimes, func(r reference.Regime) bool { return r.ID == id })
}

// class finds a class of a regime by its folded name.
func (b *book) class(regime int, folded string) (reference.Class, bool) {
	for _, c := range b.regimes[regime].Classes {
		for _, name := range append([]string{c.Name}, c.Aliases...) {
			if reference.FoldClass(name) == folded {
				return c, true
			}
		}
	}
	return reference.Class{}, false
}
