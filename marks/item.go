package marks

import (
	"slices"

	"telltale/record"
	"telltale/reference"
)

// word is a standard, number or sign that was found, raw and normal.
type word struct {
	id         string // of the mark or standard
	regime     int
	row        int // in the regime's marks or standards
	standard   bool
	where      string
	raw, text  string
	start, end int
	mention    bool // denied, compared or advised: no statement about this item
	guessed    bool // found only by taking look-alike letters of a machine-read text for one another
	machine    bool // its place was read by a machine and not yet confirmed
}

func (w word) evidence() Evidence { return Evidence{w.where, w.raw} }

// claimed is a class that a text claims.
type claimed struct {
	class  reference.Class
	regime int
	word   word
}

// item is all that was read of one respirator.
type item struct {
	book   *book
	m      record.Marks
	places []record.Place
	texts  map[string]*normal

	words    []word           // standards and marks
	looks    []word           // what is meant to be a mark though its form may be wrong
	families []familyWord     // what looks like a class
	seen     map[meaning]bool // contexts and collision markers that hold
	cut      []string         // places whose text was too long to examine whole

	claims []claimed
	odd    []familyWord // words of a regime's form that are no class of it
	likes  []word       // classes that are only mentioned
	shared []sharedName
}

// familyWord is a word that looks like a class of a regime.
type familyWord struct {
	word
	family reference.Family
	name   string // folded
}

// sharedName is a class word that belongs to somebody else here.
type sharedName struct {
	word      word
	collision reference.Collision
}

// read finds every word of every regime in every text.
func read(b *book, m record.Marks) *item {
	it := &item{book: b, m: m, places: m.Places(), texts: map[string]*normal{}, seen: map[meaning]bool{}}
	for _, p := range it.places {
		n := normalise(p.Text)
		it.texts[p.Where] = n
		machine := slices.Contains(m.MachineRead, p.Where)
		it.scan(p.Where, n, n.text, machine, false)
		if machine {
			if other := likeliest(n.text); other != n.text {
				it.scan(p.Where, n, other, true, true)
			}
		}
	}
	it.settle()
	return it
}

// scan reads one text. A guessed text has the same length as the normal one.
func (it *item) scan(where string, n *normal, text string, machine, guessed bool) {
	found, cut := it.book.scan.find(text)
	if cut && !guessed {
		it.cut = append(it.cut, where)
	}
	for p, list := range found {
		for _, m := range list {
			start, end := m.word(it.book.groups[p])
			w := word{where: where, raw: n.source(start, end), text: text[start:end], start: start, end: end,
				machine: machine, guessed: guessed, regime: it.book.means[p].regime, row: it.book.means[p].row}
			it.note(p, m, w, text)
		}
	}
}

// note files one match under what its pattern means.
func (it *item) note(p int, m match, w word, text string) {
	means := it.book.means[p]
	r := it.book.regimes[means.regime]
	switch means.kind {
	case isContext, isOddContext, isMarker:
		it.seen[means] = true
	case isStandard:
		w.id, w.standard = r.Standards[means.row].ID, true
		it.file(&it.words, w, text)
	case isMark:
		w.id = r.Marks[means.row].ID
		it.file(&it.words, w, text)
	case isLooks:
		w.id = r.Marks[means.row].ID
		it.file(&it.looks, w, text)
	case isFamily:
		f := familyWord{word: w, family: r.Families[means.row]}
		name := w.text
		if f.family.Name != "" {
			name = string(it.book.scan.patterns[p].ExpandString(nil, f.family.Name, text, m.loc))
		}
		f.id, f.name = "class", reference.FoldClass(name)
		if number(text, w.end) || f.family.Guarded && code(text, w.start, w.end) {
			return
		}
		f.mention = mention(text, w.start, w.end)
		if w.guessed && slices.ContainsFunc(it.families, func(o familyWord) bool { return o.where == w.where && overlap(o.word, w) }) {
			return
		}
		it.families = append(it.families, f)
	}
}

// file adds a word unless a guess says again what the text said itself.
func (it *item) file(list *[]word, w word, text string) {
	w.mention = mention(text, w.start, w.end) || disowned(text, w.end)
	if w.guessed && slices.ContainsFunc(*list, func(o word) bool { return o.id == w.id && o.where == w.where && overlap(o, w) }) {
		return
	}
	*list = append(*list, w)
}

func overlap(a, b word) bool { return a.where == b.where && a.start < b.end && b.start < a.end }

// likeliest takes letters that machines mistake for digits as those digits, where
// they stand beside a digit in one word; the length stays the same.
func likeliest(text string) string {
	out := []byte(text)
	isDigit := func(i int) bool { return i >= 0 && i < len(out) && out[i] >= '0' && out[i] <= '9' }
	swap := func(i int) {
		if d, ok := digitLike[out[i]]; ok && (isDigit(i-1) || isDigit(i+1)) {
			out[i] = d
		}
	}
	for i := range out {
		swap(i)
	}
	for i := len(out) - 1; i >= 0; i-- {
		swap(i)
	}
	return string(out)
}

// digitLike holds the letters that are read for digits: 0/O, 1/I/l, 5/S, 8/B, 2/Z.
var digitLike = map[byte]byte{'O': '0', 'o': '0', 'I': '1', 'l': '1', 'S': '5', 'B': '8', 'Z': '2'}

// find gives the words with this id that state something, own regime first, then
// the common words, then any regime's.
func (it *item) find(regime int, id string) []word {
	var out []word
	for _, at := range []int{regime, it.book.common(), -1} {
		for _, w := range it.words {
			if w.id == id && !w.mention && (at < 0 || w.regime == at) {
				out = append(out, w)
			}
		}
		if out != nil {
			break
		}
	}
	return out
}
