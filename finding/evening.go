package finding

import (
	"math"
	"sort"
	"time"

	"telltale/control"
	"telltale/fitfactor"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// evening is a study with each run computed and each session gated.
type evening struct {
	study    *record.Study
	level    float64
	results  map[string]result
	sessions map[session]*gated
	order    []session
}

// session is the same counters on the same day.
type session struct{ day, ambient, inside string }

// gated is a session with its own gates, which all its wearings share.
type gated struct {
	gates     []control.Gate
	reference []uncertainty.Estimate
	usual     record.Range
}

// result is one run: its figure, or the problem that kept it from having one.
type result struct {
	wearing record.Wearing
	fit     *fitfactor.Result
	problem string
	gates   []control.Gate
	leftOut string // why the run is shown and kept out of pooled figures
}

// counts reports whether the run enters figures.
func (r result) counts() bool { return r.wearing.Excluded == "" && r.fit != nil && r.leftOut == "" }

func newEvening(s *record.Study, level float64) *evening {
	e := &evening{study: s, level: level, results: map[string]result{}, sessions: map[session]*gated{}}
	for i, r := range each(s.Wearings, e.result) {
		w := s.Wearings[i]
		e.results[w.ID] = r
		key := sessionOf(w)
		if e.sessions[key] == nil {
			e.sessions[key] = &gated{}
			e.order = append(e.order, key)
		}
		e.noteReference(key, r)
	}
	sort.SliceStable(e.order, func(i, j int) bool { return e.order[i].day < e.order[j].day })
	for _, key := range e.order {
		e.gate(key)
	}
	e.gateWearings()
	return e
}

// result computes one run.
func (e *evening) result(w record.Wearing) result {
	fit, err := fitfactor.Of(w.Trace, e.settings(w))
	if err != nil {
		return result{wearing: w, problem: err.Error()}
	}
	return result{wearing: w, fit: fit}
}

func sessionOf(w record.Wearing) session { return session{day(w.At), w.Ambient, w.Inside} }

// day is the date in the zone in which the time was written; empty when none was.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2006-01-02")
}

// settings of one wearing: its protocol, counters and the day's checks.
func (e *evening) settings(w record.Wearing) fitfactor.Settings {
	p, err := reference.ProtocolByID(w.Protocol)
	if err != nil {
		p, _ = reference.ProtocolByID("free")
	}
	s := fitfactor.Settings{Protocol: p, Level: e.level, Ambient: e.counter(w.Ambient), Inside: e.counter(w.Inside)}
	if l, ok := p.HalfMask(); ok {
		s.Limit = &l
	}
	s.ZeroAmbient, s.ZeroInside = e.zero(w.Ambient, w.At), e.zero(w.Inside, w.At)
	if w.Ambient != w.Inside {
		s.Pairing = e.pairing(w)
		if s.Pairing == nil {
			u := fitfactor.Unpaired()
			s.Pairing = &u
		}
	}
	return s
}

func (e *evening) counter(id string) fitfactor.Counter {
	c, _ := e.study.Counter(id)
	return fitfactor.Counter{Flow: c.Flow, DeadTime: c.DeadTime, Top: c.Top, Transit: c.Transit, Washout: c.Washout}
}

// zero is the zero check of a counter nearest in time on the same day; a check
// without a time serves every day.
func (e *evening) zero(counter string, at time.Time) *record.Trace {
	var best *record.Trace
	nearest := time.Duration(math.MaxInt64)
	for _, c := range e.study.Checks {
		if c.Kind != record.Zero || len(c.Counters) == 0 || c.Counters[0] != counter || !sameDay(c.At, at) {
			continue
		}
		if d := c.At.Sub(at).Abs(); d < nearest || best == nil {
			best, nearest = c.Trace, d
		}
	}
	return best
}

func sameDay(check, at time.Time) bool {
	return check.IsZero() || at.IsZero() || day(check) == day(at)
}

// pairing is the day's side-by-side check of the wearing's two counters, turned
// round where the check names them the other way.
func (e *evening) pairing(w record.Wearing) *fitfactor.Pairing {
	for _, c := range e.study.Checks {
		if c.Kind != record.SideBySide || len(c.Counters) != 2 || !sameDay(c.At, w.At) {
			continue
		}
		first, second := c.Counters[0], c.Counters[1]
		straight := first == w.Ambient && second == w.Inside
		if !straight && !(first == w.Inside && second == w.Ambient) {
			continue
		}
		p, ok := fitfactor.Pair(c.Trace, fitfactor.Settings{Ambient: e.counter(first), Inside: e.counter(second)})
		if !ok {
			continue
		}
		if !straight {
			p.Factor = 1 / p.Factor
		}
		return &p
	}
	return nil
}

// noteReference keeps the figures of reference respirators for the session's gate.
func (e *evening) noteReference(key session, r result) {
	p, _ := e.study.Respirator(r.wearing.Respirator)
	if p.Role != record.Reference || !r.counts() || len(r.wearing.Repairs) > 0 {
		return
	}
	g := e.sessions[key]
	g.reference = append(g.reference, r.fit.FitFactor)
	if p.Expected.Stated() {
		g.usual = p.Expected
	}
}

// gate fills the gates that a session's wearings share.
func (e *evening) gate(key session) {
	g := e.sessions[key]
	g.gates = append(g.gates, control.Reference(g.reference, g.usual))
	at, _ := time.Parse("2006-01-02", key.day)
	room, limit := e.roomOf(key), 100.0
	var zero *fitfactor.Background
	if t := e.zeroOn(key.inside, key.day); t != nil {
		zero = fitfactor.BackgroundOf(t, e.counter(key.inside))
	}
	g.gates = append(g.gates, control.Zero(key.inside, zero, room, limit))
	if key.ambient != key.inside {
		g.gates = append(g.gates, control.Paired(e.pairing(record.Wearing{Ambient: key.ambient, Inside: key.inside, At: at})))
	}
	for _, c := range e.study.Checks {
		if c.Kind == record.Room && c.Trace != nil && len(c.Counters) > 0 && (c.Counters[0] == key.ambient) && (c.At.IsZero() || key.day == "" || day(c.At) == key.day) {
			if mean, change, ok := fitfactor.RoomOf(c.Trace, e.counter(c.Counters[0])); ok {
				g.gates = append(g.gates, control.Room(c.Counters[0], mean, change))
			}
		}
	}
}

// zeroOn is the zero check that serves a day's session.
func (e *evening) zeroOn(counter, on string) *record.Trace {
	for _, c := range e.study.Checks {
		if c.Kind == record.Zero && len(c.Counters) > 0 && c.Counters[0] == counter && (c.At.IsZero() || on == "" || day(c.At) == on) {
			return c.Trace
		}
	}
	return nil
}

// roomOf is the lowest room level of a session's wearings: the hardest case for a
// zero check.
func (e *evening) roomOf(key session) float64 {
	low := math.NaN()
	for _, w := range e.study.Wearings {
		r := e.results[w.ID]
		if sessionOf(w) != key || r.fit == nil {
			continue
		}
		if m := r.fit.Signs.AmbientMean; math.IsNaN(low) || m < low {
			low = m
		}
	}
	return low
}

// gateWearings gives each run its session's gates and its own.
func (e *evening) gateWearings() {
	for id, r := range e.results {
		r.gates = append([]control.Gate(nil), e.sessions[sessionOf(r.wearing)].gates...)
		if r.fit != nil {
			limit := 0.0
			if v := r.fit.Verdict; v != nil {
				limit = v.Limit.FitFactor
			}
			r.gates = append(r.gates, control.Wearing(r.fit, limit)...)
		}
		e.results[id] = r
	}
	e.leaveOut()
}

// describe lists the sessions in order of their days.
func (e *evening) describe() []Session {
	out := []Session{}
	for _, key := range e.order {
		s := Session{Day: key.day, Counters: counters(key.ambient, key.inside)}
		for _, g := range e.sessions[key].gates {
			s.Gates = append(s.Gates, shown(g))
		}
		out = append(out, s)
	}
	return out
}

func counters(ambient, inside string) string {
	if ambient == inside {
		return ambient
	}
	return ambient + " (room), " + inside + " (inside)"
}
