package studyfile

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
)

// scalar gives a single value as it is written, whatever YAML makes of it: a
// claim of 95 is a text like any other.
func (r *reader) scalar(n node, who, key string) (string, bool) {
	if n.Kind != yaml.ScalarNode {
		r.add("E213", n, fmt.Sprintf("%s: %s is %s, not a single value", who, key, kindOf(n)), "Write one value after the colon.")
		return "", false
	}
	return n.Value, true
}

// text reads free text, "" when it is left out.
func (o object) text(key string) string {
	n, ok := o.value(key)
	if !ok {
		return ""
	}
	s, _ := o.r.text(n, o.who, key)
	return s
}

func (r *reader) text(n node, who, key string) (string, bool) {
	s, ok := r.scalar(n, who, key)
	if !ok {
		return "", false
	}
	if c, bad := hidden(s); bad {
		r.add("E219", n, fmt.Sprintf("%s: %s holds the unseen character U+%04X", who, key, c), "Take it out.")
		return "", false
	}
	return s, true
}

// hidden finds a character that cannot be seen and changes what is seen: a
// control other than tab and line end, or a switch of the writing direction.
func hidden(s string) (rune, bool) {
	for _, c := range s {
		switch {
		case c == '\t' || c == '\n':
		case unicode.IsControl(c), c >= 0x202A && c <= 0x202E, c >= 0x2066 && c <= 0x2069:
			return c, true
		}
	}
	return 0, false
}

const maxID = 64 // characters

// goodID reports whether s can name a thing and later be part of a file name.
func goodID(s string) bool {
	for _, c := range s {
		if !unicode.IsLetter(c) && !unicode.IsMark(c) && !unicode.IsDigit(c) && !strings.ContainsRune("-_.+", c) {
			return false
		}
	}
	return s != "" && s[0] != '.' && utf8.RuneCountInString(s) <= maxID
}

func (r *reader) id(n node, who, key string) (string, bool) {
	s, ok := r.scalar(n, who, key)
	if ok && !goodID(s) {
		r.add("E218", n, fmt.Sprintf("%s: %s %s cannot be an id", who, key, quote(s)),
			"Use letters, digits and - _ . + without spaces, 64 at most, not beginning with a point.")
		return "", false
	}
	return s, ok
}

// label reads an optional id-like word that names nothing else, such as a
// specimen.
func (o object) label(key string) string {
	n, ok := o.value(key)
	if !ok || n.Kind == yaml.ScalarNode && n.Value == "" {
		return ""
	}
	s, _ := o.r.id(n, o.who, key)
	return s
}

// word reads one of the known words, or takes other when it is left out.
func (o object) word(key, other string, known ...string) string {
	n, ok := o.value(key)
	if !ok {
		return other
	}
	s, ok := o.r.scalar(n, o.who, key)
	if ok && !slices.Contains(known, s) {
		o.r.add("E214", n, fmt.Sprintf("%s: %s %s is not known", o.who, key, quote(s)), fault.DidYouMean(s, known))
		return other
	}
	return s
}

// span is the range of a number that a person can mean, with its unit.
type span struct {
	low, high float64
	unit      string
	zero      bool // zero is allowed and means none
}

func (s span) String() string {
	text := fmt.Sprintf("from %s to %s", strings.TrimSpace(shortest(s.low)+" "+s.unit), strings.TrimSpace(shortest(s.high)+" "+s.unit))
	if s.zero {
		return text + ", or 0 for none"
	}
	return text
}

var decimal = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// number reads a plain decimal within s, 0 when it is left out. Not-a-numbers,
// infinities, hexadecimal and underscores are no measurements.
func (o object) number(key string, s span) float64 {
	n, ok := o.value(key)
	if !ok {
		return 0
	}
	if n.Kind != yaml.ScalarNode {
		o.r.add("E213", n, fmt.Sprintf("%s: %s is %s, not a number", o.who, key, kindOf(n)), "Write a number "+s.String()+".")
		return 0
	}
	v, err := strconv.ParseFloat(n.Value, 64)
	switch {
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 && decimal.MatchString(n.Value):
		o.r.add("E216", n, fmt.Sprintf("%s: %s is a text in quotes, not a number", o.who, key), "Leave the quotes out.")
	case !decimal.MatchString(n.Value):
		o.r.add("E216", n, fmt.Sprintf("%s: %s %s is not a plain number", o.who, key, quote(n.Value)),
			fmt.Sprintf("Write a number %s, with a decimal point and without the unit.", s))
	case s.zero && v == 0:
	case err != nil, v < s.low, v > s.high:
		do := "Write a number " + s.String() + "."
		if v == 0 && !s.zero {
			do += " Leave the key out when it is not known."
		}
		o.r.add("E215", n, fmt.Sprintf("%s: %s cannot be %s", o.who, key, strings.TrimSpace(n.Value+" "+s.unit)), do)
	default:
		return v
	}
	return 0
}

// shortest writes a number with as few digits as read back the same.
func shortest(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-3 || a >= 1e9) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

const timeHelp = "Write it as 2026-08-14T18:05:00+02:00, with the zone it was read in."

// time reads an instant with its zone, zero when it is left out. Zones are read
// as if the machine stood at UTC, so that a study reads the same everywhere.
func (o object) time(key string) time.Time {
	n, ok := o.value(key)
	if !ok {
		return time.Time{}
	}
	s, ok := o.r.scalar(n, o.who, key)
	if !ok {
		return time.Time{}
	}
	t, err := time.ParseInLocation(time.RFC3339, s, time.UTC)
	switch {
	case err == nil && (t.Year() < 1990 || t.Year() > 2199):
		o.r.add("E217", n, fmt.Sprintf("%s: %s %s is not in our time", o.who, key, quote(s)), "Look at the year, and at the clock it came from.")
	case err == nil:
		return t
	case zoneless(s):
		o.r.add("E217", n, fmt.Sprintf("%s: %s %s has no zone", o.who, key, quote(s)), timeHelp)
	default:
		o.r.add("E217", n, fmt.Sprintf("%s: %s %s is not a time", o.who, key, quote(s)), timeHelp)
	}
	return time.Time{}
}

// zoneless reports whether only the zone is missing.
func zoneless(s string) bool {
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02"} {
		if _, err := time.ParseInLocation(layout, s, time.UTC); err == nil {
			return true
		}
	}
	return false
}
