package fitfactor

import (
	"math"

	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// room is the ambient air as far as it was seen.
type room struct {
	continuous bool   // a counter of its own saw it all along
	all        series // every ambient reading used
	samples    []sample
	back       background
	startEnd   bool
}

// sample is one visit of a switched line to the room.
type sample struct {
	from, to int // rows
	middle   float64
	mean     float64 // per cm3, less background
	relative float64 // relative variance of the mean
	capped   bool
}

func newRoom(t *record.Trace, p reference.Protocol, ambient series, back backgrounds) room {
	r := room{continuous: !t.Switched, all: ambient.used(), back: back.ambient, startEnd: p.Ambient == reference.StartAndEnd}
	if r.continuous {
		return r
	}
	for _, st := range stretches(t) {
		rows := ambient.between(st.from, st.to).used()
		if st.air != record.Ambient || len(rows) == 0 {
			continue
		}
		// two ambient stretches with only purge between them are one visit
		r.samples = append(r.samples, newSample(st, rows, r.back))
	}
	return r
}

// newSample sums up one visit; its variance is the larger of counting and scatter.
func newSample(st stretch, rows series, back background) sample {
	s := sample{from: st.from, to: st.to, mean: rows.mean() - back.conc, capped: rows.capped() > 0}
	s.middle = (rows[0].t + rows[len(rows)-1].t + rows[len(rows)-1].dt) / 2
	residuals := make([]float64, len(rows))
	for i, x := range rows {
		residuals[i] = x.conc/rows.mean() - 1
	}
	if len(rows) >= 8 {
		s.relative, _ = uncertainty.LongRun(residuals, 4)
	}
	if n := rows.counts(); n > 0 {
		s.relative = math.Max(s.relative, 1/n)
	}
	return s
}

// bracket is a pair of visits with the share of the exercise that lies between
// them; before and after are the same where only one side was sampled.
type bracket struct {
	before, after int
	share         float64
}

// brackets finds the visits around each run of inside readings.
func (r room) brackets(rows series) []bracket {
	if len(r.samples) == 0 {
		return nil
	}
	var out []bracket
	total := rows.volume()
	for _, x := range rows {
		b := r.around(x.row)
		if n := len(out); n > 0 && out[n-1].before == b.before && out[n-1].after == b.after {
			out[n-1].share += x.volume / total
			continue
		}
		b.share = x.volume / total
		out = append(out, b)
	}
	return out
}

// around gives the visits before and after a row: the nearest ones, or for the
// protocols with two samples the first and the last of the run.
func (r room) around(row int) bracket {
	last := len(r.samples) - 1
	if r.startEnd {
		return bracket{before: 0, after: last}
	}
	b := bracket{before: -1, after: -1}
	for i, s := range r.samples {
		if s.to <= row {
			b.before = i
		}
		if s.from > row && b.after < 0 {
			b.after = i
		}
	}
	if b.before < 0 {
		b.before = b.after
	}
	if b.after < 0 {
		b.after = b.before
	}
	return b
}

// at is the room's level at a time, on the straight line between two visits; it
// serves the scatter only, never the mean.
func (r room) at(b bracket, t float64) float64 {
	s, e := r.samples[b.before], r.samples[b.after]
	if e.middle <= s.middle {
		return s.mean
	}
	f := math.Min(1, math.Max(0, (t-s.middle)/(e.middle-s.middle)))
	return s.mean + f*(e.mean-s.mean)
}

// mean is the plain mean of the two visits.
func (r room) mean(b bracket) float64 {
	return (r.samples[b.before].mean + r.samples[b.after].mean) / 2
}

// drift is the change between the two visits as a share of their mean.
func (r room) drift(b bracket) float64 {
	return (r.samples[b.after].mean - r.samples[b.before].mean) / r.mean(b)
}

// describeRoom names the rule by which the room's level was taken.
func (r *Result) describeRoom(m room, p reference.Protocol) {
	switch {
	case m.continuous:
		r.step("room", "The room is measured all along: its mean over each exercise.")
	case m.startEnd:
		r.step("room", "The room is the plain mean of the first and the last of its %d samples.", len(m.samples))
	default:
		r.step("room", "The room is the mean of the sample before and the sample after (%d samples).", len(m.samples))
	}
	if !m.continuous && len(m.samples) == 1 {
		r.caveat("The room was sampled once only; its drift is not known and not in the interval.")
	}
}

// RoomOf sums up a room check: the mean level in particles per cm3 and its change
// from start to end, as a share. ok is false when it holds no room reading.
func RoomOf(t *record.Trace, c Counter) (perCM3, change float64, ok bool) {
	var scratch Result
	ambient, inside := scratch.read(t, Settings{Ambient: c, Inside: c})
	if len(ambient) == 0 {
		ambient = inside
	}
	if len(ambient) == 0 {
		return 0, 0, false
	}
	return ambient.mean(), math.Expm1(driftPerHour(ambient) / 3600 * ambient.seconds()), true
}
