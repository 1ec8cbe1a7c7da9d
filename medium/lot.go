package medium

import (
	"fmt"
	"math"
	"slices"

	"telltale/fault"
	"telltale/quantity"
	"telltale/uncertainty"
)

// Specimen is the filter test of one specimen of a lot.
type Specimen struct {
	Challenge   string  // the test aerosol, such as NaCl or PSL
	Penetration float64 // share; above 1 or below 0 is noise and is kept
}

// LotStatement is what some specimens say of their lot under one challenge.
type LotStatement struct {
	Challenge string
	Specimens int
	// Typical is the geometric mean of the specimens with their lowest and highest.
	Low, Typical, High float64
	// AtMost is the penetration that the stated share of the lot stays below.
	AtMost uncertainty.Estimate
}

// Lot states, challenge by challenge, the penetration that a share of a lot stays
// below with a confidence, from a few specimens: exp(mean + k sd) of ln P, k the
// one-sided normal tolerance factor of uncertainty.ToleranceFactor. It assumes that ln P
// is normal over the lot. Challenges are never pooled: neutralised
// salt and charged spheres measure different things. Fewer than two specimens, or a
// penetration of 0 or less, leave the bound unknown.
func Lot(specimens []Specimen, share, confidence float64) ([]LotStatement, error) {
	if !(share > 0.5 && share < 1) || !(confidence > 0.5 && confidence < 1) {
		return nil, &fault.Fault{Code: "E732", What: fmt.Sprintf("a share of %.4g at a confidence of %.4g", share, confidence), Do: "Give both above 0.5 and below 1, such as 0.95."}
	}
	by := map[string][]float64{}
	var order []string
	for i, s := range specimens {
		if s.Challenge == "" || !quantity.Finite(s.Penetration) {
			return nil, &fault.Fault{Code: "E732", What: fmt.Sprintf("specimen %d has no challenge or no penetration", i+1), Do: "Name the test aerosol of each specimen; different aerosols are never mixed."}
		}
		if by[s.Challenge] == nil {
			order = append(order, s.Challenge)
		}
		by[s.Challenge] = append(by[s.Challenge], s.Penetration)
	}
	var out []LotStatement
	for _, challenge := range order {
		out = append(out, statement(challenge, by[challenge], share, confidence))
	}
	return out, nil
}

// statement of one challenge.
func statement(challenge string, p []float64, share, confidence float64) LotStatement {
	s := LotStatement{Challenge: challenge, Specimens: len(p), Low: slices.Min(p), Typical: math.NaN(), High: slices.Max(p)}
	words := fmt.Sprintf("at most this in %.3g %% of the lot, if ln P is normal over it; %d specimens, challenge %s", 100*share, len(p), challenge)
	if s.Low <= 0 {
		s.AtMost = uncertainty.NewUnknown(confidence, words, "a penetration of 0 or less is noise: count longer or use more aerosol")
		return s
	}
	mean := 0.0
	for _, v := range p {
		mean += math.Log(v) / float64(len(p))
	}
	s.Typical = math.Exp(mean)
	if len(p) < 2 {
		s.AtMost = uncertainty.NewUnknown(confidence, words, "one specimen says nothing of the lot's spread: test at least 5")
		return s
	}
	squares := 0.0
	for _, v := range p {
		squares += math.Pow(math.Log(v)-mean, 2)
	}
	k := uncertainty.ToleranceFactor(len(p), share, confidence)
	s.AtMost = uncertainty.NewAtMost(math.Exp(mean+k*math.Sqrt(squares/float64(len(p)-1))), confidence, words)
	return s
}
