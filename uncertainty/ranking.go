package uncertainty

import (
	"math"
	"sort"
)

// Candidate is what is known of one thing to be ranked: location, scale and
// degrees of freedom of a t distribution (log scale for fit factors; DOF +Inf for
// normal). More is better.
type Candidate struct{ Location, Scale, DOF float64 }

// Rank is what can be said of a candidate's place, 1 being best.
type Rank struct {
	Best      float64 // probability of being the best
	Mean      float64 // mean place
	Low, High int     // places that hold it with at least the level
	// Places[k] is the probability of place k+1.
	Places []float64
}

// Ranks gives every candidate's distribution over places, by quadrature over its
// own distribution and the exact law of how many others lie above it. Publish the
// interval and the chance of being best, not a bare place.
func Ranks(of []Candidate, level float64) []Rank {
	out := make([]Rank, len(of))
	for i := range of {
		out[i] = rankOf(of, i, level)
	}
	return out
}

func rankOf(of []Candidate, i int, level float64) Rank {
	r := Rank{Places: make([]float64, len(of))}
	row := make([]float64, len(of))
	// The trapezium rule in the logit of the probability: exponentially convergent.
	const step = 0.25
	var total float64
	for v := -36.0; v <= 36; v += step {
		q := 1 / (1 + math.Exp(v)) // probability above
		w := q * (1 - q)
		if v < 0 {
			w = math.Exp(v) * q * q
		}
		x := of[i].Location + of[i].Scale*candidateQuantile(q, v, of[i].DOF)
		aboveLaw(row, of, i, x)
		for k, p := range row {
			r.Places[k] += w * p
		}
		total += w
	}
	for k := range r.Places {
		r.Places[k] /= total
		r.Mean += r.Places[k] * float64(k+1)
	}
	r.Best = r.Places[0]
	tail := (1 - level) / 2
	r.Low, r.High = placeAt(r.Places, tail), placeAt(r.Places, 1-tail)
	return r
}

// candidateQuantile takes the upper tail where it is the small one.
func candidateQuantile(q, logit, dof float64) float64 {
	if logit < 0 {
		return -studentQuantile(1/(1+math.Exp(-logit)), dof)
	}
	return studentQuantile(q, dof)
}

// aboveLaw fills row with the chance that exactly k of the others lie above x.
func aboveLaw(row []float64, of []Candidate, i int, x float64) {
	for k := range row {
		row[k] = 0
	}
	row[0] = 1
	seen := 0
	for j, c := range of {
		if j == i {
			continue
		}
		p := studentAbove((x-c.Location)/c.Scale, c.DOF)
		seen++
		for k := seen; k > 0; k-- {
			row[k] = row[k]*(1-p) + row[k-1]*p
		}
		row[0] *= 1 - p
	}
}

// placeAt is the first place at which the cumulated probability reaches p.
func placeAt(places []float64, p float64) int {
	var sum float64
	for k, w := range places {
		if sum += w; sum >= p {
			return k + 1
		}
	}
	return len(places)
}

// Holm adjusts probabilities for many tests so that the chance of even one false
// alarm stays below the level they are held against (Holm 1979; from memory).
func Holm(p []float64) []float64 {
	order := ascending(p)
	out := make([]float64, len(p))
	most := 0.0
	for k, i := range order {
		most = math.Max(most, math.Min(1, float64(len(p)-k)*p[i]))
		out[i] = most
	}
	return out
}

// BenjaminiHochberg adjusts probabilities for many tests so that the expected
// share of false alarms among alarms stays below the level (Benjamini & Hochberg
// 1995; from memory).
func BenjaminiHochberg(p []float64) []float64 {
	order := ascending(p)
	out := make([]float64, len(p))
	least := 1.0
	for k := len(p) - 1; k >= 0; k-- {
		i := order[k]
		least = math.Min(least, float64(len(p))/float64(k+1)*p[i])
		out[i] = least
	}
	return out
}

func ascending(p []float64) []int {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return p[order[a]] < p[order[b]] })
	return order
}
