package aerosol

import (
	"fmt"
	"math"

	"telltale/fault"
	"telltale/quantity"
)

// Room is the air that a respirator is tried in: a spectrum with a name and what
// it rests on.
type Room struct {
	Name  string
	Sizes Spectrum
	Basis string
}

const modelBasis = "model aerosol, an assumption chosen to span published urban and indoor modes (own rule)"

// Aged is room air without a fresh source: one mode at 0.12 um.
func Aged() Room {
	return Room{"aged", Mixture{{1, lognormal(0.12, 1.7)}}, modelBasis}
}

// Mixed is ordinary room air: half of the particles about 0.04 um, half about 0.11.
func Mixed() Room {
	return Room{"mixed", Mixture{{0.5, lognormal(0.04, 1.7)}, {0.5, lognormal(0.11, 1.6)}}, modelBasis}
}

// Fresh is air shortly after a source such as cooking or traffic: one mode at 0.03
// um.
func Fresh() Room {
	return Room{"fresh", Mixture{{1, lognormal(0.03, 1.8)}}, modelBasis}
}

// Rooms are the three models, coarse to fine.
func Rooms() []Room { return []Room{Aged(), Mixed(), Fresh()} }

// FindRoom gives the model of a name.
func FindRoom(name string) (Room, error) {
	var names []string
	for _, r := range Rooms() {
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	return Room{}, &fault.Fault{Code: "E714", What: fmt.Sprintf("no room air is called %q", name), Do: fault.DidYouMean(name, names)}
}

// MeasuredRoom is the air whose distribution was measured.
func MeasuredRoom(m Measured) Room {
	return Room{"measured", m, "a measured size distribution"}
}

// Cue is the reading of two counters in the same room air: all particles above
// about 0.02 um and those above 0.3 um. Their ratio says how fine the air is.
type Cue struct {
	Condensation quantity.Concentration // above about 0.02 um
	Optical      quantity.Concentration // above 0.3 um
}

// Ratio is N(>0.02 um) / N(>0.3 um).
func (c Cue) Ratio() float64 { return float64(c.Condensation / c.Optical) }

// CueOf is the ratio that two counters would show in a spectrum, with sharp edges
// at 0.02 and 0.3 um.
func CueOf(s Spectrum) float64 { return (1 - s.Below(0.02)) / (1 - s.Below(0.3)) }

// CueDoubt is the factor by which a ratio of two counters is taken to be uncertain:
// cut-offs of 0.01 to 0.02 um and the soft edge at 0.3 um (own rule).
const CueDoubt = 2

// RoomsFor gives the airs that fit the cue: neighbouring models mixed so that the
// ratio comes out at the cue's, and at the cue's times and divided by CueDoubt; the
// first is the best. A ratio beyond the models by more than ten times fits none and
// is refused.
func (c Cue) RoomsFor() ([]Room, error) {
	if !(c.Condensation > 0) || !(c.Optical > 0) || c.Condensation <= c.Optical {
		return nil, &fault.Fault{Code: "E715",
			What: fmt.Sprintf("a size cue of %.4g per cm3 above 0.02 um and %.4g above 0.3 um", float64(c.Condensation), float64(c.Optical)),
			Do:   "Both must be above 0, and the first, which includes the second, larger."}
	}
	coarse, fine := CueOf(Aged().Sizes), CueOf(Fresh().Sizes)
	if r := c.Ratio(); !within(r, coarse/10, fine*10) {
		return nil, outOfRange("E715", "size cue N(>0.02 um)/N(>0.3 um) of", r, coarse/10, fine*10, "")
	}
	var out []Room
	for _, f := range []float64{1, 1 / float64(CueDoubt), CueDoubt} {
		out = append(out, blend(c.Ratio()*f))
	}
	return out, nil
}

// blend mixes two neighbouring models to the ratio; outside the models it gives the
// nearest.
func blend(ratio float64) Room {
	models := Rooms()
	for i := 0; i+1 < len(models); i++ {
		a, b := models[i], models[i+1]
		if ratio < CueOf(a.Sizes) {
			return a
		}
		if ratio <= CueOf(b.Sizes) {
			return mixRooms(a, b, shareFor(a.Sizes, b.Sizes, ratio), ratio)
		}
	}
	return models[len(models)-1]
}

// shareFor solves (w fa + (1-w) fb) = ratio (w oa + (1-w) ob) for the share w of a,
// where f and o are the shares above 0.02 and above 0.3 um.
func shareFor(a, b Spectrum, ratio float64) float64 {
	gap := func(s Spectrum) float64 { return (1 - s.Below(0.02)) - ratio*(1-s.Below(0.3)) }
	ga, gb := gap(a), gap(b)
	return math.Min(1, math.Max(0, gb/(gb-ga)))
}

// mixRooms is w of a and the rest of b.
func mixRooms(a, b Room, w, ratio float64) Room {
	var parts Mixture
	for _, side := range []struct {
		of    Room
		share float64
	}{{a, w}, {b, 1 - w}} {
		for _, p := range side.of.Sizes.(Mixture) {
			if side.share > 0 {
				parts = append(parts, Part{side.share * p.Share, p.Mode})
			}
		}
	}
	return Room{
		Name:  fmt.Sprintf("%.0f %% %s, %.0f %% %s", 100*w, a.Name, 100*(1-w), b.Name),
		Sizes: parts,
		Basis: fmt.Sprintf("two models mixed to the size cue N(>0.02 um)/N(>0.3 um) = %.0f (own rule)", ratio),
	}
}
