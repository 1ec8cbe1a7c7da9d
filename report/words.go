package report

import (
	"math"
	"strings"

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

// oneIn words a fit factor as particles: "1 in 9", "6 to 13". A particle is
// whole, so it is rounded to whole numbers from 3 on.
func oneIn(fit uncertainty.Estimate) said {
	whole := func(v float64) string {
		if v < 3 {
			return uncertainty.Grouped(v, 1)
		}
		return uncertainty.Grouped(v, 0)
	}
	switch fit.Kind {
	case uncertainty.Interval:
		if finite(fit.Value, fit.Low, fit.High) {
			return said{"1 in " + whole(fit.Value), whole(fit.Low) + " to " + whole(fit.High)}
		}
	case uncertainty.AtLeast:
		if finite(fit.Low) {
			return said{"at most 1 in " + whole(math.Floor(fit.Low)), levelWords(fit)}
		}
	case uncertainty.AtMost:
		if finite(fit.High) {
			return said{"at least 1 in " + whole(fit.High), levelWords(fit)}
		}
	case uncertainty.Unknown:
		if finite(fit.Value) {
			return said{"1 in " + whole(fit.Value), "no interval can be given"}
		}
	}
	return said{"cannot tell", ""}
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
