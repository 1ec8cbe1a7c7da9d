package marks

import (
	"math/rand/v2"
	"regexp/syntax"
	"strings"
	"testing"
	"time"

	"telltale/record"
	"telltale/reference"
)

// hostile makes texts of a size that are bad for readers of patterns.
func hostile(size int) map[string]string {
	random := rand.New(rand.NewPCG(1, 2))
	noise := make([]byte, size)
	for i := range noise {
		noise[i] = byte(random.IntN(256))
	}
	fill := func(s string) string { return strings.Repeat(s, size/len(s)+1)[:size] }
	return map[string]string{
		"prose":             fill("The wearer puts the lower strap behind the neck, then the upper one. "),
		"classes":           fill("N95 FFP2 KN95 P2 "),
		"half numbers":      fill("TC-84A-"),
		"FDA":               fill("FDA registration "),
		"blanks":            fill("EN 149        "),
		"one long word":     fill("GB2626"),
		"no blanks at all":  fill("x"),
		"hyphens at ends":   fill("K-\nN-\n"),
		"Korean":            fill("마스크 의약외품 "),
		"denials":           fill("not an N95, "),
		"dates":             fill("valid until 2024-01-01 "),
		"noise":             string(noise),
		"look-alike digits": fill("l1lIO0 "),
	}
}

// Ten times the text may take no more than thirty times the time (a linear rule
// with room for a busy machine); the wall time is only logged.
func TestTheTimeGrowsWithTheLengthOfTheText(t *testing.T) {
	if testing.Short() {
		t.Skip("long texts")
	}
	theBook()
	spent := func(text string) time.Duration {
		best := time.Hour
		for range 2 {
			start := time.Now()
			Examine(record.Marks{Box: text, MachineRead: []string{"box"}})
			best = min(best, time.Since(start))
		}
		return best
	}
	large := hostile(10 << 20)
	for name, small := range hostile(1 << 20) {
		a, b := spent(small), spent(large[name])
		t.Logf("%-18s 1 MiB %8v   10 MiB %8v", name, a.Round(time.Millisecond), b.Round(time.Millisecond))
		if b > 30*a+100*time.Millisecond {
			t.Errorf("%s: 1 MiB takes %v and 10 MiB %v", name, a, b)
		}
	}
}

// Two patterns have no literal and run on a text's head only; any further one
// should get a literal.
func TestNearlyEveryPatternIsRunOnlyNearItsLiterals(t *testing.T) {
	b := theBook()
	for _, p := range b.scan.always {
		t.Logf("no literal in %s", b.scan.patterns[p])
	}
	if len(b.scan.always) > 4 {
		t.Errorf("%d patterns have no literal", len(b.scan.always))
	}
}

// A literal must be part of every match; here the patterns' own matches in the
// test strings are held against it.
func TestEveryMatchHoldsOneOfItsLiterals(t *testing.T) {
	b := theBook()
	for i, re := range b.scan.patterns {
		literals := needed(re.String())
		if literals == nil {
			continue
		}
		for _, c := range stringCases {
			text := normalise(c.text).text
			for _, m := range re.FindAllString(text, -1) {
				held := false
				for _, l := range literals {
					held = held || strings.Contains(strings.ToLower(m), l)
				}
				if !held {
					t.Errorf("pattern %d %s: %q holds none of %q", i, re, m, literals)
				}
			}
		}
	}
}

func TestTheNeededLiteralsOfSmallPatterns(t *testing.T) {
	for _, c := range []struct{ pattern, want string }{ // by hand
		{`abc`, "abc"}, {`(?i)ABC`, "abc"}, {`ab(c|d)e`, "abce abde"}, {`a?bc`, "bc abc"}, {`x+yz`, "yz"}, {`[0-9]+`, ""}, {`(ab|[0-9]+)`, ""}, {`ab\s*cde`, "cde"}, {`(?:ab)*`, ""}, {`a|b`, ""},
	} {
		if _, err := syntax.Parse(c.pattern, syntax.Perl); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(needed(c.pattern), " "); !sameWords(got, c.want) {
			t.Errorf("%s needs %q, want %q", c.pattern, got, c.want)
		}
	}
}

func TestALongTextIsExaminedInPartAndSaysSo(t *testing.T) {
	got := Examine(record.Marks{Box: strings.Repeat("KN95 ", 1<<16)})
	if severityOf(got, "text-too-long") != reference.Note {
		t.Error("no note that the text was examined in part")
	}
}

func FuzzExamine(f *testing.F) {
	for _, c := range stringCases {
		f.Add(c.text, c.text, true)
	}
	f.Fuzz(func(t *testing.T, a, b string, machine bool) {
		m := record.Marks{Facepiece: a, Certificate: b, Made: time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)}
		if machine {
			m.MachineRead = []string{"facepiece"}
		}
		got := Examine(m)
		for _, x := range got.Findings {
			if x.Severity.Weight() < 0 || x.Source == "" || !x.State.Valid() || x.Clears == "" || len(x.Evidence) == 0 {
				t.Errorf("a finding without severity, source, state, evidence or what clears it: %+v", x)
			}
			for _, e := range x.Evidence {
				if e.Where == "facepiece" && !strings.Contains(a, e.Text) || e.Where == "certificate" && !strings.Contains(b, e.Text) {
					t.Errorf("%s quotes %q, which does not stand there", x.Rule, e.Text)
				}
			}
		}
	})
}

func FuzzReadFile(f *testing.F) {
	f.Add("m.yaml", "facepiece: N95\nregisters: [{register: a, state: matched}]\nmade: 2024-01-01\n")
	f.Add("m.yaml", "facepiec: N95\n")
	f.Add("m.yaml", "a: &a [*a]\n")
	f.Add("m.txt", "facepiece: N95\nbox: more: colons\n")
	f.Add("m.txt", "\xff\xfe\x00")
	f.Fuzz(func(t *testing.T, name, text string) {
		m, err := ReadFile(name, []byte(text))
		if err == nil {
			Examine(m)
		}
	})
}
