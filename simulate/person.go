package simulate

import (
	"telltale/quantity"
	"telltale/record"
)

// Person is a wearer with the truth about breathing and about the way the seal
// behaves on this face.
type Person struct {
	ID                    string
	FaceLength, FaceWidth quantity.Length
	FacialHair            string

	Efforts    []Effort // by exercise; an exercise that is not listed is done as the first one
	ShapePower float64  // flow during inhalation goes as sine to this power; 0 = 1, a plain sine
	Retention  float64  // share of the inhaled particles that stay in the lung, 0-1
	Seal       float64  // multiplier on all leaks of every respirator; 0 = 1
	ScatterGSD float64  // of the leaks from donning to donning; 1 or less = none
}

// Effort is what one exercise does to breathing and seal.
type Effort struct {
	Exercise        string
	VentilationLMin float64 // minute ventilation
	CycleS          float64 // one breath
	InhaleShare     float64 // share of the cycle spent inhaling, 0-1
	Leak            float64 // mean leak relative to quiet breathing
	LeakGSD         float64 // of the leak within the exercise; 1 or less = steady
	LeakS           float64 // correlation time of the leak in seconds
}

// Efforts is the usual table. The leaks of talking, bending over and head up and
// down are the reciprocals of the mean ratios to the best exercise, 0.56, 0.62
// and 0.67, found with 30 models (NIOSHTIC 20025660, read); the other leaks and
// all scatters are assumptions. Ventilations are assumptions within the adult
// values of ICRP 89 (9 L/min sitting, 25 light exercise; read); talking has short
// inhalations, so that its peak flow is high for its ventilation.
func Efforts() []Effort {
	return []Effort{
		{"normal breathing", 12, 4, 0.45, 1, 1.15, 4},
		{"deep breathing", 30, 5, 0.5, 1.1, 1.2, 4},
		{"head side to side", 15, 4, 0.45, 1.25, 1.3, 3},
		{"head up and down", 15, 4, 0.45, 1 / 0.67, 1.4, 3},
		{"talking", 12, 4, 0.2, 1 / 0.56, 1.9, 1.5},
		{"grimace", 12, 4, 0.45, 3, 2, 2},
		{"bending over", 15, 4, 0.45, 1 / 0.62, 1.5, 3},
		{"jogging in place", 40, 2.5, 0.5, 1.6, 1.4, 2},
	}
}

// Calm is the usual table with a steady leak that no exercise moves.
func Calm() []Effort {
	all := Efforts()
	for i := range all {
		all[i].Leak, all[i].LeakGSD = 1, 1
	}
	return all
}

// effort finds the exercise's row, or the first row.
func (p Person) effort(exercise string) Effort {
	for _, e := range p.Efforts {
		if e.Exercise == exercise {
			return e
		}
	}
	if len(p.Efforts) == 0 {
		return Efforts()[0]
	}
	return p.Efforts[0]
}

// Record is what a study tells of the person.
func (p Person) Record() record.Wearer {
	return record.Wearer{ID: p.ID, FaceLength: p.FaceLength, FaceWidth: p.FaceWidth, FacialHair: p.FacialHair}
}
