package uncertainty

import (
	"fmt"
	"math"
	"strings"
)

// Shape is the form of distribution that a component of a budget has.
type Shape string

// The shapes of a component.
const (
	Bell    Shape = "normal"      // normal, or Student's t where the degrees of freedom are finite
	Box     Shape = "rectangular" // equal chance between two limits
	Tent    Shape = "triangular"
	UShaped Shape = "arcsine" // a cycling influence seen at a random moment
)

// Component is one line of an uncertainty budget.
type Component struct {
	Name     string
	Standard float64 // standard uncertainty, relative (or of the log), as the budget's all are
	DOF      float64 // degrees of freedom; +Inf where it is taken as known; 0 means +Inf
	Shape    Shape   // "" is Bell
}

// Within makes a rectangular component from its half width.
func Within(name string, half float64) Component {
	return Component{Name: name, Standard: half / math.Sqrt(3), DOF: math.Inf(1), Shape: Box}
}

func (c Component) dof() float64 {
	if c.DOF == 0 {
		return math.Inf(1)
	}
	return c.DOF
}

// Budget is a list of independent components in one unit, each already multiplied
// by its sensitivity.
type Budget []Component

// Combined is the combined standard uncertainty and its effective degrees of
// freedom (JCGM 100:2008, 5.1.2 and G.4.1).
func (b Budget) Combined() (standard, dof float64) {
	u, nu := make([]float64, len(b)), make([]float64, len(b))
	var ss float64
	for i, c := range b {
		u[i], nu[i] = c.Standard, c.dof()
		ss += c.Standard * c.Standard
	}
	return math.Sqrt(ss), EffectiveDOF(u, nu)
}

// EffectiveDOF is the Welch-Satterthwaite formula (JCGM 100:2008, G.4.1). It is
// not rounded down; the Guide does so before it enters its table.
func EffectiveDOF(standard, dof []float64) float64 {
	if len(standard) != len(dof) {
		panic("uncertainty: EffectiveDOF needs one dof for each uncertainty")
	}
	var ss, quarter float64
	for _, u := range standard {
		ss += u * u
	}
	for i, u := range standard {
		quarter += u * u * u * u / dof[i]
	}
	if quarter == 0 {
		return math.Inf(1)
	}
	return ss * ss / quarter
}

// CoverageFactor is the half width of the interval at the level in standard
// uncertainties: Student's t (JCGM 100:2008, G.3), the normal one for dof = +Inf.
func CoverageFactor(level, dof float64) float64 { return studentQuantile((1-level)/2, dof) }

// Expanded is the half width of the interval at the level, by Student's t with the
// effective degrees of freedom (JCGM 100:2008, G.3). It takes the sum as
// t-distributed; Distribution does not.
func (b Budget) Expanded(level float64) float64 {
	u, dof := b.Combined()
	return CoverageFactor(level, dof) * u
}

// Distribution is the exact distribution of the sum of the components.
func (b Budget) Distribution() *Distribution {
	in := make([]Input, 0, len(b))
	for _, c := range b {
		switch c.Shape {
		case Box:
			in = append(in, Rectangular(c.Standard*math.Sqrt(3)))
		case Tent:
			in = append(in, Triangular(c.Standard*math.Sqrt(6)))
		case UShaped:
			in = append(in, Arcsine(c.Standard*math.Sqrt2))
		case Bell, "":
			in = append(in, bell(c.Standard, c.dof()))
		default:
			panic("uncertainty: no such shape of a component: " + string(c.Shape))
		}
	}
	return Sum(in...)
}

// bell is a normal, or a t scaled by the standard uncertainty as JCGM 101:2008,
// 6.4.9, has it.
func bell(standard, dof float64) Input {
	if math.IsInf(dof, 1) {
		return Normal(0, standard)
	}
	return StudentT(0, standard, dof)
}

// Apply puts the budget, in logs, on a value: value exp(-q..q).
func (b Budget) Apply(value, level float64) Estimate {
	low, high := b.Distribution().Interval(level)
	names := make([]string, len(b))
	for i, c := range b {
		names[i] = c.Name
	}
	return New(value, value*math.Exp(low), value*math.Exp(high), level,
		fmt.Sprintf("independent components on the log scale: %s", strings.Join(names, ", ")))
}

// MeansOf gives the means of repeated readings taken together, one row a quantity,
// and the covariance matrix of those means (JCGM 100:2008, 5.2.3).
func MeansOf(readings [][]float64) (means []float64, covariance [][]float64) {
	k := len(readings)
	means, covariance = make([]float64, k), make([][]float64, k)
	d := make([][]float64, k)
	for i, row := range readings {
		if len(row) != len(readings[0]) || len(row) < 2 {
			panic("uncertainty: MeansOf needs rows of one length, at least two")
		}
		var shift float64
		d[i], shift = centred(row, row[0])
		means[i] = row[0] + shift
		covariance[i] = make([]float64, k)
	}
	for i := range d {
		for j := range d {
			var s compensated
			for r := range d[i] {
				s.add(d[i][r] * d[j][r])
			}
			n := float64(len(d[i]))
			covariance[i][j] = s.sum() / (n - 1) / n
		}
	}
	return means, covariance
}

// Propagate carries a covariance matrix through a linear map: J C J^T (JCGM
// 102:2011, 6.2.1.3; JCGM 100:2008, 5.2.2 for one output). Rows of the jacobian
// are outputs.
func Propagate(jacobian, covariance [][]float64) [][]float64 {
	out := make([][]float64, len(jacobian))
	for i, row := range jacobian {
		out[i] = make([]float64, len(jacobian))
		for j, other := range jacobian {
			for a := range row {
				for b := range other {
					out[i][j] += row[a] * covariance[a][b] * other[b]
				}
			}
		}
	}
	return out
}
