package report

import (
	"math"

	"telltale/finding"
	"telltale/uncertainty"
)

// row is one line of a chart: an estimate on the axis.
type row struct {
	Label string
	Said  said // how the figure is worded beside the mark
	Est   uncertainty.Estimate
	Class string                 // ink, edge, filter, room or muted
	Small []uncertainty.Estimate // single results behind it
	Main  bool                   // the figure that the others make up
	Band  bool                   // an assumption's span rather than a measurement
}

// span is a pale band across the chart: computed from assumptions, or a usual
// range.
type span struct {
	Label              string
	Low, Central, High float64 // Central is NaN where there is none
}

// limit is a dashed line across the chart.
type limitLine struct {
	At    float64
	Label string
}

// rowChart draws rows under each other on one log axis.
type rowChart struct {
	Rows   []row
	Spans  []span
	Limits []limitLine
	Axis   string // what the axis measures; "log scale" is added
}

const (
	labelSize = 15.0
	tickSize  = 13.5
)

// layout is where the columns of a chart stand: beside the marks when there is
// room, above them when there is not.
type layout struct {
	w, rowHeight, left, right float64
	beside                    bool
}

func (r rowChart) layout(w float64) layout {
	l := layout{w, 34, 262, w - 210, true}
	if w < 700 {
		l = layout{w, 50, 12, w - 12, false}
	}
	for _, x := range r.Rows {
		if wide(x.Label, labelSize) > l.labelRoom(x) {
			l.rowHeight = map[bool]float64{true: 44, false: 67}[l.beside]
		}
	}
	return l
}

// labelRoom is how wide a line of a row's label may be.
func (l layout) labelRoom(x row) float64 {
	if l.beside {
		return l.left - 20
	}
	return l.w - 28 - wide(x.Said.Strong, labelSize+1) - wide(x.Said.Light, labelSize)
}

// markAt is how far under its upper edge a row's mark stands.
func (l layout) markAt() float64 {
	if l.beside {
		return l.rowHeight / 2
	}
	return l.rowHeight - 18
}

func (r rowChart) scale(l layout) scale {
	var all []float64
	add := func(e uncertainty.Estimate) { all = append(all, e.Value, e.Low, e.High) }
	for _, x := range r.Rows {
		add(x.Est)
		for _, s := range x.Small {
			add(s)
		}
	}
	for _, s := range r.Spans {
		all = append(all, s.Low, s.Central, s.High)
	}
	for _, x := range r.Limits {
		all = append(all, x.At)
	}
	return logScale(l.left, l.right, all...)
}

// draw makes the chart for a width.
func (r rowChart) draw(w float64) *canvas {
	l := r.layout(w)
	s := r.scale(l)
	top := 10 + 22*float64(len(r.Spans)+len(r.Limits))
	bottom := top + l.rowHeight*float64(len(r.Rows)) + 6
	c := &canvas{w: w, h: bottom + 46}
	r.back(c, l, s, top, bottom)
	guides := ""
	for i := range r.Rows {
		guides += "M" + px(l.left) + " " + px(top+l.rowHeight*float64(i)+l.markAt()) + "H" + px(l.right)
	}
	c.path("guide", guides)
	y := top
	for _, x := range r.Rows {
		x.draw(c, l, s, y)
		y += l.rowHeight
	}
	axis(c, l, s, bottom, r.Axis)
	return c
}

// back draws what the marks stand on: bands and limits, their labels above all.
func (r rowChart) back(c *canvas, l layout, s scale, top, bottom float64) {
	y := 16.0
	for _, x := range r.Spans {
		if drawable(x.Low) && drawable(x.High) {
			x0, x1 := s.place(x.Low), s.place(x.High)
			c.rect("band", x0, top-4, x1-x0, bottom-top+4)
			if drawable(x.Central) {
				c.line("s-room", s.place(x.Central), top-4, s.place(x.Central), bottom)
			}
			held(c, l, "lb room", (x0+x1)/2, y, x.Label)
		}
		y += 22
	}
	for _, x := range r.Limits {
		if drawable(x.At) {
			c.line("limit", s.place(x.At), y+5, s.place(x.At), bottom)
			held(c, l, "lb", s.place(x.At), y, x.Label)
		}
		y += 22
	}
}

// held writes a label centred on x but inside the drawing.
func held(c *canvas, l layout, class string, x, y float64, label string) {
	label = cut(label, l.w-8, labelSize)
	half := wide(label, labelSize)/2 + 2
	c.text(class+" mid", math.Max(half, math.Min(l.w-half, x)), y, label)
}

func (x row) draw(c *canvas, l layout, s scale, y float64) {
	at := y + l.markAt()
	class := "lb"
	if x.Main {
		class = "lb st"
		c.line("axis", 4, y, l.w-4, y)
	}
	lines := wrap(x.Label, l.labelRoom(x), labelSize, 2)
	for i, line := range lines {
		if l.beside {
			c.text(class+" end", l.left-14, at+5+17*(float64(i)-float64(len(lines)-1)/2), line)
		} else {
			c.text(class, 4, at-17-17*float64(len(lines)-1-i), line)
		}
	}
	if l.beside {
		c.pair("lb", l.right+14, at+5, x.Said.Strong, cut(x.Said.Light, l.w-l.right-26-wide(x.Said.Strong, labelSize+1), labelSize))
	} else {
		c.pair("lb end", l.w-8, at-17, x.Said.Strong, x.Said.Light)
	}
	for _, e := range x.Small {
		small(c, s, e, at+9, x.Class)
	}
	if x.Band {
		assumed(c, s, x.Est, at)
		return
	}
	mark(c, s, x.Est, at, x.Class)
}

// mark draws an estimate: solid where measured, dashed with an arrow where it is
// a bound, an open ring where no interval can be given.
func mark(c *canvas, s scale, e uncertainty.Estimate, y float64, class string) {
	switch {
	case e.Kind == uncertainty.Interval && drawable(e.Value):
		lo, hi := edgeOf(e.Low, s.lo), edgeOf(e.High, s.hi)
		whisker(c, "s-"+class, s.place(lo), s.place(hi), y)
		c.circle("f-"+class, s.place(e.Value), y, 5.5)
	case e.Kind == uncertainty.AtLeast && drawable(e.Low):
		bound(c, class, s.place(e.Low), s.x1, y)
	case e.Kind == uncertainty.AtMost && drawable(e.High):
		bound(c, class, s.place(e.High), s.x0, y)
	case drawable(e.Value):
		c.circle("o-"+class, s.place(e.Value), y, 5)
	}
}

// edgeOf is where a whisker ends that has no end on a log axis.
func edgeOf(v, edge float64) float64 {
	if drawable(v) {
		return v
	}
	return edge
}

func whisker(c *canvas, class string, x0, x1, y float64) {
	c.path(class, "M"+px(x0)+" "+px(y-6)+"v12M"+px(x1)+" "+px(y-6)+"v12M"+px(x0)+" "+px(y)+"L"+px(x1)+" "+px(y))
}

// bound draws a one-sided estimate: a bar where it stands, dashes and an arrow
// towards where the truth lies.
func bound(c *canvas, class string, from, to, y float64) {
	way := math.Copysign(1, to-from)
	if math.Abs(to-from) > 90 {
		to = from + way*90
	}
	c.line("s-"+class, from, y-8, from, y+8)
	c.line("d-"+class, from, y, to-way*7, y)
	c.poly("f-"+class, to, y, to-way*9, y-5, to-way*9, y+5, to, y)
}

// small draws one single result.
func small(c *canvas, s scale, e uncertainty.Estimate, y float64, class string) {
	switch {
	case drawable(e.Value):
		c.circle("small o-"+class, s.place(e.Value), y, 3)
	case drawable(e.Low):
		x := s.place(e.Low)
		c.poly("small o-"+class, x, y-4, x+6, y, x, y+4, x, y-4)
	case drawable(e.High):
		x := s.place(e.High)
		c.poly("small o-"+class, x, y-4, x-6, y, x, y+4, x, y-4)
	}
}

// assumed draws how far an assumption moves a figure.
func assumed(c *canvas, s scale, e uncertainty.Estimate, y float64) {
	if drawable(e.Low) && drawable(e.High) {
		x0, x1 := s.place(math.Min(e.Low, e.High)), s.place(math.Max(e.Low, e.High))
		c.rect("bandbar", x0, y-8, math.Max(x1-x0, 2), 16)
	}
}

// axis draws a horizontal axis with plain numbers.
func axis(c *canvas, l layout, s scale, y float64, name string) {
	ticks := s.ticks(tickSize)
	s.ruler(c, y, ticks)
	for _, v := range ticks {
		held(c, l, "tk", s.place(v), y+20, plainNumber(v))
	}
	if s.log {
		name += ", log scale"
	}
	c.text("tk end", l.w-4, y+40, cut(name, l.w-8, tickSize))
}

// ruler draws the line of an axis with its ticks.
func (s scale) ruler(c *canvas, y float64, ticks []float64) {
	d := "M" + px(s.x0) + " " + px(y) + "H" + px(s.x1)
	for _, v := range ticks {
		d += "M" + px(s.place(v)) + " " + px(y) + "v5"
	}
	c.path("axis", d)
}

// usedOf is how many wearings of a configuration enter its figure, and of how many
// where some are listed only.
func usedOf(c finding.Configuration) string {
	if c.Used == len(c.Wearings) {
		return plainNumber(float64(c.Used))
	}
	return plainNumber(float64(c.Used)) + " of " + plainNumber(float64(len(c.Wearings)))
}
