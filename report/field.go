package report

import (
	"fmt"
	"math"
	"strings"

	"telltale/finding"
	"telltale/uncertainty"
)

const fieldParticles = 1000

// field draws 1000 particles of the room's air: filled ones are found inside,
// rings are as many more as the interval allows.
func field(p uncertainty.Estimate, way string) func(w float64) *canvas {
	return func(w float64) *canvas {
		const pitch = 8.5 // that of the pattern air-dots
		cols := int(w / pitch)
		rows := (fieldParticles + cols - 1) / cols
		c := &canvas{w: pitch * float64(cols), h: pitch * float64(rows)}
		c.rect("air", 0, 0, c.w, c.h)
		inside, allowed := fieldCounts(p)
		order := scattered(fieldParticles)
		var maybe, found strings.Builder
		for i := range fieldParticles {
			x, y := (float64(i%cols)+0.5)*pitch, (float64(i/cols)+0.5)*pitch
			switch {
			case order[i] < inside:
				particle(&found, way, x, y, pitch*0.36)
			case order[i] < allowed:
				r := pitch * 0.31
				fmt.Fprintf(&maybe, "M%s %sa%[3]s %[3]s 0 1 0 %[4]s 0a%[3]s %[3]s 0 1 0 %[5]s 0", px(x-r), px(y), px(r), px(2*r), px(-2*r))
			}
		}
		c.path("maybe o-"+way, maybe.String())
		c.path(map[string]string{"edge": "f-edge", "filter": "f-filter"}[way]+" found", found.String())
		return c
	}
}

// particle is a disc for what came round the edge, a diamond for what came
// through the filter, a square for what cannot be told apart.
func particle(d *strings.Builder, way string, x, y, r float64) {
	switch way {
	case "edge":
		fmt.Fprintf(d, "M%s %sa%[3]s %[3]s 0 1 0 %[4]s 0a%[3]s %[3]s 0 1 0 %[5]s 0", px(x-r), px(y), px(r), px(2*r), px(-2*r))
	case "filter":
		r *= 1.2
		fmt.Fprintf(d, "M%s %sl%[3]s %[3]s %[4]s %[3]s %[4]s %[4]sz", px(x), px(y-r), px(r), px(-r))
	default:
		r *= 0.85
		fmt.Fprintf(d, "M%s %sh%[3]sv%[3]sh%[4]sz", px(x-r), px(y-r), px(2*r), px(-2*r))
	}
}

// fieldCounts says how many particles are drawn as inside and up to how many may
// be.
func fieldCounts(p uncertainty.Estimate) (inside, allowed int) {
	of := func(v float64) int {
		if math.IsNaN(v) {
			return 0
		}
		return int(math.Round(fieldParticles * math.Max(0, math.Min(1, v))))
	}
	inside, allowed = of(p.Value), of(p.High)
	if p.Kind == uncertainty.AtLeast {
		inside, allowed = of(p.Low), fieldParticles
	}
	return inside, max(inside, allowed)
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

// wayOf is how most of what gets in came in, as worn.
func wayOf(a *finding.Attribution, name string) string {
	if a == nil {
		return "undecided"
	}
	for _, s := range a.SealShare {
		if s.Name == name {
			switch s.Dominant {
			case "mostly seal":
				return "edge"
			case "mostly filter":
				return "filter"
			}
		}
	}
	return "undecided"
}

// fieldFigure is the picture of what gets in as worn.
func fieldFigure(r *finding.Respirator, c finding.Configuration) *figure {
	way := wayOf(r.Attribution, c.Name)
	f := &figure{Title: "1000 particles of the room's air",
		Caption: "Large marks are those found inside " + c.Name + "; rings are as many more as the interval allows."}
	f.Key = []keyItem{{map[string]string{"edge": "edge", "filter": "filter"}[way],
		map[string]string{"edge": "mostly round the edge", "filter": "mostly through the filter", "undecided": "found inside; which way cannot be told"}[way]}}
	if f.Key[0].Class == "" {
		f.Key[0].Class = "inkkey"
	}
	p := briefPercent(c.Penetration)
	f.Table = table{Head: []string{"worn", "gets in", "in percent"}, Align: "lrr",
		Rows: [][]said{{cell(c.Name), particles(c), p}}}
	f.draw(425, "Of 1000 particles, the share found inside is "+percent(c.Penetration).Words()+" percent.", field(c.Penetration, way))
	return f
}
