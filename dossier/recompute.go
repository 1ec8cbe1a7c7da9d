package dossier

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"telltale/finding"
	"telltale/ledger"
)

// recompute answers the fourth question: the findings, the summary, the
// references and the page are made anew from the facts.
func (v *Verdict) recompute(files []File, m Maker) {
	v.Recomputed = Answer{Question: askRecomputed, Details: []string{}}
	a := &v.Recomputed
	open := func(state, text string, err error) {
		a.State, a.Bad, a.Text = state, true, text
		if err != nil {
			a.Details = append(a.Details, err.Error())
		}
	}
	if !(v.Card.Level >= 0.5 && v.Card.Level < 1) {
		open("unreadable", fmt.Sprintf("The level %v is none at which intervals are computed.", v.Card.Level), nil)
		return
	}
	study, err := readFacts(files)
	if err != nil {
		open("unreadable", "The facts in the dossier cannot be read, so nothing could be computed from them.", err)
		return
	}
	stored := find(files, findingsName)
	var old finding.Findings
	if err := json.Unmarshal(stored, &old); err == nil && old.Format != finding.Format {
		open("newer", "The findings have a form that this program does not know.", newer(findingsName, old.Format, finding.Format))
		return
	}
	v.Study = study
	v.Findings = finding.Of(study, finding.Options{Level: v.Card.Level, Program: m.Program})
	c, err := compareFindings(stored, encode(v.Findings))
	if err != nil {
		open("unreadable", "The stored findings cannot be read.", err)
		return
	}
	v.judge(files, c, m)
}

// judge words the comparison. What is shown comes after what is counted: a page
// with other words than its findings is a difference too.
func (v *Verdict) judge(files []File, c comparison, m Maker) {
	a := &v.Recomputed
	by := fmt.Sprintf("with version %s", m.Program.Version)
	sameBuild := sameProgram(v.Card.Program, m.Program)
	for _, d := range slices.Concat(c.numbers, c.words) {
		a.Details = append(a.Details, fmt.Sprintf("E159 %s: stored %s, recomputed %s %s", d.Where, short(d.Old), short(d.New), by))
	}
	shown := v.shown(files, m)
	a.Details = append(a.Details, shown...)
	old := v.Card.Program
	switch {
	case len(c.numbers) > 0:
		a.State, a.Bad = "figures_differ", true
		a.Text = fmt.Sprintf("No. %d of the figures in it differ from what its own facts give %s (made %s %s).", len(c.numbers), by, "with version", old.Version)
	case len(c.words) > 0:
		a.State, a.Bad = "words_differ", true
		a.Text = fmt.Sprintf("All %d figures come out again, but %d texts differ from what its facts give %s.", c.figures, len(c.words), by)
	case len(shown) > 0 && sameBuild:
		a.State, a.Bad = "page_differs", true
		a.Text = fmt.Sprintf("All %d figures come out again, but what is shown beside them was not made from them.", c.figures)
	case len(shown) > 0:
		a.State = "agrees_page_of_another_version"
		a.Text = fmt.Sprintf("All %d figures and their words come out again %s. The page was drawn by version %s (%s) and looks different here; trust the recomputed one.", c.figures, by, old.Version, old.Commit)
	case c.close > 0:
		a.State, a.Good = "agrees_closely", true
		a.Text = fmt.Sprintf("Yes. All %d figures come out again %s; %d differ in the last digits (less than one in a thousand million).", c.figures, by, c.close)
	default:
		a.State, a.Good = "agrees", true
		a.Text = fmt.Sprintf("Yes. All %d figures come out again %s, to the last digit.", c.figures, by)
	}
}

func sameProgram(a, b finding.Program) bool {
	return a.Name == b.Name && a.Version == b.Version && a.Commit == b.Commit
}

// shown names the files for people that are not what the recomputed findings
// give. They are drawn as the dossier's program would sign them.
func (v *Verdict) shown(files []File, m Maker) []string {
	f := *v.Findings
	f.Program = v.Card.Program
	var out []string
	differs := func(name string, made []byte) {
		if !sameBytes(files, name, made) {
			out = append(out, fmt.Sprintf("E159 %s: is not what the recomputed findings give", name))
		}
	}
	if m.Page != nil {
		var page bytes.Buffer
		if err := m.Page(&page, &f, v.Study); err != nil {
			out = append(out, fmt.Sprintf("%s: cannot be drawn here: %v", pageName, err))
		} else {
			differs(pageName, page.Bytes())
		}
	}
	differs(summaryName, summaryText(*v.Card, &f))
	differs(referenceName, encode(referenceOf(&f)))
	differs(readmeName, readme(*v.Card))
	return out
}

// short cuts a long text for one line.
func short(s string) string {
	if s == "" {
		return "nothing"
	}
	if r := []rune(s); len(r) > 160 {
		return string(r[:160]) + "..."
	}
	return s
}

// runs answers the fifth question: the list in the card against the facts, against
// what the card took from the ledger, and against the ledger itself when the
// reader has it.
func (v *Verdict) runs(entry *ledger.Entry, whole *ledger.Ledger) {
	a := Answer{Question: askRuns, Details: []string{}}
	defer func() { v.Runs = a }()
	if v.Findings == nil {
		a.State, a.Text = "not_examined", "The facts could not be read."
		return
	}
	truth := runsOf(v.Findings)
	if !bytes.Equal(encode(truth), encode(v.Card.Runs)) || len(truth) != len(v.Study.Wearings) {
		a.State, a.Bad, a.Text = "list_differs", true, "No. The list of runs in the dossier is not that of its facts."
		return
	}
	left := 0
	for _, r := range truth {
		if r.State != "used" {
			left++
			a.Details = append(a.Details, fmt.Sprintf("%s, %s: %s", r.ID, r.State, oneLine(r.Reason)))
		}
	}
	records := v.Card.Started
	if whole != nil && entry != nil && whole.Holds(entry.Checkpoint) == nil {
		records = StartedRuns(whole, v.Card.Study, entry.Record.N)
		if !bytes.Equal(encode(records), encode(append([]ledger.Record{}, v.Card.Started...))) {
			a.Details = append(a.Details, "the dossier does not repeat all that the ledger says of runs of this study")
		}
	}
	lost := missing(records, truth)
	a.Details = append(a.Details, lost...)
	told := fmt.Sprintf("%d runs, %d of them out of the figures with a reason each", len(truth), left)
	switch {
	case len(lost) > 0:
		a.State, a.Bad, a.Text = "runs_missing", true, fmt.Sprintf("No. The ledger tells of %d started runs that the dossier does not show.", len(lost))
	case len(records) == 0:
		a.State, a.Text = "listed", fmt.Sprintf("All runs of the study folder are listed: %s. The starts were not written into a ledger, so a run that was left out of the folder cannot be seen from here.", told)
	default:
		a.State, a.Good, a.Text = "all_shown", true, fmt.Sprintf("Yes. All runs that the ledger tells of are shown: %s.", told)
	}
}
