package report

import (
	"strings"
	"time"

	"telltale/finding"
	"telltale/record"
)

// sessionView is one counter's day.
type sessionView struct {
	finding.Session
	Gates []gateView
	Chart *figure
}

// event is something done with the counter at a time of the day.
type event struct {
	at    time.Time
	label string
	check bool
	out   bool // left out of the figures
}

func newSession(x finding.Session, f *finding.Findings, s *record.Study) sessionView {
	v := sessionView{Session: x, Gates: gateViews(x.Gates)}
	if events := eventsOf(x, f, s); len(events) > 1 {
		v.Chart = dayFigure(x, events)
	}
	return v
}

// eventsOf lists the wearings and checks of a session with their times, in order.
func eventsOf(x finding.Session, f *finding.Findings, s *record.Study) []event {
	var out []event
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				at, err := time.Parse(time.RFC3339, w.At)
				if err == nil && w.Counters == x.Counters && strings.HasPrefix(w.At, x.Day) {
					out = append(out, event{at, joined(r.Name, w.ID, c.Name), false, !pooled(w)})
				}
			}
		}
	}
	if s == nil {
		return byTime(out)
	}
	for _, check := range s.Checks {
		if check.Kind != record.ReferenceRun && check.At.Format("2006-01-02") == x.Day && strings.Contains(x.Counters, firstOf(check.Counters)) {
			out = append(out, event{check.At, strings.ReplaceAll(string(check.Kind), "_", " ") + " check", true, false})
		}
	}
	return byTime(out)
}

func firstOf(all []string) string {
	if len(all) == 0 {
		return ""
	}
	return Clean(all[0])
}

func byTime(all []event) []event {
	for i := 1; i < len(all); i++ {
		for j := i; j > 0 && all[j].at.Before(all[j-1].at); j-- {
			all[j], all[j-1] = all[j-1], all[j]
		}
	}
	return all
}

// dayFigure draws the events over the hours.
func dayFigure(x finding.Session, events []event) *figure {
	f := &figure{Title: "What was done when, " + joined(x.Day, x.Counters),
		Caption: "Diamonds are checks of the counter, discs are wearings, crossed ones are out of the figures."}
	f.Table = table{Head: []string{"time", "what"}, Align: "ll"}
	for _, e := range events {
		what := e.label
		if e.out {
			what += " (out of the figures)"
		}
		f.Table.Rows = append(f.Table.Rows, cells(e.at.Format("15:04"), what))
	}
	f.draw(wideWidth, plural(len(events), "event", "events")+"; the table lists them.", func(w float64) *canvas { return drawDay(events, w) })
	return f
}

func drawDay(events []event, w float64) *canvas {
	c := &canvas{w: w, h: 84}
	first, last := events[0].at, events[len(events)-1].at
	long := last.Sub(first).Seconds()
	if long <= 0 {
		long = 1
	}
	s := scale{0, long, 30, w - 30, false}
	c.line("axis", 10, 44, w-10, 44)
	for _, e := range events {
		x := s.place(e.at.Sub(first).Seconds())
		switch {
		case e.check:
			c.poly("f-room", x, 18, x+8, 28, x, 38, x-8, 28, x, 18)
		case e.out:
			c.path("s-ink", "M"+px(x-6)+" 22l12 12m0 -12l-12 12")
		default:
			c.circle("f-ink", x, 28, 6)
		}
		c.line("axis", x, 40, x, 48)
	}
	shown := -100.0
	for _, e := range events {
		if x := s.place(e.at.Sub(first).Seconds()); x-shown > 52 {
			c.text("tk mid", x, 66, e.at.Format("15:04"))
			shown = x
		}
	}
	return c
}
