package report

import (
	"math"

	"telltale/finding"
	"telltale/uncertainty"
)

// rung is one configuration of the ladder as it is drawn, in per cent of the
// room's particles.
type rung struct {
	name      string
	said      said
	total     uncertainty.Estimate // per cent
	edge      float64              // length of the part round the edge
	filter    float64              // length of the part through the filter
	undecided float64              // length of the part that cannot be told apart
}

// rungs splits each configuration's bar into its ways in.
func rungs(r *finding.Respirator) []rung {
	var out []rung
	for _, c := range r.Configurations {
		g := rung{name: c.Name, said: particles(c), total: percent(c.Penetration)}
		g.split(r.Attribution, c.Name)
		out = append(out, g)
	}
	return out
}

// split shares the bar out. Where filter and seal cannot be told apart, only what
// exceeds the filter's upper bound is drawn as come round the edge.
func (g *rung) split(a *finding.Attribution, name string) {
	total := g.total.Value
	if !(total > 0) || math.IsInf(total, 0) {
		return
	}
	g.undecided = total
	if a == nil {
		return
	}
	if a.Separable {
		for _, s := range a.SealShare {
			if s.Name == name && s.Share.Value >= 0 && s.Share.Value <= 1 {
				g.edge = total * s.Share.Value
				g.filter, g.undecided = total-g.edge, 0
			}
		}
		return
	}
	if b := 100 * a.FilterPenetration.High; b >= 0 && b < total {
		g.edge, g.undecided = total-b, b
	}
}

// ladderFigure is the picture of what gets in, and which way, per repair.
func ladderFigure(r *finding.Respirator) *figure {
	gs := rungs(r)
	f := &figure{Title: "What gets in, and which way",
		Caption: "Percent of the room's particles found inside. The whisker is the interval of the whole."}
	bound := filterBound(r.Attribution)
	f.draw(halfWidth, ladderWords(r), func(w float64) *canvas { return drawLadder(gs, bound, w) })
	f.Key = ladderKey(gs, r.Attribution != nil)
	f.Table = ladderTable(r, gs)
	return f
}

// filterBound is the line at the filter's penetration, in per cent.
func filterBound(a *finding.Attribution) uncertainty.Estimate {
	if a == nil {
		return uncertainty.NewUnknown(0, "")
	}
	return percent(a.FilterPenetration)
}

// ladderSpan is where the axis ends: the largest interval, and never beyond all
// of the room's particles unless a figure itself lies there.
func ladderSpan(gs []rung, bound uncertainty.Estimate) float64 {
	most := bound.High
	for _, g := range gs {
		for _, v := range []float64{g.total.Value, math.Min(g.total.High, math.Max(100, g.total.Value))} {
			if finite(v) && !(v <= most) {
				most = v
			}
		}
	}
	return most
}

func drawLadder(gs []rung, bound uncertainty.Estimate, w float64) *canvas {
	l := layout{w: w, left: 4, right: w - 10, rowHeight: 54}
	for _, g := range gs {
		if wide(g.name, labelSize) > l.labelRoom(row{Said: g.said}) {
			l.rowHeight = 71
		}
	}
	height := l.rowHeight
	top, bottom := 6.0, 6+height*float64(len(gs))
	c := &canvas{w: w, h: bottom + 50}
	s := linearScale(l.left, l.right, ladderSpan(gs, bound))
	for i, g := range gs {
		g.draw(c, l, s, top+height*float64(i))
	}
	if at := lineAt(bound); drawable(at) {
		c.h += 20
		x := s.place(at)
		for i := range gs {
			y := top + height*float64(i+1)
			c.line("filterline", x, y-35, x, y-7)
		}
		c.line("filterline", x, bottom-4, x, bottom+4)
		held(c, l, "lb filter", x, bottom+18, "through the filter: "+filterWords(bound))
		bottom += 22
	}
	ticks := s.ticks(tickSize)
	s.ruler(c, bottom, ticks)
	for _, v := range ticks {
		x := s.place(v)
		class, label := "tk mid", plainNumber(v)+" %"
		if v == s.lo {
			class = "tk"
		} else if v == s.hi {
			class, x = "tk end", w-2
		}
		c.text(class, x, bottom+20, label)
	}
	c.text("tk end", w-4, bottom+40, "of the room's particles get in")
	return c
}

// lineAt is where the filter's line stands: at its upper bound, or at its value
// when that is known from both sides.
func lineAt(bound uncertainty.Estimate) float64 {
	if bound.Kind == uncertainty.Interval {
		return bound.Value
	}
	return bound.High
}

func filterWords(bound uncertainty.Estimate) string {
	s := brief(bound)
	return s.Strong + " % (" + s.Light + ")"
}

func (g rung) draw(c *canvas, l layout, s scale, y float64) {
	y += l.rowHeight - 31 // the bar; its label stands above
	lines := wrap(g.name, l.labelRoom(row{Said: g.said}), labelSize, 2)
	for i, line := range lines {
		c.text("lb", l.left, y-8-17*float64(len(lines)-1-i), line)
	}
	c.pair("lb end", l.w-4, y-8, g.said.Strong, g.said.Light)
	x := s.x0
	for _, part := range []struct {
		class  string
		length float64
	}{{"p-filter", g.filter}, {"p-undecided", g.undecided}, {"b-edge", g.edge}} {
		if part.length > 0 {
			to := s.place(s.lo + (part.length + g.before(part.class)))
			c.rect(part.class, x, y, to-x, 20)
			x = to
		}
	}
	g.whisker(c, s, y+10)
}

// before is how much of the bar stands before its part.
func (g rung) before(class string) float64 {
	switch class {
	case "p-undecided":
		return g.filter
	case "b-edge":
		return g.filter + g.undecided
	}
	return 0
}

// whisker draws the interval, or the bound with its arrow.
func (g rung) whisker(c *canvas, s scale, y float64) {
	e := g.total
	switch {
	case e.Kind == uncertainty.Interval && finite(e.Low, e.High):
		whisker(c, "s-ink", s.place(e.Low), s.place(e.High), y)
	case e.Kind == uncertainty.AtMost && finite(e.High):
		c.rect("dashedbox", s.x0, y-10, s.place(e.High)-s.x0, 20)
		c.line("s-ink", s.place(e.High), y-12, s.place(e.High), y+12)
	case e.Kind == uncertainty.AtLeast && finite(e.Low):
		c.rect("p-undecided", s.x0, y-10, s.place(e.Low)-s.x0, 20)
		bound(c, "ink", s.place(e.Low), s.x1, y)
	case !finite(e.Value):
		c.text("tk", s.x0, y+5, "no figure")
	}
}

// ladderKey lists what was really drawn.
func ladderKey(gs []rung, examined bool) []keyItem {
	var edge, filter, undecided bool
	for _, g := range gs {
		edge, filter, undecided = edge || g.edge > 0, filter || g.filter > 0, undecided || g.undecided > 0
	}
	var out []keyItem
	if edge {
		out = append(out, keyItem{"edge", "round the edge"})
	}
	if filter {
		out = append(out, keyItem{"filter", "through the filter"})
	}
	switch {
	case undecided && examined:
		out = append(out, keyItem{"undecided", "through the filter or a leak that no repair reached: these cannot be told apart"})
	case undecided:
		out = append(out, keyItem{"undecided", "found inside; which way it came was not examined"})
	}
	return out
}

// ladderWords reads the picture out.
func ladderWords(r *finding.Respirator) string {
	text := ""
	for _, c := range r.Configurations {
		s := particles(c)
		text += c.Name + ": " + s.Strong + " (" + s.Light + "). "
	}
	if r.Attribution != nil {
		text += r.Attribution.Reason
	}
	return text
}

func ladderTable(r *finding.Respirator, gs []rung) table {
	t := table{Head: []string{"worn", "particles", "percent that gets in", "share that came past the seal", "which way"}, Align: "lrrrl"}
	for _, g := range gs {
		total := g.total
		p := brief(total)
		if total.Kind != uncertainty.Unknown {
			p.Strong += " %"
		}
		line := []said{cell(g.name), g.said, p, cell("-"), cell("not examined")}
		if a := r.Attribution; a != nil {
			for _, s := range a.SealShare {
				if s.Name == g.name {
					line[3], line[4] = briefPercent(s.Share), cell(s.Dominant)
				}
			}
		}
		t.Rows = append(t.Rows, line)
	}
	return t
}
