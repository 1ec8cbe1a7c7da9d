package attribution

import (
	"fmt"
	"testing"
	"time"

	"telltale/quantity"
)

func TestHolderTry(t *testing.T) {
	l := asLadder(readCounts(t, "ladder_data.csv"))
	for i := range l.Rungs {
		for j := range l.Rungs[i].Wearings {
			l.Rungs[i].Wearings[j].Specimen = "a"
		}
	}
	for _, h := range [][]Holder{nil,
		{{Specimen: "a", Upstream: 40000, Downstream: 480, Flow: quantity.LitresPerMinute(30), Area: 160}},
		{{Specimen: "a", Upstream: 40000, Downstream: 480 * 2, Flow: quantity.LitresPerMinute(60), Area: 160}},
		{{Specimen: "b", Upstream: 40000, Downstream: 480, Flow: quantity.LitresPerMinute(30), Area: 160}},
		{{Specimen: "b", Upstream: 40000, Downstream: 480, Flow: quantity.LitresPerMinute(30), Area: 160}, {Specimen: "c", Upstream: 40000, Downstream: 500, Flow: quantity.LitresPerMinute(30), Area: 160}, {Specimen: "d", Upstream: 40000, Downstream: 500, Flow: quantity.LitresPerMinute(30), Area: 160}},
		{{Specimen: "b", Upstream: 40000, Downstream: 120, Flow: quantity.LitresPerMinute(30), Area: 160}},
	} {
		l.Holders = h
		l.Breathing = quantity.LitresPerMinute(30)
		t0 := time.Now()
		r, err := Solve(l, Options{})
		fmt.Println(time.Since(t0), err, r.Separable, r.Filter.Low, r.Filter.Value, r.Filter.High, r.Priors[0].Filter.Low, r.Priors[0].Filter.Value, r.Priors[0].Filter.High, r.Rungs[3].MostlySeal, r.Rungs[2].MostlySeal)
		l.Breathing = 0
		r, err = Solve(l, Options{})
		fmt.Println("   ", r.Priors[0].Filter.Low, r.Priors[0].Filter.Value, r.Priors[0].Filter.High)
	}
}
