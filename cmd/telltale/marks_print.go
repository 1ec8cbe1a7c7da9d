package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"telltale/marks"
	"telltale/record"
	"telltale/reference"
	"telltale/report"
)

// printMarks shows the findings in order of strength, then what a person has to
// look up, the notes, and the words that a machine read.
func printMarks(w io.Writer, m record.Marks, f marks.Findings, written []string) error {
	var b strings.Builder
	summary := map[marks.Summary]string{
		marks.Inconsistent:       "The words contradict each other or the regime they name.",
		marks.NoInconsistency:    "No inconsistency was found among the words.",
		marks.NotEnoughToExamine: "Too few words to examine.",
	}[f.Summary]
	fmt.Fprintf(&b, "%s\nThis speaks of the words only, not of what the respirator does.\n", summary)
	if slices.ContainsFunc(f.Findings, func(x marks.Finding) bool { return x.NeedsConfirmation }) {
		b.WriteString("A machine read some of them: compare them with the picture before anything is published.\n")
	}
	b.WriteString("\n")
	if err := printClaims(&b, f.Claims); err != nil {
		return err
	}
	for _, x := range f.Findings {
		if x.Severity != reference.Note {
			printFinding(&b, x)
		}
	}
	printLookUps(&b, f.LookUps)
	printNotes(&b, f.Findings)
	printRead(&b, m)
	for _, line := range written {
		b.WriteString("\n" + line)
	}
	if len(written) > 0 {
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, printable(b.String()))
	return err
}

func printClaims(b *strings.Builder, claims []marks.Claim) error {
	rows := [][]string{{"claim", "regime", "where"}}
	for _, c := range claims {
		rows = append(rows, []string{c.Class, c.Regime, c.Where})
	}
	if len(rows) == 1 {
		return nil
	}
	if err := report.Columns(b, rows, "lll"); err != nil {
		return err
	}
	b.WriteString("\n")
	return nil
}

func printFinding(b *strings.Builder, x marks.Finding) {
	waits := ""
	if x.NeedsConfirmation {
		waits = " (needs confirmation: read by machine)"
	}
	fmt.Fprintf(b, "  %s%s: %s [%s]\n", x.Severity, waits, report.Clean(x.Text), x.Rule)
	for _, e := range x.Evidence {
		fmt.Fprintf(b, "      %s: %q\n", e.Where, report.Clean(e.Text))
	}
	fmt.Fprintf(b, "      source: %s (%s)\n", x.Source, x.State)
	if x.Clears != "" {
		fmt.Fprintf(b, "      would clear it: %s\n", x.Clears)
	}
}

// printLookUps says which register to look into, what to compare there, and how to
// record what was found.
func printLookUps(b *strings.Builder, all []marks.LookUp) {
	if len(all) == 0 {
		return
	}
	b.WriteString("\nTo be looked up by a person, since only its register can judge a number:\n")
	for _, l := range all {
		fmt.Fprintf(b, "  %s: %s\n      compare: %s\n", l.Regime, report.Clean(l.Register), report.Clean(l.Compare))
		number := "as printed"
		if len(l.Numbers) > 0 {
			number = report.Clean(l.Numbers[0])
			fmt.Fprintf(b, "      printed: %s\n", report.Clean(strings.Join(l.Numbers, ", ")))
		}
		if strings.HasPrefix(l.Register, "no ") { // nothing to look a number up in
			continue
		}
		fmt.Fprintf(b, "      record it in the marks file: registers: [{register: %q, number: %q, state: matched, holder: \"as listed\", date: 2026-08-01}]\n", report.Clean(l.Register), number)
	}
	b.WriteString("  States: matched, other_holder, no_such_number, revoked, not_looked_up.\n")
}

// printNotes lists the notes in short, one line of evidence each. The look-ups were
// told already.
func printNotes(b *strings.Builder, all []marks.Finding) {
	heading := "\nNotes, which speak neither for nor against it:\n"
	for _, x := range all {
		if x.Severity != reference.Note || x.Rule == "look-the-number-up" {
			continue
		}
		b.WriteString(heading)
		heading = ""
		fmt.Fprintf(b, "  %s [%s] (%s)\n", report.Clean(x.Text), x.Rule, x.State)
		if len(x.Evidence) > 0 {
			more := ""
			if n := len(x.Evidence) - 1; n > 0 {
				more = fmt.Sprintf(" and %d more", n)
			}
			fmt.Fprintf(b, "      %s: %q%s\n", x.Evidence[0].Where, report.Clean(x.Evidence[0].Text), more)
		}
	}
}

// printRead shows what was read by machine, for a first comparison.
func printRead(b *strings.Builder, m record.Marks) {
	for _, where := range m.MachineRead {
		fmt.Fprintf(b, "\nRead by machine from the %s; correct it in a marks file before anything is published:\n", where)
		for _, p := range m.Places() {
			if p.Where == where {
				b.WriteString("  " + strings.ReplaceAll(strings.TrimSpace(p.Text), "\n", "\n  ") + "\n")
			}
		}
	}
	if len(m.Codes) > 0 {
		b.WriteString("\nCodes on it:\n")
		for _, c := range m.Codes {
			fmt.Fprintf(b, "  %s\n", report.Clean(c))
		}
	}
}
