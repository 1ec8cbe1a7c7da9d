package simulate

import (
	"math"

	"telltale/quantity"
)

// face is the space between mask and face while its wearer breathes. The air in
// it is well mixed; what is exhaled is the mean of what the last inhalation drew
// in, less what the lung kept.
type face struct {
	mask   Mask
	person Person
	bins   []Size

	air     []float64 // concentration inside, per cm3, by size
	exhaled []float64 // of the breath being given back, by size
	drawn   []float64 // particles drawn in so far by this inhalation, by size
	volume  float64   // cm3 drawn in so far by this inhalation
	phase   float64   // of the breath, 0-1; inhalation comes first
	norm    float64   // mean of the flow's shape over the inhalation
}

func newFace(m Mask, p Person, bins []Size) *face {
	n := len(bins)
	return &face{mask: m, person: p, bins: bins, norm: meanShape(shapePower(p)),
		air: make([]float64, n), exhaled: make([]float64, n), drawn: make([]float64, n)}
}

func shapePower(p Person) float64 {
	if p.ShapePower == 0 {
		return 1
	}
	return p.ShapePower
}

// meanShape is the mean of sin^power over half a turn, by the midpoint rule.
func meanShape(power float64) float64 {
	const n = 200
	sum := 0.0
	for i := range n {
		sum += math.Pow(math.Sin(math.Pi*(float64(i)+0.5)/n), power)
	}
	return sum / n
}

// flow is the breathing flow in cm3/s at a phase: above 0 inhaled, below 0
// exhaled. Over a cycle the inhaled volume is ventilation times cycle.
func (f *face) flow(e Effort, phase float64) float64 {
	mean := float64(quantity.LitresPerMinute(e.VentilationLMin))
	in := e.InhaleShare
	if phase < in {
		return mean / in / f.norm * math.Pow(math.Sin(math.Pi*phase/in), shapePower(f.person))
	}
	out := 1 - in
	return -mean / out / f.norm * math.Pow(math.Sin(math.Pi*(phase-in)/out), shapePower(f.person))
}

// step breathes on for dt seconds with the given leak share (of the inhaled
// flow) and room level (per cm3, all sizes). Flow is taken at the step's middle.
func (f *face) step(dt float64, e Effort, leak, room float64) {
	turn := dt / e.CycleS
	middle := math.Mod(f.phase+turn/2, 1)
	q := f.flow(e, middle)
	leak = min(leak, 1)
	mix := 1 - math.Exp(-math.Abs(q)*dt/f.mask.deadSpaceCM3())
	for i, b := range f.bins {
		into := f.exhaled[i]
		if q > 0 {
			through := f.mask.Through(quantity.Flow(q), b.Response)
			into = room * b.Share * (through*(1-leak) + leak*b.Pass)
		}
		f.air[i] += (into - f.air[i]) * mix
		if q > 0 {
			f.drawn[i] += f.air[i] * q * dt
		}
	}
	if q > 0 {
		f.volume += q * dt
	} else if f.volume > 0 {
		f.turn()
	}
	f.phase = math.Mod(f.phase+turn, 1)
}

// turn ends an inhalation: what was drawn in comes back, less what is kept.
func (f *face) turn() {
	for i := range f.drawn {
		f.exhaled[i] = f.drawn[i] / f.volume * (1 - f.person.Retention)
		f.drawn[i] = 0
	}
	f.volume = 0
}
