package medium

import (
	"testing"

	"telltale/reference"
)

func class(tb testing.TB, name string) reference.Class {
	tb.Helper()
	c, err := reference.ClassByName(name)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// BenchmarkBandOfOneClass is the full band with all media, corners and assumptions;
// the aim is 20 ms on one core.
func BenchmarkBandOfOneClass(b *testing.B) {
	c := class(b, "KF94")
	for b.Loop() {
		if _, err := Expect(c, Conditions{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBandsOfAllClasses is every class of the reference rows that has a filter
// limit; the aim is 0.5 s.
func BenchmarkBandsOfAllClasses(b *testing.B) {
	classes := reference.Classes()
	for b.Loop() {
		n := 0
		for _, c := range classes {
			if _, err := Expect(c, Conditions{}); err == nil {
				n++
			}
		}
		b.ReportMetric(float64(n), "classes")
	}
}
