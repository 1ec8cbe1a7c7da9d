package report

import (
	"math"
	"strconv"

	"telltale/uncertainty"
)

// scale maps values to places between x0 and x1. What lies outside is drawn at
// the edge.
type scale struct {
	lo, hi, x0, x1 float64
	log            bool
}

// place tells where v is drawn.
func (s scale) place(v float64) float64 {
	share := (v - s.lo) / (s.hi - s.lo)
	if s.log {
		share = math.Log(v/s.lo) / math.Log(s.hi/s.lo)
	}
	if math.IsNaN(share) {
		share = 0
	}
	return s.x0 + math.Max(0, math.Min(1, share))*(s.x1-s.x0)
}

// logScale spans the positive finite values with some air, from one round number
// to another; 1 to 1000 when there are none.
func logScale(x0, x1 float64, values ...float64) scale {
	lo, hi := math.Inf(1), 0.0
	for _, v := range values {
		if drawable(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	if hi == 0 {
		lo, hi = 1, 1000
	}
	lo, hi = roundDown(lo/1.15), roundUp(hi*1.15)
	if hi/lo < 9 {
		lo, hi = roundDown(lo/1.5), roundUp(hi*1.5)
	}
	return scale{lo, hi, x0, x1, true}
}

// drawable reports whether a log axis has a place for v.
func drawable(v float64) bool { return v > 1e-15 && v < 1e15 }

var steps = []float64{1, 2, 3, 5, 10}

func roundDown(v float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	best := decade
	for _, s := range steps {
		if s*decade <= v*(1+1e-9) {
			best = s * decade
		}
	}
	return best
}

func roundUp(v float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(v)))
	for _, s := range steps {
		if s*decade >= v*(1-1e-9) {
			return s * decade
		}
	}
	return 10 * decade
}

// linearScale spans zero to a round number at or above the largest value.
func linearScale(x0, x1, largest float64) scale {
	if !(largest > 0) || math.IsInf(largest, 0) {
		largest = 1
	}
	return scale{0, math.Max(roundUp(largest), 1e-12), x0, x1, false}
}

// ticks gives round values with room for their labels of the type size.
func (s scale) ticks(size float64) []float64 {
	if !s.log {
		n := map[float64]float64{2: 4, 3: 3}[math.Round(s.hi/math.Pow(10, math.Floor(math.Log10(s.hi)+1e-9)))]
		if n == 0 {
			n = 5
		}
		var out []float64
		for i := 0.0; i <= n; i++ {
			out = append(out, s.lo+(s.hi-s.lo)*i/n)
		}
		return out
	}
	for _, mantissas := range [][]float64{{1, 2, 3, 5}, {1, 2, 5}, {1, 3}, {1}} {
		if out := s.logTicks(mantissas, 1); s.roomy(out, size) {
			return out
		}
	}
	for every := 2; every < 40; every++ {
		if out := s.logTicks([]float64{1}, every); s.roomy(out, size) {
			return out
		}
	}
	return []float64{s.lo, s.hi}
}

func (s scale) logTicks(mantissas []float64, every int) (out []float64) {
	first, last := int(math.Floor(math.Log10(s.lo)+1e-9)), int(math.Ceil(math.Log10(s.hi)))
	for d := first; d <= last; d += every {
		for _, m := range mantissas {
			if v := m * math.Pow(10, float64(d)); v >= s.lo*(1-1e-9) && v <= s.hi*(1+1e-9) {
				out = append(out, v)
			}
		}
	}
	return out
}

// roomy reports whether the labels stand apart.
func (s scale) roomy(ticks []float64, size float64) bool {
	for i := 1; i < len(ticks); i++ {
		need := (wide(plainNumber(ticks[i-1]), size)+wide(plainNumber(ticks[i]), size))/2 + size
		if s.place(ticks[i])-s.place(ticks[i-1]) < need {
			return false
		}
	}
	return len(ticks) > 1
}

// plainNumber labels a tick: no powers of ten where words do.
func plainNumber(v float64) string {
	switch {
	case v == 0:
		return "0"
	case v >= 1e12 || v < 1e-6:
		return strconv.FormatFloat(v, 'g', 2, 64)
	case v >= 1e9:
		return uncertainty.Number(v/1e9) + " billion"
	case v >= 1e6:
		return uncertainty.Number(v/1e6) + " million"
	}
	digits := max(0, 1-int(math.Floor(math.Log10(v)+1e-9)))
	if math.Abs(v-math.Round(v)) < 1e-9*v {
		digits = 0
	}
	s := uncertainty.Grouped(v, digits)
	for digits > 0 && s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	return s
}
