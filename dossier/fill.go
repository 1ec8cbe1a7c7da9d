package dossier

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"telltale/finding"
	"telltale/ledger"
	"telltale/record"
	"telltale/reference"
)

// filled completes a card by what the findings say.
func filled(c Card, f *finding.Findings, codes int) Card {
	c.Format, c.Study, c.Program, c.Rules, c.Level, c.Codes = Format, f.Study.Title, f.Program, f.Rules, f.Level, codes
	c.Disclosure, c.Runs = []Obtained{}, []Run{}
	for _, r := range f.Respirators {
		c.Disclosure = append(c.Disclosure, Obtained{r.ID, r.Name, r.Obtained})
	}
	c.Runs = runsOf(f)
	if c.Started == nil {
		c.Started = []ledger.Record{}
	}
	if c.Withheld == nil {
		c.Withheld = []string{}
	}
	return c
}

// runsOf lists every run with what became of it.
func runsOf(f *finding.Findings) []Run {
	out := []Run{}
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				run := Run{ID: w.ID, Respirator: r.ID, At: w.At, State: "used"}
				switch {
				case w.Excluded != "":
					run.State, run.Reason = "excluded", w.Excluded
				case w.Problem != "":
					run.State, run.Reason = "no figure", w.Problem
				}
				out = append(out, run)
			}
		}
	}
	return out
}

// code is what a wearer may be called: a letter or two and a number, or a word for
// anyone and a number.
var code = regexp.MustCompile(`^(?i:[a-z]{0,2}|(wearer|person|face|subject|volunteer|tester)[-_ ]?)[0-9]{1,4}$`)

// coded gives wearers that have more than a code the next free one, in the order
// of the study.
func coded(s *record.Study) (*record.Study, map[string]string) {
	renamed, taken := map[string]string{}, map[string]bool{}
	for _, w := range s.Wearers {
		taken[strings.ToLower(w.ID)] = true
	}
	out := *s
	out.Wearers = slices.Clone(s.Wearers)
	out.Wearings = slices.Clone(s.Wearings)
	next := 1
	for i, w := range out.Wearers {
		if code.MatchString(w.ID) {
			continue
		}
		for taken[fmt.Sprintf("wearer-%d", next)] {
			next++
		}
		id := fmt.Sprintf("wearer-%d", next)
		taken[id], renamed[w.ID], out.Wearers[i].ID = true, id, id
	}
	for i, w := range out.Wearings {
		if id, ok := renamed[w.Wearer]; ok {
			out.Wearings[i].Wearer = id
		}
	}
	return &out, renamed
}

// references are the borrowed numbers that the findings rest on.
type references struct {
	Digest  string             `json:"reference_digest"` // of all rows that the program carries
	Rules   []string           `json:"rules"`
	Sources []reference.Source `json:"sources"`
	Named   []string           `json:"named"` // sources that single figures name, in words
}

func referenceOf(f *finding.Findings) references {
	out := references{Digest: f.Program.ReferenceDigest, Rules: f.Rules, Sources: []reference.Source{}, Named: []string{}}
	named := map[string]bool{}
	gates := func(all []finding.Gate) {
		for _, g := range all {
			named[g.Source] = true
		}
	}
	for _, s := range f.Sessions {
		gates(s.Gates)
	}
	for _, r := range f.Respirators {
		for _, s := range r.Sources {
			if !slices.Contains(out.Sources, s) {
				out.Sources = append(out.Sources, s)
			}
		}
		gates(r.Gates)
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				gates(w.Gates)
				if w.Limit != nil {
					named[w.Limit.Source] = true
				}
			}
		}
		if r.ClaimCheck != nil && r.ClaimCheck.Expected != nil {
			for _, a := range r.ClaimCheck.Expected.Assumptions {
				named[a.Source] = true
			}
		}
		if r.Marks != nil {
			for _, m := range r.Marks.Findings {
				named[strings.TrimSpace(m.Source+" "+m.State)] = true
			}
		}
	}
	delete(named, "")
	for n := range named {
		out.Named = append(out.Named, n)
	}
	slices.Sort(out.Named)
	return out
}

// oneLine makes one line of a text.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
