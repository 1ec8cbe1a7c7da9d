package medium

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"telltale/quantity"
	"telltale/uncertainty"
)

func level95(value, low, high float64) uncertainty.Estimate {
	return uncertainty.New(value, low, high, 0.95, "counting")
}

func holderRun(area, flow float64, channels ...HolderChannel) HolderRun {
	return HolderRun{Area: quantity.Area(area), Flow: quantity.LitresPerMinute(flow), Channels: channels}
}

func TestAHolderRunIsCarriedToTheClassFlowAndToBreathing(t *testing.T) {
	limit, err := FromReference(class(t, "KF94"))
	if err != nil {
		t.Fatal(err)
	}
	// 2 % at 30 L/min, exact but for the exponent.
	run := holderRun(160, 30, HolderChannel{Name: "all", Upstream: level95(10000, 10000, 10000), Downstream: level95(200, 200, 200)})
	got, err := Holder(run, &limit, Conditions{Ventilation: 20})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "face velocity", float64(got.FaceVelocity), 3.125, 1e-9) // 500 cm3/s / 160 cm2, by hand
	c := got.Channels[0]
	near(t, "penetration", c.Measured.Value, 0.02, 1e-12)
	// exp(ln 0.02 (30/95)^m), Python: m 0.35, 0.5 and 0.2.
	near(t, "at 95 L/min", c.ClassFlow.Value, 0.07329, 1e-3)
	near(t, "low", c.ClassFlow.Low, 0.04475, 1e-3)
	near(t, "high", c.ClassFlow.High, 0.11098, 1e-3)
	near(t, "share of the limit", c.OfLimit, 0.07329/0.06, 1e-3)
	// Cycle mean of exp(ln 0.02 (30/q)^m) at 20 L/min, numpy with 2000 phases.
	near(t, "sealed", c.Sealed.Value, 26.901, 1e-3)
	if !(c.Sealed.Low < c.Sealed.Value && c.Sealed.Value < c.Sealed.High) {
		t.Errorf("sealed fit factor %+v", c.Sealed)
	}
	text := strings.Join(got.Words, "\n")
	for _, want := range []string{"not the class test", "KF94", "does not fail the class"} {
		if !strings.Contains(text, want) {
			t.Errorf("words lack %q:\n%s", want, text)
		}
	}
}

func TestIntervalsOfTheTwoSidesAreCombined(t *testing.T) {
	r := ratio(level95(100, 80, 125), level95(1000, 800, 1250))
	near(t, "value", r.Value, 0.1, 1e-12)
	f := math.Exp(math.Sqrt2 * math.Log(1.25)) // both sides a factor 1.25, by hand
	near(t, "low", r.Low, 0.1/f, 1e-9)
	near(t, "high", r.High, 0.1*f, 1e-9)
}

func TestMoreAfterThanBeforeIsShownAsNoiseNotClipped(t *testing.T) {
	run := holderRun(160, 30, HolderChannel{Name: "1-2.5 um", Upstream: level95(10, 5, 20), Downstream: level95(12, 6, 24)})
	got, err := Holder(run, nil, Conditions{})
	if err != nil {
		t.Fatal(err)
	}
	c := got.Channels[0]
	near(t, "penetration", c.Measured.Value, 1.2, 1e-12)
	if !c.Noise || !(c.Sealed.Value < 1) || !strings.Contains(strings.Join(c.Measured.Caveats, " "), "noise") {
		t.Errorf("%+v", c)
	}
	if c.ClassFlow.Kind != uncertainty.Unknown {
		t.Errorf("without a class: %+v", c.ClassFlow)
	}
}

func TestNoCountsAfterTheFilterGiveABoundNotInfinity(t *testing.T) {
	up := level95(10000, 9800, 10200)
	run := holderRun(160, 30,
		HolderChannel{Name: "0.5-1 um", Upstream: up, Downstream: uncertainty.NewAtMost(3, 0.95, "counting")},
		HolderChannel{Name: "1-2.5 um", Upstream: up, Downstream: level95(1, 0, 4)},
		HolderChannel{Name: "over 2.5 um", Upstream: level95(1, 0, 3), Downstream: level95(1, 0, 4)})
	got, err := Holder(run, nil, Conditions{Ventilation: 20})
	if err != nil {
		t.Fatal(err)
	}
	if s := got.Channels[0].Sealed; s.Kind != uncertainty.AtLeast || !(s.Low > 100) || !math.IsNaN(s.High) {
		t.Errorf("bound: %+v", s)
	}
	if s := got.Channels[1].Sealed; s.Kind != uncertainty.AtLeast || !(s.Low > 100) {
		t.Errorf("open above: %+v", s)
	}
	if s := got.Channels[2].Measured; s.Kind != uncertainty.Unknown || len(s.Caveats) == 0 {
		t.Errorf("nothing upstream: %+v", s)
	}
	if _, err := json.Marshal(got); err != nil {
		t.Error(err)
	}
}

func TestASmallPieceIsCarriedToTheWholeRespirator(t *testing.T) {
	piece := holderRun(10, 2, HolderChannel{Name: "all", Penetration: level95(0.02, 0.019, 0.021)})
	piece.Whole = 160
	got, err := Holder(piece, nil, Conditions{Ventilation: 20})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "whole flow", got.WholeFlow, 32, 1e-9) // 2 L/min x 16, by hand
	slow := holderRun(160, 2, HolderChannel{Name: "all", Penetration: level95(0.02, 0.019, 0.021)})
	got, err = Holder(slow, nil, Conditions{Ventilation: 20})
	if err != nil || !strings.Contains(strings.Join(got.Words, " "), "run at about that flow") {
		t.Errorf("a run at a twentieth of the breathing flow should say so: %v, %v", got.Words, err)
	}
}

func TestAHolderWithoutAreaOrFlowIsRefused(t *testing.T) {
	for _, r := range []HolderRun{holderRun(0, 30), holderRun(160, 0), holderRun(-1, 30), holderRun(160, math.NaN()), {Area: 160, Flow: 500, Whole: -1}} {
		_, err := Holder(r, nil, Conditions{})
		wantCode(t, err, "E731")
	}
	_, err := Holder(holderRun(0.5, 30), nil, Conditions{})
	wantCode(t, err, "E721")
	_, err = Holder(holderRun(160, 30), nil, Conditions{Ventilation: 900})
	wantCode(t, err, "E723")
}

func TestPublishedPenetrationsBearTheirSource(t *testing.T) {
	for _, p := range PublishedPenetrations() {
		if !(p.High > 0) || p.Low > p.High || !p.Source.State.Valid() || p.Source.Title == "" {
			t.Errorf("%+v", p)
		}
	}
}
