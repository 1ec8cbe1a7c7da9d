package fitfactor

import (
	"math"

	"telltale/record"
	"telltale/uncertainty"
)

// background is what a counter shows for filtered air.
type background struct {
	conc   float64 // per cm3
	counts float64 // counted, or worth in counts when the flow is unknown
	volume float64 // so that conc = counts / volume
	known  bool
}

// backgrounds of the two counters.
type backgrounds struct{ ambient, inside background }

// background reads the zero checks. Nothing is clipped: a mean below the
// background later gives a bound, not a zero.
func (r *Result) background(s Settings, ambient, inside series) backgrounds {
	b := backgrounds{zeroOf(s.ZeroAmbient, record.Ambient, s.Ambient), zeroOf(s.ZeroInside, record.Inside, s.Inside)}
	r.Signs.BackgroundPerCM3 = math.NaN()
	if !b.inside.known {
		r.step("background", "No zero check was given; nothing is subtracted.")
		r.caveat("No zero check: whatever the counter shows for clean air is still in the inside figure, so the fit factor may read low, not high.")
		return b
	}
	r.Signs.BackgroundPerCM3 = b.inside.conc
	r.step("background", "The zero check shows %s per cm3 (%s counts in %s cm3); it is subtracted from the inside air without clipping.",
		number(b.inside.conc), number(b.inside.counts), number(b.inside.volume))
	return b
}

// zeroOf reads the background from whichever column the zero check fills, the
// air's own one first.
func zeroOf(t *record.Trace, air record.Air, c Counter) background {
	if t == nil {
		return background{}
	}
	values := t.Inside
	if air == record.Ambient && anyNumber(t.Ambient) || !anyNumber(t.Inside) {
		values = t.Ambient
	}
	durations, _ := steps(t.TimeS)
	var b background
	var rows []float64
	for row, v := range values {
		if math.IsNaN(v) || !hasVolume(t, row) {
			continue
		}
		x := reading{row: row, dt: durations[row]}
		x.fill(v, t, c)
		b.volume += x.volume
		b.conc += x.conc * x.volume
		b.counts += x.counts
		rows = append(rows, x.conc)
	}
	if len(rows) == 0 {
		return background{}
	}
	b.conc /= b.volume
	b.known = true
	if math.IsNaN(b.counts) { // without a flow the scatter of the rows says what the mean is worth
		b.counts, b.volume = worth(rows, b.conc)
	}
	return b
}

// worth gives a count whose relative Poisson error is that of the mean of rows.
func worth(rows []float64, mean float64) (counts, volume float64) {
	residuals := make([]float64, len(rows))
	for i, v := range rows {
		residuals[i] = v - mean
	}
	variance, _ := uncertainty.LongRun(residuals, cosines(len(rows), float64(len(rows))))
	if mean <= 0 || variance <= 0 {
		return 0, math.Inf(1)
	}
	counts = mean * mean / variance
	return counts, counts / mean
}

// Background is what a counter shows for filtered air, per cm3, with the exact
// one-sided 95 % upper limit of it.
type Background struct{ PerCM3, Upper float64 }

// BackgroundOf reads a zero check; nil when it holds no reading.
func BackgroundOf(t *record.Trace, c Counter) *Background {
	b := zeroOf(t, record.Inside, c)
	if !b.known {
		return nil
	}
	upper := b.conc
	if !math.IsInf(b.volume, 1) {
		upper = uncertainty.RateAtMost(b.counts, b.volume, 0.95).High
	}
	return &Background{b.conc, upper}
}
