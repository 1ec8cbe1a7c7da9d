package attribution

import (
	"encoding/json"
	"math"

	"telltale/uncertainty"
)

// Result is what the ladder tells. Every figure is of this wearer, these
// specimens and this counter's particle sizes.
type Result struct {
	// Separable says that seal and filter can be told apart: the filter's
	// penetration has two bounds that hold under every named prior. Reason says
	// in words why, or why not and what would.
	Separable bool
	Reason    string

	// Filter is the filter's penetration at the wearings' breathing: an interval
	// when Separable, else "at most".
	Filter uncertainty.Estimate
	Rungs  []RungResult
	Zones  []ZoneShare // of the leak as worn; nil unless zones were repaired apart

	WearingScatter  uncertainty.Estimate // sd of the log leak between wearings
	ExerciseScatter uncertainty.Estimate // sd of the log leak between exercises of a wearing

	Priors []PriorAnswer // the first is the one of the main figures
	Next   *NextWearing  // nil when the question is settled or was not asked

	Method  string // how the posterior was worked
	Caveats []string
}

// RungResult is one configuration.
type RungResult struct {
	Name     string
	Wearings int
	Leak     uncertainty.Estimate // median leak of the rung, as penetration
	Total    uncertainty.Estimate // filter and median leak together
	// SealShare is the share of what gets in that comes past the seal, 0 to 1.
	SealShare uncertainty.Estimate
	// MostlySeal is the chance that more comes past the seal than through the
	// filter, and Path what may be said of it.
	MostlySeal Chance
	Path       Path
	// Fold is how many times less gets in than as worn (above 1 = the repairs
	// helped), Helped the chance that they lowered the leak at all, and
	// HelpedMore the chance that this rung leaks less than the one before.
	// They do not exist for the rung as worn.
	Fold       *uncertainty.Estimate
	Helped     *Chance
	HelpedMore *Chance
	// Sealed is the Bayes factor of "no leak at all" against "a leak" under each
	// of the named priors, in their order; nil where a chain was needed.
	Sealed []float64
}

// Chance is a probability under the main prior and its range over the named
// priors.
type Chance struct {
	Value float64 `json:"value"`
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// MarshalJSON writes null for a chance that does not exist.
func (c Chance) MarshalJSON() ([]byte, error) {
	if math.IsNaN(c.Value) {
		return []byte("null"), nil
	}
	type plain Chance
	return json.Marshal(plain(c))
}

// Path is what may be said of the way most particles take.
type Path string

// The ways, and the proper answer when they cannot be told apart.
const (
	MostlySeal   Path = "seal"
	MostlyFilter Path = "filter"
	Undecided    Path = "undecided"
)

// ZoneShare is a zone's part of the leak as worn.
type ZoneShare struct {
	Zone  string               `json:"zone"`
	Share uncertainty.Estimate `json:"share"`
}

// PriorAnswer is what one named prior makes of the same counts.
type PriorAnswer struct {
	Prior      Prior
	LnMarginal float64              // log marginal likelihood; NaN where a chain was needed, and where the exercises went unread
	Filter     uncertainty.Estimate // two-sided, whatever separates it
}

// Published is the part of the result that a report bears.
type Published struct {
	Separable bool                   `json:"separable"`
	Reason    string                 `json:"reason"`
	Filter    uncertainty.Estimate   `json:"filter_penetration"`
	SealShare []uncertainty.Estimate `json:"seal_share"` // by configuration, in the ladder's order
	Paths     []Path                 `json:"paths"`
	Zones     []ZoneShare            `json:"zones"`
	Next      *NextWearing           `json:"next_wearing"`
	Caveats   []string               `json:"caveats"`
}

// Published gives that part.
func (r *Result) Published() Published {
	p := Published{Separable: r.Separable, Reason: r.Reason, Filter: r.Filter, Zones: r.Zones, Next: r.Next, Caveats: r.Caveats}
	if p.Zones == nil {
		p.Zones = []ZoneShare{}
	}
	if p.Caveats == nil {
		p.Caveats = []string{}
	}
	p.SealShare, p.Paths = []uncertainty.Estimate{}, []Path{}
	for _, g := range r.Rungs {
		p.SealShare = append(p.SealShare, g.SealShare)
		p.Paths = append(p.Paths, g.Path)
	}
	return p
}
