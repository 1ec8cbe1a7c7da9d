package attribution

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"telltale/fault"
	"telltale/quantity"
	"telltale/record"
	"telltale/uncertainty"
)

// With no leaks and no scatter the ladder is one Poisson ratio with the filter's
// prior: a one-dimensional integral, done here by summing over ln f.
func TestWithoutLeaksTheLadderIsOneRatio(t *testing.T) {
	tight := Base()
	tight.LeakMedian, tight.LeakSD = 1e-7, 0.1
	for _, counts := range [][2]float64{{3000, 60}, {1000, 0}, {50000, 2000}} {
		room, inside := counts[0], counts[1]
		l := Ladder{Rungs: []Rung{{Wearings: []Wearing{{Exercises: []Exercise{{Ambient: room, Inside: inside}}}}}}}
		s := ready(&l, []Prior{tight}).solve([]Prior{tight})
		const n = 200000
		var x, cum []float64
		total := 0.0
		for i := range n {
			lnf := math.Log(1e-5) + (math.Log(FilterMost)-math.Log(1e-5))*(float64(i)+0.5)/n
			p := math.Exp(lnf)
			total += math.Exp(tight.lnFilter(lnf) + inside*math.Log(p/0.04) - (room+inside)*math.Log((1+p)/1.04))
			x, cum = append(x, lnf), append(cum, total)
		}
		for _, p := range levels {
			want := math.Exp(inverse(x, cum, p*total))
			if got := math.Exp(s.filterAt(0, p)); math.Abs(got/want-1) > 0.005 {
				t.Errorf("%g of %g at %g: %.6f, want %.6f", inside, room, p, got, want)
			}
		}
	}
}

// Halving every grid changes no printed quantile.
func TestTheGridsAreFineEnough(t *testing.T) {
	for _, file := range []string{"ladder_data.csv", "ladder_exercises.csv"} {
		l := asLadder(readCounts(t, file))
		m := ready(&l, []Prior{Base()})
		seen := m.first(Base())
		usual := m.posterior(m.tabulate(seen.final(0.7, 1.5, m.fineness(), m.blocks(mostBlocks))), Base(), 0)
		half := m.posterior(m.tabulate(seen.final(0.35, 0.75, m.fineness()/2, m.blocks(mostBlocks))), Base(), 0)
		for _, p := range levels {
			for name, d := range map[string]float64{"f": usual.f.quantile(p) - half.f.quantile(p), "scatter": usual.d.quantile(p) - half.d.quantile(p)} {
				if math.Abs(d) > settled {
					t.Errorf("%s: the %g quantile of ln %s moves by %.4f", file, p, name, d)
				}
			}
		}
		if d := usual.lnML - half.lnML; math.Abs(d) > 0.01 {
			t.Errorf("%s: the log marginal likelihood moves by %.4f", file, d)
		}
	}
}

func TestTotalsBoundTheFilterFromAboveOnly(t *testing.T) {
	r, err := Solve(asLadder(readCounts(t, "ladder_data.csv")), Options{Next: true})
	if err != nil {
		t.Fatal(err)
	}
	// the one-sided 95 % bound under the base prior is 1.248 % by numpy quadrature and
	// 1.2455 % by JAGS; the published one is the largest over the priors
	if r.Separable || r.Filter.Kind != uncertainty.AtMost || r.Filter.High < 0.01246 || r.Filter.High > 0.0145 {
		t.Errorf("separable %v, filter %+v", r.Separable, r.Filter)
	}
	if !strings.Contains(r.Filter.Caveats[0], "1.2 %") {
		t.Errorf("caveats %q", r.Filter.Caveats)
	}
	if !strings.Contains(r.Reason, "cannot be told apart") {
		t.Errorf("reason: %s", r.Reason)
	}
	if r.Rungs[0].Path != MostlySeal || r.Rungs[3].Path != Undecided {
		t.Errorf("paths %s, %s", r.Rungs[0].Path, r.Rungs[3].Path)
	}
	if k := r.Rungs[0].SealShare.Kind; k != uncertainty.AtLeast {
		t.Errorf("as worn the seal's share is %s", k)
	}
	if r.Next == nil || !strings.Contains(r.Next.What, "holder") {
		t.Errorf("next: %+v", r.Next)
	}
	// prior sensitivity by numpy quadrature: filter prior 5 % gives 0.0038 to 0.0137
	if f := r.Priors[1].Filter; math.Abs(f.Low/0.0038-1) > 0.02 || math.Abs(f.High/0.01365-1) > 0.02 {
		t.Errorf("filter about 5 %%: %.5f to %.5f", f.Low, f.High)
	}
}

func TestTheExercisesTellSealAndFilterApart(t *testing.T) {
	r, err := Solve(asLadder(readCounts(t, "ladder_exercises.csv")), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Separable || r.Filter.Kind != uncertainty.Interval || r.Filter.Low > 0.012 || r.Filter.High < 0.012 { // the truth is 0.012
		t.Errorf("separable %v (%s), filter %+v", r.Separable, r.Reason, r.Filter)
	}
	if r.Rungs[3].Path != MostlyFilter {
		t.Errorf("taped and braced: %s %+v", r.Rungs[3].Path, r.Rungs[3].MostlySeal)
	}
}

// One wearing that lets nothing in bounds filter and leak. With no counts a
// Poisson mean of 3.00 is the 95 % bound (3.00/1000, by hand); priors about 2
// and 5 % move it up.
func TestZeroCountsGiveABound(t *testing.T) {
	r, err := Solve(Ladder{Rungs: []Rung{{Wearings: []Wearing{{Exercises: []Exercise{{Ambient: 1000}}}}}}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Filter.Kind != uncertainty.AtMost || !(r.Filter.High > 0.0025 && r.Filter.High < 0.006) {
		t.Errorf("filter %+v", r.Filter)
	}
	if r.Rungs[0].Path != Undecided || r.Rungs[0].SealShare.Kind != uncertainty.Unknown {
		t.Errorf("path %s, share %+v", r.Rungs[0].Path, r.Rungs[0].SealShare)
	}
}

func TestACappedCounterBoundsOneWay(t *testing.T) {
	solve := func(b Bound) float64 {
		l := asLadder(readCounts(t, "ladder_data.csv"))
		for i := range l.Rungs[3].Wearings {
			l.Rungs[3].Wearings[i].Bound = b
		}
		r, err := Solve(l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r.Filter.High
	}
	point, atMost, atLeast := solve(Measured), solve(PenetrationAtMost), solve(PenetrationAtLeast)
	if atMost > point || atLeast < point {
		t.Errorf("upper bound of the filter: measured %.5f, room capped %.5f, inside capped %.5f", point, atMost, atLeast)
	}
}

// Published geometric means of filter and seal penetration (Cho et al., J Occup
// Environ Hyg 10(3), 2013, abstract; spheres of 1.05 um at three flows): counts
// made from them, with the filter also measured in a holder, give them back.
func TestPublishedPenetrationsAreRecovered(t *testing.T) {
	rows := readTable(t, "filter_vs_seal_penetration_by_flow.csv")
	for _, r := range rows {
		flow, filter, seal := number(t, r[2]), number(t, r[3])/100, number(t, r[4])/100
		const room = 400000
		var l Ladder
		for c, leak := range []float64{seal, seal / 20} {
			g := Rung{Repairs: climb[2*c]}
			for w := range 4 {
				luck := []float64{-0.3, 0.3, 0.1, -0.1}[w]
				g.Wearings = append(g.Wearings, Wearing{Specimen: "a", Exercises: []Exercise{{Ambient: room, Inside: math.Round(room * (filter + leak*math.Exp(luck)))}}})
			}
			l.Rungs = append(l.Rungs, g)
		}
		l.Breathing = quantity.LitresPerMinute(flow)
		l.Holders = []Holder{{ID: "h", Specimen: "a", Upstream: room, Downstream: math.Round(room * filter), Flow: l.Breathing, Area: 150}}
		res, err := Solve(l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		f, s := res.Filter, res.Rungs[0].Leak
		t.Logf("%s at %g L/min: filter %.4f %% (%.4f to %.4f), published %.4f; seal %.3f %% (%.3f to %.3f), published %.3f", r[0], flow,
			100*f.Value, 100*f.Low, 100*f.High, 100*filter, 100*s.Value, 100*s.Low, 100*s.High, 100*seal)
		if !res.Separable || f.Low > filter || f.High < filter || math.Abs(f.Value/filter-1) > 0.1 {
			t.Errorf("%s at %g L/min: filter %+v, published %g", r[0], flow, f, filter)
		}
		if s.Low > seal || s.High < seal {
			t.Errorf("%s at %g L/min: seal %+v, published %g", r[0], flow, s, seal)
		}
	}
}

// Plausibility only: published efficiencies before and after mending one poorly
// fitting mask. The tables hold means, not counts, so the counts are made up to
// their size; the chance that the mend helped must be near one, and as worn the
// seal must lead.
func TestPublishedMendsAreSeenToHelp(t *testing.T) {
	for _, r := range readTable(t, "repair_effects_university_bench.csv") {
		before, after := 1-number(t, r[3])/100, 1-number(t, r[5])/100
		var l Ladder
		for c, p := range []float64{before, after} {
			g := Rung{}
			if c == 1 {
				g.Repairs = []record.Repair{{Word: "brace"}}
			}
			for w := range 3 {
				x := p + []float64{-0.02, 0, 0.02}[w]*math.Min(1, p*10)
				g.Wearings = append(g.Wearings, Wearing{Exercises: []Exercise{{Ambient: 2000, Inside: 2000 * x}}})
			}
			l.Rungs = append(l.Rungs, g)
		}
		res, err := Solve(l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		g := res.Rungs[1]
		if g.Helped.Value < 0.95 || math.Abs(g.Fold.Value/(before/after)-1) > 0.35 || res.Filter.High > 1.1*after+0.02 {
			t.Errorf("mend %s: helped %.3f, %.2f times (published %.2f), filter at most %.3f", r[0], g.Helped.Value, g.Fold.Value, before/after, res.Filter.High)
		}
	}
}

func TestZonesAreToldApartByTapingThemOneByOne(t *testing.T) {
	tape := func(zones ...string) []record.Repair {
		var out []record.Repair
		for _, z := range zones {
			out = append(out, record.Repair{Word: "tape", Zone: z})
		}
		return out
	}
	// the nose leaks 8 %, cheeks 1 %, chin 0.5 %; tape takes a zone to a fiftieth
	var l Ladder
	for _, g := range []struct {
		zones []string
		leak  float64
	}{{nil, 0.095}, {[]string{"nose"}, 0.0166}, {[]string{"cheeks"}, 0.0852}, {[]string{"nose", "cheeks", "chin"}, 0.0019}} {
		r := Rung{Repairs: tape(g.zones...)}
		for w := range 4 {
			luck := []float64{-0.2, 0.2, 0.1, -0.1}[w]
			r.Wearings = append(r.Wearings, Wearing{Exercises: []Exercise{{Ambient: 4000, Inside: math.Round(4000 * (0.003 + g.leak*math.Exp(luck)))}}})
		}
		l.Rungs = append(l.Rungs, r)
	}
	res, err := Solve(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Zones) != 3 {
		t.Fatalf("zones %+v", res.Zones)
	}
	want := []float64{0.08 / 0.095, 0.01 / 0.095, 0.005 / 0.095}
	for z, s := range res.Zones {
		t.Logf("%s: %.3f (%.3f to %.3f), truth %.3f", s.Zone, s.Share.Value, s.Share.Low, s.Share.High, want[z])
		if s.Share.Kind != uncertainty.Interval || s.Share.Low > want[z] || s.Share.High < want[z] {
			t.Errorf("%s: %+v, truth %.3f", s.Zone, s.Share, want[z])
		}
	}
	if !(res.Zones[0].Share.Low > 0.5) {
		t.Errorf("the nose's share is at least %.2f", res.Zones[0].Share.Low)
	}
}

// A coarse channel that follows the fine one speaks for a leak, one that reads
// next to nothing speaks for the filter.
func TestSizeChannelsTellALeakFromAFilter(t *testing.T) {
	solve := func(fine, coarse []float64) Chance {
		var l Ladder
		for c := range 2 {
			g := Rung{Repairs: climb[c]}
			for w := range fine {
				e := Exercise{Ambient: 5000, Inside: fine[w]}
				if coarse != nil {
					e.Coarse = &Channel{Ambient: 2000, Inside: coarse[w]}
				}
				g.Wearings = append(g.Wearings, Wearing{Exercises: []Exercise{e}})
			}
			l.Rungs = append(l.Rungs, g)
		}
		r, err := Solve(l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r.Rungs[1].MostlySeal
	}
	jumping, steady := []float64{150, 180, 120}, []float64{150, 160, 140}
	alone, leak := solve(jumping, nil), solve(jumping, []float64{60, 72, 48})
	open, filter := solve(steady, nil), solve(steady, []float64{1, 2, 0})
	t.Logf("mostly seal: %.3f, with a coarse channel that follows %.3f; %.3f, with one that reads nothing %.3f", alone.Value, leak.Value, open.Value, filter.Value)
	if leak.Value < alone.Value+0.1 || filter.Most > 0.02 || filter.Value > open.Value {
		t.Errorf("mostly seal: %+v to %+v, %+v to %+v", alone, leak, open, filter)
	}
}

// Deep breathing opens a filter and not a leak.
func TestDeepBreathingTellsALeakFromAFilter(t *testing.T) {
	solve := func(deep float64) Chance {
		var l Ladder
		for c := range 2 {
			g := Rung{Repairs: climb[c]}
			for range 3 {
				g.Wearings = append(g.Wearings, Wearing{Exercises: []Exercise{{Ambient: 20000, Inside: 400, FlowFactor: 1}, {Ambient: 20000, Inside: deep, FlowFactor: 3}}})
			}
			l.Rungs = append(l.Rungs, g)
		}
		r, err := Solve(l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r.Rungs[1].MostlySeal
	}
	// by hand, at three times the flow: a filter of 2 % at an exponent of 0.45 lets
	// 0.02^(3^-0.45) = 9.2 % through; a leak of 2 % falls to 0.02 x 3^-0.25 = 1.52 %
	filter, leak := solve(1840), solve(304)
	t.Logf("mostly seal: rises %.3f, falls %.3f", filter.Value, leak.Value)
	if filter.Value > 0.1 || leak.Value < 0.9 {
		t.Errorf("mostly seal: %+v and %+v", filter, leak)
	}
}

func readTable(t testing.TB, name string) [][]string {
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t testing.TB, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestAFaultyLadderGivesWordsAndNoFigure(t *testing.T) {
	good := func() Ladder {
		return Ladder{Rungs: []Rung{
			{Wearings: []Wearing{{ID: "w1", Wearer: "a", Exercises: []Exercise{{Ambient: 1000, Inside: 50}}}}},
			{Repairs: []record.Repair{{Word: "tape", Zone: "nose"}}, Wearings: []Wearing{{ID: "w2", Wearer: "a", Exercises: []Exercise{{Ambient: 1000, Inside: 20}}}}},
		}}
	}
	for _, c := range []struct {
		name, code, says string
		spoil            func(l *Ladder)
	}{
		{"no rung", CodeEmpty, "no rung", func(l *Ladder) { l.Rungs = nil }},
		{"a rung without wearings", CodeEmpty, "no wearing", func(l *Ladder) { l.Rungs[1].Wearings = nil }},
		{"the same wearing twice", CodeTwice, "twice", func(l *Ladder) { l.Rungs[1].Wearings[0].ID = "w1" }},
		{"the same configuration twice", CodeTwice, "two rungs", func(l *Ladder) { l.Rungs[1].Repairs = nil }},
		{"a zone and all", CodeRepairs, "for all", func(l *Ladder) {
			l.Rungs[1].Repairs = append(l.Rungs[1].Repairs, record.Repair{Word: "tape", Zone: "all"})
		}},
		{"a repair twice", CodeRepairs, "named twice", func(l *Ladder) { l.Rungs[1].Repairs = append(l.Rungs[1].Repairs, l.Rungs[1].Repairs[0]) }},
		{"inside above ambient", CodeCounts, "above ambient", func(l *Ladder) { l.Rungs[0].Wearings[0].Exercises[0].Inside = 1500 }},
		{"no ambient", CodeCounts, "ambient count is zero", func(l *Ladder) { l.Rungs[0].Wearings[0].Exercises[0].Ambient = 0 }},
		{"a count that is no number", CodeCounts, "not a number", func(l *Ladder) { l.Rungs[0].Wearings[0].Exercises[0].Inside = math.NaN() }},
		{"a holder without flow", CodeHolder, "no flow or no area", func(l *Ladder) { l.Holders = []Holder{{ID: "h", Upstream: 100, Downstream: 1, Area: 100}} }},
		{"a holder without area", CodeHolder, "no flow or no area", func(l *Ladder) { l.Holders = []Holder{{ID: "h", Upstream: 100, Downstream: 1, Flow: 500}} }},
		{"two wearers", CodeWearers, "wearer", func(l *Ladder) { l.Rungs[1].Wearings[0].Wearer = "b" }},
	} {
		l := good()
		c.spoil(&l)
		r, err := Solve(l, Options{})
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != c.code || !strings.Contains(f.What, c.says) || f.Do == "" {
			t.Errorf("%s: %v", c.name, err)
		}
		if r.Rungs != nil {
			t.Errorf("%s: a figure was made up", c.name)
		}
	}
	l := good()
	r, err := Solve(Ladder{Rungs: l.Rungs[1:]}, Options{}) // one rung, and not as worn
	if err != nil {
		t.Fatal(err)
	}
	if r.Rungs[0].Fold != nil || !strings.Contains(strings.Join(r.Caveats, ";"), "one rung only") || !strings.Contains(strings.Join(r.Caveats, ";"), "not tested as worn") {
		t.Errorf("one rung: %+v", r)
	}
}

func TestThePublishedPartHasItsKeysAndNoForbiddenWords(t *testing.T) {
	for _, file := range []string{"ladder_data.csv", "ladder_exercises.csv"} {
		r, err := Solve(asLadder(readCounts(t, file)), Options{Next: true})
		if err != nil {
			t.Fatal(err)
		}
		raw, err := json.Marshal(r.Published())
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"separable", "filter_penetration", "seal_share", "zones", "next_wearing"} {
			if !strings.Contains(string(raw), `"`+key+`":`) {
				t.Errorf("no key %s in %s", key, raw)
			}
		}
		for _, word := range []string{"safe", "certified", "fake", "genuine", "counterfeit", "proves", "protects", "compliant"} {
			if strings.Contains(strings.ToLower(string(raw)), word) {
				t.Errorf("the word %q in %s", word, raw)
			}
		}
	}
}
