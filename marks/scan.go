package marks

import (
	"regexp"
	"unicode/utf8"
)

// scanner finds many patterns in one text in time that grows with the text's
// length: one pass looks for all literals at once (Aho and Corasick 1975, from
// memory), and each pattern runs only on the stretches around its own.
type scanner struct {
	patterns []*regexp.Regexp
	always   []int    // patterns without a literal: run on the text's head
	next     []uint16 // state*256 + byte -> state
	hits     [][]int  // state -> patterns whose literal ends here
}

const (
	around = 96       // bytes examined on either side of a literal
	budget = 96 << 10 // bytes examined for one pattern; printed words are far shorter
	most   = 100      // matches kept of one pattern in one text
)

// match is one place where a pattern holds: loc as of FindStringSubmatchIndex.
type match struct{ loc []int }

// newScanner compiles the patterns.
func newScanner(patterns []string) *scanner {
	s := &scanner{next: make([]uint16, 256), hits: make([][]int, 1)}
	for i, p := range patterns {
		s.patterns = append(s.patterns, regexp.MustCompile(p))
		literals := needed(p)
		if literals == nil {
			s.always = append(s.always, i)
		}
		for _, l := range literals {
			s.add(l, i)
		}
	}
	s.link()
	return s
}

// add puts a literal into the tree of prefixes.
func (s *scanner) add(literal string, pattern int) {
	state := 0
	for i := range len(literal) {
		at := state<<8 | int(literal[i])
		if s.next[at] == 0 {
			if len(s.hits) > 1<<16-2 {
				panic("marks: too many literals for the scanner")
			}
			s.next[at] = uint16(len(s.hits))
			s.next = append(s.next, make([]uint16, 256)...)
			s.hits = append(s.hits, nil)
		}
		state = int(s.next[at])
	}
	s.hits[state] = append(s.hits[state], pattern)
}

// link turns the tree into the automaton: where no letter leads on, the longest
// suffix that is a prefix does.
func (s *scanner) link() {
	suffix := make([]int, len(s.hits))
	queue := []int{}
	for b := range 256 {
		if to := int(s.next[b]); to != 0 {
			queue = append(queue, to)
		}
	}
	for len(queue) > 0 {
		state := queue[0]
		queue = queue[1:]
		s.hits[state] = append(s.hits[state], s.hits[suffix[state]]...)
		for b := range 256 {
			at, back := state<<8|b, suffix[state]<<8|b
			if to := int(s.next[at]); to != 0 {
				suffix[to] = int(s.next[back])
				queue = append(queue, to)
			} else {
				s.next[at] = s.next[back]
			}
		}
	}
}

// stretch is a part of the text to be examined.
type stretch struct{ from, to int }

// find gives the matches of every pattern, and whether the text held more
// candidates than were examined.
func (s *scanner) find(text string) (found [][]match, cut bool) {
	parts := make([][]stretch, len(s.patterns))
	spent := make([]int, len(s.patterns))
	state := 0
	for i := 0; i < len(text); i++ {
		b := text[i]
		if b-'A' < 26 {
			b |= 0x20
		}
		state = int(s.next[state<<8|int(b)])
		for _, p := range s.hits[state] {
			if spent[p] >= budget {
				cut = true
				continue
			}
			spent[p] += widen(&parts[p], text, i)
		}
	}
	for _, p := range s.always {
		parts[p] = []stretch{{0, min(len(text), budget)}}
		cut = cut || len(text) > budget
	}
	found = make([][]match, len(s.patterns))
	for p, list := range parts {
		for _, part := range list {
			found[p] = s.run(p, text, part, found[p])
		}
		cut = cut || len(found[p]) >= most
	}
	return found, cut
}

// widen adds the stretch around a literal that ends at byte i, melting it with the
// one before if they touch, and gives the number of bytes added.
func widen(parts *[]stretch, text string, i int) int {
	from, to := edge(text, i-around, -1), edge(text, i+around, 1)
	if n := len(*parts); n > 0 && from <= (*parts)[n-1].to {
		added := max(0, to-(*parts)[n-1].to)
		(*parts)[n-1].to = max((*parts)[n-1].to, to)
		return added
	}
	*parts = append(*parts, stretch{from, to})
	return to - from
}

// edge moves a place outwards to the next blank, so that no word is cut; after 64
// bytes it takes the next whole letter.
func edge(text string, i, step int) int {
	i = max(0, min(i, len(text)))
	for k := 0; i > 0 && i < len(text) && (k < 64 && text[i] != ' ' && text[i] != '\n' || !utf8.RuneStart(text[i])); k++ {
		i += step
	}
	return i
}

// run finds one pattern's matches in a stretch. After a match it goes on at the
// end of the word itself, since the pattern may have taken in the next blank.
func (s *scanner) run(p int, text string, part stretch, found []match) []match {
	re := s.patterns[p]
	word := wordGroup(re)
	for at := part.from; at < part.to && len(found) < most; {
		loc := re.FindStringSubmatchIndex(text[at:part.to])
		if loc == nil {
			break
		}
		for i := range loc {
			if loc[i] >= 0 {
				loc[i] += at
			}
		}
		found = append(found, match{loc})
		end := loc[1]
		if word > 0 && loc[2*word+1] >= 0 {
			end = loc[2*word+1]
		}
		at = max(end, at+1)
	}
	return found
}

// wordGroup is the group that marks the word itself: class or t; 0 = the whole.
func wordGroup(re *regexp.Regexp) int {
	return max(0, re.SubexpIndex("class"), re.SubexpIndex("t"))
}

// word gives the bounds of the word itself.
func (m match) word(group int) (int, int) {
	if group > 0 && m.loc[2*group] >= 0 {
		return m.loc[2*group], m.loc[2*group+1]
	}
	return m.loc[0], m.loc[1]
}
