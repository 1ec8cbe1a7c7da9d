package report

import (
	"fmt"
	"io"
	"strings"
	"unicode"
)

// Columns writes rows as aligned columns, indented by two spaces and parted by
// two. align has one letter a column, l or r; missing ones are l. Texts are
// cleaned (Clean), so that no name can move the columns. The first row usually
// holds the headings.
func Columns(w io.Writer, rows [][]string, align string) error {
	var widths []int
	for _, row := range rows {
		for i, s := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], columnsOf(Clean(s)))
		}
	}
	var b strings.Builder
	for _, row := range rows {
		line := ""
		for i, s := range row {
			s = Clean(s)
			pad := strings.Repeat(" ", widths[i]-columnsOf(s))
			if i < len(align) && align[i] == 'r' {
				s, pad = pad+s, ""
			}
			line += "  " + s + pad
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write a table: %w", err)
	}
	return nil
}

// columnsOf is how many columns of a terminal s takes: none for marks that stand
// on another letter, two for full-width writing (the common ranges of UAX 11,
// from memory).
func columnsOf(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case r >= 0x1100 && r <= 0x115F, r >= 0x2E80 && r <= 0xA4CF, r >= 0xAC00 && r <= 0xD7A3,
			r >= 0xF900 && r <= 0xFAFF, r >= 0xFE30 && r <= 0xFE6F, r >= 0xFF00 && r <= 0xFF60, r >= 0x1F300 && r <= 0x1FAFF, r >= 0x20000 && r <= 0x3FFFD:
			n += 2
		default:
			n++
		}
	}
	return n
}

// folded breaks s into lines of at most width columns; a longer word stays whole.
// first leads the first line, the next lines are indented as far.
func folded(first, s string, width int) string {
	indent := strings.Repeat(" ", columnsOf(first))
	line, out := first, ""
	room := false
	for _, word := range strings.Fields(s) {
		if room && columnsOf(line)+1+columnsOf(word) > width {
			out += strings.TrimRight(line, " ") + "\n"
			line, room = indent, false
		}
		if room {
			line += " "
		}
		line, room = line+word, true
	}
	return out + strings.TrimRight(line, " ") + "\n"
}
