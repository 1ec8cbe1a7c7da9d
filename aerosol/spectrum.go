package aerosol

import (
	"fmt"
	"math"
	"sort"

	"telltale/fault"
	"telltale/quantity"
)

// Part is one mode of a Mixture with its share of the particles.
type Part struct {
	Share float64
	Mode  Lognormal
}

// Mixture is a sum of lognormals.
type Mixture []Part

// NewMixture makes a mixture; the shares must be positive and sum to 1 within
// 0.001.
func NewMixture(parts ...Part) (Mixture, error) {
	sum := 0.0
	for _, p := range parts {
		if !(p.Share > 0) {
			return nil, &fault.Fault{Code: "E706", What: fmt.Sprintf("share %.4g of a mode is not above 0", p.Share), Do: "Leave out a mode that holds no particles."}
		}
		sum += p.Share
	}
	if !(math.Abs(sum-1) <= 0.001) {
		return nil, &fault.Fault{Code: "E706", What: fmt.Sprintf("the shares of the modes sum to %.4g, not to 1", sum), Do: "Give each mode its share of the particle number."}
	}
	return Mixture(parts), nil
}

// Below is the share by number under d.
func (m Mixture) Below(d quantity.Diameter) float64 {
	sum := 0.0
	for _, p := range m {
		sum += p.Share * p.Mode.Below(d)
	}
	return sum
}

// Measured is a size distribution as an instrument reports it: bins about
// mid-points that are spaced evenly enough to share edges half-way in log size.
type Measured struct {
	edge  []float64 // ln of the bin edges, um
	below []float64 // share under each edge
	total float64   // per cm3
}

// NewMeasured makes a distribution from the mid-points of its bins (rising) and
// dN/dlog10(d) in particles per cm3. A total concentration that is stated beside it
// is checked: a distribution whose sum is off by more than 2 % is refused. A total
// of 0 is not stated. Negative bins are refused.
func NewMeasured(mid []quantity.Diameter, dNdlog []float64, total quantity.Concentration) (Measured, error) {
	if len(mid) != len(dNdlog) || len(mid) < 5 {
		return Measured{}, &fault.Fault{Code: "E707", What: fmt.Sprintf("a size distribution has %d sizes and %d values", len(mid), len(dNdlog)), Do: "Give as many values as sizes, at least 5."}
	}
	m := Measured{edge: edges(mid), below: make([]float64, len(mid)+1)}
	for i, v := range dNdlog {
		if !(v >= 0) || math.IsInf(v, 0) {
			return Measured{}, &fault.Fault{Code: "E708", What: fmt.Sprintf("the distribution at %.4g um is %.4g", float64(mid[i]), v), Do: "A concentration is 0 or more; leave out bins that were not measured."}
		}
		width := (m.edge[i+1] - m.edge[i]) / math.Ln10
		if !(width > 0) {
			return Measured{}, &fault.Fault{Code: "E707", What: fmt.Sprintf("the size %.4g um does not rise above the one before", float64(mid[i])), Do: "List the sizes from small to large."}
		}
		m.below[i+1] = m.below[i] + v*width
	}
	return m.normalised(float64(total))
}

// normalised turns running sums into shares and checks the stated total.
func (m Measured) normalised(total float64) (Measured, error) {
	m.total = m.below[len(m.below)-1]
	if !(m.total > 0) {
		return Measured{}, &fault.Fault{Code: "E708", What: "the size distribution holds no particles", Do: "Give at least one bin above 0."}
	}
	if total > 0 && math.Abs(m.total/total-1) > 0.02 {
		return Measured{}, &fault.Fault{Code: "E709",
			What: fmt.Sprintf("the bins sum to %.5g per cm3 but the stated total is %.5g", m.total, total),
			Do:   "The values must be dN/dlog10(d); a distribution that does not sum is not used."}
	}
	for i := range m.below {
		m.below[i] /= m.total
	}
	return m, nil
}

// edges are the logarithms of the bin edges, half-way between mid-points.
func edges(mid []quantity.Diameter) []float64 {
	n := len(mid)
	e := make([]float64, n+1)
	for i := 1; i < n; i++ {
		e[i] = (math.Log(float64(mid[i-1])) + math.Log(float64(mid[i]))) / 2
	}
	e[0] = 2*math.Log(float64(mid[0])) - e[1]
	e[n] = 2*math.Log(float64(mid[n-1])) - e[n-1]
	return e
}

// Total is the sum of the bins.
func (m Measured) Total() quantity.Concentration { return quantity.Concentration(m.total) }

// Below is the share by number under d, evenly spread in log size within a bin.
func (m Measured) Below(d quantity.Diameter) float64 {
	if d <= 0 {
		return 0
	}
	x := math.Log(float64(d))
	i := sort.SearchFloat64s(m.edge, x)
	switch {
	case i == 0:
		return 0
	case i == len(m.edge):
		return 1
	}
	f := (x - m.edge[i-1]) / (m.edge[i] - m.edge[i-1])
	return m.below[i-1] + f*(m.below[i]-m.below[i-1])
}

// Between is the share of a spectrum's particles from lo up to hi.
func Between(s Spectrum, lo, hi quantity.Diameter) float64 { return s.Below(hi) - s.Below(lo) }
