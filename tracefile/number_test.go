package tracefile

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestNumbersAreReadAsTheStandardLibraryDoes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	cases := []string{"0", "0.0", ".5", "5.", "+7", "-1.5", "1e22", "1e23", "9007199254740993", "123456789012345678901234567890", "0.1e-22", "1e-23",
		"000000000000000000000000012.5", "4.9e-324", "1.7976931348623157e308", "0.000000000000000000000000000000000001", "1E5", "1e+05", "9007199254740991e22"}
	for range 200_000 {
		cases = append(cases, strconv.FormatFloat(math.Float64frombits(rng.Uint64()>>1), "eg"[rng.IntN(2)], rng.IntN(18), 64),
			strconv.FormatFloat(rng.Float64()*1e6, 'f', rng.IntN(8), 64))
	}
	for _, s := range cases {
		want, err := strconv.ParseFloat(s, 64)
		got, ok := parseNumber([]byte(s))
		if math.IsNaN(want) || err != nil || want == 0 && strings.ContainsAny(s, "123456789") {
			if ok && math.IsNaN(want) || ok && err != nil {
				t.Errorf("%s was read as %v", s, got.value)
			}
			continue
		}
		if !ok || math.Float64bits(got.value) != math.Float64bits(want) {
			t.Errorf("%s: got %v %v, want %v", s, got.value, ok, want)
		}
	}
}

func TestPlainNumbersReadBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 100_000 {
		v := math.Float64frombits(rng.Uint64())
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if got, ok := parseNumber(plain(nil, v)); !ok || got.value != v {
			t.Errorf("%v was written as %s and read as %v", v, plain(nil, v), got.value)
		}
	}
}

// FuzzNumber compares the reader with a pattern of what a plain number is and
// with the standard library's value.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1", "-0", "1,5", "1e5", "0x1p-2", "1_0", "NaN", ".", "1.2.3", "1e99999", "１", "1e-400", "-", "+.5e-3"} {
		f.Add(s)
	}
	shape := regexp.MustCompile(`^[+-]?([0-9]+[.,]?[0-9]*|[.,][0-9]+)([eE][+-]?[0-9]{1,4})?$`)
	f.Fuzz(func(t *testing.T, s string) {
		n, ok := parseNumber([]byte(s))
		if !ok {
			code, what, do := notNumber([]byte(s))
			if len(code) != 4 || what == "" || do == "" {
				t.Fatalf("%q: %q %q %q", s, code, what, do)
			}
		}
		if ok && !shape.MatchString(s) {
			t.Fatalf("%q was read as %v", s, n.value)
		}
		want, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if shape.MatchString(s) && err == nil && want != 0 && (!ok || n.value != want) {
			t.Fatalf("%q: got %v %v, want %v", s, n.value, ok, want)
		}
	})
}
