package finding_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"telltale/finding"
	"telltale/record"
	"telltale/uncertainty"
)

// trace makes three minutes of two-column readings with counting noise at 4000 per
// cm3 in the room.
func trace(seed uint64, ff float64) *record.Trace {
	rng := rand.New(rand.NewPCG(seed, 1))
	t := &record.Trace{Name: fmt.Sprintf("t%d.csv", seed), SHA256: fmt.Sprint(seed)}
	draw := func(mean float64) float64 { return math.Max(0, math.Round(mean+math.Sqrt(mean)*rng.NormFloat64())) }
	for i := range 180 {
		t.TimeS = append(t.TimeS, float64(i))
		t.Sampling = append(t.Sampling, record.Both)
		t.Ambient = append(t.Ambient, draw(4000*1.67)/1.67)
		inside := 0.0
		if ff > 0 {
			inside = draw(4000/ff*1.67) / 1.67
		}
		t.Inside = append(t.Inside, inside)
	}
	return t
}

var evening = time.Date(2026, 5, 9, 18, 0, 0, 0, time.FixedZone("", 7200))

// study has one test respirator and, with reference above 0, the reference worn the
// same evening with that fit factor.
func study(reference float64) *record.Study {
	s := &record.Study{Title: "built",
		Wearers:     []record.Wearer{{ID: "w1"}},
		Counters:    []record.Counter{{ID: "c1", Kind: record.Condensation, Flow: 1.67}},
		Respirators: []record.Respirator{{ID: "r1", Name: "Test One", Claim: "FFP2", Role: record.Test}, {ID: "ref", Role: record.Reference, Expected: record.Range{Low: 180, High: 360}}},
		Checks:      []record.Check{{Kind: record.Zero, Counters: []string{"c1"}, At: evening, Trace: zero()}}}
	if reference > 0 {
		s.Wearings = append(s.Wearings, wearing("ref-1", "ref", reference, ""))
	}
	return s
}

func zero() *record.Trace {
	t := trace(999, 0)
	for i := range t.Ambient {
		t.Ambient[i] = math.NaN()
	}
	return t
}

func wearing(id, respirator string, ff float64, donning string, repairs ...record.Repair) record.Wearing {
	if donning == "" {
		donning = id
	}
	seed := uint64(0)
	for _, c := range id {
		seed = seed*31 + uint64(c)
	}
	return record.Wearing{ID: id, Respirator: respirator, Specimen: "a", Wearer: "w1", Ambient: "c1", Inside: "c1", At: evening,
		Donning: donning, Repairs: repairs, Protocol: "free", Trace: trace(seed, ff)}
}

var tape = record.Repair{Word: "tape", Zone: "all"}

func first(f *finding.Findings) finding.Respirator { return f.Respirators[0] }

func TestWearingsPoolAsTheGeometricMeanOverDonnings(t *testing.T) {
	s := study(250)
	s.Wearings = append(s.Wearings, wearing("a", "r1", 50, "d1"), wearing("b", "r1", 50, "d1"), wearing("c", "r1", 200, "d2"))
	c := first(finding.Of(s, finding.Options{})).Configurations[0]
	// two of one donning count once: sqrt(50 x 200) = 100, not cbrt(50 x 50 x 200) = 79
	if v := c.FitFactor.Value; math.Abs(v-100) > 4 {
		t.Errorf("pooled %v", v)
	}
	if c.Donnings != 2 || len(c.Wearings) != 3 {
		t.Errorf("%d donnings, %d wearings", c.Donnings, len(c.Wearings))
	}
}

func TestARepairIsPairedWithinItsDonning(t *testing.T) {
	s := study(250)
	for i, leak := range []float64{20, 60, 180} {
		d := fmt.Sprint("d", i)
		s.Wearings = append(s.Wearings, wearing(d+"w", "r1", leak, d), wearing(d+"t", "r1", 3*leak, d, tape))
	}
	r := first(finding.Of(s, finding.Options{}))
	if r.Configurations[0].VersusAsWorn != nil {
		t.Error("as worn is compared with itself")
	}
	v := r.Configurations[1].VersusAsWorn
	// the donnings differ ninefold, the pairs threefold each: only pairing can be narrow
	if v == nil || math.Abs(v.Value-3) > 0.15 || v.High/v.Low > 1.5 {
		t.Errorf("versus %+v", v)
	}
}

func TestBoundsStayBounds(t *testing.T) {
	s := study(250)
	s.Wearings = append(s.Wearings, wearing("a", "r1", 100, ""), wearing("b", "r1", 0, "", tape))
	r := first(finding.Of(s, finding.Options{}))
	e := r.Configurations[1].FitFactor
	if e.Kind != uncertainty.AtLeast || !math.IsNaN(e.Value) {
		t.Errorf("zero counts pooled to %+v", e)
	}
	if v := r.Configurations[1].VersusAsWorn; v.Kind != uncertainty.AtLeast || v.Low < 10 {
		t.Errorf("versus %+v", v)
	}
}

// The limit comes with protocol us-8; a reference outside its range, missing, or
// without a range keeps every decision back, and the numbers stay.
func TestTheReferenceGatesEveryDecision(t *testing.T) {
	for _, c := range []struct {
		name      string
		reference float64
		usual     record.Range
		want      string
	}{
		{"in order", 250, record.Range{Low: 180, High: 360}, "pass"},
		{"far too low", 41, record.Range{Low: 180, High: 360}, "cannot_decide"},
		{"not worn", 0, record.Range{Low: 180, High: 360}, "cannot_decide"},
		{"no range", 250, record.Range{}, "cannot_decide"},
	} {
		s := study(c.reference)
		s.Respirators[1].Expected = c.usual
		w := wearing("a", "r1", 400, "")
		w.Protocol, w.Trace = "jp-7", labelled(w.Trace)
		s.Wearings = append(s.Wearings, w)
		got := first(finding.Of(s, finding.Options{})).Configurations[0].Wearings[0]
		if got.Decision == nil || *got.Decision != c.want {
			t.Errorf("%s: decision %v (%s)", c.name, got.Decision, got.Reason)
			continue
		}
		if c.want == "cannot_decide" && !strings.Contains(got.Reason, "reference") {
			t.Errorf("%s: reason %q", c.name, got.Reason)
		}
		if math.IsNaN(got.FitFactor.Value) {
			t.Errorf("%s: the number is gone", c.name)
		}
	}
}

// labelled spreads the seven exercises over the rows.
func labelled(t *record.Trace) *record.Trace {
	t.Labels = []string{"normal breathing", "deep breathing", "head side to side", "head up and down", "talking", "bending over"}
	order := []int32{0, 1, 2, 3, 4, 5, 0}
	for i := range t.TimeS {
		t.Exercise = append(t.Exercise, order[min(6, i*7/len(t.TimeS))])
	}
	return t
}

func TestWithoutAZeroCheckAPassStandsAndAFailDoesNot(t *testing.T) {
	for ff, want := range map[float64]string{400: "pass", 20: "cannot_decide"} {
		s := study(250)
		s.Checks = nil
		w := wearing("a", "r1", ff, "")
		w.Protocol, w.Trace = "jp-7", labelled(w.Trace)
		s.Wearings = append(s.Wearings, w)
		got := first(finding.Of(s, finding.Options{})).Configurations[0].Wearings[0]
		if *got.Decision != want {
			t.Errorf("fit factor %v: %s (%s)", ff, *got.Decision, got.Reason)
		}
	}
}

func TestAnExcludedRunIsListedAndCounted(t *testing.T) {
	s := study(250)
	w := wearing("a", "r1", 400, "")
	w.Excluded = "line fell off"
	s.Wearings = append(s.Wearings, w, wearing("b", "r1", 100, ""))
	f := finding.Of(s, finding.Options{})
	c := first(f).Configurations[0]
	if len(c.Wearings) != 2 || c.Wearings[0].Excluded != "line fell off" || math.Abs(c.FitFactor.Value-100) > 6 {
		t.Errorf("%+v", c.FitFactor)
	}
	if f.Runs != (finding.Runs{Started: 3, Used: 2, Excluded: 1}) {
		t.Errorf("runs %+v", f.Runs)
	}
}

func TestOfIsPureAndItsJSONHoldsNoNaN(t *testing.T) {
	s := study(250)
	s.Wearings = append(s.Wearings, wearing("a", "r1", 0, ""), wearing("b", "r1", 100, "", tape))
	one, err := json.Marshal(finding.Of(s, finding.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		again, err := json.Marshal(finding.Of(s, finding.Options{}))
		if err != nil || string(again) != string(one) {
			t.Fatal("the same study gave other bytes", err)
		}
	}
	for _, bad := range []string{"NaN", "Inf"} {
		if strings.Contains(string(one), bad) {
			t.Errorf("%s in the JSON", bad)
		}
	}
}
