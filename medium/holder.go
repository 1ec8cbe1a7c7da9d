package medium

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
	"telltale/uncertainty"
)

// HolderRun is a filter clamped in a holder and pumped, counted before and after.
type HolderRun struct {
	Area quantity.Area // of the medium that the air passes
	Flow quantity.Flow
	// Whole is the area of the whole respirator's filter; 0 = it is what was clamped.
	Whole    quantity.Area
	Channels []HolderChannel
}

// HolderChannel is one size channel of a run. Upstream and Downstream are
// concentrations (or counts in equal volumes) with their intervals. A caller that
// knows the interval of their ratio better, say of counts, gives Penetration
// instead.
type HolderChannel struct {
	Name                 string            // such as "all" or "0.3-0.5 um"
	Low, High            quantity.Diameter // 0 = open
	Upstream, Downstream uncertainty.Estimate
	Penetration          uncertainty.Estimate
}

// HolderReading is what one channel shows.
type HolderReading struct {
	Name      string               `json:"name"`
	Low       quantity.Diameter    `json:"low_um"`
	High      quantity.Diameter    `json:"high_um"`
	Measured  uncertainty.Estimate `json:"penetration"`          // downstream over upstream, as seen
	ClassFlow uncertainty.Estimate `json:"at_class_flow"`        // carried to the class's test flow; unknown without a class
	Sealed    uncertainty.Estimate `json:"sealed_fit_factor"`    // carried to the breathing: a fit factor if the seal were perfect
	OfLimit   float64              `json:"share_of_class_limit"` // ClassFlow's value over the limit; 0 without a class
	Noise     bool                 `json:"noise"`                // more was counted after than before
}

// HolderResult is a run beside the class limit and the published spread. It is not
// the class test, and Words say so.
type HolderResult struct {
	FaceVelocity quantity.Velocity `json:"face_velocity_cm_s"`
	WholeFlow    float64           `json:"whole_flow_l_min"` // flow through the whole respirator at that face velocity
	Channels     []HolderReading   `json:"channels"`
	Class        string            `json:"class"`
	Limit        float64           `json:"limit_penetration"`
	TestFlow     float64           `json:"test_flow_l_min"`
	Published    []Published       `json:"-"`
	Words        []string          `json:"words"`
}

// Holder reads a run. The class limit may be nil. The flow exponent m = 0.35, from
// 0.2 to 0.5, carries each penetration from the run's face velocity to the class's
// test flow and to the breathing of the conditions. A penetration above 1 is noise:
// it is shown as measured, not clipped. Area above 0, flow above 0 and a face
// velocity of 0.05 to 50 cm/s are asked for.
func Holder(run HolderRun, limit *ClassLimit, cond Conditions) (HolderResult, error) {
	if !(run.Area > 0) || !(run.Flow > 0) || run.Whole < 0 {
		return HolderResult{}, &fault.Fault{Code: "E731", What: fmt.Sprintf("a holder run with an area of %.4g cm2 and a flow of %.4g L/min", float64(run.Area), run.Flow.LitresPerMinute()),
			Do: "Give the clamped area in cm2 and the pump's flow in L/min, both above 0."}
	}
	u := run.Area.Through(run.Flow)
	if err := inRange("E721", "face velocity of the holder", float64(u), 0.05, 50, "cm/s"); err != nil {
		return HolderResult{}, err
	}
	set, err := cond.prepare()
	if err != nil {
		return HolderResult{}, err
	}
	if run.Whole == 0 {
		run.Whole = run.Area
	}
	out := HolderResult{FaceVelocity: u, WholeFlow: run.Flow.LitresPerMinute() * float64(run.Whole/run.Area), Published: PublishedPenetrations()}
	if limit != nil {
		out.Class, out.Limit, out.TestFlow = limit.Name, limit.LimitPenetration, limit.TestFlow
	}
	for _, c := range run.Channels {
		out.Channels = append(out.Channels, out.reading(c, set))
	}
	out.Words = out.words(set)
	return out, nil
}

// reading carries one channel.
func (r HolderResult) reading(c HolderChannel, set setting) HolderReading {
	p := c.Penetration
	if p.Kind == "" {
		p = ratio(c.Downstream, c.Upstream)
	}
	h := HolderReading{Name: c.Name, Low: c.Low, High: c.High, Measured: p, Noise: p.Value > 1}
	if h.Noise {
		h.Measured = p.With("more was counted after the filter than before: noise or a leak in the holder, shown as measured")
	}
	h.ClassFlow = uncertainty.NewUnknown(p.Level, "no class was named")
	if r.TestFlow > 0 {
		h.ClassFlow = r.carry(p, constant(r.TestFlow), constant(r.TestFlow))
		if quantity.Finite(h.ClassFlow.Value) {
			h.OfLimit = h.ClassFlow.Value / r.Limit
		}
	}
	h.Sealed = sealed(r.carry(p, set.slow, set.fast))
	return h
}

// sealed turns a penetration into a fit factor; one whose lower end is 0 has no upper
// end.
func sealed(p uncertainty.Estimate) uncertainty.Estimate {
	if p.Kind == uncertainty.Interval && !(p.Low > 0) {
		return uncertainty.NewAtLeast(1/p.High, p.Level, p.Assumption, p.Caveats...)
	}
	return p.Inverse()
}

// ratio of two estimates, their relative half-widths added in quadrature on the log
// scale.
func ratio(down, up uncertainty.Estimate) uncertainty.Estimate {
	level := math.Min(down.Level, up.Level)
	const words = "downstream over upstream, intervals combined in quadrature on the log scale"
	switch {
	case !(up.Low > 0) || up.Kind != uncertainty.Interval:
		return uncertainty.NewUnknown(level, words, "the upstream concentration has no lower bound above 0: count upstream longer")
	case down.Kind == uncertainty.AtMost:
		return uncertainty.NewAtMost(down.High/up.Low, level, "upper bound downstream over lower bound upstream")
	case down.Kind != uncertainty.Interval || !(down.Value > 0) || !(up.Value > 0):
		return uncertainty.NewUnknown(level, words, "the downstream concentration has no value: count downstream longer")
	}
	v := down.Value / up.Value
	above := math.Hypot(math.Log(down.High/down.Value), math.Log(up.Value/up.Low))
	low := 0.0
	if down.Low > 0 {
		low = v * math.Exp(-math.Hypot(math.Log(down.Value/down.Low), math.Log(up.High/up.Value)))
	}
	return uncertainty.New(v, low, v*math.Exp(above), level, words)
}

// carry takes a penetration from the run's flow to a breath between a slow and a
// fast one. The value is taken at the central exponent and half-way (on the log
// scale) between the two breaths; the ends at the worst exponent and breath.
func (r HolderResult) carry(p uncertainty.Estimate, slow, fast Breathing) uncertainty.Estimate {
	at := func(p, m float64, b Breathing) float64 {
		if !(p > 0) {
			return p // 0 stays 0, and what does not exist stays so
		}
		return b.Mean(func(q float64) float64 { return math.Exp(math.Log(p) * math.Pow(r.WholeFlow/q, m)) })
	}
	low, high := math.Inf(1), 0.0
	for _, m := range []float64{lowM, central.M, highM} {
		for _, b := range []Breathing{slow, fast} {
			low, high = math.Min(low, at(p.Low, m, b)), math.Max(high, at(p.High, m, b))
		}
	}
	assumption := fmt.Sprintf("%s; carried over flow with ln P ~ flow^-m, m %.2f-%.2f", p.Assumption, lowM, highM)
	out := uncertainty.Estimate{Value: math.Sqrt(at(p.Value, central.M, slow) * at(p.Value, central.M, fast)), Low: low, High: high,
		Level: p.Level, Kind: p.Kind, Assumption: assumption, Caveats: p.Caveats}
	switch p.Kind {
	case uncertainty.AtMost:
		out.Value, out.Low = math.NaN(), math.NaN()
	case uncertainty.Interval:
		out.Level = p.Level
	default:
		return uncertainty.NewUnknown(p.Level, assumption, p.Caveats...)
	}
	return out
}

// words are what must be read beside a run.
func (r HolderResult) words(set setting) []string {
	out := []string{fmt.Sprintf("a filter clamped in a holder, room particles counted before and after at %.2g cm/s, the face velocity of %.3g L/min through the whole respirator", float64(r.FaceVelocity), r.WholeFlow)}
	if r.Class != "" {
		out = append(out,
			fmt.Sprintf("this is not the class test: class %s weighs its own salt or oil aerosol by mass or light at %.4g L/min, after conditioning and under load, on several specimens", r.Class, r.TestFlow),
			fmt.Sprintf("a value above the limit of %.3g %% here does not fail the class, and one below does not meet it", 100*r.Limit))
	}
	mean := 2 * set.ventilation
	if far := math.Max(mean/r.WholeFlow, r.WholeFlow/mean); far > 3 {
		out = append(out, fmt.Sprintf("the run's flow is %.2g times off the mean inhalation flow of %.3g L/min: carrying it over rests mostly on the flow exponent; run at about that flow", far, mean))
	}
	return append(out, "no face was in it: what a wearer gets in through the seal comes on top")
}
