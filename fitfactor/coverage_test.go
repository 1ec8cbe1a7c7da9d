package fitfactor

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"

	"telltale/record"
	"telltale/uncertainty"
)

var (
	rounds = flag.Int("rounds", 120, "synthetic wearings a cell of the coverage table")
	table  = flag.String("table", "", "write the coverage table to this file")
)

// cell is one corner of the grid: how many particles are counted inside over the
// whole wearing, what the room does, how the air inside varies, and the counters.
type cell struct {
	counts   float64
	drifting bool
	talking  bool
	counters int
	minutes  float64 // of a single exercise; 0 = eight exercises
}

func (c cell) String() string {
	word := func(b bool, yes, no string) string {
		if b {
			return yes
		}
		return no
	}
	what := "eight exercises"
	if c.minutes > 0 {
		what = fmt.Sprintf("one of %g min", c.minutes)
	}
	return fmt.Sprintf("%-15s | %6g | %-8s | %-7s | %d", what, c.counts, word(c.drifting, "drifting", "flat"), word(c.talking, "talking", "calm"), c.counters)
}

// wearing makes a synthetic trace of the cell and the fit factor that more time
// in the same wearing would show.
func (c cell) wearing(rng *rand.Rand) (*record.Trace, float64) {
	const flow, room0 = 1.67, 4000.0
	labels, spread := eight, []float64{1, 1.1, 1.5, 1.4, 1.8, 3, 1.6, 1}
	seconds := []int{60, 60, 60, 60, 60, 15, 60, 60}
	if c.minutes > 0 {
		labels, spread, seconds = []string{"run"}, []float64{1}, []int{int(60 * c.minutes)}
	}
	inSeconds, mean, k := 0.0, 0.0, 0.0
	for i := range labels {
		if labels[i] != grimace {
			inSeconds += c.used(seconds[i]) * spread[i]
			mean, k = mean+spread[i], k+1
		}
	}
	unit := c.counts / (inSeconds * flow * room0) // penetration of an exercise with spread 1
	t := &record.Trace{Name: "synthetic", Labels: labels, Switched: c.counters == 1}
	level := func(at float64) float64 {
		if c.drifting {
			return room0 * math.Exp(-at/600*0.36) // 30 % in ten minutes
		}
		return room0
	}
	row := func(label int, air record.Air, penetration, modulation float64) {
		at := float64(len(t.TimeS))
		draw := func(conc float64) float64 { return poisson(rng, conc*flow) / flow }
		a, i := math.NaN(), math.NaN()
		if air != record.Inside {
			a = draw(level(at))
		}
		if air != record.Ambient {
			i = draw(level(at) * penetration * modulation)
		}
		t.TimeS, t.Sampling = append(t.TimeS, at), append(t.Sampling, air)
		t.Ambient, t.Inside, t.Exercise = append(t.Ambient, a), append(t.Inside, i), append(t.Exercise, int32(label))
	}
	for e := range labels {
		p, wander := unit*spread[e], newWander(rng, c.talking)
		for s := range seconds[e] {
			switch {
			case c.counters == 2:
				row(e, record.Both, p, wander())
			case s < roomSeconds(seconds[e]):
				row(e, record.Ambient, p, wander())
			default:
				row(e, record.Inside, p, wander())
			}
		}
	}
	if c.counters == 1 {
		for range 15 {
			row(len(labels)-1, record.Ambient, 0, 1)
		}
	}
	return t, 1 / (unit * mean / k)
}

// roomSeconds is how long a switched line stays on the room in an exercise.
func roomSeconds(exercise int) int { return exercise / 4 }

func (c cell) used(seconds int) float64 {
	if c.counters == 1 {
		return float64(seconds - roomSeconds(seconds))
	}
	return float64(seconds)
}

// newWander is the air inside around its mean: a log-normal autoregression. Calm:
// correlation over about 2 s, GSD 1.3; talking: about 6 s, GSD 2.
func newWander(rng *rand.Rand, talking bool) func() float64 {
	gsd, seconds := 1.3, 2.0
	if talking {
		gsd, seconds = 2, 6
	}
	sd, phi := math.Log(gsd), math.Exp(-1/seconds)
	x := rng.NormFloat64()
	return func() float64 {
		x = phi*x + math.Sqrt(1-phi*phi)*rng.NormFloat64()
		return math.Exp(sd*x - sd*sd/2)
	}
}

// poisson draws by counting exponential steps, and by the normal above 500.
func poisson(rng *rand.Rand, mean float64) float64 {
	if mean > 500 {
		return math.Max(0, math.Round(mean+math.Sqrt(mean)*rng.NormFloat64()))
	}
	n, sum := 0.0, 0.0
	for {
		if sum += rng.ExpFloat64(); sum > mean {
			return n
		}
		n++
	}
}

func grid() []cell {
	var out []cell
	for _, minutes := range []float64{0, 3} {
		for _, counts := range []float64{2, 5, 10, 30, 100, 1000, 20000} {
			for _, drifting := range []bool{false, true} {
				for _, talking := range []bool{false, true} {
					for _, counters := range []int{1, 2} {
						out = append(out, cell{counts, drifting, talking, counters, minutes})
					}
				}
			}
		}
	}
	return out
}

type tally struct{ inside, below, above, falsePass, open int } // open: cells gathered

func (c cell) run(n int, seed uint64) (tally, error) {
	rng := rand.New(rand.NewPCG(seed, 7))
	var out tally
	id := "us-8"
	if c.minutes > 0 {
		id = "free"
	}
	p := protocol(id)
	for range n {
		trace, truth := c.wearing(rng)
		r, err := Of(trace, Settings{Protocol: p, Ambient: bench, Inside: bench, Limit: limit(truth)})
		if err != nil {
			return out, err
		}
		f := r.FitFactor
		switch {
		case f.Kind == uncertainty.AtLeast && f.Low <= truth:
			out.inside++
		case f.Low <= truth && truth <= f.High:
			out.inside++
		case truth < f.Low:
			out.above++
		default:
			out.below++
		}
		if r.Verdict.Outcome == Pass {
			out.falsePass++
		}
	}
	return out, nil
}

// runAll runs the cells side by side, one a processor; each has its own seed, so
// the order does not matter.
func runAll(t *testing.T, cells []cell, n int) []tally {
	t.Helper()
	out, errs := make([]tally, len(cells)), make([]error, len(cells))
	next := make(chan int)
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := range next {
				out[i], errs[i] = cells[i].run(n, uint64(1000+i))
			}
		})
	}
	for i := range cells {
		next <- i
	}
	close(next)
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestIntervalsKeepTheirPromise runs the grid with the true fit factor as the
// limit. `make coverage` runs 20 000 wearings a cell and writes the table.
func TestIntervalsKeepTheirPromise(t *testing.T) {
	var b strings.Builder
	bands := map[float64]tally{}
	cells := grid()
	all := runAll(t, cells, *rounds)
	for i, c := range cells {
		got := all[i]
		n := float64(*rounds)
		share, pass := float64(got.inside)/n, float64(got.falsePass)/n
		fmt.Fprintf(&b, "| %v | %.4f | %.4f | %.4f | %.4f |\n", c, share, float64(got.above)/n, float64(got.below)/n, pass)
		slack := 4 * math.Sqrt(0.05*0.95/n)
		if share < 0.93-slack {
			t.Errorf("%v: the interval holds the truth in %.3f", c, share)
		}
		if pass > 0.025+4*math.Sqrt(0.025*0.975/n) {
			t.Errorf("%v: a wrong pass at the limit in %.3f", c, pass)
		}
		band := bands[c.counts]
		band.inside += got.inside
		band.falsePass += got.falsePass
		band.open++ // cells
		bands[c.counts] = band
	}
	for counts, band := range bands {
		n := float64(*rounds * band.open)
		share, pass := float64(band.inside)/n, float64(band.falsePass)/n
		if sd := math.Sqrt(0.05 * 0.95 / n); share < 0.94-3*sd || share > 0.985+3*sd && counts > 2 {
			t.Errorf("about %g counts inside: the intervals hold the truth in %.3f", counts, share)
		}
		if pass > 0.02+3*math.Sqrt(0.025*0.975/n) {
			t.Errorf("about %g counts inside: a wrong pass at the limit in %.3f", counts, pass)
		}
	}
	if *table != "" {
		if err := os.WriteFile(*table, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("\n%s", b.String())
}
