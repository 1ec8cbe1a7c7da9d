package dossier

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
)

// closely is the relative difference up to which two figures count as the same:
// processors differ in the last digits of a long sum.
const closely = 1e-9

// comparison is how two trees of findings differ.
type comparison struct {
	figures int // numbers that were compared
	close   int // of these, not the same to the last digit, but closely
	numbers []Change
	words   []Change
}

// compareFindings compares two findings.json figure by figure. What made them
// (program) is left out: a stranger's program is another build.
func compareFindings(stored, now []byte) (comparison, error) {
	a, err := parseJSON(findingsName, stored)
	if err != nil {
		return comparison{}, err
	}
	b, err := parseJSON(findingsName, now)
	if err != nil {
		return comparison{}, err
	}
	for _, tree := range []any{a, b} {
		if top, ok := tree.(map[string]any); ok {
			delete(top, "program")
		}
	}
	var c comparison
	c.walk("", a, b)
	return c, nil
}

func (c *comparison) walk(where string, a, b any) {
	switch x := a.(type) {
	case map[string]any:
		if y, ok := b.(map[string]any); ok {
			keys := slices.Compact(slices.Sorted(func(yield func(string) bool) {
				for k := range maps.Keys(x) {
					if !yield(k) {
						return
					}
				}
				for k := range maps.Keys(y) {
					if !yield(k) {
						return
					}
				}
			}))
			for _, k := range keys {
				c.member(dotted(where, k), x, y, k)
			}
			return
		}
	case []any:
		if y, ok := b.([]any); ok {
			for i := range max(len(x), len(y)) {
				c.walk(fmt.Sprintf("%s[%s]", where, label(x, y, i)), at(x, i), at(y, i))
			}
			return
		}
	case json.Number:
		if y, ok := b.(json.Number); ok {
			c.number(where, x, y)
			return
		}
	default:
		if a == b {
			return
		}
	}
	c.differ(where, a, b)
}

func (c *comparison) member(where string, x, y map[string]any, k string) {
	a, inA := x[k]
	b, inB := y[k]
	if inA && inB {
		c.walk(where, a, b)
		return
	}
	if !inA {
		a = absent{}
	}
	if !inB {
		b = absent{}
	}
	c.differ(where, a, b)
}

// absent stands where one tree has nothing at all.
type absent struct{}

func (c *comparison) number(where string, x, y json.Number) {
	c.figures++
	if x == y {
		return
	}
	a, errA := strconv.ParseFloat(string(x), 64)
	b, errB := strconv.ParseFloat(string(y), 64)
	if errA == nil && errB == nil && math.Abs(a-b) <= closely*math.Max(math.Abs(a), math.Abs(b)) {
		c.close++
		return
	}
	c.numbers = append(c.numbers, Change{where, string(x), string(y)})
}

func (c *comparison) differ(where string, a, b any) {
	change := Change{where, show(a), show(b)}
	if numeric(a) || numeric(b) {
		c.numbers = append(c.numbers, change)
		return
	}
	c.words = append(c.words, change)
}

// numeric reports whether a figure stands in what differs.
func numeric(v any) bool {
	switch x := v.(type) {
	case json.Number:
		return true
	case map[string]any:
		for _, m := range x {
			if numeric(m) {
				return true
			}
		}
	case []any:
		return slices.ContainsFunc(x, numeric)
	}
	return false
}

// show writes a value as JSON, "" for nothing.
func show(v any) string {
	if _, none := v.(absent); none {
		return ""
	}
	raw, err := json.Marshal(v)
	if err != nil {
		panic("dossier: " + err.Error())
	}
	return string(raw)
}

func at(list []any, i int) any {
	if i < len(list) {
		return list[i]
	}
	return absent{}
}

// label names an item of a list by its id where it has one, else by its number.
func label(x, y []any, i int) string {
	for _, v := range []any{at(x, i), at(y, i)} {
		if o, ok := v.(map[string]any); ok {
			for _, key := range []string{"id", "name"} {
				if s, ok := o[key].(string); ok && s != "" {
					return s
				}
			}
		}
	}
	return strconv.Itoa(i)
}

func dotted(where, key string) string {
	if where == "" {
		return key
	}
	return where + "." + key
}

// Changes lists what reads differently in a draft than in earlier findings.
func Changes(earlier []byte, d *Draft) []Change {
	c, err := compareFindings(earlier, encode(d.Findings))
	if err != nil {
		return []Change{{Where: findingsName, Old: "unreadable", New: ""}}
	}
	return append(append([]Change{}, c.numbers...), c.words...)
}
