package record

import (
	"math"
	"math/rand/v2"
	"testing"
)

// stretch is n equal readings.
func stretch(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

func join(parts ...[]float64) []float64 {
	var out []float64
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// noise is n readings about v, each told times times in a row.
func noise(v float64, n, times int) []float64 {
	rng := rand.New(rand.NewPCG(7, uint64(n)))
	var out []float64
	for range n {
		out = append(out, stretch(v*(0.8+0.1*rng.Float64()), times)...)
	}
	return out
}

func sine(rows, period int, amplitude float64) []float64 {
	out := make([]float64, rows)
	for i := range out {
		out[i] = math.Round(2*amplitude + amplitude*math.Sin(2*math.Pi*float64(i)/float64(period)))
	}
	return out
}

// steady is n readings close to 100.
func steady(n int) []float64 {
	out := noise(1, n, 1)
	for i := range out {
		out[i] += 100
	}
	return out
}

// lowMissing takes out what a switched line's other column holds.
func lowMissing(values []float64) []float64 {
	for i := range values {
		if i/40%2 == 1 {
			values[i] = math.NaN()
		}
	}
	return values
}

// washout is a line that is switched between 1000 and 10 every 40 rows and comes
// to each level exponentially, written to a tenth.
func washout(switches int) []float64 {
	var out []float64
	for k := range switches {
		from, to := 10., 1000.
		if k%2 == 1 {
			from, to = to, from
		}
		for i := range 40 {
			out = append(out, math.Round(10*(to+(from-to)*math.Exp(-float64(i)/1.5)))/10)
		}
	}
	return out
}

func clipped(values []float64, at float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = min(v, at)
	}
	return out
}

func TestAPlateauIsTheEndOfTheRangeAndNothingElse(t *testing.T) {
	gap := math.NaN()
	for _, c := range []struct {
		name   string
		values []float64
		want   bool
	}{
		{"nothing", nil, false},
		{"all missing", stretch(gap, 50), false},
		{"constant", stretch(1000, 600), false},
		{"constant but for one row", join(stretch(1000, 300), []float64{999}, stretch(1000, 300)), false},
		{"zeros", stretch(0, 600), false},
		{"steps", join(stretch(1000, 60), stretch(1100, 60), stretch(900, 60), stretch(1000, 60)), false},
		{"a long high step among short ones", join(stretch(1000, 30), stretch(2000, 300), stretch(900, 30), stretch(1000, 30)), false},
		{"many steps, one of them five times longer", join(stretch(1, 20), stretch(2, 20), stretch(3, 20), stretch(4, 20), stretch(5, 20),
			stretch(6, 20), stretch(5, 20), stretch(4, 20), stretch(3, 20), stretch(2, 20), stretch(1, 20), stretch(9, 200)), false},
		{"noise", noise(1000, 500, 1), false},
		{"noise told three times", noise(1000, 300, 3), false},
		{"noise with mostly zeros", join(stretch(0, 200), noise(3, 20, 1), stretch(0, 200)), false},
		{"noise that hits its end", join(noise(1000, 100, 1), stretch(1000, 40), noise(1000, 90, 1)), true},
		{"a leap out of quiet air", join(steady(100), stretch(1000, 20), steady(90)), true},
		{"begins there", join(stretch(1000, 40), steady(90)), true},
		{"and stays there", join(noise(1000, 100, 1), stretch(1000, 400)), true},
		{"told three times", join(noise(1000, 100, 3), stretch(1000, 84), noise(1000, 90, 3)), true},
		{"with gaps", join(noise(1000, 100, 1), stretch(1000, 8), []float64{gap}, stretch(1000, 8), noise(1000, 90, 1)), true},
		{"nine rows are too few", join(noise(1000, 100, 1), stretch(1000, 9), noise(1000, 90, 1)), false},
		{"too short for a slow counter", join(noise(1000, 100, 5), stretch(1000, 20), noise(1000, 90, 5)), false},
		{"long run below the top", join(noise(1000, 100, 1), stretch(100, 60), noise(1000, 90, 1)), false},
		{"washout of a switched line", washout(8), false},
		{"washout, its low levels missing", lowMissing(washout(8)), false},
		{"rounded wave", sine(3000, 600, 50), false},
		{"rounded wave, clipped", clipped(sine(3000, 600, 50), 120), true},
	} {
		top, got := Plateau(c.values)
		if got != c.want {
			t.Errorf("%s: got %v at %g", c.name, got, top)
		}
		if got && c.name != "rounded wave, clipped" && top != 1000 {
			t.Errorf("%s: the top is %g", c.name, top)
		}
	}
}
