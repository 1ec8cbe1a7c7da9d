package fitfactor

import (
	"math"

	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// Pairing is how the counter on the mask reads against the one on the room when
// both are given the same air.
type Pairing struct {
	Factor float64 // inside counter over ambient counter
	U      float64 // relative standard uncertainty of Factor
	Dof    float64
	Ground string // a side-by-side check, or a published spread
}

// Unpaired is what may be assumed of two counters that were never compared: no
// difference, with the spread that two handheld condensation counters of the
// same principle showed.
func Unpaired() Pairing {
	return Pairing{Factor: 1, U: 0.10, Dof: math.Inf(1),
		Ground: "not compared here; 63 % of a published comparison of handheld counters agreed within 10 % (Aerosol Science and Technology 38 (2004) 487, abstract " + string(reference.Read) + ")"}
}

// Pair computes the pairing factor from a trace on which both counters sampled
// the same air. ok is false when it holds no row with both.
func Pair(t *record.Trace, s Settings) (p Pairing, ok bool) {
	var r Result
	ambient, inside := r.read(t, s)
	return pairRows(ambient, inside, func(int) bool { return true })
}

// pairRows pairs the rows for which use holds.
func pairRows(ambient, inside series, use func(row int) bool) (Pairing, bool) {
	byRow := map[int]reading{}
	for _, x := range ambient {
		byRow[x.row] = x
	}
	var a, i, volume, seconds float64
	var pairs [][2]float64
	ca, ci := 0.0, 0.0
	for _, x := range inside {
		y, both := byRow[x.row]
		if !both || !use(x.row) || x.capped || y.capped {
			continue
		}
		a += y.conc * x.volume
		i += x.conc * x.volume
		volume += x.volume
		seconds += x.dt
		ca, ci = ca+y.counts, ci+x.counts
		pairs = append(pairs, [2]float64{y.conc, x.conc})
	}
	if len(pairs) == 0 || a <= 0 || i <= 0 {
		return Pairing{}, false
	}
	p := Pairing{Factor: i / a, Ground: "a side-by-side run of " + number(seconds) + " s"}
	residuals := make([]float64, len(pairs))
	for n, v := range pairs {
		residuals[n] = (v[1] - p.Factor*v[0]) / (i / volume)
	}
	variance, dof := uncertainty.LongRun(residuals, cosines(len(pairs), seconds))
	p.Dof = dof
	if poisson := 1/ca + 1/ci; poisson > variance {
		variance, p.Dof = poisson, math.Inf(1)
	}
	p.U = math.Sqrt(variance)
	return p, true
}

// pair settles the pairing factor of this trace: from the settings, or from a
// stretch of the trace labelled side by side.
func (r *Result) pair(t *record.Trace, s Settings) Pairing {
	if s.Pairing != nil {
		r.step("pairing", "The inside counter reads %s times the ambient one (standard uncertainty %s %%): %s.",
			number(s.Pairing.Factor), number(100*s.Pairing.U), s.Pairing.Ground)
		return *s.Pairing
	}
	if t.Switched {
		return Pairing{Factor: 1, Dof: math.Inf(1)}
	}
	stretch := labelRows(t, sideBySide)
	if len(stretch) > 0 {
		var scratch Result
		ambient, inside := scratch.read(t, s)
		if p, ok := pairRows(ambient, inside, func(row int) bool { return stretch[row] }); ok {
			p.Ground = "the stretch of this trace labelled side by side"
			r.step("pairing", "The inside counter reads %s times the ambient one (standard uncertainty %s %%): %s.", number(p.Factor), number(100*p.U), p.Ground)
			return p
		}
	}
	r.step("pairing", "The two columns were not compared on the same air; they are taken as equal.")
	r.caveat("If the two columns come from two counters, their agreement was not examined and is not in the interval.")
	return Pairing{Factor: 1, Dof: math.Inf(1)}
}

// labelRows marks the rows that bear a label of the given plain form.
func labelRows(t *record.Trace, plainLabel string) map[int]bool {
	rows := map[int]bool{}
	for row, i := range t.Exercise {
		if i >= 0 && plain(t.Labels[i]) == plainLabel {
			rows[row] = true
		}
	}
	return rows
}
