package simulate

import (
	"math"
	"math/rand/v2"

	"telltale/quantity"
	"telltale/record"
)

// DeadTimeLaw says what a particle does that arrives while the counter is busy.
type DeadTimeLaw uint8

// The two laws.
const (
	Extending    DeadTimeLaw = iota // it keeps the counter busy: Ni = Na exp(-Na Q tau)
	NonExtending                    // it is only lost: Ni = Na / (1 + Na Q tau)
)

// Over says what a counter writes beyond its range.
type Over uint8

// What is written.
const (
	Clips Over = iota // the top of the range
	Says              // the word OVER
)

// Counter is an instrument with its failings.
type Counter struct {
	Kind       record.CounterKind
	Flow       quantity.Flow // the sample flow that is counted
	Smallest   quantity.Diameter
	DeadTime   quantity.Seconds // per particle
	Law        DeadTimeLaw
	Corrects   bool                   // the counter corrects its dead time itself; a study then states none
	Background quantity.Concentration // what it shows for nothing
	Transit    quantity.Seconds       // from the probe to the counter; kept to a tenth of a second
	Washout    quantity.Seconds       // time constant of the line's mixing volume
	Efficiency float64                // share of the particles it sees; 0 = 1. Two counters that differ need a pairing factor
	Top        quantity.Concentration // of the range; 0 = no end
	Beyond     Over
	Resolution float64          // step of the readout per cm3; 0 = none
	Channels   bool             // it shows the room's sizes one by one; dead time and range are then left out of account between channels
	Period     quantity.Seconds // between rows
	Jitter     quantity.Seconds // standard deviation of a row's time
}

// Record is what a study tells of the counter: what stands on its label, not its
// background nor its efficiency.
func (c Counter) Record(id string) record.Counter {
	r := record.Counter{ID: id, Kind: c.Kind, Flow: c.Flow, DeadTime: c.DeadTime, Smallest: c.Smallest,
		Top: c.Top, Transit: c.Transit, Washout: c.Washout}
	if c.Corrects {
		r.DeadTime = 0
	}
	return r
}

// Indicated is the concentration that is counted when na per cm3 are there: the
// coincidence equation Na = Ni exp(Na Q tau) read from right to left, or the
// non-extending law. It is the mean; the small loss of variance is left out.
func (c Counter) Indicated(na float64) float64 {
	if c.Corrects {
		return na
	}
	x := na * float64(c.Flow) * float64(c.DeadTime)
	if c.Law == NonExtending {
		return na / (1 + x)
	}
	return na * math.Exp(-x)
}

// volume is the air looked at in one row, cm3.
func (c Counter) volume() float64 { return float64(c.Flow.Over(c.Period)) }

// count draws the counts of a row whose air holds na per cm3 on average.
func (c Counter) count(rng *rand.Rand, na float64) float64 {
	seen := na
	if c.Efficiency > 0 {
		seen *= c.Efficiency
	}
	return poisson(rng, (c.Indicated(seen)+float64(c.Background))*c.volume())
}

// show turns counts into the number on the readout, and says whether it is
// beyond the range.
func (c Counter) show(counts float64) (v float64, beyond bool) {
	v = counts / c.volume()
	if c.Resolution > 0 {
		steps := math.Round(v / c.Resolution)
		if per := math.Round(1 / c.Resolution); per >= 1 && math.Abs(per*c.Resolution-1) < 1e-9 {
			v = steps / per // so that a tenth prints as a tenth
		} else {
			v = steps * c.Resolution
		}
	}
	if c.Top > 0 && v >= float64(c.Top) {
		return float64(c.Top), true
	}
	return v, false
}

// line carries air from the probe to the counter: a delay, then a mixing volume.
type line struct {
	delay [][]float64 // ring of the air on its way, by size
	next  int
	tau   float64
	out   []float64
	full  bool
}

func newLine(c Counter, bins int, dt float64) *line {
	l := &line{tau: float64(c.Washout), out: make([]float64, bins)}
	for range int(math.Round(float64(c.Transit) / dt)) {
		l.delay = append(l.delay, make([]float64, bins))
	}
	return l
}

// step takes in the air at the probe for dt seconds and leaves in out the air
// at the counter, mean over the step. The line is full of the first air.
func (l *line) step(dt float64, in []float64) []float64 {
	if !l.full {
		for _, d := range l.delay {
			copy(d, in)
		}
		copy(l.out, in)
		l.full = true
	}
	keep := 0.0
	if l.tau > 0 {
		keep = math.Exp(-dt / l.tau)
	}
	arriving := in
	if len(l.delay) > 0 {
		arriving = l.delay[l.next]
	}
	for i, v := range arriving {
		l.out[i] = v + (l.out[i]-v)*keep
	}
	if len(l.delay) > 0 {
		copy(l.delay[l.next], in)
		l.next = (l.next + 1) % len(l.delay)
	}
	return l.out
}
