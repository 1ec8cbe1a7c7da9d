package marks

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"telltale/fault"
	"telltale/reference"
)

// wrongForms gives the words that are meant to be a mark and match no mark. Only
// those of a regime that the item names otherwise are looked at.
func (it *item) wrongForms() []word {
	return slices.DeleteFunc(slices.Clone(it.looks), func(w word) bool {
		return w.mention || w.guessed || !it.touches(w.regime) ||
			slices.ContainsFunc(it.words, func(o word) bool { return !o.standard && overlap(o, w) })
	})
}

// forms reports numbers whose form is not that of the mark they are meant to be.
func forms(r *reporter) {
	for _, w := range r.it.wrongForms() {
		m := r.it.book.regimes[w.regime].Marks[w.row]
		clears := "a photograph in which the number can be read, or the register's entry"
		if m.Tolerated != "" && regexp.MustCompile(m.Tolerated).MatchString(w.text) {
			r.addForm("number-of-unusual-form", reference.Unusual, m.Source, fmt.Sprintf("%s is longer than %s, but numbers may grow", w.raw, m.Name), clears, []word{w})
			continue
		}
		severity := reference.Contradiction
		if len(r.it.find(w.regime, w.id)) > 0 {
			severity = reference.Unusual // a number of the right form stands there too, as on combined filters
		}
		r.addForm("number-of-wrong-form", severity, m.Source, fmt.Sprintf("%s does not match the usual form (%s)", w.raw, m.Name), clears, []word{w})
	}
}

// touches says whether the item names the regime: by a class, a standard or a mark.
func (it *item) touches(regime int) bool {
	return len(it.of(regime, "")) > 0 || slices.ContainsFunc(it.words, func(w word) bool { return w.regime == regime && it.speaks(w) })
}

// speaks says whether a word belongs to its regime alone and is stated: a standard,
// a number, an own mark or an office's name, not a word that anyone prints.
func (it *item) speaks(w word) bool {
	r := it.book.regimes[w.regime]
	if w.mention || r.Kind == reference.CommonKind {
		return false
	}
	return w.standard || r.Marks[w.row].Number || r.Marks[w.row].Own || r.Marks[w.row].Spelling != ""
}

// malformed says whether a number of the mark is printed in a wrong form.
func (it *item) malformed(regime int, id string) bool {
	return slices.ContainsFunc(it.wrongForms(), func(w word) bool { return w.regime == regime && w.id == id && groupOf(w.where) == printed })
}

// headBytes of a text are looked through for misspelt names.
const headBytes = 256 << 10

var capitals = regexp.MustCompile(`[A-Z0-9]*[A-Z][A-Z0-9]*`)

// spelling reports words in capitals that are one letter off an office's name, or
// that name written with digits.
func spelling(r *reporter) {
	for i, regime := range r.it.book.regimes {
		for _, m := range regime.Marks {
			if m.Spelling == "" || len(r.it.claims)+len(r.it.odd) == 0 && !r.it.touches(i) {
				continue
			}
			for _, p := range r.it.places {
				r.misspelt(p.Where, m)
			}
		}
	}
}

func (r *reporter) misspelt(where string, m reference.Mark) {
	n := r.it.texts[where]
	head := n.text[:min(len(n.text), headBytes)]
	var words []word
	for _, loc := range capitals.FindAllStringIndex(head, -1) {
		text := head[loc[0]:loc[1]]
		if text == m.Spelling || len(text) < len(m.Spelling)-1 || len(text) > len(m.Spelling)+1 || !standsAlone(head, loc) || !near(text, m.Spelling) {
			continue
		}
		w := word{where: where, raw: n.source(loc[0], loc[1]), text: text, machine: slices.Contains(r.it.m.MachineRead, where)}
		words = append(words, w)
	}
	if len(words) > 0 {
		r.addForm("agency-name-misspelt", reference.Contradiction, m.Source, fmt.Sprintf("%s is not how %s is written", words[0].raw, m.Spelling), "a photograph in which the word can be read", words)
	}
}

func standsAlone(text string, loc []int) bool {
	letter := func(i int) bool {
		return i >= 0 && i < len(text) && (isLetter(text[i]) || text[i] >= '0' && text[i] <= '9' || text[i] >= 0x80)
	}
	return !letter(loc[0]-1) && !letter(loc[1])
}

var asLetters = strings.NewReplacer("0", "O", "1", "I", "5", "S", "8", "B")

// near says whether a word is the name with digits for letters, or one letter off.
func near(text, name string) bool {
	plain := asLetters.Replace(text)
	if plain == name {
		return true
	}
	if strings.ContainsAny(text, "0123456789") && len(plain) != len(name) {
		return false
	}
	_, ok := fault.Nearest(plain, []string{name})
	return ok && (len(plain) <= len(name) || strings.Contains(plain, name[:len(name)-1]))
}
