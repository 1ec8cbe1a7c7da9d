package attribution

import (
	"sort"
)

// ordered is a weighted sample in order, for its quantiles.
type ordered struct {
	x, cum []float64
}

// order sorts a sample; nil weights are equal ones.
func order(x, w []float64) ordered {
	at := make([]int, len(x))
	for i := range at {
		at[i] = i
	}
	sort.Slice(at, func(a, b int) bool { return x[at[a]] < x[at[b]] })
	o := ordered{make([]float64, len(x)), make([]float64, len(x))}
	sum := 0.0
	for i, k := range at {
		v := 1 / float64(len(x))
		if w != nil {
			v = w[k]
		}
		o.x[i] = x[k]
		o.cum[i] = sum + v/2
		sum += v
	}
	return o
}

// at is the quantile at p, interpolated between neighbours.
func (o ordered) at(p float64) float64 {
	n := len(o.x)
	switch i := sort.SearchFloat64s(o.cum, p); {
	case i == 0:
		return o.x[0]
	case i == n:
		return o.x[n-1]
	case o.cum[i] == o.cum[i-1]:
		return o.x[i]
	default:
		return o.x[i-1] + (o.x[i]-o.x[i-1])*(p-o.cum[i-1])/(o.cum[i]-o.cum[i-1])
	}
}
