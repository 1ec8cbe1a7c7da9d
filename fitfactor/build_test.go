package fitfactor

import (
	"math"

	"telltale/record"
	"telltale/reference"
)

// piece is a stretch of constant readings: n rows of one second.
type piece struct {
	label           string
	n               int
	air             record.Air // Both for two counters
	ambient, inside float64
}

// build lays pieces one after the other.
func build(pieces ...piece) *record.Trace {
	t := &record.Trace{Name: "built.csv", Exercise: []int32{}}
	index := map[string]int32{"": -1}
	for _, p := range pieces {
		if _, ok := index[p.label]; !ok {
			index[p.label] = int32(len(t.Labels))
			t.Labels = append(t.Labels, p.label)
		}
		if p.air != record.Both {
			t.Switched = true
		}
		for range p.n {
			a, i := p.ambient, p.inside
			if p.air == record.Ambient || p.air == record.Purge {
				i = math.NaN()
			}
			if p.air == record.Inside || p.air == record.Purge {
				a = math.NaN()
			}
			t.TimeS = append(t.TimeS, float64(len(t.TimeS)))
			t.Sampling = append(t.Sampling, p.air)
			t.Ambient, t.Inside = append(t.Ambient, a), append(t.Inside, i)
			t.Exercise = append(t.Exercise, index[p.label])
		}
	}
	return t
}

func protocol(id string) reference.Protocol {
	p, err := reference.ProtocolByID(id)
	if err != nil {
		panic(err)
	}
	return p
}

func limit(v float64) *reference.Limit { return &reference.Limit{Facepiece: "half mask", FitFactor: v} }

// eight are the labels of the United States protocol in order.
var eight = []string{"normal breathing", "deep breathing", "head side to side", "head up and down", "talking", "grimace", "bending over", "normal breathing"}

// bench is a counter with a sample flow of 1.67 cm3/s.
var bench = Counter{Flow: 1.67}
