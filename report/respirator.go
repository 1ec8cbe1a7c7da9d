package report

import (
	"math"
	"sort"

	"telltale/finding"
	"telltale/record"
	"telltale/uncertainty"
)

// respiratorView is one respirator as the page shows it.
type respiratorView struct {
	finding.Respirator
	Anchor      string
	Meta        string
	Reference   bool
	Field       *figure
	Ladder      *figure
	Configs     *figure
	Claim       *claimView
	Words       *marksView
	HolderFig   *figure
	HolderRuns  []holderView
	Runs        []wearingView
	GateStates  []gateView
	ShareText   []string
	ZoneTable   *table
	NextMany    string
	SourceLines []string
}

type claimView struct {
	finding.ClaimCheck
	State       state
	Band        *figure
	Assumptions *figure
}

type marksView struct {
	finding.Marks
	State    state
	Bag      *figure
	Findings []markView
}

type markView struct {
	finding.MarkFinding
	Number int
	State  state
}

type holderView struct {
	finding.Holder
	Channels *table
}

type gateView struct {
	finding.Gate
	Mark state
}

// gateViews puts the shapes beside the gates. A source is shown where it differs
// from that of the gate before.
func gateViews(all []finding.Gate) (out []gateView) {
	source := ""
	for _, g := range all {
		if g.Source == source {
			g.Source = ""
		} else {
			source = g.Source
		}
		out = append(out, gateView{g, stateOf(g.State)})
	}
	return out
}

// newRespirator gathers what is shown of a respirator. columns is how fine the
// traces are drawn.
func newRespirator(r finding.Respirator, s *record.Study, anchor string, columns int) respiratorView {
	v := respiratorView{Respirator: r, Anchor: anchor, Reference: r.Role == string(record.Reference), GateStates: gateViews(troubled(r.Gates))}
	v.Meta = joined(soldAs(r.Claim), r.Obtained, wearingsWords(r))
	if first, some := firstFigured(r); some && !v.Reference {
		v.Field = fieldFigure(&r, first)
	}
	if len(r.Configurations) > 0 {
		if !v.Reference {
			v.Ladder = ladderFigure(&r)
		}
		v.Configs = configsFigure(&r, usual(s, r.ID))
	}
	v.claim()
	v.marks()
	v.holders()
	v.attribution()
	for _, c := range r.Configurations {
		for _, w := range c.Wearings {
			v.Runs = append(v.Runs, newWearing(w, s, anchor+"-w"+plainNumber(float64(len(v.Runs)+1)), columns))
		}
	}
	for _, source := range r.Sources {
		v.SourceLines = append(v.SourceLines, source.String())
	}
	return v
}

func soldAs(claim string) string {
	if claim == "" {
		return "no class claimed"
	}
	return "sold as " + claim
}

// wearingsWords counts the runs and the wearers' codes.
func wearingsWords(r finding.Respirator) string {
	runs, wearers := 0, map[string]bool{}
	for _, c := range r.Configurations {
		for _, w := range c.Wearings {
			runs++
			wearers[w.Wearer] = true
		}
	}
	if runs == 0 {
		return "no wearings"
	}
	return plural(runs, "wearing", "wearings") + " in " + plural(len(r.Configurations), "configuration", "configurations") +
		" by " + plural(len(wearers), "wearer", "wearers")
}

// firstFigured is the first configuration with a figure: as worn, where there is
// one.
func firstFigured(r finding.Respirator) (finding.Configuration, bool) {
	for _, c := range r.Configurations {
		if len(c.Repairs) == 0 && (finite(c.Penetration.Value) || finite(c.Penetration.Low) || finite(c.Penetration.High)) {
			return c, true
		}
	}
	return finding.Configuration{}, false
}

// usual is the range that a reference respirator usually shows.
func usual(s *record.Study, id string) record.Range {
	if s == nil {
		return record.Range{}
	}
	for _, r := range s.Respirators {
		if Clean(r.ID) == id {
			return r.Expected
		}
	}
	return record.Range{}
}

// configsFigure sets the configurations side by side.
func configsFigure(r *finding.Respirator, expected record.Range) *figure {
	f := &figure{Title: "Fit factor of each way of wearing it", Open: true,
		Caption: "Large marks are pooled over donnings, small ones are single wearings; dashes with an arrow are bounds."}
	chart := rowChart{Axis: "fit factor (room air ÷ air inside)"}
	f.Table = table{Head: []string{"worn", "fit factor, interval", "times as worn, interval", "wearings", "donnings", "in words"}, Align: "lrrrrl"}
	for _, c := range r.Configurations {
		x := row{Label: c.Name, Said: brief(c.FitFactor), Est: c.FitFactor, Class: "ink"}
		if len(c.Repairs) == 0 {
			x.Class = "edge"
		}
		for _, w := range c.Wearings {
			if pooled(w) {
				x.Small = append(x.Small, w.FitFactor)
			}
		}
		chart.Rows = append(chart.Rows, x)
		versus := cell("-")
		if c.VersusAsWorn != nil {
			versus = brief(*c.VersusAsWorn)
		}
		f.Table.Rows = append(f.Table.Rows, []said{cell(c.Name), brief(c.FitFactor), versus,
			cell(usedOf(c)), cell(uncertainty.Number(float64(c.Donnings))), cell(c.OneIn)})
	}
	if expected.Stated() {
		chart.Spans = []span{{"usual range of this reference: " + uncertainty.Number(expected.Low) + " to " + uncertainty.Number(expected.High),
			expected.Low, math.NaN(), expected.High}}
	}
	f.draw(wideWidth, ladderWords(r), chart.draw)
	return f
}

// claim builds the answer to "can it be that class?".
func (v *respiratorView) claim() {
	check := v.ClaimCheck
	if check == nil {
		return
	}
	v.Claim = &claimView{ClaimCheck: *check, State: stateOf(check.Verdict)}
	if check.Expected == nil {
		return
	}
	v.Claim.Band = v.bandFigure(check)
	if len(check.Expected.Assumptions) > 0 {
		v.Claim.Assumptions = assumptionsFigure(check)
	}
}

func (v *respiratorView) bandFigure(check *finding.ClaimCheck) *figure {
	e := check.Expected
	f := &figure{Title: "What a filter that only just meets " + check.Class + " would show, and what was measured", Open: true,
		Caption: "The band is computed from assumptions; the marks are measured. A worn result says nothing about the class."}
	band := uncertainty.New(e.Central, e.Low, e.High, 0, "")
	chart := rowChart{Axis: "fit factor (room air ÷ air inside)",
		Spans:  []span{{"a filter just meeting the class, sealed: " + bandWords(e), e.Low, e.Central, e.High}},
		Limits: []limitLine{{e.HardBelow, "hard to reconcile below " + uncertainty.Number(e.HardBelow)}}}
	rows := [][]said{{cell("band of the class"), {uncertainty.Number(e.Central), bandWords(e)}},
		cells("hard to reconcile below", uncertainty.Number(e.HardBelow)), cells("better than the class minimum above", uncertainty.Number(e.BetterAbove))}
	chart.Rows = append(chart.Rows, row{Label: "compared: sealed or filter alone", Said: brief(check.Measured), Est: check.Measured, Class: "ink"})
	rows = append(rows, []said{cell("compared: sealed or filter alone"), brief(check.Measured)})
	if worn, some := firstFigured(v.Respirator); some {
		chart.Rows = append(chart.Rows, row{Label: worn.Name + " (not compared)", Said: brief(worn.FitFactor), Est: worn.FitFactor, Class: "edge"})
		rows = append(rows, []said{cell(worn.Name + " (not compared)"), brief(worn.FitFactor)})
	}
	f.Table = table{Head: []string{"", "fit factor, interval"}, Align: "lr", Rows: rows}
	f.draw(wideWidth, "Band "+bandWords(e)+" around "+uncertainty.Number(band.Value)+"; measured "+check.Measured.Words()+".", chart.draw)
	return f
}

func bandWords(e *finding.Expected) string {
	return uncertainty.Number(e.Low) + " to " + uncertainty.Number(e.High)
}

// assumptionsFigure shows how far each assumption moves the band, largest first.
func assumptionsFigure(check *finding.ClaimCheck) *figure {
	all := append([]finding.Assumption(nil), check.Expected.Assumptions...)
	reach := func(a finding.Assumption) float64 {
		if !drawable(a.Low) || !drawable(a.High) {
			return 0
		}
		return math.Abs(math.Log(a.High / a.Low))
	}
	sort.SliceStable(all, func(i, j int) bool { return reach(all[i]) > reach(all[j]) })
	f := &figure{Title: "What the band rests on", Caption: "Each bar is how far one assumption moves the figure; the largest first."}
	chart := rowChart{Axis: "fit factor of a filter that only just meets the class",
		Limits: []limitLine{{check.Expected.Central, "central " + uncertainty.Number(check.Expected.Central)}}}
	f.Table = table{Head: []string{"assumption", "from", "to", "what was assumed", "source"}, Align: "lrrll"}
	for _, a := range all {
		low, high := uncertainty.Number(a.Low), uncertainty.Number(a.High)
		chart.Rows = append(chart.Rows, row{Label: a.Name, Said: said{low + " to " + high, ""}, Band: true, Est: uncertainty.New(math.NaN(), a.Low, a.High, 0, "")})
		f.Table.Rows = append(f.Table.Rows, cells(a.Name, low, high, a.Text, a.Source))
	}
	f.draw(wideWidth, check.Expected.Narrow, chart.draw)
	return f
}

func (v *respiratorView) marks() {
	m := v.Respirator.Marks
	if m == nil {
		return
	}
	v.Words = newMarksView(m)
}

// newMarksView arranges what was found about words, strongest first.
func newMarksView(m *finding.Marks) *marksView {
	v := &marksView{Marks: *m, State: stateOf(m.Summary)}
	if len(m.Places) > 0 {
		v.Bag = bagFigure(m)
	}
	for i, f := range byStrength(m.Findings) {
		v.Findings = append(v.Findings, markView{f, i + 1, stateOf(f.Severity)})
	}
	return v
}

func (v *respiratorView) holders() {
	if len(v.Holders) == 0 {
		return
	}
	f := &figure{Title: "The filter alone, clamped in a holder", Open: true,
		Caption: "Percent of the particles that pass the filter at the flow stated. This is not the class test."}
	chart := rowChart{Axis: "percent that passes the filter"}
	f.Table = table{Head: []string{"run", "specimen", "face velocity, cm/s", "flow, L/min", "passes, interval", "remarks"}, Align: "llrrrl"}
	for _, h := range v.Holders {
		p := briefPercent(h.Penetration)
		chart.Rows = append(chart.Rows, row{Label: joined(h.ID, named("specimen", h.Specimen)), Said: p, Est: percent(h.Penetration), Class: "filter"})
		f.Table.Rows = append(f.Table.Rows, []said{cell(h.ID), cell(h.Specimen), cell(stated(h.FaceVelocityCMS)), cell(stated(h.FlowLMin)), p, cell(h.Problem)})
		view := holderView{Holder: h}
		if len(h.Channels) > 0 {
			t := channelTable(h.Channels, "figure")
			view.Channels = &t
		}
		v.HolderRuns = append(v.HolderRuns, view)
	}
	f.draw(wideWidth, plural(len(v.Holders), "run", "runs")+" of the filter alone.", chart.draw)
	v.HolderFig = f
}

// attribution gathers the words about seal and filter.
func (v *respiratorView) attribution() {
	a := v.Attribution
	if a == nil {
		return
	}
	if len(a.Zones) > 0 {
		t := table{Head: []string{"zone", "share of the leak, interval"}, Align: "lr"}
		for _, z := range a.Zones {
			t.Rows = append(t.Rows, []said{cell(z.Zone), briefPercent(z.Share)})
		}
		v.ZoneTable = &t
	}
	if a.NextWearing != nil && a.NextWearing.HowMany > 0 {
		v.NextMany = plural(a.NextWearing.HowMany, "wearing", "wearings")
	}
}

// stated prints a quantity of which 0 says that it was not stated.
func stated(v float64) string {
	if v == 0 {
		return "-"
	}
	return uncertainty.Number(v)
}
