package attribution

import (
	"fmt"
	"math"

	"telltale/uncertainty"
)

// Headline words the filter's figure and whether it was told apart.
func (r *Result) Headline() string {
	f := r.Filter
	level := fmt.Sprintf("%.3g %%", 100*f.Level)
	switch f.Kind {
	case uncertainty.Interval:
		return fmt.Sprintf("through the filter: %s (%s to %s, %s); %s", percent(f.Value), percent(f.Low), percent(f.High), level, r.Reason)
	case uncertainty.AtMost:
		return fmt.Sprintf("through the filter: at most %s (%s); %s", percent(f.High), level, r.Reason)
	}
	return "through the filter: nothing can be said; " + r.Reason
}

// Words words the rung: which way most gets in, and whether the repairs helped.
func (g *RungResult) Words() string {
	s := g.Name + ": "
	switch g.Path {
	case MostlySeal:
		s += "most gets in past the seal"
	case MostlyFilter:
		s += "most gets in through the filter"
	default:
		s += "which way most gets in is undecided"
	}
	switch e := g.SealShare; e.Kind {
	case uncertainty.Interval:
		s += fmt.Sprintf(" (seal %s of it, %s to %s)", percent(e.Value), percent(e.Low), percent(e.High))
	case uncertainty.AtLeast:
		s += fmt.Sprintf(" (seal at least %.0f %% of it)", math.Floor(100*e.Low)) // a lower bound is not rounded up
	}
	if g.Fold != nil && g.Helped != nil {
		s += fmt.Sprintf("; %s times less gets in than as worn (%s to %s); chance that the leak fell: %s",
			short(g.Fold.Value), short(g.Fold.Low), short(g.Fold.High), g.Helped)
	}
	return s
}

// String words the chance with its range over the named priors.
func (c Chance) String() string {
	if fmt.Sprintf("%.2f", c.Least) == fmt.Sprintf("%.2f", c.Most) {
		return bounded(c.Value)
	}
	return fmt.Sprintf("%s (%s to %s over the named priors)", bounded(c.Value), bounded(c.Least), bounded(c.Most))
}

// bounded prints a probability to two places, never as 0 or 1.
func bounded(p float64) string {
	switch {
	case p > 0.99:
		return "above 0.99"
	case p < 0.01:
		return "below 0.01"
	}
	return fmt.Sprintf("%.2f", p)
}

// percent words a share with the digits an interval can carry.
func percent(v float64) string { return short(100*v) + " %" }

// short prints two digits, more where the number has them before the point.
func short(v float64) string {
	if v >= 9.95 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2g", v)
}
