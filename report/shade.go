package report

import (
	"math"

	"telltale/record"
)

// shades marks what lies outside the exercises, the purge rows, and along the foot
// the readings that were trimmed.
func (p *tracePlot) shades(c *canvas) {
	y, h := traceTop, traceHeight-48-traceTop
	if len(p.wearing.Exercises) > 0 {
		from := 0.0
		for _, x := range p.wearing.Exercises {
			p.shade(c, "outside", from, x.StartS, y, h)
			from = math.Max(from, x.EndS)
		}
		p.shade(c, "outside", from, p.end, y, h)
	}
	t := p.trace
	rows := min(len(t.Sampling), t.Rows())
	for i := 0; i < rows; i++ {
		if t.Sampling[i] != record.Purge {
			continue
		}
		from := i
		for i < rows && t.Sampling[i] == record.Purge {
			i++
		}
		to := p.end
		if i < rows {
			to = t.TimeS[i]
		}
		p.purge = true
		p.shade(c, "purge", t.TimeS[from], to, y, h)
	}
	for _, x := range p.wearing.Trimmed {
		p.shade(c, "trimmed", x.StartS, x.EndS, y+h-8, 8)
	}
}

func (p *tracePlot) shade(c *canvas, class string, from, to, y, h float64) {
	if finite(from, to) && to-from > 1e-9 {
		c.rect(class, p.x.place(from), y, p.x.place(to)-p.x.place(from), h)
	}
}

// key names what the drawing shows.
func (p *tracePlot) key() []keyItem {
	out := []keyItem{{"room", "room"}, {"edge", "inside"}}
	if p.purge {
		out = append(out, keyItem{"purgekey", "purge, never used"})
	}
	if len(p.wearing.Trimmed) > 0 {
		out = append(out, keyItem{"trimkey", "trimmed: still the air before the switch"})
	}
	if p.capped {
		out = append(out, keyItem{"capkey", "at or beyond the counter's range: a bound, not a measurement"})
	}
	return out
}
