package simulate

import (
	"math"
	"math/rand/v2"

	"telltale/record"
)

// writer puts rows into a trace as a logger would.
type writer struct {
	bench  *bench
	t      *record.Trace
	jitter *rand.Rand
}

// open makes the columns that the layout has.
func (w *writer) open() {
	for _, s := range w.bench.room.Sizes {
		if !w.bench.sized() {
			break
		}
		c := record.Channel{Low: s.Low, High: s.High, Ambient: []float64{}}
		if w.bench.inside != nil {
			c.Inside = []float64{}
		}
		w.t.Channels = append(w.t.Channels, c)
	}
	if w.bench.raw {
		w.t.Reading = record.RawCounts
	}
}

// row writes one row from what the instruments took in.
func (w *writer) row(start, period float64, s stretch, a *airs) {
	t := w.t
	t.TimeS = append(t.TimeS, w.time(start))
	t.Sampling = append(t.Sampling, s.word)
	t.Ambient, t.Inside = append(t.Ambient, math.NaN()), append(t.Inside, math.NaN())
	if w.bench.raw {
		t.VolumeCM3 = append(t.VolumeCM3, w.bench.ambientCounter.volume())
	}
	w.label(s.label)

	counts := a.ambient.counts(period, w.bench.sized())
	if w.bench.switched && s.line == record.Inside {
		w.put(a.ambient.Counter, record.Inside, counts)
	} else {
		w.put(a.ambient.Counter, record.Ambient, counts)
	}
	switch {
	case a.inside != nil:
		w.put(a.inside.Counter, record.Inside, a.inside.counts(period, w.bench.sized()))
	case w.bench.switched:
		w.skip(s.line)
	}
}

// time is a row's time as the logger wrote it: to the millisecond, never going
// back by its jitter.
func (w *writer) time(start float64) float64 {
	n := len(w.t.TimeS)
	sd := float64(w.bench.ambientCounter.Jitter)
	if sd > 0 && n > 0 {
		start += sd * w.jitter.NormFloat64()
		start = max(start, w.t.TimeS[n-1]+0.001)
	}
	return math.Round(start*1000) / 1000
}

// label writes the exercise column.
func (w *writer) label(name string) {
	if !w.bench.labelled {
		return
	}
	t := w.t
	if name == "" {
		t.Exercise = append(t.Exercise, -1)
		return
	}
	for i, l := range t.Labels {
		if l == name {
			t.Exercise = append(t.Exercise, int32(i))
			return
		}
	}
	t.Labels = append(t.Labels, name)
	t.Exercise = append(t.Exercise, int32(len(t.Labels)-1))
}

// put writes what a counter shows into the columns of an air.
func (w *writer) put(c Counter, air record.Air, counts []float64) {
	t, n := w.t, len(w.t.TimeS)-1
	if len(t.Channels) > 0 {
		for i := range t.Channels {
			v, _ := c.show(counts[i])
			column := channel(&t.Channels[i], air)
			*column = append(*column, v)
		}
		return
	}
	column := column(t, air)
	if w.bench.raw {
		column[n] = counts[0]
		return
	}
	v, beyond := c.show(counts[0])
	if beyond && c.Beyond == Says {
		t.Overload = append(t.Overload, record.Overload{Row: n, Air: air, Word: "OVER"})
		return
	}
	column[n] = v
}

// skip leaves the size channels of the air empty that a switched line was not on.
func (w *writer) skip(on record.Air) {
	other := record.Inside
	if on == record.Inside {
		other = record.Ambient
	}
	for i := range w.t.Channels {
		column := channel(&w.t.Channels[i], other)
		*column = append(*column, math.NaN())
	}
}

func column(t *record.Trace, air record.Air) []float64 {
	if air == record.Inside {
		return t.Inside
	}
	return t.Ambient
}

func channel(c *record.Channel, air record.Air) *[]float64 {
	if air == record.Inside {
		return &c.Inside
	}
	return &c.Ambient
}
