// Package uncertainty answers: how sure?
//
// A result is an Estimate: a value with its interval, the level, and the
// assumption under which the interval holds. The caller says what he is willing
// to assume about his numbers; each assumption is one file and chooses its own
// arithmetic. Too little data gives a wide or one-sided answer and a caveat that
// says what would be enough; it never gives an error and never a narrow answer.
package uncertainty

import (
	"encoding/json"
	"math"
)

// Kind says how an Estimate is to be read.
type Kind string

// The four kinds of an Estimate.
const (
	Interval Kind = "interval" // two-sided: low to high at the level
	AtLeast  Kind = "at_least" // one-sided: only low exists
	AtMost   Kind = "at_most"  // one-sided: only high exists
	Unknown  Kind = "unknown"  // nothing can be said
)

// Estimate is a value with what it is worth. Value, Low and High are NaN where
// they do not exist; in JSON they are then null, never NaN or infinity. The unit
// is that of the field that holds the Estimate (most are ratios).
type Estimate struct {
	Value      float64
	Low, High  float64
	Level      float64 // the level attained, such as 0.95
	Kind       Kind
	Assumption string   // what the interval rests on, in words
	Caveats    []string // what a reader must know beside the figure
}

// New makes a two-sided Estimate.
func New(value, low, high, level float64, assumption string, caveats ...string) Estimate {
	return Estimate{value, low, high, level, Interval, assumption, caveats}
}

// NewAtLeast makes a one-sided Estimate that knows only a lower bound.
func NewAtLeast(low, level float64, assumption string, caveats ...string) Estimate {
	return Estimate{math.NaN(), low, math.NaN(), level, AtLeast, assumption, caveats}
}

// NewAtMost makes a one-sided Estimate that knows only an upper bound.
func NewAtMost(high, level float64, assumption string, caveats ...string) Estimate {
	return Estimate{math.NaN(), math.NaN(), high, level, AtMost, assumption, caveats}
}

// NewUnknown makes an Estimate that knows nothing, with the reason.
func NewUnknown(level float64, assumption string, caveats ...string) Estimate {
	return Estimate{math.NaN(), math.NaN(), math.NaN(), level, Unknown, assumption, caveats}
}

// Inverse is the Estimate of 1/x for a positive x: bounds change sides.
func (e Estimate) Inverse() Estimate {
	inv := e
	inv.Value, inv.Low, inv.High = reciprocal(e.Value), reciprocal(e.High), reciprocal(e.Low)
	switch e.Kind {
	case AtLeast:
		inv.Kind = AtMost
	case AtMost:
		inv.Kind = AtLeast
	}
	return inv
}

// reciprocal is 1/x, and NaN (does not exist) where that is not finite.
func reciprocal(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return math.NaN()
	}
	return 1 / x
}

// With gives a copy with further caveats; a caveat it already bears is not said
// twice.
func (e Estimate) With(caveats ...string) Estimate {
	out := append([]string(nil), e.Caveats...)
next:
	for _, c := range caveats {
		for _, have := range out {
			if have == c {
				continue next
			}
		}
		out = append(out, c)
	}
	e.Caveats = out
	return e
}

// wire is the JSON form of an Estimate (docs/formats.md, Estimates).
type wire struct {
	Value      *float64 `json:"value"`
	Low        *float64 `json:"low"`
	High       *float64 `json:"high"`
	Level      float64  `json:"level"`
	Kind       Kind     `json:"kind"`
	Assumption string   `json:"assumption"`
	Caveats    []string `json:"caveats"`
}

// MarshalJSON writes null for what does not exist.
func (e Estimate) MarshalJSON() ([]byte, error) {
	w := wire{orNull(e.Value), orNull(e.Low), orNull(e.High), e.Level, e.Kind, e.Assumption, e.Caveats}
	if w.Kind == "" {
		w.Kind = Unknown
	}
	if w.Caveats == nil {
		w.Caveats = []string{}
	}
	return json.Marshal(w)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (e *Estimate) UnmarshalJSON(data []byte) error {
	var w wire
	if err := json.Unmarshal(data, &w); err != nil {
		return err
	}
	*e = Estimate{orNaN(w.Value), orNaN(w.Low), orNaN(w.High), w.Level, w.Kind, w.Assumption, w.Caveats}
	return nil
}

func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
