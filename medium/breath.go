package medium

import (
	"fmt"
	"math"
	"sort"

	"telltale/fault"
	"telltale/quantity"
)

// Breathing is how the inhaled air is spread over flows: shares of the inhaled
// volume with their flow. An average over it is flow-weighted.
type Breathing struct {
	flow  []float64 // L/min
	share []float64 // of the inhaled volume, sum 1
	Words string
}

// The minute ventilations that are taken (L/min): below no adult lives, above no
// adult keeps up.
const (
	LeastVentilation = 4
	MostVentilation  = 120
)

// Sinusoid is breathing at a minute ventilation in L/min with sinusoidal inhalation
// over half of the time: mean inhalation flow 2 V, peak pi V.
func Sinusoid(ventilation float64) (Breathing, error) {
	if err := inRange("E723", "minute ventilation", ventilation, LeastVentilation, MostVentilation, "L/min"); err != nil {
		return Breathing{}, err
	}
	b := Breathing{Words: fmt.Sprintf("sinusoid, %.3g L/min", ventilation)}
	for i, x := range gaussNodes {
		// With x = cos(phase) the flow-weighted mean of f(peak sin) over the breath is the
		// plain integral of f(peak sqrt(1-x^2)) over x from 0 to 1.
		b.flow = append(b.flow, math.Pi*ventilation*math.Sqrt(1-x*x))
		b.share = append(b.share, gaussWeights[i])
	}
	return b, nil
}

// Gauss-Legendre nodes and weights on 0 to 1.
var gaussNodes, gaussWeights = gauss(12)

// gauss finds the nodes and weights of the Gauss-Legendre rule of order n on 0 to 1
// by Newton's method on the Legendre polynomial.
func gauss(n int) (nodes, weights []float64) {
	for i := range n {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		slope := 0.0
		for range 20 {
			p0, p1 := 1.0, x
			for k := 2; k <= n; k++ {
				p0, p1 = p1, (float64(2*k-1)*x*p1-float64(k-1)*p0)/float64(k)
			}
			slope = float64(n) * (x*p1 - p0) / (x*x - 1)
			x -= p1 / slope
		}
		nodes = append(nodes, (1+x)/2)
		weights = append(weights, 1/((1-x*x)*slope*slope))
	}
	return nodes, weights
}

// Constant is a constant flow in L/min, such as a test rig's.
func Constant(flow float64) (Breathing, error) {
	if err := inRange("E724", "constant flow", flow, 0.1, 600, "L/min"); err != nil {
		return Breathing{}, err
	}
	return constant(flow), nil
}

// constant is Constant unchecked.
func constant(flow float64) Breathing {
	return Breathing{[]float64{flow}, []float64{1}, fmt.Sprintf("constant %.4g L/min", flow)}
}

// recordedBins is the number of flow bins a recording is gathered into; each bin
// keeps its own mean flow, so the mean of the whole is exact.
const recordedBins = 24

// Recorded is breathing as flow samples taken at even times, L/min, inhalation
// positive. Exhalation (negative) and rest, below 2 % of the peak, count for nothing.
// At least 20 samples with inhalation are needed, and flows beyond 600 L/min are
// refused.
func Recorded(samples []float64) (Breathing, error) {
	peak := 0.0
	for i, q := range samples {
		if math.IsNaN(q) || q > 600 || q < -600 {
			return Breathing{}, &fault.Fault{Code: "E725", What: fmt.Sprintf("flow sample %d is %.4g L/min", i+1, q), Do: "Give flows from -600 to 600 L/min, inhalation positive."}
		}
		peak = max(peak, q)
	}
	var in []float64
	for _, q := range samples {
		if q > 0.02*peak {
			in = append(in, q)
		}
	}
	if len(in) < 20 {
		return Breathing{}, &fault.Fault{Code: "E725", What: fmt.Sprintf("%d samples of inhalation in a recorded breath", len(in)), Do: "Give at least 20 samples with flow above 0, evenly spaced in time."}
	}
	sort.Float64s(in)
	volume := 0.0
	for _, q := range in {
		volume += q
	}
	b := Breathing{Words: fmt.Sprintf("recorded, mean inhalation flow %.3g L/min", volume/float64(len(in)))}
	per := (len(in) + recordedBins - 1) / recordedBins
	for start := 0; start < len(in); start += per {
		part, squares := 0.0, 0.0
		for _, q := range in[start:min(start+per, len(in))] {
			part, squares = part+q, squares+q*q
		}
		b.flow = append(b.flow, squares/part) // flow-weighted mean of the bin
		b.share = append(b.share, part/volume)
	}
	return b, nil
}

// Mean is the flow-weighted mean of a function of the flow in L/min.
func (b Breathing) Mean(f func(flow float64) float64) float64 {
	sum := 0.0
	for i, q := range b.flow {
		sum += b.share[i] * f(q)
	}
	return sum
}

// face is the face velocity in m/s of a flow in L/min through an area.
func face(flow float64, area quantity.Area) float64 {
	return float64(area.Through(quantity.LitresPerMinute(flow))) * 0.01
}
