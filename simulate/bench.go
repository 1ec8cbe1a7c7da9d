package simulate

import (
	"math"
	"math/rand/v2"

	"telltale/quantity"
	"telltale/record"
)

// bench runs counters along a plan and writes down what they show.
type bench struct {
	seed     uint64
	room     Room
	inside   func(t, dt, room float64, out []float64) // air behind the mask or filter, by size; nil = none
	steps    []stretch
	switched bool
	raw      bool
	labelled bool // an exercise column is written

	ambientCounter, insideCounter Counter
}

// instrument is a counter at work: its line, its random stream and what it has
// taken in during the row.
type instrument struct {
	Counter
	rng  *rand.Rand
	line *line
	sum  []float64
}

func (b *bench) instrument(c Counter, id uint64, bins int, dt float64) *instrument {
	if c.Flow <= 0 {
		panic("simulate: a counter needs a flow above 0")
	}
	if b.sized() {
		c.Background /= quantity.Concentration(bins)
	}
	return &instrument{c, stream(b.seed, id), newLine(c, bins, dt), make([]float64, bins)}
}

func (m *instrument) take(dt float64, air []float64) {
	for i, v := range m.line.step(dt, air) {
		m.sum[i] += v * dt
	}
}

// counts draws the row's counts, by size or of all together, and makes ready for
// the next row.
func (m *instrument) counts(period float64, sized bool) []float64 {
	means := m.sum
	if !sized {
		total := 0.0
		for _, v := range m.sum {
			total += v
		}
		means = []float64{total}
	}
	out := make([]float64, len(means))
	for i, v := range means {
		out[i] = m.count(m.rng, v/period)
	}
	clear(m.sum)
	return out
}

// sized reports whether the counters show sizes one by one.
func (b *bench) sized() bool { return b.ambientCounter.Channels && len(b.room.Sizes) > 0 }

// run walks the plan row by row.
func (b *bench) run() *record.Trace {
	period := float64(b.ambientCounter.Period)
	if period <= 0 {
		panic("simulate: a counter needs a period above 0")
	}
	b.insideCounter.Period = b.ambientCounter.Period
	if b.raw && !b.switched && b.inside != nil && b.insideCounter.Flow != b.ambientCounter.Flow {
		panic("simulate: raw counts of two counters need one flow, since a row has one volume")
	}
	steps := max(1, int(math.Ceil(period/subStep-1e-9)))
	w := &writer{bench: b, t: &record.Trace{Switched: b.switched}, jitter: stream(b.seed, streamJitter)}
	w.open()
	air := b.air(period / float64(steps))
	for t := -settleS; b.inside != nil && t < 0; t += air.dt {
		air.move(t)
	}
	end := b.steps[len(b.steps)-1].to
	for n := 0; float64(n)*period < end-1e-9; n++ {
		start := float64(n) * period
		for k := range steps {
			air.step(start + (float64(k)+0.5)*air.dt)
		}
		w.row(start, period, at(b.steps, start), air)
	}
	return w.t
}

// airs is the state of the room, the mask and the instruments between steps.
type airs struct {
	b               *bench
	dt              float64
	wander          wanderer
	ambient, inside *instrument // inside is nil with a switched line or without a mask
	room, mask      []float64   // by size
	bins            []Size
}

func (b *bench) air(dt float64) *airs {
	bins := b.room.bins()
	a := &airs{b: b, dt: dt, bins: bins, wander: wanderer{rng: stream(b.seed, streamRoom)},
		ambient: b.instrument(b.ambientCounter, streamAmbient, len(bins), dt),
		room:    make([]float64, len(bins)), mask: make([]float64, len(bins))}
	if !b.switched && b.inside != nil {
		a.inside = b.instrument(b.insideCounter, streamInside, len(bins), dt)
	}
	return a
}

// settleS is how long the mask is breathed in before the first row, so that the
// first breaths of a trace are like the others.
const settleS = 40.0

// step moves everything on by dt and lets the instruments look; t is the middle
// of the step.
func (a *airs) step(t float64) {
	a.move(t)
	if a.b.switched && at(a.b.steps, t).line == record.Inside {
		a.ambient.take(a.dt, a.mask)
	} else {
		a.ambient.take(a.dt, a.room)
	}
	if a.inside != nil {
		a.inside.take(a.dt, a.mask)
	}
}

// move moves room and mask on by dt.
func (a *airs) move(t float64) {
	level := a.b.room.level(t) * a.wander.next(a.dt, a.b.room.WanderGSD, a.b.room.WanderS)
	for i, s := range a.bins {
		a.room[i] = level * s.Share
	}
	if a.b.inside != nil {
		a.b.inside(t, a.dt, level, a.mask)
	}
}
