package uncertainty

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// labelled reads rows of quoted labels and numbers below a header.
func labelled(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows [][]string
	for sc := bufio.NewScanner(f); sc.Scan(); {
		rows = append(rows, strings.Split(strings.ReplaceAll(sc.Text(), `"`, ""), ","))
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func dyestuff(t *testing.T) [][]float64 {
	groups := make([][]float64, 6)
	for _, row := range labelled(t, "dyestuff.csv") {
		i := row[0][0] - 'A'
		groups[i] = append(groups[i], number(t, row[1]))
	}
	return groups
}

func TestComponentsOfDyestuff(t *testing.T) {
	// R lme4 lmer (REML) and aov; Davies' data.
	for name, c := range map[string]Components{"anova": ComponentsByAnova(dyestuff(t)), "reml": ComponentsByREML(dyestuff(t))} {
		near(t, name+" between", c.Between, 1764.05, 1e-10) // (11271.5 - 2451.25)/5 by hand
		near(t, name+" within", c.Within, 2451.25, 1e-10)
		near(t, name+" mean", c.Mean, 1527.5, 1e-14)
		near(t, name+" se", c.MeanSE, 19.383412, 5e-8)
		if c.Clipped || c.BetweenSD.High/c.BetweenSD.Low < 3 {
			t.Errorf("%s: %+v", name, c)
		}
	}
	near(t, "F", AnovaOf(dyestuff(t)).F, 4.59827, 2e-6)
}

func TestComponentsAtTheEdgeAreZeroAndSaid(t *testing.T) {
	// Box & Tiao's data as in lme4's Dyestuff2 (from memory; their variance agrees
	// with R's 13.80631, REML on the edge).
	d := [][]float64{{7.298, 3.846, 2.434, 9.566, 7.990}, {5.220, 6.556, 0.608, 11.788, -0.892}, {0.110, 10.386, 13.434, 5.510, 8.166},
		{2.212, 4.852, 7.092, 9.288, 4.980}, {0.282, 9.014, 4.458, 9.446, 7.198}, {1.722, 4.782, 8.106, 0.758, 3.758}}
	for name, c := range map[string]Components{"anova": ComponentsByAnova(d), "reml": ComponentsByREML(d)} {
		near(t, name, c.Within, 13.80631, 1e-6)
		if c.Between != 0 || !c.Clipped || c.BetweenSD.Kind != AtMost || len(c.BetweenSD.Caveats) == 0 {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func TestUnbalancedRemlIsAMinimum(t *testing.T) {
	groups := [][]float64{{1.1, 2.3, 1.7}, {4.0, 3.1}, {0.2, 0.9, 0.4, 1.2, 0.8}, {2.2}, {5.5, 4.4, 6.1}}
	l := layoutOf(groups)
	at := l.remlRatio()
	for r := 0.01; r < 100; r *= 1.2 {
		if l.deviance(r) < l.deviance(at)-1e-12 {
			t.Errorf("ratio %v is likelier than %v", r, at)
		}
	}
	// The score against a difference quotient of the deviance.
	near(t, "score", l.score(0.7), (l.deviance(0.7001)-l.deviance(0.6999))/0.0002, 1e-6)
	a := ComponentsByAnova(groups)
	if math.Abs(math.Log(a.Between/ComponentsByREML(groups).Between)) > 0.5 {
		t.Errorf("anova %v against reml %v", a.Between, ComponentsByREML(groups).Between)
	}
	if c := ComponentsByREML([][]float64{{1, 2}}); c.BetweenSD.Kind != Unknown {
		t.Errorf("one group: %+v", c)
	}
}

func TestNestedComponentsOfPastes(t *testing.T) {
	// R lme4 lmer, REML; Davies' data: batch, cask within batch, residual.
	groups := make([][][]float64, 10)
	for i := range groups {
		groups[i] = make([][]float64, 3)
	}
	for _, row := range labelled(t, "pastes_nested.csv") {
		b, c := row[1][0]-'A', row[2][0]-'a'
		groups[b][c] = append(groups[b][c], number(t, row[0]))
	}
	n := NestedByAnova(groups)
	near(t, "batch", n.Outer, 1.6573, 3e-5)
	near(t, "cask", n.Middle, 8.4337, 6e-6)
	near(t, "residual", n.Inner, 0.6780, 8e-5)
	if n.Clipped {
		t.Error("nothing is at the edge")
	}
}

func TestUnbalancedNestedComponentsAreUnbiased(t *testing.T) {
	// Simulated, seeded: variances 4, 1, 0.25 on uneven sizes, mean of 3000 runs.
	// The clip at zero lifts the outer mean a little.
	r := newRand(3)
	sizes := [][]int{{1, 2, 3}, {2, 2}, {1, 4, 1, 2}, {3, 3}, {2, 1}, {2, 2, 2}, {5, 1}, {2, 3}}
	var outer, middle, inner float64
	const rounds = 3000
	for range rounds {
		groups := make([][][]float64, len(sizes))
		for i, subs := range sizes {
			a := 2 * r.NormFloat64()
			for _, n := range subs {
				b := r.NormFloat64()
				var sub []float64
				for range n {
					sub = append(sub, a+b+0.5*r.NormFloat64())
				}
				groups[i] = append(groups[i], sub)
			}
		}
		n := NestedByAnova(groups)
		outer, middle, inner = outer+n.Outer/rounds, middle+n.Middle/rounds, inner+n.Inner/rounds
	}
	near(t, "outer", outer, 4, 0.06)
	near(t, "middle", middle, 1, 0.04)
	near(t, "inner", inner, 0.25, 0.03)
}

func TestPartialPoolingOfEightSchools(t *testing.T) {
	// Rubin's eight schools; posterior by quadrature in numpy, flat tau.
	p := PartialPool([]float64{28, 8, -3, 7, -1, 1, 18, 12}, []float64{15, 10, 16, 11, 9, 11, 10, 18}, 0.95)
	near(t, "mean", p.Mean.Value, 7.932375, 2e-6)
	near(t, "sd of the mean", p.MeanSD, 5.178395, 2e-6)
	near(t, "mean tau", p.TauMean, 6.575, 8e-5)
	// Midpoint rule in Python with steps of 0.002.
	near(t, "median tau", p.Tau.Value, 5.238515, 1e-5)
	for i, want := range []float64{11.4003, 7.8946, 6.1307, 7.6447, 5.1264, 6.1385, 10.6670, 8.4568} {
		near(t, "school", p.Each[i].Value, want, 1.5e-5)
	}
	// Gelman and others (from memory): school A from -2 to 31.
	if math.Abs(p.Each[0].Low+2) > 0.7 || math.Abs(p.Each[0].High-31) > 0.7 {
		t.Errorf("school A: %.2f to %.2f", p.Each[0].Low, p.Each[0].High)
	}
	few := PartialPool([]float64{1, 9}, []float64{1, 1}, 0.95)
	if few.Each[1].Value != 9 || few.Tau.Kind != Unknown || len(few.Each[0].Caveats) == 0 {
		t.Errorf("two values: %+v", few)
	}
}
