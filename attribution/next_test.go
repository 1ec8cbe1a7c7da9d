package attribution

import (
	"math"
	"strings"
	"testing"

	"telltale/quantity"
)

// spreadOf is the summed variance of the seal's shares, the uncertainty that the
// next wearing is to narrow.
func spreadOf(l Ladder) float64 { return solved(l).outlook().now }

// What is foretold for two steps comes about when the steps are taken: the
// ladder of the check with its truth (f 0.012, last leak 0.001, scatter 0.5).
func TestTheNextStepNarrowsAsForetold(t *testing.T) {
	l := asLadder(readCounts(t, "ladder_data.csv"))
	r, err := Solve(l, Options{Next: true})
	if err != nil {
		t.Fatal(err)
	}
	steps := append([]Step{{r.Next.What, r.Next.Narrowing, r.Next.Wearings}}, r.Next.Others...)
	find := func(word string) Step {
		for _, s := range steps {
			if strings.Contains(s.What, word) {
				return s
			}
		}
		t.Fatalf("no step %q in %+v", word, steps)
		return Step{}
	}
	now := spreadOf(l)
	held := asLadder(readCounts(t, "ladder_data.csv"))
	held.Breathing = quantity.LitresPerMinute(30)
	held.Holders = []Holder{{ID: "h", Upstream: 36000, Downstream: 432, Flow: held.Breathing, Area: 160}}
	for c := range held.Rungs {
		for w := range held.Rungs[c].Wearings {
			held.Rungs[c].Wearings[w].Specimen = "a"
		}
	}
	held.Holders[0].Specimen = "a"
	worn := asLadder(readCounts(t, "ladder_data.csv"))
	worn.Rungs[3].Wearings = append(worn.Rungs[3].Wearings, Wearing{Exercises: []Exercise{{Ambient: 3700, Inside: 48}}})
	for _, c := range []struct {
		step  Step
		after float64
	}{{find("holder"), spreadOf(held)}, {find("another wearing with tape:all + brace"), spreadOf(worn)}} {
		got := math.Sqrt(c.after / now)
		t.Logf("%s: foretold %.2f (%.2f to %.2f), came %.2f", c.step.What, c.step.Narrowing.Value, c.step.Narrowing.Low, c.step.Narrowing.High, got)
		if got < 0.6*c.step.Narrowing.Low || got > 1.25*c.step.Narrowing.High {
			t.Errorf("%s: foretold %+v, came %.3f", c.step.What, c.step.Narrowing, got)
		}
	}
	if find("holder").Narrowing.Value > find("another wearing with tape:all + brace").Narrowing.Value {
		t.Error("the holder is foretold to tell less than another wearing")
	}
}
