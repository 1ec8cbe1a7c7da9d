package medium

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"telltale/aerosol"
	"telltale/reference"
)

func TestEveryMediumAgreesWithTheNumpyScript(t *testing.T) {
	// testdata/band.csv was written by testdata/band.py (numpy and scipy; 400 sizes, 60
	// phases). Tolerances: 0.2 % for the charge and 0.6 %
	// for the fit factor, the difference of 80 and 400 sizes.
	f, err := os.Open("testdata/band.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	made := map[string]*physical{}
	for _, r := range rows[1:] {
		p, ok := made[r[0]+r[5]]
		if !ok {
			limit, err := FromReference(class(t, r[0]))
			if err != nil {
				t.Fatal(err)
			}
			set, err := Conditions{Ventilation: number(r[5])}.prepare()
			if err != nil {
				t.Fatal(err)
			}
			if p, err = newPhysical(limit, set); err != nil {
				t.Fatal(err)
			}
			made[r[0]+r[5]] = p
		}
		reading, fibre := int(number(r[2])), number(r[3])
		room := map[string]int{"aged": 0, "mixed": 1, "fresh": 2}[r[6]]
		found := false
		for i, m := range p.members {
			if m.weighting != reference.Weighting(r[1]) || m.reading != reading || float64(m.medium.Fibre) != fibre {
				continue
			}
			found = true
			what := r[0] + " " + r[1] + " " + r[3] + " um " + r[6]
			near(t, what+" charge", m.charge, number(r[4]), 0.002)
			near(t, what+" at "+r[5], 1/p.reaches[room].passing(p.curve(p.set.usual, i)), number(r[7]), 0.006)
		}
		if !found {
			t.Errorf("no medium for row %v", r)
		}
	}
}

func TestARoomTooFineForTheCounterIsStillWeighed(t *testing.T) {
	// Fresh air has about one particle in 25,000 above 0.3 um: the channel's weights must
	// still sum to 1.
	b := newBench(benchSizes, usualArea)
	w, seen := b.grid.Weights(aerosol.Fresh().Sizes, aerosol.Logistic{D50: 0.3, Width: aerosol.OpticalWidth})
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	near(t, "sum", sum, 1, 1e-9)
	if seen < 2e-5 || seen > 2e-4 { // Phi(-ln 10 / ln 1.8) = 4.5e-5, by hand
		t.Errorf("seen %g", seen)
	}
}
