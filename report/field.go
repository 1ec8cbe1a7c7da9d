package report

import (
	"fmt"
	"math"
	"strings"

	"telltale/finding"
	"telltale/uncertainty"
)

const fieldParticles = 1000

// field draws 1000 particles of the room's air: filled ones are found inside, by
// the way they came; rings are as many more as the interval allows.
func field(g rung, w float64) *canvas {
	const pitch = 8.5 // that of the pattern air-dots
	cols := int(w / pitch)
	rows := (fieldParticles + cols - 1) / cols
	c := &canvas{w: pitch * float64(cols), h: pitch * float64(rows)}
	c.rect("air", 0, 0, c.w, c.h)
	ways, allowed := g.counts()
	drawn := map[string]*strings.Builder{"edge": {}, "filter": {}, "undecided": {}, "ring": {}}
	for i, turn := range scattered(fieldParticles) {
		way := "ring"
		switch {
		case turn < ways[0]:
			way = "edge"
		case turn < ways[0]+ways[1]:
			way = "filter"
		case turn < ways[0]+ways[1]+ways[2]:
			way = "undecided"
		case turn >= allowed:
			continue
		}
		particle(drawn[way], way, (float64(i%cols)+0.5)*pitch, (float64(i/cols)+0.5)*pitch, 3)
	}
	// discs and rings are round-capped strokes of no length: a path names each by
	// its place alone, which keeps pages of many respirators small
	c.path("dot s-muted", drawn["ring"].String())
	c.path("dot hole", drawn["ring"].String())
	c.path("dot s-edge", drawn["edge"].String())
	c.path("f-filter", drawn["filter"].String())
	c.path("f-ink", drawn["undecided"].String())
	return c
}

// particle is a disc for what came round the edge, a diamond for what came
// through the filter, a square for what cannot be told apart, a ring for what may
// have come in besides.
func particle(d *strings.Builder, way string, x, y, r float64) {
	switch way {
	case "filter":
		r *= 1.2
		fmt.Fprintf(d, "M%s %sl%[3]s %[3]s %[4]s %[3]s %[4]s %[4]sz", px(x), px(y-r), px(r), px(-r))
	case "undecided":
		r *= 0.85
		fmt.Fprintf(d, "M%s %sh%[3]sv%[3]sh%[4]sz", px(x-r), px(y-r), px(2*r), px(-2*r))
	default:
		fmt.Fprintf(d, "M%s %sh0", px(x), px(y))
	}
}

// counts says how many particles are drawn for each way in (edge, filter, not
// told apart) and up to how many in all may be inside.
func (g rung) counts() (ways [3]int, allowed int) {
	of := func(v float64) int {
		if math.IsNaN(v) {
			return 0
		}
		return int(math.Round(fieldParticles * math.Max(0, math.Min(100, v)) / 100))
	}
	if g.total.Kind == uncertainty.AtLeast {
		return [3]int{0, 0, of(g.total.Low)}, fieldParticles
	}
	inside := of(g.total.Value)
	ways[0] = min(inside, of(g.edge))
	ways[1] = min(inside-ways[0], of(g.filter))
	ways[2] = inside - ways[0] - ways[1]
	if g.undecided == 0 { // rounding leaves nothing over
		ways[1], ways[2] = ways[1]+ways[2], 0
	}
	return ways, max(inside, of(g.total.High))
}

// scattered gives each place its turn to be filled, spread without order and the
// same at every printing.
func scattered(n int) []int {
	order := make([]int, n)
	for turn := range n {
		order[turn] = turn
	}
	seed := uint64(20260814)
	for i := n - 1; i > 0; i-- {
		seed = seed*6364136223846793005 + 1442695040888963407 // Knuth's MMIX generator, TAOCP 2, 3.3.4 (from memory)
		j := int(seed >> 33 % uint64(i+1))
		order[i], order[j] = order[j], order[i]
	}
	return order
}

// fieldFigure is the picture of what gets in as worn.
func fieldFigure(r *finding.Respirator, c finding.Configuration) *figure {
	var g rung
	for _, x := range rungs(r) {
		if x.name == c.Name {
			g = x
		}
	}
	f := &figure{Title: "1000 particles of the room's air",
		Caption: "Large marks are those found inside " + c.Name + "; rings are as many more as the interval allows."}
	ways, _ := g.counts()
	for i, k := range []keyItem{{"edge", "round the edge"}, {"diamond", "through the filter"}, {"inkkey", "not told apart"}} {
		if ways[i] > 0 {
			f.Key = append(f.Key, k)
		}
	}
	f.Table = table{Head: []string{"worn", "gets in", "in percent"}, Align: "lrr",
		Rows: [][]said{{cell(c.Name), particles(c), briefPercent(c.Penetration)}}}
	f.draw(425, "Of 1000 particles, the share found inside is "+percent(c.Penetration).Words()+" percent.", func(w float64) *canvas { return field(g, w) })
	return f
}
