package marks

import (
	"sort"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// normal is a text in the form that patterns run on, with the way back to the
// raw text. NFKC is applied letter by letter; every dash is a hyphen; runs of
// blanks are one blank, or one line break if they hold one; signs that only
// decorate (TM, registered, footnote digits, zero-width marks) are left out; a
// word broken by a hyphen at the line's end is joined.
type normal struct {
	text string
	raw  string
	at   []jump // where the distance between text and raw changes
}

// jump says that from this byte of the text on, the raw byte is raw + the way
// gone since.
type jump struct{ text, raw int }

// normalise makes the normal form of a raw text.
func normalise(raw string) *normal {
	w := writer{buf: make([]byte, 0, len(raw))}
	blank, broken := -1, false // raw place of the blanks not yet written, and whether they hold a line break
	for i := 0; i < len(raw); {
		r, size := rune(raw[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(raw[i:])
		}
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r) || r == '\u2028' || r == '\u2029':
			if blank < 0 {
				blank, broken = i, false
			}
			broken = broken || r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029'
		case left(r):
		default:
			if blank >= 0 {
				w.gap(blank, broken, unicode.IsLetter(r))
				blank = -1
			}
			w.put(fold(r, raw[i:i+size]), i)
		}
		i += size
	}
	return &normal{text: string(w.buf), raw: raw, at: w.at}
}

// writer builds the normal text and notes where its distance to the raw changes.
type writer struct {
	buf []byte
	at  []jump
}

func (w *writer) put(s string, raw int) {
	if k := len(w.at) - 1; k < 0 || w.at[k].raw+len(w.buf)-w.at[k].text != raw {
		w.at = append(w.at, jump{len(w.buf), raw})
	}
	w.buf = append(w.buf, s...)
}

// gap writes blanks: none at the start or within a word parted at a line's end.
func (w *writer) gap(raw int, broken, letterNext bool) {
	n := len(w.buf)
	switch {
	case n == 0:
	case broken && letterNext && n > 1 && w.buf[n-1] == '-' && isLetter(w.buf[n-2]):
		w.buf = w.buf[:n-1]
	case broken:
		w.put("\n", raw)
	default:
		w.put(" ", raw)
	}
}

func isLetter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' }

// left says which signs are left out: trade signs and footnote digits would melt
// into the word before them under NFKC, and zero-width marks part it.
func left(r rune) bool {
	switch r {
	case '™', '®', '©', '℠', '\u00ad', '\ufeff', '²', '³', '¹', '\u200b', '\u200c', '\u200d', '\u2060':
		return true
	}
	return r >= '⁰' && r <= '⁹' || r == utf8.RuneError
}

// fold gives the normal form of one letter.
func fold(r rune, raw string) string {
	if r < utf8.RuneSelf {
		return raw
	}
	if unicode.Is(unicode.Pd, r) || r == '\u2212' {
		return "-"
	}
	if latin, ok := lookalike[r]; ok {
		return latin
	}
	return norm.NFKC.String(raw)
}

// lookalike holds the Cyrillic and Greek capitals that print like Latin ones.
var lookalike = map[rune]string{
	'А': "A", 'В': "B", 'С': "C", 'Е': "E", 'Н': "H", 'І': "I", 'К': "K", 'М': "M", 'О': "O", 'Р': "P", 'Ѕ': "S", 'Т': "T", 'Х': "X",
	'Α': "A", 'Β': "B", 'Ε': "E", 'Η': "H", 'Ι': "I", 'Κ': "K", 'Μ': "M", 'Ν': "N", 'Ο': "O", 'Ρ': "P", 'Τ': "T", 'Χ': "X",
}

// source gives the raw text that stands behind a stretch of the normal text.
func (n *normal) source(start, end int) string {
	from := n.back(start)
	to := n.back(end - 1)
	_, size := utf8.DecodeRuneInString(n.raw[to:])
	return n.raw[from : to+size]
}

// back gives the raw byte behind a byte of the normal text; within a letter that
// became several it is the letter's first.
func (n *normal) back(i int) int {
	k := sort.Search(len(n.at), func(k int) bool { return n.at[k].text > i }) - 1
	if k < 0 {
		return 0
	}
	raw := n.at[k].raw + i - n.at[k].text
	if k+1 < len(n.at) {
		raw = min(raw, n.at[k+1].raw-1)
	}
	raw = min(raw, len(n.raw)-1)
	for raw > 0 && !utf8.RuneStart(n.raw[raw]) {
		raw--
	}
	return raw
}
