package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"telltale/finding"
	"telltale/record"
	"telltale/uncertainty"
)

// textPage collects lines for a terminal.
type textPage struct {
	b     strings.Builder
	width int
}

// Text writes the findings for a terminal of the width in columns (60 at least):
// the sentence first, then the ladder, the tables, and what may be said. It uses
// no colour.
func Text(w io.Writer, f *finding.Findings, width int) error {
	f = cleaned(f)
	p := &textPage{width: max(60, width)}
	p.line(f.Study.Title)
	p.line(joined(span2(f.Study.First, f.Study.Last), plural(len(f.Respirators), "respirator", "respirators"), plural(f.Study.Faces, "face", "faces")))
	p.line(runsWords(f.Runs))
	for _, r := range f.Respirators {
		p.respirator(r)
	}
	p.sessions(f.Sessions)
	p.heading("Before you act on this")
	p.list(cautions(f))
	p.line("")
	p.line(joined(strings.Join(f.Rules, ", "), programWords(f.Program)))
	if _, err := io.WriteString(w, p.b.String()); err != nil {
		return fmt.Errorf("write the findings: %w", err)
	}
	return nil
}

func (p *textPage) line(s string) {
	if s == "" {
		p.b.WriteByte('\n')
		return
	}
	p.b.WriteString(folded("", s, p.width))
}

func (p *textPage) heading(s string) {
	p.b.WriteString("\n" + folded("", s, p.width))
}

func (p *textPage) list(all []string) {
	for _, s := range all {
		p.b.WriteString(folded("  - ", s, p.width))
	}
}

func (p *textPage) respirator(r finding.Respirator) {
	p.b.WriteString("\n" + strings.Repeat("─", p.width) + "\n")
	p.line(joined(r.Name, soldAs(r.Claim), r.Obtained, roleWords(r.Role)))
	p.line("")
	p.line(r.Headline)
	if r.Subline != "" {
		p.line(r.Subline)
	}
	if len(r.Configurations) > 0 {
		if r.Role != string(record.Reference) {
			p.ladder(&r)
		}
		p.configurations(r)
	}
	p.attribution(r.Attribution)
	p.claim(r.ClaimCheck)
	p.words(r.Marks)
	p.holders(r.Holders)
	p.gates("What is not known", troubled(r.Gates))
	p.said(r)
}

func roleWords(role string) string {
	if role == string(record.Reference) {
		return "the reference respirator"
	}
	return ""
}

// ladder draws what gets in as bars, each configuration a line.
func (p *textPage) ladder(r *finding.Respirator) {
	gs := rungs(r)
	names := 0
	for _, g := range gs {
		names = max(names, columnsOf(g.name))
	}
	names = min(names, p.width/3)
	room := p.width - names - 34
	most := linearScale(0, float64(room), ladderSpan(gs, filterBound(r.Attribution))).hi
	p.heading("What gets in, " + plainNumber(most) + " % of the room's particles at full width")
	for _, g := range gs {
		figure := briefPercent(configurationNamed(r, g.name).Penetration)
		lines := strings.Split(strings.TrimSuffix(folded("", g.name, names), "\n"), "\n")
		p.b.WriteString("  " + padded(shortened(lines[0], names), names) + "  " + padded(g.bar(most, room), room) + "  " +
			strings.TrimRight(figure.Strong+"  "+figure.Light, " ") + "\n")
		for _, more := range lines[1:] {
			p.b.WriteString("  " + shortened(more, names) + "\n")
		}
	}
	if key := barKey(gs, r.Attribution != nil); key != "" {
		p.b.WriteString(folded("  ", key, p.width))
	}
}

// configurationNamed finds the configuration of a name.
func configurationNamed(r *finding.Respirator, name string) finding.Configuration {
	for _, x := range r.Configurations {
		if x.Name == name {
			return x
		}
	}
	return finding.Configuration{}
}

// The signs of the three ways in.
const (
	edgeSign, filterSign, undecidedSign = "█", "▒", "░"
)

// bar draws a rung with room columns for most per cent.
func (g rung) bar(most float64, room int) string {
	count := func(v float64) int {
		if !finite(v) || v <= 0 {
			return 0
		}
		return int(math.Min(float64(room), math.Round(v/most*float64(room))))
	}
	switch {
	case g.total.Kind == uncertainty.AtMost:
		return strings.Repeat("·", max(1, count(g.total.High)-1)) + "|"
	case g.total.Kind == uncertainty.AtLeast:
		return strings.Repeat(undecidedSign, count(g.total.Low)) + ">"
	case !finite(g.total.Value):
		return "no figure"
	}
	to := count(g.filter + g.undecided + g.edge)
	filter, undecided := count(g.filter), count(g.filter+g.undecided)
	bar := strings.Repeat(filterSign, filter) + strings.Repeat(undecidedSign, undecided-filter) + strings.Repeat(edgeSign, max(0, to-undecided))
	if bar == "" {
		return "|"
	}
	return bar
}

// barKey says what the signs mean that were used.
func barKey(gs []rung, examined bool) string {
	var parts []string
	for _, k := range ladderKey(gs, examined) {
		sign := map[string]string{"edge": edgeSign, "filter": filterSign, "undecided": undecidedSign}[k.Class]
		parts = append(parts, sign+" "+k.Text)
	}
	return strings.Join(parts, "   ")
}

func padded(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-columnsOf(s)))
}

func shortened(s string, width int) string {
	total, keep := 0, 0
	for i, r := range s {
		if total < width {
			keep = i
		}
		if total += columnsOf(string(r)); total > width {
			return s[:keep] + "…"
		}
	}
	return s
}

func (p *textPage) table(rows [][]string, align string) {
	if err := Columns(&p.b, rows, align); err != nil {
		panic("report: a strings.Builder failed: " + err.Error())
	}
}

func (p *textPage) configurations(r finding.Respirator) {
	rows := [][]string{{"worn", "fit factor", "", "times as worn", "", "wearings"}}
	for _, c := range r.Configurations {
		figure, versus := brief(c.FitFactor), said{"-", ""}
		if c.VersusAsWorn != nil {
			versus = brief(*c.VersusAsWorn)
		}
		lines := strings.Split(strings.TrimSuffix(folded("", c.Name, p.width/3), "\n"), "\n")
		rows = append(rows, []string{shortened(lines[0], p.width/3), figure.Strong, figure.Light, versus.Strong, versus.Light, usedOf(c)})
		for _, more := range lines[1:] {
			rows = append(rows, []string{shortened(more, p.width/3)})
		}
	}
	p.b.WriteByte('\n')
	p.table(rows, "lrlrlr")
}

func (p *textPage) attribution(a *finding.Attribution) {
	if a == nil {
		return
	}
	p.heading("Round the edge or through the filter?")
	p.paragraph("Filter: " + percent(a.FilterPenetration).Words() + " percent gets through.")
	p.paragraph(a.Reason)
	for _, s := range a.Text {
		p.paragraph(s)
	}
	if a.NextWearing != nil {
		p.paragraph("Next: " + a.NextWearing.Text)
	}
}

func (p *textPage) paragraph(s string) {
	if s != "" {
		p.b.WriteString(folded("  ", s, p.width))
	}
}

func (p *textPage) claim(check *finding.ClaimCheck) {
	if check == nil {
		return
	}
	p.heading("Can it be " + check.Class + "? " + stateOf(check.Verdict).Word)
	p.paragraph(check.Text)
	if e := check.Expected; e != nil {
		measured := ""
		if check.Measured.Kind != uncertainty.Unknown {
			measured = "; measured " + check.Measured.Words()
		}
		p.paragraph("A filter that only just meets the class, sealed, would show " + bandWords(e) + " here" + measured + ".")
	}
	p.list(check.Ground)
}

func (p *textPage) words(m *finding.Marks) {
	if m == nil {
		return
	}
	p.heading("The words on it: " + stateOf(m.Summary).Word)
	p.paragraph(m.Text)
	for _, f := range byStrength(m.Findings) {
		text := f.Text + " (" + f.State + ")"
		if f.NeedsConfirmation {
			text += "; read by machine, needs confirmation"
		}
		p.b.WriteString(folded("  "+padded(f.Severity, 14), text, p.width))
	}
}

func (p *textPage) holders(all []finding.Holder) {
	if len(all) == 0 {
		return
	}
	p.heading("The filter alone, in a holder (not the class test)")
	for _, h := range all {
		figure := briefPercent(h.Penetration)
		p.paragraph(joined(h.ID, strings.TrimSpace(figure.Strong+" "+figure.Light), h.Text, h.Problem))
	}
}

// signs are the shapes of the gates' states, for a terminal.
var signs = map[string]string{"in order": "●", "open": "△", "not examined": "○"}

func (p *textPage) gates(title string, all []finding.Gate) {
	if len(all) == 0 {
		return
	}
	p.heading(title)
	names := 0
	for _, g := range all {
		names = max(names, columnsOf(g.Name))
	}
	for _, g := range all {
		sign := signs[g.State]
		if sign == "" {
			sign = "-"
		}
		p.b.WriteString(folded("  "+sign+" "+padded(stateOf(g.State).Word, 12)+"  "+padded(g.Name, names)+"  ", g.Text, p.width))
	}
}

func (p *textPage) said(r finding.Respirator) {
	p.heading("What may be said")
	if len(r.MayBeSaid) == 0 {
		p.paragraph("Nothing may be said from these wearings.")
	}
	p.list(r.MayBeSaid)
	if len(r.Caveats) > 0 {
		p.heading("With this beside it")
		p.list(r.Caveats)
	}
}

func (p *textPage) sessions(all []finding.Session) {
	if len(all) == 0 {
		return
	}
	p.b.WriteString("\n" + strings.Repeat("─", p.width) + "\n")
	for i, s := range all {
		if i > 0 {
			p.line("")
		}
		p.line("The counter's day: " + joined(s.Day, s.Counters))
		if len(s.Gates) == 0 {
			p.paragraph("No gate was examined.")
			continue
		}
		text := &textPage{width: p.width}
		text.gates("", s.Gates)
		p.b.WriteString(strings.TrimPrefix(text.b.String(), "\n\n"))
	}
}
