package finding

import (
	"fmt"

	"telltale/marks"
	"telltale/record"
)

// marksOf examines the words on the respirator; nil where none were recorded.
func marksOf(r record.Respirator) *Marks {
	if !r.MarksPaper.Stated() {
		return nil
	}
	m, err := marks.ReadFile(r.MarksPaper.Path, r.MarksPaper.Data)
	if err != nil {
		return &Marks{Summary: string(marks.NotEnoughToExamine), Text: err.Error(), Places: []Place{}, Claims: []MarkClaim{}, Findings: []MarkFinding{}}
	}
	return OfMarks(m)
}

// OfMarks examines the words alone, without a study.
func OfMarks(m record.Marks) *Marks {
	found := marks.Examine(m)
	out := &Marks{Summary: string(found.Summary), Places: []Place{}, Claims: []MarkClaim{}, Findings: []MarkFinding{}}
	for _, p := range m.Places() {
		out.Places = append(out.Places, Place(p))
	}
	for _, c := range found.Claims {
		out.Claims = append(out.Claims, MarkClaim(c))
	}
	count := map[string]int{}
	for _, f := range found.Findings {
		x := MarkFinding{Rule: f.Rule, Severity: string(f.Severity), Text: f.Text, Evidence: []Place{}, Source: f.Source, State: string(f.State), Clears: f.Clears,
			NeedsConfirmation: f.NeedsConfirmation}
		for _, e := range f.Evidence {
			x.Evidence = append(x.Evidence, Place(e))
		}
		out.Findings = append(out.Findings, x)
		count[x.Severity]++
	}
	out.Text = marksWords(out.Summary, count)
	return out
}

// marksWords sums the words up in a sentence.
func marksWords(summary string, count map[string]int) string {
	parts := ""
	for _, s := range []struct{ severity, one, many string }{{"contradiction", "contradiction", "contradictions"},
		{"missing", "thing missing", "things missing"}, {"unusual", "thing unusual", "things unusual"}} {
		n := count[s.severity]
		if n == 0 {
			continue
		}
		word := s.many
		if n == 1 {
			word = s.one
		}
		if parts != "" {
			parts += ", "
		}
		parts += fmt.Sprintf("%d %s", n, word)
	}
	if parts == "" {
		parts = "nothing contradictory, missing or unusual"
	}
	switch summary {
	case string(marks.Inconsistent):
		return "The words on it contradict each other or the regime they name: " + parts + "."
	case string(marks.NotEnoughToExamine):
		return "Too few words were recorded to examine them."
	}
	return "No inconsistency was found among the words on it: " + parts + "."
}
