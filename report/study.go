package report

import (
	"math"
	"strings"
	"time"

	"telltale/finding"
	"telltale/reference"
	"telltale/uncertainty"
)

func percentWords(level float64) string { return uncertainty.Number(100*level) + " %" }

// programWords says what computed the figures.
func programWords(p finding.Program) string {
	return joined(strings.TrimSpace(p.Name+" "+p.Version), named("commit", p.Commit), named("reference data SHA-256", p.ReferenceDigest))
}

// span2 words the first and last day.
func span2(first, last string) string {
	if last == "" || first == last {
		return first
	}
	return first + " to " + last
}

func runsWords(r finding.Runs) string {
	text := plural(r.Started, "run started", "runs started") + ", " + uncertainty.Number(float64(r.Used)) + " used, " +
		uncertainty.Number(float64(r.Excluded)) + " left out with a reason"
	if r.Faulty > 0 {
		text += ", " + uncertainty.Number(float64(r.Faulty)) + " from which no figure could be formed"
	}
	return text
}

// overviewFigure sets the respirators side by side, as worn and at their best.
func overviewFigure(f *finding.Findings) *figure {
	o := &figure{Title: "Fit factors as worn and at their best", Open: true,
		Caption: "As worn in amber, the best repair in ink; best is the configuration with the highest lower bound. A higher fit factor lets fewer particles in. These are not ranks: where intervals overlap, neither is shown to be better."}
	chart := rowChart{Axis: "fit factor (room air ÷ air inside)"}
	o.Table = table{Head: []string{"respirator", "class claimed", "worn", "fit factor, interval"}, Align: "lllr"}
	for _, r := range f.Respirators {
		if len(r.Configurations) == 0 {
			o.Table.Rows = append(o.Table.Rows, cells(r.Name, r.Claim, "no wearings", "-"))
			continue
		}
		best := bestOf(r.Configurations)
		for i, c := range r.Configurations {
			class := "ink"
			if len(c.Repairs) == 0 {
				class = "edge"
			} else if i != best {
				continue
			}
			chart.Rows = append(chart.Rows, row{Label: joined(r.Name, c.Name), Said: brief(c.FitFactor), Est: c.FitFactor, Class: class})
			o.Table.Rows = append(o.Table.Rows, []said{cell(r.Name), cell(r.Claim), cell(c.Name), brief(c.FitFactor)})
		}
	}
	o.draw(wideWidth, "The table lists the same figures.", chart.draw)
	return o
}

// bestOf finds the configuration with the highest lower bound.
func bestOf(all []finding.Configuration) int {
	best, most := 0, math.Inf(-1)
	for i, c := range all {
		if low := c.FitFactor.Low; low > most {
			best, most = i, low
		}
	}
	return best
}

// runTable lists every run that was started, also those left out.
func runTable(f *finding.Findings) table {
	t := table{Head: []string{"run", "respirator", "worn", "when", "wearer", "fit factor, interval", "state", "why it is out of the figures"}, Align: "lllllrll"}
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				t.Rows = append(t.Rows, []said{cell(w.ID), cell(r.Name), cell(c.Name), cell(when(w.At)), cell(w.Wearer), brief(w.FitFactor),
					cell(wearingState(w).Word), cell(joined(w.Excluded, w.LeftOut, w.Problem))})
			}
		}
	}
	return t
}

// when shows an instant in the zone it was written in; what is no instant is
// shown as it stands.
func when(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Format("2006-01-02 15:04 -07:00")
}

// sourceTable lists every source once, with its state.
func sourceTable(f *finding.Findings) table {
	t := table{Head: []string{"source", "where", "state"}, Align: "lll"}
	seen := map[string]bool{}
	add := func(title, section, state string) {
		if key := title + "|" + section; title != "" && !seen[key] {
			seen[key] = true
			t.Rows = append(t.Rows, cells(title, section, state))
		}
	}
	for _, r := range f.Respirators {
		for _, s := range r.Sources {
			add(s.Title, s.Section, string(s.State))
		}
		if r.Marks != nil {
			for _, m := range r.Marks.Findings {
				add(m.Source, "", m.State)
			}
		}
	}
	return t
}

// cautions lists every caution once, in order. A study without respirators still
// bears those that go with every report.
func cautions(f *finding.Findings) (out []string) {
	seen := map[string]bool{}
	for _, r := range f.Respirators {
		for _, c := range r.Cautions {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	if len(out) == 0 {
		for _, c := range reference.Cautions(false, false) {
			out = append(out, c.Text)
		}
	}
	return out
}
