package uncertainty

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Words says the estimate in a line: value and interval rounded once, to the
// digits that the interval can carry. Terminal, page and report all use it.
func (e Estimate) Words() string {
	level := strconv.FormatFloat(100*e.Level, 'g', 8, 64)
	switch e.Kind {
	case Interval:
		value, low, high := e.Rounded()
		return fmt.Sprintf("%s (%s %% interval %s to %s)", value, level, low, high)
	case AtLeast:
		return fmt.Sprintf("at least %s (%s %%)", floored(e.Low), level)
	case AtMost:
		return fmt.Sprintf("at most %s (%s %%)", ceiled(e.High), level)
	}
	if !math.IsNaN(e.Value) {
		return Number(e.Value) + " (no interval can be given)"
	}
	return "cannot tell"
}

// Rounded gives value, low and high as printed, all to the same decimal. The
// rule: two digits of the half width (GUM 7.2.6), three of the value at most, and
// from 20 on no decimals unless the interval is narrower than one. Two digits of
// the value and one of a limit stay in any case: an interval of many decades must
// not round its value to 0.
func (e Estimate) Rounded() (value, low, high string) {
	d := e.decimals()
	f := func(v float64) string {
		if math.IsNaN(v) {
			return "-"
		}
		return Grouped(v, max(d, decimalsKeeping(v, 1)))
	}
	return f(e.Value), f(e.Low), f(e.High)
}

// decimals is how many decimals the interval can carry; negative rounds to tens.
func (e Estimate) decimals() int {
	half := (e.High - e.Low) / 2
	if math.IsNaN(half) || half <= 0 {
		half = math.Abs(e.Value) / 10
	}
	if half == 0 || math.IsNaN(half) {
		return 0
	}
	d := 1 - int(math.Floor(math.Log10(half)))
	v := math.Abs(e.Value)
	if v >= 20 && half >= 0.5 {
		return max(-6, decimalsKeeping(v, 2), min(d, 0))
	}
	if v > 0 {
		d = min(d, 2-int(math.Floor(math.Log10(v)))) // three digits of the value at most
	}
	return max(-6, decimalsKeeping(v, 2), min(d, 8))
}

// decimalsKeeping is the number of decimals with which v > 0 keeps n digits, at most 8.
func decimalsKeeping(v float64, n int) int {
	if !(v > 0) || math.IsInf(v, 0) {
		return -6
	}
	return min(8, n-1-int(math.Floor(math.Log10(v))))
}

// floored rounds a lower bound down to two digits, ceiled an upper bound up, so
// that what is printed stays a bound.
func floored(v float64) string { return bound(v, math.Floor) }
func ceiled(v float64) string  { return bound(v, math.Ceil) }

func bound(v float64, round func(float64) float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	if v == 0 {
		return "0"
	}
	d := 1 - int(math.Floor(math.Log10(math.Abs(v))))
	scale := math.Pow(10, float64(d))
	r := round(v*scale*(1+1e-12)) / scale
	if d > 0 && round(v*scale) == v*scale {
		r = v
	}
	return Grouped(r, max(0, d))
}

// Number prints v with three digits, for figures beside the results (means,
// factors); whole numbers up to a million are printed whole.
func Number(v float64) string {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return "-"
	case v == math.Trunc(v) && math.Abs(v) < 1e6:
		return Grouped(v, 0)
	case math.Abs(v) >= 1000:
		return Grouped(v, 0)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// Grouped prints v with d decimals (d < 0 rounds to tens, hundreds ...) and thin
// groups of thousands from 10 000 on, free of any locale.
func Grouped(v float64, d int) string {
	if d < 0 {
		unit := math.Pow(10, float64(-d))
		v, d = math.Round(v/unit)*unit, 0
	}
	s := strconv.FormatFloat(v, 'f', d, 64)
	sign, rest := "", s
	if strings.HasPrefix(s, "-") {
		sign, rest = "-", s[1:]
	}
	whole, frac, has := strings.Cut(rest, ".")
	if len(whole) > 4 {
		var b strings.Builder
		for i, c := range whole {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteByte(' ')
			}
			b.WriteRune(c)
		}
		whole = b.String()
	}
	if has {
		whole += "." + frac
	}
	return sign + whole
}
