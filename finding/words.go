package finding

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"telltale/control"
	"telltale/record"
	"telltale/uncertainty"
)

// configurationName words the repairs as a person would: "as worn", "stiffer nose
// strip", "tape at the nose and brace".
func configurationName(repairs []record.Repair) string {
	if len(repairs) == 0 {
		return "as worn"
	}
	var parts []string
	for _, r := range repairs {
		parts = append(parts, repairName(r))
	}
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return parts[0]
}

func repairName(r record.Repair) string {
	name := map[string]string{"nose_strip": "stiffer nose strip", "tape": "tape", "brace": "brace", "strap_clip": "strap clip"}[r.Word]
	if name == "" {
		name = strings.ReplaceAll(r.Word, "_", " ")
	}
	switch {
	case r.Zone == "all" || r.Zone == "" && r.Word == "tape":
		return name + " all round"
	case r.Zone != "":
		return name + " at the " + r.Zone
	}
	return name
}

// oneIn words a fit factor for a lay reader: how many of the room's particles get
// in. A bound stays one.
func oneIn(e uncertainty.Estimate) string {
	switch {
	case e.Kind == uncertainty.AtLeast && e.Low > 1:
		return "at most 1 particle in " + rounded(e.Low, math.Floor) + " gets in"
	case e.Kind == uncertainty.AtMost && e.High > 1:
		return "at least 1 particle in " + rounded(e.High, math.Ceil) + " gets in"
	case e.Kind == uncertainty.Interval && e.Value >= 2:
		return "about 1 particle in " + inWords(e.Value) + " gets in"
	case e.Kind == uncertainty.Interval && e.Value > 0 && e.High < 1:
		return "more particles were read inside than in the room"
	case e.Kind == uncertainty.Interval && e.Value > 0:
		return fmt.Sprintf("about %.0f particles in 100 get in", math.Min(100, 100/e.Value))
	}
	return "how many particles get in cannot be told"
}

// rounded keeps two digits of a bound, rounded to its safe side.
func rounded(v float64, round func(float64) float64) string {
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-1))
	return uncertainty.Grouped(round(v/unit)*unit, 0)
}

func inWords(ff float64) string {
	switch {
	case ff < 10:
		return strings.TrimSuffix(fmt.Sprintf("%.1f", ff), ".0")
	case ff < 100:
		return fmt.Sprintf("%.0f", ff)
	}
	unit := math.Pow(10, math.Floor(math.Log10(ff))-1)
	return uncertainty.Grouped(math.Round(ff/unit)*unit, 0)
}

// between words the interval beside oneIn.
func between(e uncertainty.Estimate) string {
	if e.Kind != uncertainty.Interval {
		return fmt.Sprintf("a one-sided bound at %s %%", uncertainty.Number(100*e.Level))
	}
	return fmt.Sprintf("between 1 in %s and 1 in %s (%s %%)", inWords(e.Low), inWords(e.High), uncertainty.Number(100*e.Level))
}

// say words the headline, its line, and the sentences that may be published.
func (r *Respirator) say(groups []group) {
	r.MayBeSaid = []string{}
	if len(r.Configurations) == 0 {
		r.Headline = "No run of this respirator was recorded"
		return
	}
	first := r.Configurations[0]
	r.Headline = capital(first.Name) + ", " + first.OneIn
	r.Subline = between(first.FitFactor) + "; " + extent(first)
	if first.FitFactor.Kind == uncertainty.Unknown {
		r.Headline, r.Subline = "Cannot tell how much gets in", firstCaveat(first.FitFactor)
	}
	if g, held := heldBack(groups); held {
		r.HeldBack = true
		r.Subline = "No statement is made from these runs: " + g.Name + ", " + g.Text + ". The numbers are kept."
		r.MayBeSaid = append(r.MayBeSaid, "Nothing is said for or against this respirator: "+g.Text+".")
		return
	}
	for _, c := range r.Configurations {
		r.MayBeSaid = append(r.MayBeSaid, sentence(c)...)
	}
	if r.Attribution != nil {
		r.MayBeSaid = append(r.MayBeSaid, r.Attribution.Text...)
		if !r.Attribution.Separable {
			r.MayBeSaid = append(r.MayBeSaid, capital(r.Attribution.Reason)+".")
		}
	}
	if r.ClaimCheck != nil {
		r.MayBeSaid = append(r.MayBeSaid, r.ClaimCheck.Text)
	}
	if r.Marks != nil {
		r.MayBeSaid = append(r.MayBeSaid, r.Marks.Text)
	}
}

// heldBack gives the gate that keeps every used run of the respirator from a
// decision, if there is one for each.
func heldBack(groups []group) (control.Gate, bool) {
	var first control.Gate
	found := false
	for _, g := range groups {
		for _, x := range g.results {
			if !x.counts() {
				continue
			}
			gate, held := control.Holding(x.gates, false)
			if !held {
				return control.Gate{}, false
			}
			if !found {
				first, found = gate, true
			}
		}
	}
	return first, found
}

// sentence words one configuration: figure, conditions, comparison, decisions.
func sentence(c Configuration) []string {
	if c.FitFactor.Kind == uncertainty.Unknown {
		return nil
	}
	text := fmt.Sprintf("%s: fit factor %s", capital(c.Name), c.FitFactor.Words())
	if v := c.VersusAsWorn; v != nil && v.Kind != uncertainty.Unknown {
		text += fmt.Sprintf(", %s the unrepaired one", times(*v))
	}
	text += "; " + extent(c) + "."
	if d := decisions(c); d != "" {
		text += " " + capital(d)
	}
	return []string{text}
}

// extent says on how many wearings, donnings, specimens and faces a figure rests.
func extent(c Configuration) string {
	specimens, faces, n := map[string]bool{}, map[string]bool{}, 0
	for _, w := range c.Wearings {
		if w.Excluded == "" && w.Problem == "" && w.LeftOut == "" {
			n++
			specimens[w.Specimen], faces[w.Wearer] = true, true
		}
	}
	return fmt.Sprintf("%s, %s, %s, %s", plural(n, "wearing"), plural(c.Donnings, "donning"), plural(len(specimens), "specimen"), plural(len(faces), "face"))
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// times words a comparison, better or worse, and says when it may be either.
func times(e uncertainty.Estimate) string {
	switch e.Kind {
	case uncertainty.AtLeast:
		return fmt.Sprintf("at least %s times (%s %%)", uncertainty.Number(e.Low), uncertainty.Number(100*e.Level))
	case uncertainty.AtMost:
		return fmt.Sprintf("at most %s times (%s %%)", uncertainty.Number(e.High), uncertainty.Number(100*e.Level))
	}
	value, low, high := e.Rounded()
	if e.Low <= 1 && e.High >= 1 {
		return fmt.Sprintf("which may be no change: %s times (%s to %s)", value, low, high)
	}
	if e.High < 1 {
		return fmt.Sprintf("worse: %s times (%s to %s)", value, low, high)
	}
	return fmt.Sprintf("%s times (%s to %s)", value, low, high)
}

// decisions sums up what the wearings' decisions were.
func decisions(c Configuration) string {
	count := map[string]int{}
	var limit *Limit
	protocols := []string{}
	for _, w := range c.Wearings {
		if w.Decision == nil || w.Excluded != "" || w.LeftOut != "" {
			continue
		}
		count[*w.Decision]++
		limit = w.Limit
		if !slices.Contains(protocols, w.Protocol) {
			protocols = append(protocols, w.Protocol)
		}
	}
	if limit == nil {
		return ""
	}
	var parts []string
	for _, d := range []struct{ code, words string }{{"pass", "above"}, {"conditional_pass", "above, but within the uncertainty"}, {"cannot_decide", "not decided"}, {"fail", "below"}} {
		if n := count[d.code]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, d.words))
		}
	}
	return fmt.Sprintf("single wearings against the limit %s of protocol %s: %s.", uncertainty.Number(limit.FitFactor), strings.Join(protocols, ", "), strings.Join(parts, ", "))
}

func firstCaveat(e uncertainty.Estimate) string {
	if len(e.Caveats) > 0 {
		return e.Caveats[0]
	}
	return e.Assumption
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// percentWords words a share or a penetration in percent, with its interval.
func percentWords(e uncertainty.Estimate) string {
	p := e
	p.Value, p.Low, p.High = 100*e.Value, 100*e.Low, 100*e.High
	switch e.Kind {
	case uncertainty.Interval:
		value, low, high := p.Rounded()
		return fmt.Sprintf("%s %% (%s to %s)", value, low, high)
	case uncertainty.AtMost:
		return fmt.Sprintf("at most %s %% (%s %%)", uncertainty.Number(p.High), uncertainty.Number(100*e.Level))
	case uncertainty.AtLeast:
		return fmt.Sprintf("at least %s %% (%s %%)", uncertainty.Number(p.Low), uncertainty.Number(100*e.Level))
	}
	return "cannot be told"
}
