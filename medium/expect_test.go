package medium

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"telltale/aerosol"
	"telltale/quantity"
	"telltale/reference"
)

func band(t *testing.T, name string, cond Conditions) Band {
	t.Helper()
	b, err := Expect(class(t, name), cond)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return b
}

func TestTheBandsLieWhereTheTwoMethodsWereJudgedToMeet(t *testing.T) {
	// Judgement from a separate run of both methods in Python, condensation counter, room
	// air, 15-30 L/min, sealed, lungs left out. An end may differ by a third.
	for name, want := range map[string][2]float64{"N95": {9, 50}, "FFP2": {7, 50}, "KF94": {7, 50}, "N99": {20, 300}, "FFP3": {15, 300}} {
		got := band(t, name, Conditions{})
		for i, end := range []float64{got.FitFactor.Low, got.FitFactor.High} {
			if f := end / want[i]; f < 0.66 || f > 1.5 {
				t.Errorf("%s: %.1f to %.1f, judged %v", name, got.FitFactor.Low, got.FitFactor.High, want)
			}
		}
	}
	// Central values: numpy, r 0.85, m 0.35, 20 L/min.
	for name, want := range map[string]float64{"N95": 22.0, "KF94": 20.5, "N99": 110.5, "FFP3": 132.6} {
		near(t, name+" central", band(t, name, Conditions{}).FitFactor.Central, want, 0.003)
	}
}

func TestTheThresholdsOfA94PerCentClassAreThoseOfTheJudgement(t *testing.T) {
	// "Below about 7 at 15-25 L/min", "above about 120 at 15 and more, about 150 with
	// the lungs' bias": judged in a separate Python run of the same corners. Here the
	// oil's median is also read at 0.4 um by count, which widens both.
	fast := band(t, "KF94", Conditions{Ventilation: 25})
	if v := fast.HardToReconcileBelow; v < 6 || v > 8 {
		t.Errorf("hard to reconcile below %.2f at 25 L/min", v)
	}
	calm := band(t, "KF94", Conditions{})
	if v := calm.BetterThanClassMinimumAbove; v < 105 || v > 140 {
		t.Errorf("better above %.0f", v)
	}
	lungs := band(t, "KF94", Conditions{Sampling: WholeBreath})
	if v := lungs.BetterThanClassMinimumAbove; v < 130 || v > 170 {
		t.Errorf("better above %.0f with the whole breath", v)
	}
	if v := calm.HardToReconcileBelow; v < 5 || v > 7 {
		t.Errorf("hard to reconcile below %.2f at 15-30 L/min", v)
	}
	if v := calm.AnyBreathing; !(v.HardToReconcileBelow < calm.HardToReconcileBelow && v.BetterThanClassMinimumAbove > calm.BetterThanClassMinimumAbove) {
		t.Errorf("any breathing: %+v", v)
	}
}

func TestQuietBreathingOfTheEmpiricalMethod(t *testing.T) {
	// Least, central and most over r 0.7-1 and m 0.2-0.5 at 15 and 25 L/min; numpy.
	for _, c := range []struct {
		name string
		v    float64
		want [3]float64
	}{
		{"N95", 15, [3]float64{12, 30, 86}}, {"KF94", 15, [3]float64{11, 28, 84}}, {"N99", 15, [3]float64{46, 180, 854}}, {"FFP3", 15, [3]float64{50, 220, 1238}},
		{"N95", 25, [3]float64{9.5, 17.5, 33}}, {"KF94", 25, [3]float64{8.7, 16.4, 32}}, {"N99", 25, [3]float64{32, 78, 196}}, {"FFP3", 25, [3]float64{34, 93, 262}},
	} {
		m := band(t, c.name, Conditions{Ventilation: c.v}).Methods.Empirical
		for i, got := range []float64{m.Low, m.Central, m.High} {
			if math.Abs(got-c.want[i]) > 0.6 {
				t.Errorf("%s at %v: %.2f, want %v", c.name, c.v, m, c.want)
			}
		}
	}
}

// filters are the classes that have a filter limit by particles.
func filters(t *testing.T) (out []reference.Class) {
	for _, c := range reference.Classes() {
		if _, err := FromReference(c); err == nil {
			out = append(out, c)
		}
	}
	if len(out) < 40 {
		t.Fatalf("only %d classes have a limit", len(out))
	}
	return out
}

func TestEveryBandIsOrderedAndEveryAssumptionNamed(t *testing.T) {
	for _, kind := range []CounterKind{Condensation, Optical} {
		for _, c := range filters(t) {
			b, err := Expect(c, Conditions{Counter: kind})
			if err != nil {
				t.Errorf("%s: %v", c.Name, err)
				continue
			}
			f := b.FitFactor
			// The thresholds hold every corner, so the band lies between them.
			if !(1 <= b.HardToReconcileBelow && b.HardToReconcileBelow <= f.Low*1.0000001 && f.Low <= f.Central && f.Central <= f.High &&
				f.High <= b.BetterThanClassMinimumAbove && quantity.Finite(b.BetterThanClassMinimumAbove)) {
				t.Errorf("%s %s: %v, thresholds %v %v", c.Name, kind, f, b.HardToReconcileBelow, b.BetterThanClassMinimumAbove)
			}
			if kind == Optical && b.HardToReconcileBelow > 1000 {
				t.Errorf("%s: an optical counter may see the wearer's own particles above 1000: %v", c.Name, b.HardToReconcileBelow)
			}
			for i, a := range b.Assumptions {
				if a.Name == "" || a.Values == "" || a.Settles == "" || !a.Source.State.Valid() || !(a.Low > 0 && a.Low <= a.High) {
					t.Errorf("%s: %+v", c.Name, a)
				}
				if i > 0 && a.Factor > b.Assumptions[i-1].Factor {
					t.Errorf("%s: %s moves more than the one before it", c.Name, a.Name)
				}
			}
			if b.Narrows == nil || !(b.Narrows.WidthTo < b.Narrows.Width) {
				t.Errorf("%s: nothing narrows: %+v", c.Name, b.Narrows)
			}
		}
	}
}

func TestAStricterClassIsExpectedToShowMore(t *testing.T) {
	for _, pair := range [][2]string{{"N95", "N99"}, {"N99", "N100"}, {"FFP1", "FFP2"}, {"FFP2", "FFP3"}, {"KF80", "KF94"}, {"DS2", "DS3"}} {
		low, high := band(t, pair[0], Conditions{}), band(t, pair[1], Conditions{})
		if !(low.FitFactor.Central < high.FitFactor.Central && low.HardToReconcileBelow < high.HardToReconcileBelow) {
			t.Errorf("%v: %v, %v", pair, low.FitFactor, high.FitFactor)
		}
	}
}

func TestKnowingMoreNarrowsTheBand(t *testing.T) {
	width := func(b Band) float64 { return b.FitFactor.High / b.FitFactor.Low }
	open := band(t, "FFP2", Conditions{})
	if open.Narrows.Input != "ventilation" {
		t.Errorf("narrows most: %+v", open.Narrows)
	}
	vent := band(t, "FFP2", Conditions{Ventilation: 20})
	if !(width(vent) < width(open)) || vent.Narrows.Input != "room air" {
		t.Errorf("with ventilation: %v, %+v", vent.FitFactor, vent.Narrows)
	}
	near(t, "promised width", open.Narrows.WidthTo, width(vent), 1e-6)
	both := band(t, "FFP2", Conditions{Ventilation: 20, Rooms: []aerosol.Room{aerosol.Mixed()}})
	if !(width(both) < width(vent)) || both.Narrows != nil {
		t.Errorf("with both: %v, %+v", both.FitFactor, both.Narrows)
	}
	// A fitted cue leaves less open than no cue.
	rooms, err := aerosol.Cue{Condensation: 12000, Optical: 60}.RoomsFor()
	if err != nil {
		t.Fatal(err)
	}
	cue := band(t, "FFP2", Conditions{Ventilation: 20, Rooms: rooms})
	if !(width(cue) < width(vent)) {
		t.Errorf("with a cue: %v", cue.FitFactor)
	}
}

func TestConditionsMoveTheBandTheRightWay(t *testing.T) {
	base := band(t, "KF94", Conditions{Ventilation: 20}).FitFactor.Central
	hard := band(t, "KF94", Conditions{Ventilation: 40}).FitFactor.Central
	optical := band(t, "KF94", Conditions{Ventilation: 20, Counter: Optical}).FitFactor.Central
	lungs := band(t, "KF94", Conditions{Ventilation: 20, Sampling: WholeBreath}).FitFactor.Central
	aged := band(t, "KF94", Conditions{Ventilation: 20, Rooms: []aerosol.Room{aerosol.Aged()}}).FitFactor.Central
	if !(hard < base && optical > 2.5*base && aged != base) {
		t.Errorf("base %.1f, at 40 L/min %.1f, optical %.1f, aged %.1f", base, hard, optical, aged)
	}
	// Condensation counters: expect 10-30 % from the lungs (own computation above).
	if f := lungs / base; f < 1.10 || f > 1.30 {
		t.Errorf("lungs: %.3f", f)
	}
	b, err := Recorded(sampled(20))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "recorded", band(t, "KF94", Conditions{Breathing: &b}).FitFactor.Central, base, 0.01)
}

func sampled(v float64) (flow []float64) {
	for i := range 1000 {
		flow = append(flow, math.Pi*v*math.Sin(2*math.Pi*(float64(i)+0.5)/1000))
	}
	return flow
}

func TestClassesWithoutAParticleTestAreRefusedInWords(t *testing.T) {
	for name, words := range map[string]string{"EN 14683 type II": "no particle test in this standard", "PC3": "total inward leakage", "F2100 level 2": "face velocity"} {
		_, err := Expect(class(t, name), Conditions{})
		wantCode(t, err, "E726")
		if err != nil && !strings.Contains(err.Error(), words) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := reference.ClassByName("FFP22"); err == nil || !strings.Contains(err.Error(), "FFP2") {
		t.Errorf("unknown class: %v", err)
	}
}

func TestImpossibleConditionsAreRefused(t *testing.T) {
	c := class(t, "N95")
	narrow, err := aerosol.NewMeasured([]quantity.Diameter{6, 7, 8, 9, 10}, []float64{1, 1, 1, 1, 1}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []struct {
		cond Conditions
		code string
	}{
		{Conditions{Ventilation: 2}, "E723"}, {Conditions{Ventilation: -20}, "E723"}, {Conditions{Ventilation: 1000}, "E723"}, {Conditions{Ventilation: math.NaN()}, "E723"},
		{Conditions{Counter: "optcal"}, "E729"}, {Conditions{Sampling: "sometimes"}, "E729"},
		{Conditions{Smallest: 2}, "E710"}, {Conditions{Counter: Optical, Smallest: 0.02}, "E711"},
		{Conditions{Rooms: []aerosol.Room{aerosol.MeasuredRoom(narrow)}}, "E730"},
	} {
		_, err := Expect(c, bad.cond)
		wantCode(t, err, bad.code)
	}
	limit, _ := FromReference(c)
	for _, change := range []func(*ClassLimit){
		func(l *ClassLimit) { l.LimitPenetration = 0 }, func(l *ClassLimit) { l.LimitPenetration = 1 }, func(l *ClassLimit) { l.LimitPenetration = math.NaN() },
		func(l *ClassLimit) { l.Agents = nil }, func(l *ClassLimit) { l.Agents = []Agent{{}} },
	} {
		l := limit
		change(&l)
		_, err := ExpectLimit(l, Conditions{})
		wantCode(t, err, "E727")
	}
	limit.TestFlow = 0
	_, err = ExpectLimit(limit, Conditions{})
	wantCode(t, err, "E724")
}

func TestLungsAndAKnownRoomDoNotCountTwice(t *testing.T) {
	for _, room := range aerosol.Rooms() {
		open := Conditions{Ventilation: 20, Rooms: []aerosol.Room{room}}
		in := band(t, "KF94", open).FitFactor.Central
		open.Sampling = WholeBreath
		whole := band(t, "KF94", open).FitFactor.Central
		want := aerosol.WholeBreath().Inflation(aerosol.MeanDeposition(room.Sizes, aerosol.Logistic{D50: 0.02, Width: aerosol.CondensationWidth}))
		near(t, room.Name, whole/in, want, 1e-9)
	}
}

func TestAnyLimitGivesAnOrderedBandOrAFault(t *testing.T) {
	// From a limit that stops nothing to one that no medium reaches.
	for _, agent := range [][2]float64{{0.075, 1.86}, {0.35, 1.8}, {1, 3}, {0.01, 1.2}} {
		for _, penetration := range []float64{0.9999, 0.95, 0.5, 0.1, 1e-3, 1e-6, 1e-12, 1e-100} {
			for _, flow := range []float64{5, 42.5, 300} {
				for _, kind := range []CounterKind{Condensation, Optical} {
					b, err := ExpectLimit(limitOf(t, "x", penetration, flow, agent), Conditions{Counter: kind})
					if err != nil {
						wantCode(t, err, "E728")
						continue
					}
					f := b.FitFactor
					if !(0 < f.Low && f.Low <= f.Central && f.Central <= f.High && quantity.Finite(f.High)) {
						t.Errorf("limit %g at %g, %v, %s: %+v", penetration, flow, agent, kind, f)
					}
					if _, err := json.Marshal(b); err != nil {
						t.Errorf("limit %g at %g, %v: %v", penetration, flow, agent, err)
					}
				}
			}
		}
	}
}

func TestTheJSONHasItsContractedKeysAndNoWordOfJudgement(t *testing.T) {
	raw, err := json.Marshal(band(t, "KF94", Conditions{Ventilation: 20}))
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(raw, &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"class", "standard", "limit_penetration", "test_flow_l_min", "ventilation_l_min", "counter", "fit_factor",
		"hard_to_reconcile_below", "better_than_class_minimum_above", "assumptions"} {
		if _, ok := got[key]; !ok {
			t.Errorf("no key %q in %s", key, raw)
		}
	}
	span, _ := got["fit_factor"].(map[string]any)
	if len(span) != 3 || span["low"] == nil || span["central"] == nil || span["high"] == nil {
		t.Errorf("fit_factor: %v", got["fit_factor"])
	}
	for _, word := range []string{"safe", "certified", "fake", "genuine", "counterfeit", "proves", "protects", "compliant"} {
		if strings.Contains(strings.ToLower(string(raw)), word) {
			t.Errorf("the word %q stands in the output", word)
		}
	}
}

func TestACoarserGridGivesTheSameBand(t *testing.T) {
	// The bench's 80 sizes against 400 for one member of each class; 0.5 %.
	cpc := aerosol.Logistic{D50: 0.02, Width: aerosol.CondensationWidth}
	for name, limit := range scriptClasses(t) {
		var ff [2]float64
		for i, n := range []int{benchSizes, 400} {
			b := newBench(n, usualArea)
			ff[i] = b.fitFactor(t, b.family(limit, own, 0, []int{1})[0], aerosol.Fresh(), cpc, 20)
		}
		near(t, name, ff[0], ff[1], 0.005)
	}
}

func TestTheWavesGiveTheBreathsAverage(t *testing.T) {
	var breaths []Breathing
	for _, v := range []float64{10, 15, 20, 30, 40} {
		breaths = append(breaths, sinus(t, v))
	}
	w := newWaves(breaths...)
	for _, depth := range []float64{3, 8} { // -ln P at 90 L/min
		p := func(q float64) float64 { return math.Exp(-depth * math.Sqrt(90/q)) }
		for _, b := range breaths {
			sum := 0.0
			for k, x := range w.weights(b) {
				sum += x * p(w.nodes[k])
			}
			near(t, b.Words, sum, b.Mean(p), 1e-4)
		}
	}
}
