package report

import (
	"strings"

	"telltale/finding"
	"telltale/record"
	"telltale/uncertainty"
)

// wearingView is one run as the page shows it.
type wearingView struct {
	finding.Wearing
	Anchor    string
	FF        said
	State     state
	Meta      string
	Against   string
	Trace     *figure
	NoTrace   string
	Exercises *figure
	Channels  *table
	Gates     []gateView // those that are not in order
	InOrder   string     // the names of the others
}

// newWearing gathers what is shown of a run; the trace may be missing.
func newWearing(w finding.Wearing, s *record.Study, anchor string, columns int) wearingView {
	v := wearingView{Wearing: w, Anchor: anchor, FF: say(w.FitFactor), State: wearingState(w), Gates: gateViews(troubled(w.Gates)), InOrder: namesInOrder(w.Gates)}
	v.Meta = joined(named("specimen", w.Specimen), named("wearer", w.Wearer), named("counter", w.Counters), when(w.At),
		named("donning", w.Donning), named("protocol", w.Protocol))
	if l := w.Limit; l != nil {
		v.Against = joined("limit "+uncertainty.Number(l.FitFactor), l.Facepiece, l.Rule, l.Decision)
	}
	if len(w.Exercises) > 0 {
		v.Exercises = exerciseFigure(w)
	}
	if t, top := traceOf(s, w.ID); t != nil && t.Rows() > 0 {
		v.Trace = traceFigure(w, t, top, columns)
	} else {
		v.NoTrace = "The trace is not at hand here, so it is not drawn."
	}
	if len(w.Channels) > 0 {
		t := channelTable(w.Channels, "fit factor")
		v.Channels = &t
	}
	return v
}

func named(name, value string) string {
	if value == "" {
		return ""
	}
	return name + " " + value
}

// pooled reports whether a run enters the figure of its configuration.
func pooled(w finding.Wearing) bool { return w.Excluded == "" && w.LeftOut == "" && w.Problem == "" }

func wearingState(w finding.Wearing) state {
	switch {
	case w.Excluded != "":
		return stateOf("left out of the figures")
	case w.Problem != "":
		return stateOf("no figure could be formed")
	case w.LeftOut != "":
		return stateOf("left out of the pool")
	case w.Decision == nil:
		return stateOf("not decided: no limit")
	}
	return stateOf(*w.Decision)
}

// tops are the highest concentrations that the counters on the room and on the
// inside can state, per cm3; 0 = not known.
type tops struct{ room, inside float64 }

// traceOf finds a wearing's trace and the tops of its counters' ranges.
func traceOf(s *record.Study, id string) (*record.Trace, tops) {
	if s == nil {
		return nil, tops{}
	}
	for _, w := range s.Wearings {
		if Clean(w.ID) == id {
			room, _ := s.Counter(w.Ambient)
			inside, _ := s.Counter(w.Inside)
			return w.Trace, tops{float64(room.Top), float64(inside.Top)}
		}
	}
	return nil, tops{}
}

// exerciseFigure shows the fit factor of each exercise.
func exerciseFigure(w finding.Wearing) *figure {
	f := &figure{Title: "Fit factor of each exercise, " + w.ID, Open: true,
		Caption: "Lines are intervals; dashes with an arrow are bounds. The overall figure is the harmonic mean over the counted exercises."}
	chart := rowChart{Axis: "fit factor (room air ÷ air inside)"}
	for _, x := range w.Exercises {
		r := row{Label: x.Name, Said: brief(x.FitFactor), Est: x.FitFactor, Class: "ink"}
		if !x.Counted {
			r.Label, r.Class = x.Name+" (not counted)", "muted"
		}
		chart.Rows = append(chart.Rows, r)
	}
	chart.Rows = append(chart.Rows, row{Label: "overall", Said: brief(w.FitFactor), Est: w.FitFactor, Class: "ink", Main: true})
	if w.Limit != nil {
		chart.Limits = []limitLine{{w.Limit.FitFactor, "limit " + uncertainty.Number(w.Limit.FitFactor)}}
	}
	f.Wide = chart.draw(wideWidth).svg("wide scroll", f.Title, "Overall "+w.FitFactor.Words()+".")
	f.Table = exerciseTable(w)
	return f
}

// phaseTable proves the trace: when each exercise was, and what was read.
func phaseTable(w finding.Wearing) table {
	t := table{Head: []string{"exercise", "counted", "from, s", "to, s", "room per cm³", "inside per cm³", "room moved"}, Align: "llrrrrr"}
	for _, x := range w.Exercises {
		t.Rows = append(t.Rows, []said{cell(x.Name), cell(yesNo(x.Counted)), cell(uncertainty.Number(x.StartS)), cell(uncertainty.Number(x.EndS)),
			cell(orDash(x.AmbientPerCM3)), cell(orDash(x.InsidePerCM3)), cell(share(x.RoomChange))})
	}
	return t
}

// exerciseTable proves the fit factors of the exercises.
func exerciseTable(w finding.Wearing) table {
	t := table{Head: []string{"exercise", "counted inside", "scatter over counting", "fit factor, interval"}, Align: "lrrr"}
	for _, x := range w.Exercises {
		t.Rows = append(t.Rows, []said{cell(x.Name), cell(orDash(x.InsideCounts)), cell(orDash(x.Inflation)), brief(x.FitFactor)})
	}
	t.Rows = append(t.Rows, []said{cell("overall"), cell("-"), cell("-"), brief(w.FitFactor)})
	return t
}

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// share prints a share per hundred.
func share(v float64) string {
	if !finite(v) {
		return "-"
	}
	return uncertainty.Number(100*v+0) + " %" // + 0: a negative zero is a zero
}

func channelTable(all []finding.Channel, what string) table {
	t := table{Head: []string{"size", what + ", interval", "counted inside"}, Align: "lrr"}
	for _, ch := range all {
		t.Rows = append(t.Rows, []said{cell(sizeWords(ch)), brief(ch.FitFactor), cell(orDash(ch.InsideCounts))})
	}
	return t
}

func sizeWords(ch finding.Channel) string {
	if ch.HighUM == nil {
		return "above " + uncertainty.Number(ch.LowUM) + " µm"
	}
	return uncertainty.Number(ch.LowUM) + " to " + uncertainty.Number(*ch.HighUM) + " µm"
}

// troubled are the gates that are not in order: those are told in full, the others
// by name, since the counter's day has their words.
func troubled(all []finding.Gate) (out []finding.Gate) {
	for _, g := range all {
		if g.State != "in order" {
			out = append(out, g)
		}
	}
	return out
}

func namesInOrder(all []finding.Gate) string {
	var names []string
	for _, g := range all {
		if g.State == "in order" {
			names = append(names, g.Name)
		}
	}
	return strings.Join(names, ", ")
}
