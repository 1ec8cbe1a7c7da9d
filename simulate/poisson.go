package simulate

import (
	"math"
	"math/rand/v2"
)

// poisson draws a Poisson count with the given mean: by multiplication below 12,
// above by transformed rejection (Hoermann 1993, "The transformed rejection
// method for generating Poisson random variables", algorithm PTRS; from memory,
// checked against the distribution in the tests).
func poisson(rng *rand.Rand, mean float64) float64 {
	switch {
	case mean <= 0:
		return 0
	case mean < 12:
		return multiplied(rng, mean)
	}
	b := 0.931 + 2.53*math.Sqrt(mean)
	a := -0.059 + 0.02483*b
	inverse := 1.1239 + 1.1328/(b-3.4)
	accept := 0.9277 - 3.6224/(b-2)
	log := math.Log(mean)
	for {
		u := rng.Float64() - 0.5
		v := 1 - rng.Float64() // in (0, 1]
		us := 0.5 - math.Abs(u)
		k := math.Floor((2*a/us+b)*u + mean + 0.43)
		if us >= 0.07 && v <= accept {
			return k
		}
		if k < 0 || us < 0.013 && v > us {
			continue
		}
		gamma, _ := math.Lgamma(k + 1)
		if math.Log(v*inverse/(a/(us*us)+b)) <= k*log-mean-gamma {
			return k
		}
	}
}

// multiplied multiplies uniform numbers until they fall below exp(-mean).
func multiplied(rng *rand.Rand, mean float64) float64 {
	limit, product := math.Exp(-mean), rng.Float64()
	k := 0.0
	for product > limit {
		product *= rng.Float64()
		k++
	}
	return k
}
