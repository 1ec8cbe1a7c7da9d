package report

import (
	"fmt"
	"math"
	"strings"

	"telltale/finding"
	"telltale/record"
)

// traceColumns is how many columns of the drawing a trace of many may fill, so
// that the page stays small enough to be posted.
func traceColumns(wearings int) int { return max(120, min(700, 7000/max(1, wearings))) }

const (
	traceHeight = 330.0
	traceTop    = 62.0 // room for the exercises' names
	traceLeft   = 74.0
)

// traceFigure draws the room and the inside of one wearing over time with its
// exercises, and what was left out.
func traceFigure(w finding.Wearing, t *record.Trace, top tops, columns int) *figure {
	f := &figure{Title: "The trace, " + w.ID,
		Caption: "Particles per cm³ as read, nothing corrected. Shaded stretches lie outside the exercises."}
	p := newTracePlot(w, t, top)
	p.columns = columns
	f.Wide = p.draw().svg("wide scroll", f.Title, traceWords(w))
	f.Key = p.key()
	f.Table = phaseTable(w)
	return f
}

func traceWords(w finding.Wearing) string {
	counted := 0
	for _, x := range w.Exercises {
		if x.Counted {
			counted++
		}
	}
	return plural(len(w.Exercises), "exercise", "exercises") + ", " + plainNumber(float64(counted)) +
		" counted; the figures of each stand in the table."
}

// tracePlot is what is drawn of a trace.
type tracePlot struct {
	wearing finding.Wearing
	trace   *record.Trace
	top     tops
	x, y    scale
	end     float64
	columns int
	room    []float64
	inside  []float64
	capped  bool
	purge   bool
	zeros   bool
}

func newTracePlot(w finding.Wearing, t *record.Trace, top tops) *tracePlot {
	p := &tracePlot{wearing: w, trace: t, top: top}
	n := t.Rows()
	p.end = 1
	if n > 0 && finite(t.TimeS[n-1]) && t.TimeS[n-1] > 0 {
		p.end = t.TimeS[n-1]
		if n > 1 {
			p.end += t.TimeS[n-1] / float64(n-1)
		}
	}
	p.room, p.inside = p.perVolume(t.Ambient), p.perVolume(t.Inside)
	if len(t.Ambient) == 0 && len(t.Inside) == 0 {
		p.room, p.inside = channelSum(t, true), channelSum(t, false)
	}
	p.x = scale{0, p.end, traceLeft, wideWidth - 12, false}
	p.y = p.vertical()
	return p
}

// perVolume turns raw counts into particles per cm3 for drawing.
func (p *tracePlot) perVolume(values []float64) []float64 {
	if p.trace.Reading != record.RawCounts {
		return values
	}
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = math.NaN()
		if i < len(p.trace.VolumeCM3) {
			out[i] = v / p.trace.VolumeCM3[i]
		}
	}
	return out
}

// channelSum is the sum over the size channels, for a trace that has no other
// column; of cumulative channels, which hold each other, the widest.
func channelSum(t *record.Trace, room bool) []float64 {
	out := make([]float64, t.Rows())
	for i := range out {
		out[i] = math.NaN()
	}
	for k, ch := range summed(t.Channels) {
		column := ch.Inside
		if room {
			column = ch.Ambient
		}
		for i := range min(len(out), len(column)) {
			if k == 0 {
				out[i] = 0
			}
			out[i] += column[i]
		}
	}
	return out
}

// summed picks the channels that make up the whole.
func summed(all []record.Channel) (out []record.Channel) {
	widest := -1
	for i, ch := range all {
		if ch.High > 0 {
			out = append(out, ch)
		} else if widest < 0 || ch.Low < all[widest].Low {
			widest = i
		}
	}
	if len(out) == 0 && widest >= 0 {
		out = all[widest : widest+1]
	}
	return out
}

// vertical is the log axis: from below the smallest positive reading, so that
// zeros have a place under it, but never more than six decades.
func (p *tracePlot) vertical() scale {
	lo, hi := math.Inf(1), 0.0
	for _, values := range [][]float64{p.room, p.inside} {
		for _, v := range values {
			if drawable(v) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
			p.zeros = p.zeros || v <= 0
		}
	}
	if p.top.room < 3*hi {
		hi = math.Max(hi, p.top.room)
	}
	if hi == 0 {
		lo, hi = 1, 1000
	}
	lo = math.Max(lo, hi/1e6)
	s := scale{roundDown(lo / 1.2), roundUp(hi * 1.2), traceHeight - 48, traceTop + 6, true}
	if s.hi/s.lo < 9 {
		s.lo = roundDown(s.lo / 5)
	}
	return s
}

func (p *tracePlot) draw() *canvas {
	c := &canvas{w: wideWidth, h: traceHeight}
	p.shades(c)
	p.exercises(c)
	p.axes(c)
	p.curve(c, "s-room trace", p.room)
	p.curve(c, "s-edge trace", p.inside)
	p.overloads(c)
	return c
}

// exercises writes their numbers and names over their stretches.
func (p *tracePlot) exercises(c *canvas) {
	starts, counted, others := "", "", ""
	for i, x := range p.wearing.Exercises {
		if !finite(x.StartS, x.EndS) {
			continue
		}
		x0, x1 := p.x.place(x.StartS), p.x.place(x.EndS)
		stretch := "M" + px(x0+1) + " " + px(traceTop-6) + "H" + px(math.Max(x1-1, x0+1))
		starts += "M" + px(x0) + " " + px(traceTop-6) + "V" + px(traceHeight-48)
		name := x.Name
		if x.Counted {
			counted += stretch
		} else {
			others += stretch
			name += " (not counted)"
		}
		lines := wrap(name, x1-x0-4, 12.5, 3)
		if x1-x0 < 34 {
			lines = []string{fmt.Sprint(i + 1)}
		}
		for j, line := range lines {
			c.text("name", x0+2, traceTop-12-14*float64(len(lines)-1-j), line)
		}
	}
	c.path("exercise", starts)
	c.path("s-ink", counted)
	c.path("d-muted", others)
}

func (p *tracePlot) axes(c *canvas) {
	guides := ""
	for _, v := range p.y.ticksUp() {
		y := p.y.place(v)
		guides += "M" + px(traceLeft) + " " + px(y) + "H" + px(wideWidth-12)
		c.text("tk end", traceLeft-8, y+4.5, plainNumber(v))
	}
	c.path("guide", guides)
	if p.zeros {
		c.text("tk end", traceLeft-8, traceHeight-34, "zero")
	}
	ticks := timeTicks(p.end)
	p.x.ruler(c, traceHeight-28, ticks)
	for _, v := range ticks {
		c.text("tk mid", p.x.place(v), traceHeight-8, plainNumber(v))
	}
	c.text("tk", 4, traceTop-36, "per cm³,")
	c.text("tk", 4, traceTop-20, "log scale")
	c.text("tk", 4, traceHeight-8, "seconds")
}

// ticksUp gives decades, or finer round numbers where there are few.
func (s scale) ticksUp() []float64 {
	if s.hi/s.lo < 60 {
		return s.logTicks([]float64{1, 2, 5}, 1)
	}
	return s.logTicks([]float64{1}, 1)
}

// timeTicks cuts the time into round steps.
func timeTicks(end float64) (out []float64) {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 43200, 86400} {
		step = s
		if end/s <= 10 {
			break
		}
	}
	if end/step > 12 {
		step = end / 10
	}
	for i := 0.0; i*step < end*0.97; i++ {
		out = append(out, i*step)
	}
	return out
}

// tight writes a pair of numbers with no more space than a path needs.
func tight(x, y int) string {
	if y < 0 {
		return fmt.Sprintf("%d%d", x, y)
	}
	return fmt.Sprintf("%d %d", x, y)
}

// curve draws a column of readings: the least and the most of each column of the
// drawing, broken where nothing was read.
func (p *tracePlot) curve(c *canvas, class string, values []float64) {
	var d strings.Builder
	pen, line, lastX, lastY := false, false, 0, 0
	put := func(x, y float64) {
		ix, iy := int(math.Round(2*x)), int(math.Round(2*y))
		switch {
		case !pen:
			fmt.Fprintf(&d, "M%d %d", ix, iy)
		case !line:
			fmt.Fprintf(&d, "l%s", tight(ix-lastX, iy-lastY))
		default: // further pairs need no letter, and a minus parts numbers
			if ix >= lastX {
				d.WriteByte(' ')
			}
			d.WriteString(tight(ix-lastX, iy-lastY))
		}
		line = pen
		pen, lastX, lastY = true, ix, iy
	}
	width := (p.x.x1 - p.x.x0) / float64(p.columns)
	for i := 0; i < len(values) && i < p.trace.Rows(); {
		if math.IsNaN(values[i]) {
			pen = false
			i++
			continue
		}
		column := math.Floor((p.x.place(p.trace.TimeS[i]) - p.x.x0) / width)
		first := i
		least, most := i, i
		for ; i < len(values) && i < p.trace.Rows() && !math.IsNaN(values[i]) &&
			math.Floor((p.x.place(p.trace.TimeS[i])-p.x.x0)/width) == column; i++ {
			if values[i] < values[least] {
				least = i
			}
			if values[i] > values[most] {
				most = i
			}
		}
		for _, k := range inOrder(first, least, most, i-1) {
			put(p.x.place(p.trace.TimeS[k]), p.height(values[k]))
		}
		if i == first+1 && (i >= len(values) || math.IsNaN(values[i])) {
			d.WriteString("h1")
			lastX++
		}
	}
	if d.Len() > 0 {
		c.add(`<path class="%s" transform="scale(.5)" d="%s"/>`, class, d.String())
	}
}

// inOrder gives the rows of the least and the most reading, each once; a lone row
// is itself.
func inOrder(first, least, most, last int) []int {
	if first == last {
		return []int{first}
	}
	if least == most {
		return []int{first, last}
	}
	return []int{min(least, most), max(least, most)}
}

// height is where a reading is drawn; zero has a place of its own under the axis.
func (p *tracePlot) height(v float64) float64 {
	if v <= 0 {
		return traceHeight - 38
	}
	return p.y.place(v)
}

// overloads marks the readings that the counter gave as beyond its range, or at
// its stated top: bounds, not measurements.
func (p *tracePlot) overloads(c *canvas) {
	last := math.Inf(-1)
	flag := func(row int) {
		if row < 0 || row >= p.trace.Rows() {
			return
		}
		if x := p.x.place(p.trace.TimeS[row]); x-last > 7 {
			last, p.capped = x, true
			c.poly("f-ink", x, traceTop+2, x+5, traceTop+11, x-5, traceTop+11, x, traceTop+2)
		}
	}
	for _, o := range p.trace.Overload {
		flag(o.Row)
	}
	last = math.Inf(-1)
	full := func(values []float64, row int, top float64) bool {
		return top > 0 && row < len(values) && values[row] >= top
	}
	for i := range p.trace.Rows() {
		if full(p.room, i, p.top.room) || full(p.inside, i, p.top.inside) {
			flag(i)
		}
	}
}
