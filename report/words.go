package report

import (
	"math"
	"strings"

	"telltale/finding"
	"telltale/uncertainty"
)

// said is an estimate as a page shows it: the figure strong, its interval light
// and on the same line.
type said struct{ Strong, Light string }

// say words an estimate; the words are those of uncertainty.Estimate.Words.
func say(e uncertainty.Estimate) said {
	strong, light, _ := strings.Cut(e.Words(), " (")
	return said{strong, strings.TrimSuffix(light, ")")}
}

// brief words an estimate where the level stands in a heading: "8.9", "6.1 to 13".
func brief(e uncertainty.Estimate) said {
	if e.Kind != uncertainty.Interval {
		return say(e)
	}
	value, low, high := e.Rounded()
	return said{value, low + " to " + high}
}

// percent is an estimate of a share, per hundred.
func percent(e uncertainty.Estimate) uncertainty.Estimate {
	e.Value, e.Low, e.High = 100*e.Value, 100*e.Low, 100*e.High
	return e
}

// briefPercent words a share in per cent.
func briefPercent(e uncertainty.Estimate) said {
	s := brief(percent(e))
	if e.Kind != uncertainty.Unknown || !math.IsNaN(e.Value) {
		s.Strong += " %"
	}
	return s
}

// particles words a configuration for a lay reader, in the words of the finding
// made short: "1 in 8.9", with the interval beside it.
func particles(c finding.Configuration) said {
	before, after, told := strings.Cut(c.OneIn, " in ")
	if !told || c.FitFactor.Kind == uncertainty.Unknown {
		return said{"cannot tell", ""}
	}
	count := strings.NewReplacer("about ", "", " particles", "", " particle", "").Replace(before)
	rest := strings.TrimSuffix(strings.TrimSuffix(after, " gets in"), " get in")
	s := said{count + " in " + rest, ""}
	switch {
	case c.FitFactor.Kind != uncertainty.Interval:
		s.Light = levelWords(c.FitFactor)
	case count == "1":
		s.Light = brief(c.FitFactor).Light
	}
	return s
}

// levelWords says the level of a bound.
func levelWords(e uncertainty.Estimate) string { return uncertainty.Number(100*e.Level) + " %" }

func finite(all ...float64) bool {
	for _, v := range all {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// state is a word with the shape that goes with it, so that neither colour nor
// sight of the shape is needed.
type state struct{ Word, Shape string }

// states words what stands in findings as a key. Shapes are symbols of page.html.
var states = map[string]state{
	"in order":     {"in order", "disc"},
	"open":         {"open", "triangle"},
	"not examined": {"not examined", "ring"},

	"pass":             {"pass", "disc"},
	"conditional_pass": {"conditional pass", "half"},
	"cannot_decide":    {"cannot decide", "ring"},
	"fail":             {"fail", "square"},

	"consistent":        {"consistent", "disc"},
	"hard_to_reconcile": {"hard to reconcile", "triangle"},
	"inconsistent":      {"inconsistent", "square"},
	"cannot_tell":       {"cannot tell", "ring"},

	"no_inconsistency_found":    {"no inconsistency found", "disc"},
	"not_enough_to_examine":     {"not enough to examine", "ring"},
	"contradiction":             {"contradiction", "square"},
	"missing":                   {"missing", "ring"},
	"unusual":                   {"unusual", "triangle"},
	"note":                      {"note", "dash"},
	"":                          {"not examined", "ring"},
	"not decided: no limit":     {"no limit, no decision", "dash"},
	"left out of the pool":      {"left out of the pooled figures", "cross"},
	"left out of the figures":   {"left out of the figures", "cross"},
	"no figure could be formed": {"no figure could be formed", "cross"},
}

func stateOf(key string) state {
	if s, known := states[key]; known {
		return s
	}
	return state{strings.ReplaceAll(key, "_", " "), "dash"}
}

// orDash prints a figure that may be missing.
func orDash(v *float64) string {
	if v == nil {
		return "-"
	}
	return uncertainty.Number(*v)
}

// plural counts things in words.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return uncertainty.Number(float64(n)) + " " + many
}

// joined puts the non-empty texts in a line.
func joined(texts ...string) string {
	var kept []string
	for _, t := range texts {
		if t != "" {
			kept = append(kept, t)
		}
	}
	return strings.Join(kept, " · ")
}

// slug makes an anchor of an id.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}
