package uncertainty

import (
	"math"
	"testing"
)

// The printed digits, by hand from the rule in Rounded.
func TestAFigureIsPrintedWithTheDigitsItsIntervalCarries(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		e    Estimate
		want string
	}{
		{New(145.8893, 120.1, 177.04, 0.95, ""), "146 (95 % interval 120 to 177)"},
		{New(11.62, 9.5, 14.1, 0.95, ""), "11.6 (95 % interval 9.5 to 14.1)"},
		{New(3.1298, 3.092, 3.168, 0.95, ""), "3.13 (95 % interval 3.09 to 3.17)"},
		{New(32.13, 31.8, 32.4, 0.95, ""), "32.1 (95 % interval 31.8 to 32.4)"},
		{New(15234, 12000, 19000, 0.9, ""), "15 200 (90 % interval 12 000 to 19 000)"},
		{New(0.00453, 0.0041, 0.0049, 0.95, ""), "0.00453 (95 % interval 0.00410 to 0.00490)"},
		{NewAtLeast(4120.36, 0.95, ""), "at least 4100 (95 %)"},
		{NewAtLeast(4100, 0.95, ""), "at least 4100 (95 %)"},
		{NewAtMost(0.01712, 0.95, ""), "at most 0.018 (95 %)"},
		{New(182.2, 23.97, 32225.8, 0.95, ""), "180 (95 % interval 20 to 32 230)"}, // by its half width alone: 0
		{New(5200, 0.4, 9e6, 0.95, ""), "5200 (95 % interval 0.4 to 9 000 000)"},
		{NewAtLeast(0.0123, 0.999999, ""), "at least 0.012 (99.9999 %)"}, // never 100 %
		{NewUnknown(0.95, ""), "cannot tell"},
		{Estimate{Value: 12, Low: nan, High: nan, Kind: Unknown}, "12 (no interval can be given)"},
	} {
		if got := c.e.Words(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.e, got, c.want)
		}
	}
}
