package simulate

import (
	"bytes"
	"math"
	"testing"

	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
)

func protocol(t *testing.T, id string) reference.Protocol {
	t.Helper()
	p, err := reference.ProtocolByID(id)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// plain is a counter without failings that looks at 10 cm3 a second.
func plain() Counter {
	return Counter{Kind: record.Condensation, Flow: 10, Period: 1}
}

func mean(values []float64) float64 {
	sum, n := 0.0, 0.0
	for _, v := range values {
		if !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	return sum / n
}

func TestTheLongRunComesToTheTruth(t *testing.T) {
	s := Setup{Person: Person{Efforts: Efforts(), Retention: 0.25}, Mask: Mask{Filter: 0.02, FlowExponent: 0.35, Leak: Zones{0.008, 0.003, 0.001}},
		Fit: Zones{1, 1, 1}, Room: Room{PerCM3: 4000, PerHour: -0.3, WanderGSD: 1.1, WanderS: 120}, Ambient: plain(), Inside: plain(), Protocol: protocol(t, "us-8")}
	const seeds = 60
	var truth Truth
	inside, room := map[string]float64{}, map[string]float64{}
	for seed := range uint64(seeds) {
		var trace *record.Trace
		trace, truth = Run(seed, s)
		for i := range trace.Rows() {
			name := trace.Labels[trace.Exercise[i]]
			inside[name] += trace.Inside[i]
			room[name] += trace.Ambient[i]
		}
	}
	total, n := 0.0, 0.0
	for _, e := range truth.Exercises {
		got := room[e.Name] / inside[e.Name]
		// talking is the least even: GSD 1.9 with 1.5 s gives about
		// sqrt((exp(ln(1.9)^2)-1) x 2 x 1.5 / (60 x 60 s)) = 2.1 % standard error;
		// the grimace has a fourth of the time and GSD 2.
		within := 0.04
		if e.Name == "grimace" {
			within = 0.15
		}
		if math.Abs(got/e.FitFactor-1) > within {
			t.Errorf("%s: %.1f in the long run, truth %.1f", e.Name, got, e.FitFactor)
		}
		if e.Counted {
			total += 1 / got
			n++
		}
	}
	if got := n / total; math.Abs(got/truth.FitFactor-1) > 0.015 {
		t.Errorf("overall %.1f in the long run, truth %.1f", got, truth.FitFactor)
	}
}

func TestTheTruthOfASteadyMaskIsItsMassBalance(t *testing.T) {
	person := Person{Efforts: Calm()}
	for _, c := range []struct {
		filter, leak, want float64
	}{
		{0.02, 0.01, 33.557},   // 1 / (0.02 x 0.99 + 0.01), by hand
		{0.005, 0.001, 166.81}, // 1 / (0.005 x 0.999 + 0.001), by hand
		{0, 0.01, 100},
	} {
		s := Setup{Person: person, Mask: Mask{Filter: c.filter, Leak: Zones{Nose: c.leak}}, Fit: Zones{1, 1, 1},
			Room: Room{PerCM3: 1000}, Ambient: plain(), Inside: plain(), FreeS: 2}
		_, truth := Run(1, s)
		if math.Abs(truth.FitFactor/c.want-1) > 0.001 {
			t.Errorf("filter %g, leak %g: %.3f, want %.3f", c.filter, c.leak, truth.FitFactor, c.want)
		}
		share := c.leak / (c.filter*(1-c.leak) + c.leak)
		if math.Abs(truth.SealShare-share) > 0.001 {
			t.Errorf("seal share %.4f, want %.4f", truth.SealShare, share)
		}
	}
}

func TestALungThatKeepsAQuarterRaisesTheFitFactor(t *testing.T) {
	e := Calm()
	for i := range e {
		e[i].InhaleShare = 0.5
	}
	s := Setup{Person: Person{Efforts: e, Retention: 0.25}, Mask: Mask{Leak: Zones{Nose: 0.01}, DeadSpaceL: 0.0001}, Fit: Zones{1, 1, 1},
		Room: Room{PerCM3: 1000}, Ambient: plain(), Inside: plain(), FreeS: 2}
	_, truth := Run(1, s)
	// without dead space: 100 / (1 - 0.5 x 0.25) = 114.29, by hand
	if math.Abs(truth.FitFactor-114.29) > 0.5 {
		t.Errorf("got %.2f", truth.FitFactor)
	}
}

func TestTheMediumIsWeightedByTheInhaledFlow(t *testing.T) {
	// V 20 L/min, ln P = ln(0.06) (95/q)^0.35: the flow-weighted mean over the
	// inhalation is 0.0291 (computed by quadrature with scipy).
	s := Setup{Person: Person{}, Mask: Mask{Filter: 0.06, RefFlow: quantity.LitresPerMinute(95), FlowExponent: 0.35}}
	got := s.medium(Effort{VentilationLMin: 20, CycleS: 4, InhaleShare: 0.5})
	if math.Abs(got-0.0291) > 0.0001 {
		t.Errorf("got %.5f", got)
	}
}

func TestTheSameSeedGivesTheSameBytes(t *testing.T) {
	s := Setup{Person: Person{Efforts: Efforts(), ScatterGSD: 1.8}, Mask: Mask{Filter: 0.02, Leak: Zones{0.01, 0.01, 0.01}},
		Room: Room{PerCM3: 4000, WanderGSD: 1.1, WanderS: 60}, Ambient: plain(), Inside: plain(), Protocol: protocol(t, "us-short-filtering")}
	a, ta := Run(7, s)
	b, tb := Run(7, s)
	c, _ := Run(8, s)
	if !bytes.Equal(Render(a), Render(b)) || ta.FitFactor != tb.FitFactor {
		t.Error("one seed, two traces")
	}
	if bytes.Equal(Render(a), Render(c)) {
		t.Error("two seeds, one trace")
	}
}

func TestACalmRoomIsPoisson(t *testing.T) {
	for _, level := range []float64{0.05, 0.9, 3, 40, 5000} {
		trace := RoomCheck(3, Room{PerCM3: level}, plain(), 20000)
		m := mean(trace.Ambient) * 10 // counts
		sum := 0.0
		for _, v := range trace.Ambient {
			sum += (v*10 - m) * (v*10 - m)
		}
		ratio := sum / float64(trace.Rows()-1) / m
		// standard error of the ratio: sqrt((2 + 1/mean)/20000), by hand
		if se := math.Sqrt((2 + 1/(level*10)) / 20000); math.Abs(ratio-1) > 4*se {
			t.Errorf("%g per cm3: variance over mean %.4f", level, ratio)
		}
		if se := math.Sqrt(level * 10 / 20000); math.Abs(m-level*10) > 4*se {
			t.Errorf("%g per cm3: mean %.4f counts", level, m)
		}
	}
}

func TestPoissonDrawsFollowTheDistribution(t *testing.T) {
	rng := stream(1, 99)
	for _, mu := range []float64{3, 11.9, 12, 50, 700} {
		const n = 100000
		seen := map[int]float64{}
		for range n {
			seen[int(poisson(rng, mu))]++
		}
		chi, df := 0.0, 0.0
		for k := range int(mu + 8*math.Sqrt(mu)) {
			lg, _ := math.Lgamma(float64(k + 1))
			want := n * math.Exp(float64(k)*math.Log(mu)-mu-lg)
			if want < 20 {
				continue
			}
			chi += (seen[k] - want) * (seen[k] - want) / want
			df++
		}
		if math.Abs(chi-df) > 4.5*math.Sqrt(2*df) {
			t.Errorf("mean %g: chi square %.1f with %g cells", mu, chi, df)
		}
	}
}

func TestDeadTimeIsTheCoincidenceEquation(t *testing.T) {
	// Rows of indicated and true concentration solved from Na = Ni exp(Na Q tau)
	// with the Lambert W function in another language.
	for _, c := range []struct{ ni, q, tau, na float64 }{
		{10000, 16.67, 4e-7, 10742.6},
		{10000, 11.67, 1e-6, 11426.5},
		{100000, 5.0, 3.5e-7, 124299.6},
		{50000, 16.67, 4e-7, 92889},
	} {
		got := Counter{Flow: quantity.Flow(c.q), DeadTime: quantity.Seconds(c.tau)}.Indicated(c.na)
		if math.Abs(got/c.ni-1) > 1e-4 {
			t.Errorf("%g there: %g indicated, want %g", c.na, got, c.ni)
		}
	}
	non := Counter{Flow: 10, DeadTime: 1e-5, Law: NonExtending}.Indicated(10000)
	if non != 5000 { // 10000 / (1 + 10000 x 10 x 1e-5), by hand
		t.Errorf("non-extending: %g", non)
	}
	if got := (Counter{Flow: 10, DeadTime: 1e-5, Corrects: true}).Indicated(10000); got != 10000 {
		t.Errorf("corrected: %g", got)
	}
}

func TestALineDelaysAndRinses(t *testing.T) {
	l := newLine(Counter{Transit: 2, Washout: 1.71}, 1, 0.1)
	l.step(0.1, []float64{1000})
	for range 19 {
		l.step(0.1, []float64{0})
	}
	if got := l.step(0.1, []float64{0})[0]; got != 1000 {
		t.Errorf("after 2 s the old air still arrives: %g", got)
	}
	for range 78 { // 7.8 s
		l.step(0.1, []float64{0})
	}
	got := l.step(0.1, []float64{0})[0]
	// C0 exp(-7.9 / 1.71) = 9.85, by hand
	if math.Abs(got-9.85) > 0.05 {
		t.Errorf("7.9 s after that: %g", got)
	}
}

func TestASwitchedLineShowsItsResidue(t *testing.T) {
	c := plain()
	c.Transit, c.Washout = 2, 1
	s := Setup{Person: Person{Efforts: Calm()}, Mask: Mask{Leak: Zones{Nose: 0.001}}, Fit: Zones{1, 1, 1}, Room: Room{PerCM3: 5000},
		Ambient: c, Switched: true, PurgeS: 11, Protocol: protocol(t, "us-8")}
	trace, _ := run(1, s)
	// 0-6 s room, 6-17 s purge (the line on the mask), then the mask to 60 s;
	// after 2 s of transit the residue falls with 1 s: at 8.5 s it is exp(-0.5).
	for _, row := range []struct {
		at   int
		word record.Air
		low  float64
		high float64
	}{{5, record.Ambient, 4800, 5200}, {7, record.Purge, 4800, 5200}, {8, record.Purge, 2900, 3450}, {20, record.Inside, 0, 15}, {59, record.Inside, 0, 15}} {
		v := trace.Inside[row.at]
		if row.word == record.Ambient {
			v = trace.Ambient[row.at]
		}
		if trace.Sampling[row.at] != row.word || v < row.low || v > row.high {
			t.Errorf("at %d s: %v %g, want %v %g to %g", row.at, trace.Sampling[row.at], v, row.word, row.low, row.high)
		}
	}
	rinse(trace)
	if !math.IsNaN(trace.Inside[7]) || math.IsNaN(trace.Inside[20]) {
		t.Error("a purge row is read as inside")
	}
	// 435 s of exercises and then 11 + 6 s for the last room sample, by hand
	if n := trace.Rows(); n != 452 {
		t.Errorf("%d rows", n)
	}
}

func TestTheShortProtocolTakesItsTwoRoomSamples(t *testing.T) {
	s := Setup{Person: Person{Efforts: Calm()}, Mask: Mask{Leak: Zones{Nose: 0.01}}, Fit: Zones{1, 1, 1}, Room: Room{PerCM3: 5000},
		Ambient: plain(), Switched: true, Protocol: protocol(t, "us-short-filtering")}
	trace, _ := Run(1, s)
	count := map[record.Air]int{}
	for _, a := range trace.Sampling {
		count[a]++
	}
	if count[record.Ambient] != 29 || count[record.Inside] != 120 || count[record.Purge] != 0 { // 20 + 9 and 4 x 30
		t.Errorf("%v", count)
	}
}

func TestTheFirstBreathsAreLikeTheOthers(t *testing.T) {
	s := Setup{Person: Person{Efforts: Calm(), Retention: 0.3}, Mask: Mask{Filter: 0.2, FlowExponent: 0.3, DeadSpaceL: 0.3}, Fit: Zones{1, 1, 1},
		Room: Room{PerCM3: 1e6}, Ambient: plain(), Inside: plain(), FreeS: 4}
	const seeds = 400
	first, truth := 0.0, Truth{}
	for seed := range uint64(seeds) {
		var trace *record.Trace
		trace, truth = Run(seed, s)
		first += trace.Inside[0] / 1e6 / seeds
	}
	// the start of a breath is drawn, so one row is any part of a breath; the air
	// varies by about a third over a breath: standard error 1.7 %
	if math.Abs(first*truth.FitFactor-1) > 0.05 {
		t.Errorf("the first second holds %.4f of the room, truth %.4f", first, 1/truth.FitFactor)
	}
}

func TestAShortProtocolHasNoBias(t *testing.T) {
	// One effort for all exercises: else the last breath of one is still in the mask
	// when the next begins, which moves 30 s after talking by about 1 %.
	s := Setup{Person: Person{Efforts: Efforts()[:1], Retention: 0.2}, Mask: Mask{Filter: 0.3, FlowExponent: 0.3}, Fit: Zones{1, 1, 1},
		Room: Room{PerCM3: 5000}, Ambient: plain(), Switched: true, PurgeS: 4, Protocol: protocol(t, "us-short-filtering")}
	sum := map[string]float64{}
	n := map[string]float64{}
	var truth Truth
	for seed := range uint64(60) {
		var trace *record.Trace
		trace, truth = Run(seed, s)
		for i, air := range trace.Sampling {
			if air == record.Inside {
				name := trace.Labels[trace.Exercise[i]]
				sum[name] += trace.Inside[i]
				n[name]++
			}
		}
	}
	for _, e := range truth.Exercises {
		if got := 5000 * n[e.Name] / sum[e.Name]; math.Abs(got/e.FitFactor-1) > 0.005 {
			t.Errorf("%s: %.3f, truth %.3f", e.Name, got, e.FitFactor)
		}
	}
}
