package marks

import (
	"regexp/syntax"
	"strings"
	"unicode"
)

// A pattern is only run near a literal that each of its matches must hold; the
// literals are drawn from the pattern itself, so that a regime file need not name
// them. The method is the prefilter of the RE2 library (Cox 2010, "Regular
// Expression Matching in the Wild", from memory).

// mostLiterals bounds the strings that are multiplied out.
const mostLiterals = 64

// needed gives lower-case literals of which every match of the pattern holds at
// least one, or nil when there are none of two letters or more.
func needed(pattern string) []string {
	re, err := syntax.Parse(pattern, syntax.Perl)
	if err != nil {
		panic("marks: " + err.Error())
	}
	best := best(re)
	if shortest(best) < 2 {
		return nil
	}
	return best
}

// best gives the set of needed literals with the longest shortest member.
func best(re *syntax.Regexp) []string {
	if set, ok := exact(re); ok {
		return set
	}
	switch re.Op {
	case syntax.OpCapture, syntax.OpPlus:
		return best(re.Sub[0])
	case syntax.OpRepeat:
		if re.Min > 0 {
			return best(re.Sub[0])
		}
	case syntax.OpAlternate:
		var all []string
		for _, sub := range re.Sub {
			set := best(sub)
			if shortest(set) == 0 {
				return nil
			}
			all = append(all, set...)
		}
		return all
	case syntax.OpConcat:
		return bestRun(re.Sub)
	}
	return nil
}

// bestRun multiplies out neighbouring exact parts and takes the best stretch.
func bestRun(subs []*syntax.Regexp) []string {
	var top []string
	try := func(set []string) {
		if shortest(set) > shortest(top) {
			top = set
		}
	}
	run := []string{""}
	for _, sub := range subs {
		set, ok := exact(sub)
		if ok && len(run)*len(set) <= mostLiterals {
			run = cross(run, set)
			try(run)
			continue
		}
		if ok {
			run = set
		} else {
			run = []string{""}
			set = best(sub)
		}
		try(set)
	}
	return top
}

// exact gives every string an expression can match, if there are few. Assertions
// match the empty string.
func exact(re *syntax.Regexp) ([]string, bool) {
	switch re.Op {
	case syntax.OpEmptyMatch, syntax.OpBeginLine, syntax.OpEndLine, syntax.OpBeginText, syntax.OpEndText,
		syntax.OpWordBoundary, syntax.OpNoWordBoundary:
		return []string{""}, true
	case syntax.OpLiteral:
		return []string{strings.ToLower(string(re.Rune))}, true
	case syntax.OpCharClass:
		return classStrings(re.Rune)
	case syntax.OpCapture:
		return exact(re.Sub[0])
	case syntax.OpQuest:
		set, ok := exact(re.Sub[0])
		return append([]string{""}, set...), ok && len(set) < mostLiterals
	case syntax.OpAlternate:
		var all []string
		for _, sub := range re.Sub {
			set, ok := exact(sub)
			if !ok || len(all)+len(set) > mostLiterals {
				return nil, false
			}
			all = append(all, set...)
		}
		return all, true
	case syntax.OpConcat:
		all := []string{""}
		for _, sub := range re.Sub {
			set, ok := exact(sub)
			if !ok || len(all)*len(set) > mostLiterals {
				return nil, false
			}
			all = cross(all, set)
		}
		return all, true
	}
	return nil, false
}

// classStrings lists a small class of letters in lower case.
func classStrings(ranges []rune) ([]string, bool) {
	var out []string
	for i := 0; i+1 < len(ranges); i += 2 {
		if ranges[i+1]-ranges[i] > 10 {
			return nil, false
		}
		for r := ranges[i]; r <= ranges[i+1]; r++ {
			out = append(out, string(unicode.ToLower(r)))
		}
	}
	return out, len(out) > 0 && len(out) <= 10
}

func cross(a, b []string) []string {
	out := make([]string, 0, len(a)*len(b))
	for _, x := range a {
		for _, y := range b {
			out = append(out, x+y)
		}
	}
	return out
}

// shortest is the length of a set's shortest member; 0 for an empty set.
func shortest(set []string) int {
	if len(set) == 0 {
		return 0
	}
	n := len(set[0])
	for _, s := range set[1:] {
		n = min(n, len(s))
	}
	return n
}
