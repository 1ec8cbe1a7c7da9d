package finding

import (
	"telltale/fitfactor"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// Single is what one trace says by itself: no session, so no gate is examined.
type Single struct {
	Format    string     `json:"format"`
	Trace     TraceLine  `json:"trace"`
	Protocol  Protocol   `json:"protocol"`
	Level     float64    `json:"level"`
	Overall   Overall    `json:"overall"`
	Exercises []Exercise `json:"exercises"`
	Channels  []Channel  `json:"channels"`
	Steps     []Step     `json:"steps"`
	Remarks   []string   `json:"remarks"` // what the reader of the file tolerated
	Caveats   []string   `json:"caveats"`
	Cautions  []string   `json:"cautions"`
	Program   Program    `json:"program"`
}

// TraceLine names the file that was read.
type TraceLine struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Rows   int    `json:"rows"`
}

// Protocol names the exercise protocol and where it comes from.
type Protocol struct {
	ID     string `json:"id"`
	Title  string `json:"title"`
	Source string `json:"source"`
	State  string `json:"state"`
}

// Overall is the figure of the whole trace.
type Overall struct {
	FitFactor    uncertainty.Estimate `json:"fit_factor"`
	Penetration  uncertainty.Estimate `json:"penetration"`
	OneIn        string               `json:"one_in"`
	InsideCounts *float64             `json:"inside_counts"`
	Decision     *string              `json:"decision"` // null without a limit
	Reason       string               `json:"reason"`
	Limit        *Limit               `json:"limit"`
	// Guard is the interval the decision used: exact limits, estimated scatter
	// taken larger.
	Guard *uncertainty.Estimate `json:"guard"`
}

// OfTrace says what one trace says.
func OfTrace(t *record.Trace, s fitfactor.Settings, p Program) (*Single, error) {
	r, err := fitfactor.Of(t, s)
	if err != nil {
		return nil, err
	}
	if p.ReferenceDigest == "" {
		p.ReferenceDigest = reference.Digest()
	}
	out := &Single{Format: "telltale-fit/1", Trace: TraceLine{t.Name, t.SHA256, t.Rows()}, Level: r.Level, Program: p,
		Protocol: Protocol{r.Protocol.ID, r.Protocol.Title, r.Protocol.Source.String(), string(r.Protocol.Source.State)},
		Remarks:  []string{}, Channels: []Channel{}, Cautions: []string{}}
	var w Wearing
	w.fill(r)
	out.Exercises, out.Steps, out.Caveats = w.Exercises, w.Steps, append([]string{}, w.Caveats...)
	out.Channels = append(out.Channels, w.Channels...)
	out.Overall = Overall{FitFactor: r.FitFactor, Penetration: r.Penetration, OneIn: oneIn(r.FitFactor), InsideCounts: orNull(r.InsideCounts)}
	out.Overall.decide(r)
	if out.Overall.Decision != nil {
		out.Caveats = append(out.Caveats, "A single trace examines no gate (reference respirator, zero check): the decision is of this trace alone.")
	}
	for _, m := range t.Remarks {
		out.Remarks = append(out.Remarks, m.Code+" "+m.Text)
	}
	for _, c := range reference.Cautions(false, false) {
		out.Cautions = append(out.Cautions, c.Text)
	}
	return out, nil
}

func (o *Overall) decide(r *fitfactor.Result) {
	v := r.Verdict
	if v == nil {
		o.Reason = "no limit was given and the protocol has none: no decision"
		return
	}
	word := string(v.Outcome)
	o.Decision, o.Reason = &word, v.Reason
	o.Limit = &Limit{v.Limit.FitFactor, v.Limit.Facepiece, string(v.Rule), v.Limit.Source.String(), fitfactor.DecisionRule}
	guard := v.Guard
	o.Guard = &guard
}
