// Package fault answers: what is wrong with this input, where, and what can be
// done about it?
//
// A Fault is for a person who can mend the file or the wish. It carries a code
// that stays the same over versions, so that a manual or a test can speak of it.
package fault

import (
	"fmt"
	"strings"
)

// Fault is one thing that is wrong with an input.
type Fault struct {
	Code string // E101 ..., listed in docs/formats.md
	What string // what is wrong, lower case, no full stop
	File string // the file as the person named it; empty for an option
	Line int    // 1-based; 0 when the fault has no line
	Col  int    // 1-based byte in the line; 0 when it has none
	Do   string // what to do, a sentence; may be empty
	Err  error  // the cause, if another package found it
}

// Error words the fault as: code - what - where - what to do.
func (f *Fault) Error() string {
	var b strings.Builder
	if f.Code != "" {
		b.WriteString(f.Code + " ")
	}
	if where := f.Where(); where != "" {
		b.WriteString(where + ": ")
	}
	b.WriteString(f.What)
	if f.Do != "" {
		b.WriteString(". " + f.Do)
	}
	return b.String()
}

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Err }

// Where words the place: file, line and byte, as far as they are known.
func (f *Fault) Where() string {
	var parts []string
	if f.File != "" {
		parts = append(parts, f.File)
	}
	if f.Line > 0 {
		parts = append(parts, fmt.Sprintf("line %d", f.Line))
	}
	if f.Col > 0 {
		parts = append(parts, fmt.Sprintf("byte %d", f.Col))
	}
	return strings.Join(parts, " ")
}

// Most is the number of faults a List prints before it only counts them.
const Most = 100

// List is several faults of one input. Nothing of a faulty input is used.
type List []*Fault

// Error prints the first Most faults, a line each, and counts the rest.
func (l List) Error() string {
	var lines []string
	for i, f := range l {
		if i == Most {
			lines = append(lines, fmt.Sprintf("... and %d more", len(l)-Most))
			break
		}
		lines = append(lines, f.Error())
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the faults one by one to errors.Is and errors.As.
func (l List) Unwrap() []error {
	out := make([]error, len(l))
	for i, f := range l {
		out[i] = f
	}
	return out
}

// Or gives nil for an empty list, else the list.
func (l List) Or() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Nearest gives the known word closest to the one given, by edit distance with
// swaps of neighbours counted once, and whether it is near enough to be meant
// (at most a third of its letters differ, and at most three). Of equally near
// words it gives the first.
func Nearest(word string, known []string) (string, bool) {
	best, dist := "", 1<<30
	for _, k := range known {
		if d := distance(strings.ToLower(word), strings.ToLower(k)); d < dist {
			best, dist = k, d
		}
	}
	limit := max(1, min(3, len([]rune(word))/3))
	return best, best != "" && dist <= limit
}

// DidYouMean words the nearest known word as a question, or lists the known
// ones when none is near.
func DidYouMean(word string, known []string) string {
	if near, ok := Nearest(word, known); ok {
		return fmt.Sprintf("Did you mean %q?", near)
	}
	return "Known: " + strings.Join(known, ", ") + "."
}

// distance is the optimal string alignment distance of a and b.
func distance(a, b string) int {
	ra, rb := []rune(a), []rune(b)
	prev2 := make([]int, len(rb)+1)
	prev := make([]int, len(rb)+1)
	cur := make([]int, len(rb)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(ra); i++ {
		cur[0] = i
		for j := 1; j <= len(rb); j++ {
			cost := 1
			if ra[i-1] == rb[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && ra[i-1] == rb[j-2] && ra[i-2] == rb[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(rb)]
}
