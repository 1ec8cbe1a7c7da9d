package uncertainty

import (
	"bufio"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// column reads one column of numbers, passing over lines that hold none there.
func column(t *testing.T, name string, skip, col int) []float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []float64
	sc := bufio.NewScanner(f)
	for line := 0; sc.Scan(); line++ {
		cells := strings.FieldsFunc(sc.Text(), func(r rune) bool { return r == ',' || r == ' ' || r == '\t' })
		if line < skip || len(cells) <= col {
			continue
		}
		v, err := strconv.ParseFloat(cells[col], 64)
		if err != nil {
			t.Fatalf("%s line %d: %v", name, line+1, err)
		}
		out = append(out, v)
	}
	return out
}

// digits is the log relative error, at most 15.
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	return math.Min(15, -math.Log10(math.Abs(got-want)/math.Abs(want)))
}

func TestUnivariateMomentsOfTheCertifiedSets(t *testing.T) {
	// NIST StRD, univariate: certified mean, sd, lag-one autocorrelation (as
	// quoted in tests of statistics libraries; Michelson's sd and r1 are 299 plus
	// Michelson's speeds).
	for _, c := range []struct {
		file           string
		n              int
		mean, sd, lag1 float64
	}{
		{"univariate_lew.csv", 200, -177.435, 277.332168044316, -0.307304800605679},
		{"univariate_lottery.csv", 218, 518.958715596330, 291.699727470969, -0.120948622967393},
		{"univariate_michelson.csv", 100, 299.852400000000, 0.0790105478190518, 0.535199668621283},
		{"univariate_pidigits.csv", 5000, 4.53480000000000, 2.86733906028871, -0.00355099287237972},
	} {
		m := MomentsOf(column(t, c.file, 1, 0))
		if m.N != c.n {
			t.Fatalf("%s: %d values", c.file, m.N)
		}
		want := 14.5
		if c.file == "univariate_michelson.csv" {
			want = 13 // 299.85 in binary is off by 1e-14 of 0.08
		}
		for what, d := range map[string]float64{"mean": digits(m.Mean, c.mean), "sd": digits(m.SD, c.sd), "lag 1": digits(m.Lag1, c.lag1)} {
			t.Logf("%s %s: %.1f digits", c.file, what, d)
			if d < want {
				t.Errorf("%s %s: %.2f digits (%+v)", c.file, what, d, m)
			}
		}
	}
}

// numAcc builds the NumAcc2 to 4 sets: first value, then low and high by turns.
func numAcc(first, low, high float64, n int) []float64 {
	v := []float64{first}
	for len(v) < n {
		v = append(v, low, high)
	}
	return v
}

func TestLargeOffsetsCostNoDigits(t *testing.T) {
	// NIST StRD NumAcc1 to 4; construction and certified values from memory. The
	// sets with decimals are rounded when read, so the certified digits cannot all
	// be there; exactMoments below says what the rounded values hold.
	for _, c := range []struct {
		name           string
		values         []float64
		mean, sd, lag1 float64
		least          float64 // certified digits that the rounding of the data leaves
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, -0.5, 15},
		{"NumAcc2", numAcc(1.2, 1.1, 1.3, 1001), 1.2, 0.1, -0.999, 14},
		{"NumAcc3", numAcc(1000000.2, 1000000.1, 1000000.3, 1001), 1000000.2, 0.1, -0.999, 9},
		{"NumAcc4", numAcc(10000000.2, 10000000.1, 10000000.3, 1001), 10000000.2, 0.1, -0.999, 8},
	} {
		m := MomentsOf(c.values)
		mean, sd, lag1 := exactMoments(c.values)
		for what, d := range map[string][2]float64{
			"mean": {digits(m.Mean, c.mean), digits(m.Mean, mean)},
			"sd":   {digits(m.SD, c.sd), digits(m.SD, sd)},
			"lag1": {digits(m.Lag1, c.lag1), digits(m.Lag1, lag1)},
		} {
			t.Logf("%s %s: %.1f certified digits, %.1f of the stored values", c.name, what, d[0], d[1])
			if d[0] < c.least || d[1] < 14.5 {
				t.Errorf("%s %s: %.1f certified digits, %.1f of the stored values", c.name, what, d[0], d[1])
			}
		}
	}
}

// exactMoments computes with whole fractions, no rounding before the last step.
func exactMoments(values []float64) (mean, sd, lag1 float64) {
	n := big.NewRat(int64(len(values)), 1)
	sum := new(big.Rat)
	for _, v := range values {
		sum.Add(sum, new(big.Rat).SetFloat64(v))
	}
	m := new(big.Rat).Quo(sum, n)
	mean, _ = m.Float64()
	ss, cross, last := new(big.Rat), new(big.Rat), new(big.Rat)
	for i, v := range values {
		d := new(big.Rat).Sub(new(big.Rat).SetFloat64(v), m)
		ss.Add(ss, new(big.Rat).Mul(d, d))
		if i > 0 {
			cross.Add(cross, new(big.Rat).Mul(d, last))
		}
		last = d
	}
	lag1, _ = new(big.Rat).Quo(cross, ss).Float64()
	variance, _ := new(big.Rat).Quo(ss, big.NewRat(int64(len(values)-1), 1)).Float64()
	return mean, math.Sqrt(variance), lag1
}

// grouped reads a StRD analysis-of-variance file.
func grouped(t *testing.T, name string) [][]float64 {
	t.Helper()
	label, value := column(t, name, 60, 0), column(t, name, 60, 1)
	groups := make([][]float64, int(label[len(label)-1]))
	for i, l := range label {
		groups[int(l)-1] = append(groups[int(l)-1], value[i])
	}
	return groups
}

func TestAnovaOfTheCertifiedSets(t *testing.T) {
	// NIST StRD, analysis of variance: certified values in the head of each file.
	for _, c := range []struct {
		file                                  string
		between, within, f, residual, squared float64
		dfBetween, dfWithin                   float64
		least                                 float64
	}{
		{"SiRstv.dat", 5.11462616000000e-02, 2.16636560000000e-01, 1.18046237440255, 1.04076068334656e-01, 1.90999039051129e-01, 4, 20, 12.5},
		{"SmLs01.dat", 1.68, 1.80, 21, 0.1, 4.82758620689655e-01, 8, 180, 13},
		{"SmLs04.dat", 1.68, 1.80, 21, 0.1, 4.82758620689655e-01, 8, 180, 10},
	} {
		a := AnovaOf(grouped(t, c.file))
		if a.BetweenDF != c.dfBetween || a.WithinDF != c.dfWithin {
			t.Errorf("%s: degrees of freedom %v, %v", c.file, a.BetweenDF, a.WithinDF)
		}
		for what, d := range map[string]float64{"between": digits(a.BetweenSS, c.between), "within": digits(a.WithinSS, c.within),
			"F": digits(a.F, c.f), "residual sd": digits(a.ResidualSD, c.residual), "R squared": digits(a.RSquared, c.squared)} {
			t.Logf("%s %s: %.1f digits", c.file, what, d)
			if d < c.least {
				t.Errorf("%s %s: %.1f digits", c.file, what, d)
			}
		}
	}
}

func TestLargeOffsetAnovaByConstruction(t *testing.T) {
	// Built as the SmLs sets are (Simon & Lesage 1989): nine groups of 21 whose
	// squares are known by hand, on an offset. With steps of 1/8 in place of 0.1
	// every value is exact in binary, so every digit must be there.
	const step = 0.125
	var groups [][]float64
	for g := range 9 {
		row := []float64{1e12 + step*float64(4+g%3)}
		for range 10 {
			row = append(row, row[0]-step, row[0]+step)
		}
		groups = append(groups, row)
	}
	a := AnovaOf(groups)
	near(t, "within", a.WithinSS, 180*step*step, 1e-15)   // 20 squared steps in each of 9 groups
	near(t, "between", a.BetweenSS, 126*step*step, 1e-15) // 21 times 3 times (1+0+1) squared steps
}

func TestLineOfTheCertifiedSet(t *testing.T) {
	// NIST StRD, Norris: certified values in the head of the file.
	y, x := column(t, "Norris.dat", 60, 0), column(t, "Norris.dat", 60, 1)
	l := FitLine(x, y)
	for what, c := range map[string][2]float64{
		"intercept": {l.Intercept, -0.262323073774029}, "slope": {l.Slope, 1.00211681802045},
		"intercept se": {l.InterceptSE, 0.232818234301152}, "slope se": {l.SlopeSE, 0.429796848199937e-03},
		"residual sd": {l.ResidualSD, 0.884796396144373}, "R squared": {l.RSquared, 0.999993745883712},
	} {
		d := digits(c[0], c[1])
		t.Logf("%s: %.1f digits", what, d)
		if d < 12 {
			t.Errorf("%s: %.16g against %.16g", what, c[0], c[1])
		}
	}
}

func TestMomentsOfLittleData(t *testing.T) {
	if m := MomentsOf(nil); m.N != 0 || !math.IsNaN(m.Mean) {
		t.Errorf("none: %+v", m)
	}
	if m := MomentsOf([]float64{7}); m.Mean != 7 || !math.IsNaN(m.SD) {
		t.Errorf("one: %+v", m)
	}
	if m := MomentsOf([]float64{7, 7, 7}); m.SD != 0 || !math.IsNaN(m.Lag1) {
		t.Errorf("constant: %+v", m)
	}
	if a := AnovaOf([][]float64{{1}, {2}, {}}); !math.IsNaN(a.P) || a.WithinDF != 0 {
		t.Errorf("no replicates: %+v", a)
	}
}
