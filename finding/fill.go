package finding

import (
	"math"

	"telltale/fitfactor"
)

// fill copies what the trace says.
func (w *Wearing) fill(r *fitfactor.Result) {
	w.FitFactor, w.Penetration = r.FitFactor, r.Penetration
	w.Exercises = exercises(r.Exercises)
	for _, c := range r.Channels {
		out := Channel{LowUM: float64(c.Low), FitFactor: c.FitFactor, InsideCounts: orNull(c.InsideCounts)}
		if c.High > 0 {
			out.HighUM = orNull(float64(c.High))
		}
		w.Channels = append(w.Channels, out)
	}
	for _, s := range r.Steps {
		w.Steps = append(w.Steps, Step(s))
	}
	w.Trimmed = []Span{}
	for _, s := range r.Trimmed {
		w.Trimmed = append(w.Trimmed, Span(s))
	}
	w.Caveats = append(w.Caveats, r.Caveats...)
}

func exercises(all []fitfactor.Exercise) []Exercise {
	out := []Exercise{}
	for _, x := range all {
		out = append(out, Exercise{Name: x.Name, Counted: x.Counted, StartS: x.StartS, EndS: x.EndS,
			AmbientPerCM3: orNull(x.Ambient), InsidePerCM3: orNull(x.Inside), InsideCounts: orNull(x.InsideCounts),
			FitFactor: x.FitFactor, RoomChange: x.Drift, Inflation: orNull(x.Inflation)})
	}
	return out
}

// orNull is nil where a number does not exist.
func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
