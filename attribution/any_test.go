package attribution

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"telltale/quantity"
	"telltale/record"
	"telltale/uncertainty"
)

// anyLadder draws counts without sense, over the whole range that can be recorded.
func anyLadder(r *rand.Rand, i int) Ladder {
	var l Ladder
	for c := range 1 + r.IntN(4) {
		g := Rung{}
		for z := range c {
			g.Repairs = append(g.Repairs, record.Repair{Word: "tape", Zone: zoneNames[z%3]})
		}
		for w := range 1 + r.IntN(4) {
			x := Wearing{ID: fmt.Sprint(c, "-", w), Bound: Bound(max(0, r.IntN(6)-3))}
			if i%4 == 0 {
				x.Donning = fmt.Sprint("d", w)
			}
			if i%7 == 0 {
				x.Specimen = fmt.Sprint("s", w%2)
			}
			for range 1 + r.IntN(2)*r.IntN(7) {
				room := math.Exp(r.Float64() * 16) // 1 to nine million
				e := Exercise{Ambient: room, Inside: room * math.Exp(-12*r.Float64()), Exposure: math.Exp(r.NormFloat64())}
				e.Inside = math.Min(e.Inside, room*e.Exposure)
				if r.IntN(5) == 0 {
					e.Inside = 0
				}
				x.Exercises = append(x.Exercises, e)
			}
			g.Wearings = append(g.Wearings, x)
		}
		l.Rungs = append(l.Rungs, g)
	}
	if i%5 == 0 {
		l.Holders = []Holder{{ID: "h", Upstream: 1e6, Downstream: math.Floor(1e5 * r.Float64()), Flow: quantity.LitresPerMinute(95), Area: 100}}
	}
	return l
}

// Whatever counts a person may record, the answer has finite figures in order, and
// the words can be said.
func TestAnyLadderGivesFiguresInOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for i := range 10 {
		l := anyLadder(r, i)
		res, err := Solve(l, Options{Next: i%3 == 0})
		if err != nil {
			t.Fatal(err)
		}
		check := func(what string, e uncertainty.Estimate) {
			two := e.Kind == uncertainty.Interval && !(e.Low <= e.Value && e.Value <= e.High && e.Low >= 0 && !math.IsInf(e.High, 0))
			if two || e.Kind == uncertainty.AtMost && !(e.High > 0) || e.Kind == uncertainty.AtLeast && !(e.Low > 0) {
				t.Errorf("ladder %d, %s: %+v", i, what, e)
			}
		}
		check("filter", res.Filter)
		check("scatter", res.WearingScatter)
		for _, g := range res.Rungs {
			check("leak", g.Leak)
			check("total", g.Total)
			check("share", g.SealShare)
			if g.Fold != nil {
				check("fold", *g.Fold)
			}
			if c := g.MostlySeal; !(c.Least <= c.Value && c.Value <= c.Most && c.Least >= 0 && c.Most <= 1) && res.Filter.Kind != uncertainty.Unknown {
				t.Errorf("ladder %d: chance %+v", i, c)
			}
			if g.Words() == "" {
				t.Errorf("ladder %d: no words", i)
			}
		}
		if _, err := json.Marshal(res.Published()); err != nil {
			t.Errorf("ladder %d: %v", i, err)
		}
		if i < 4 {
			t.Log(res.Headline())
			for _, g := range res.Rungs {
				t.Log("  ", g.Words())
			}
		}
	}
}
