package medium

import (
	"math"

	"telltale/aerosol"
	"telltale/quantity"
)

// Relative permittivities of the particle and the fibre in the charged mechanisms
// (salt and polypropylene, handbook values, from memory).
const (
	particlePermittivity = 5.9
	fibrePermittivity    = 2.2
)

// mostCharges bounds the charges of a particle that are followed.
const mostCharges = 12

// kernel holds, for one medium and a set of sizes, all that does not depend on face
// velocity or charge, so that a penetration curve costs a few multiplications and
// one exponential per size and charge number.
type kernel struct {
	depth float64
	image float64 // ((1-a)/Ku)^0.4, polarisation of neutral particles
	pull  float64 // ((1-a)/Ku)^0.6, Coulomb
	at    []coefficients
	share []float64 // charge shares of all sizes, one after another
}

// coefficients of one size at 1 m/s and a charge of 1 uC/m2.
type coefficients struct {
	diffusion, interception, joint, impaction, gravity float64
	image, image23                                     float64 // N_in u / sigma^2 and its 2/3 power
	pull, pull23                                       float64 // N_c u / (n sigma) and its 2/3 power
	first, last                                        int     // its shares
}

// The 2/3 powers of the charge numbers.
var twoThirds = func() (out [mostCharges + 1]float64) {
	for n := range out {
		out[n] = math.Pow(float64(n), 2.0/3)
	}
	return out
}()

func newKernel(m Medium, air Air, sizes []quantity.Diameter) *kernel {
	ratio := (1 - m.Packing) / Kuwabara(m.Packing)
	k := &kernel{depth: m.depth(), image: math.Pow(ratio, 0.4), pull: math.Pow(ratio, 0.6), at: make([]coefficients, len(sizes))}
	mu, df := float64(air.Gas.Viscosity()), m.Fibre.Metres()
	const sigma = 1e-6 // C/m2 in 1 uC/m2
	const clausius = (particlePermittivity - 1) / (particlePermittivity + 2)
	for i, d := range sizes {
		c, dm, slip := m.collect(air, d, 1), d.Metres(), air.Gas.Cunningham(d)
		pull := aerosol.ElementaryCharge * sigma * slip / (3 * math.Pi * mu * aerosol.ElectricConstant * (1 + fibrePermittivity) * dm)
		first := len(k.share)
		k.share = append(k.share, air.Gas.Charges(d, mostCharges)...)
		image := clausius * sigma * sigma * dm * dm * slip /
			(3 * mu * aerosol.ElectricConstant * (1 + fibrePermittivity) * (1 + fibrePermittivity) * df)
		k.at[i] = coefficients{
			diffusion: c.Diffusion, interception: c.Interception, joint: c.DiffusionInterception,
			impaction: c.Impaction, gravity: c.Gravity,
			image: image, image23: math.Pow(image, 2.0/3),
			pull: pull, pull23: math.Pow(pull, 2.0/3),
			first: first, last: len(k.share),
		}
	}
	return k
}

// penetration fills out with the share that passes at the face velocity u in m/s and
// the charge sigma in uC/m2. Charged mechanisms: E = ((1-a)/Ku)^0.4 pi N / (1 + 2 pi
// N^2/3) for neutral particles and the same with ((1-a)/Ku)^0.6 for charged ones
// (electret theory as reviews print it, from memory; the groups are those of a
// peer-reviewed semi-empirical study of charging states, abstract read). The
// mechanisms are added.
func (k *kernel) penetration(out []float64, u, sigma float64) {
	u23 := math.Pow(u, -2.0/3)
	u12, inverse := 1/math.Sqrt(u), 1/u
	image := sigma * sigma * inverse
	image23 := math.Cbrt(image * image)
	pull := sigma * inverse
	pull23 := math.Cbrt(pull * pull)
	for i := range k.at {
		c := &k.at[i]
		e := c.diffusion*u23 + c.interception + c.joint*u12 + c.impaction*u + c.gravity*inverse
		e += k.image * math.Pi * c.image * image / (1 + 2*math.Pi*c.image23*image23)
		share := k.share[c.first:c.last]
		sum := share[0]
		for n := 1; n < len(share); n++ {
			nc := float64(n) * c.pull * pull
			ec := k.pull * math.Pi * nc / (1 + 2*math.Pi*twoThirds[n]*c.pull23*pull23)
			sum += share[n] * math.Exp(-k.depth*ec)
		}
		out[i] = math.Exp(-k.depth*e) * sum
	}
}
