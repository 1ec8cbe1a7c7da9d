package finding

import (
	"math"
	"strings"

	"telltale/fitfactor"
	"telltale/medium"
	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// holderSettings are those of a run of the filter alone: no protocol, one counter
// or two on the same terms as a wearing.
func (e *evening) holderSettings(h record.Holder) fitfactor.Settings {
	free, _ := reference.ProtocolByID("free")
	c := e.counter(h.Counter)
	zero := e.zero(h.Counter, h.At)
	return fitfactor.Settings{Protocol: free, Level: e.level, Ambient: c, Inside: c, ZeroAmbient: zero, ZeroInside: zero}
}

// heldRun is a run of the filter alone with what medium reads from it.
type heldRun struct {
	run    record.Holder
	result medium.HolderResult
}

// holders shows the runs of a respirator's filter alone, beside the class's limit
// where there is one.
func (e *evening) holders(r record.Respirator) (shown []Holder, read []heldRun) {
	shown = []Holder{}
	for _, h := range e.study.Holders {
		if h.Respirator != r.ID {
			continue
		}
		out := Holder{ID: h.ID, Specimen: h.Specimen, FlowLMin: h.Flow.LitresPerMinute(),
			FaceVelocityCMS: float64(h.Area.Through(h.Flow)), Channels: []Channel{}}
		fit, err := fitfactor.Of(h.Trace, e.holderSettings(h))
		if err != nil {
			out.Penetration, out.Problem = uncertainty.NewUnknown(e.level, err.Error()), err.Error()
			shown = append(shown, out)
			continue
		}
		out.Penetration = fit.Penetration
		var w Wearing
		w.fill(fit)
		out.Channels = append(out.Channels, w.Channels...)
		res, err := medium.Holder(e.holderRun(h, fit), e.limitOf(r.Claim), e.conditions(h.Counter))
		if err != nil {
			out.Problem = err.Error()
		} else {
			for _, w := range res.Words {
				out.Text += capital(w) + ". "
			}
			out.Text = strings.TrimSpace(out.Text)
			read = append(read, heldRun{h, res})
		}
		shown = append(shown, out)
	}
	return shown, read
}

// holderRun gives the run to medium, size by size where the counter has sizes.
func (e *evening) holderRun(h record.Holder, fit *fitfactor.Result) medium.HolderRun {
	run := medium.HolderRun{Area: h.Area, Flow: h.Flow}
	all := medium.HolderChannel{Name: "all sizes the counter sees", Penetration: fit.Penetration}
	if c, ok := e.study.Counter(h.Counter); ok {
		all.Low = c.Smallest
	}
	run.Channels = append(run.Channels, all)
	for _, c := range fit.Channels {
		run.Channels = append(run.Channels, medium.HolderChannel{Name: sizeName(c.Low, c.High), Low: c.Low, High: c.High, Penetration: c.FitFactor.Inverse()})
	}
	return run
}

func sizeName(low, high quantity.Diameter) string {
	if high == 0 {
		return "above " + uncertainty.Number(float64(low)) + " um"
	}
	return uncertainty.Number(float64(low)) + " to " + uncertainty.Number(float64(high)) + " um"
}

// limitOf is what the claimed class permits; nil where no class is recognised.
func (e *evening) limitOf(claimed string) *medium.ClassLimit {
	class, err := reference.ClassByName(claimed)
	if err != nil {
		return nil
	}
	limit, err := medium.FromReference(class)
	if err != nil {
		return nil
	}
	return &limit
}

// conditions are what is known of counter and breathing: the counter's kind and
// smallest size; a breathing flow recorded in the traces gives the ventilation.
func (e *evening) conditions(counter string) medium.Conditions {
	c, _ := e.study.Counter(counter)
	out := medium.Conditions{Counter: medium.CounterKind(c.Kind), Smallest: c.Smallest, Sampling: medium.WholeBreath}
	if out.Counter == "" {
		out.Counter = medium.CounterKind(record.Condensation)
	}
	if v := e.ventilation(); v > 0 {
		out.Ventilation = v
	}
	return out
}

// ventilation is the mean inhalation in L/min over the study's traces that hold a
// breathing flow (exhalation, negative, counts as no inhalation): the minute
// ventilation; 0 where none was recorded.
func (e *evening) ventilation() float64 {
	sum, n := 0.0, 0.0
	for _, w := range e.study.Wearings {
		if w.Trace == nil || w.Excluded != "" {
			continue
		}
		for _, v := range w.Trace.FlowLMin {
			if !math.IsNaN(v) {
				sum, n = sum+math.Max(0, v), n+1
			}
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}
