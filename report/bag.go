package report

import (
	"math"
	"sort"

	"telltale/finding"
)

// strength orders findings about words, strongest first.
var strength = map[string]int{"contradiction": 0, "missing": 1, "unusual": 2, "note": 3}

// byStrength orders the findings about the marks; equals keep their order.
func byStrength(all []finding.MarkFinding) []finding.MarkFinding {
	out := append([]finding.MarkFinding(nil), all...)
	rank := func(s string) int {
		if r, known := strength[s]; known {
			return r
		}
		return len(strength)
	}
	sort.SliceStable(out, func(i, j int) bool { return rank(out[i].Severity) < rank(out[j].Severity) })
	return out
}

// bagFigure draws the printed words where they stand, each with the numbers of
// the findings that rest on it.
func bagFigure(m *finding.Marks) *figure {
	found := byStrength(m.Findings)
	f := &figure{Title: "The words where they stand", Caption: "Numbers are those of the findings under the picture."}
	f.Table = table{Head: []string{"place", "words as printed", "findings"}, Align: "lll"}
	for _, p := range m.Places {
		f.Table.Rows = append(f.Table.Rows, cells(p.Where, p.Text, numbersWords(resting(found, p.Where))))
	}
	desc := m.Text
	f.draw(wideWidth, desc, func(w float64) *canvas { return drawBag(m.Places, found, w) })
	return f
}

// resting lists the numbers (from 1) of the findings with evidence at a place.
func resting(found []finding.MarkFinding, where string) (out []int) {
	for i, f := range found {
		for _, e := range f.Evidence {
			if e.Where == where {
				out = append(out, i+1)
				break
			}
		}
	}
	return out
}

func numbersWords(all []int) string {
	text := ""
	for i, n := range all {
		if i > 0 {
			text += ", "
		}
		text += plainNumber(float64(n))
	}
	return text
}

const (
	bagText   = 14.5
	bagLine   = 19.0
	bagLines  = 6
	bagHeader = 36.0
)

// drawBag sets the places in columns of equal rows.
func drawBag(places []finding.Place, found []finding.MarkFinding, w float64) *canvas {
	cols := int(math.Max(1, math.Min(3, math.Floor(w/300))))
	const gap = 22.0
	width := (w - gap*float64(cols-1)) / float64(cols)
	c := &canvas{w: w}
	y := 4.0
	for i := 0; i < len(places); i += cols {
		line := places[i:min(i+cols, len(places))]
		height := 0.0
		for _, p := range line {
			n := len(wrap(p.Text, width-50, bagText, bagLines))
			height = math.Max(height, bagHeader+bagLine*float64(max(n, 2))+32)
		}
		for j, p := range line {
			thing(c, p, resting(found, p.Where), float64(j)*(width+gap), y, width, height)
		}
		y += height + gap
	}
	c.h = math.Max(y-gap+4, 10)
	return c
}

// thing draws one place: its outline, its name, its words, its findings.
func thing(c *canvas, p finding.Place, numbers []int, x, y, w, h float64) {
	outline(c, p.Where, x+1, y+1, w-2, h-2)
	c.text("tk", x+24, y+31, cut(p.Where, w-66-24*float64(len(numbers)), tickSize))
	for i, line := range wrap(p.Text, w-50, bagText, bagLines) {
		c.text("printed", x+24, y+bagHeader+19+bagLine*float64(i), line)
	}
	shown := numbers
	if len(shown) > 5 {
		shown = shown[:5]
	}
	for i, n := range shown {
		at := x + w - 32 - 25*float64(len(shown)-1-i)
		c.circle("f-ink", at, y+28, 10.5)
		c.text("inverse mid", at, y+32.5, plainNumber(float64(n)))
	}
}

// outline is the simple shape of a thing: a cup with loops, a strap, a pouch
// with a notched edge, a box with a lid, folded or framed paper, a page.
func outline(c *canvas, where string, x, y, w, h float64) {
	d := func(s string) { c.path("thing", s) }
	at := func(px1, py1 float64) string { return px(px1) + " " + px(py1) }
	switch where {
	case "facepiece":
		l, r, m := x+13, x+w-13, x+w/2
		d("M" + at(l+4, y+14) + "Q" + at(m-w/5, y+10) + " " + at(m-14, y+2) + "Q" + at(m, y-3) + " " + at(m+14, y+2) +
			"Q" + at(m+w/5, y+10) + " " + at(r-4, y+14) + "L" + at(r, y+h-26) + "Q" + at(m, y+h+14) + " " + at(l, y+h-26) + "Z")
		d("M" + at(m-34, y+13) + "Q" + at(m, y+2) + " " + at(m+34, y+13))
		c.path("thing loop", "M"+at(l+3, y+22)+"C"+at(x-6, y+h*0.3)+" "+at(x-6, y+h*0.55)+" "+at(l+1, y+h-32)+
			"M"+at(r-3, y+22)+"C"+at(x+w+6, y+h*0.3)+" "+at(x+w+6, y+h*0.55)+" "+at(r-1, y+h-32))
	case "strap":
		d("M" + at(x, y+4) + "h" + px(w) + "M" + at(x, y+h-4) + "h" + px(w))
		c.path("thing dotted", "M"+at(x, y+10)+"h"+px(w)+"M"+at(x, y+h-10)+"h"+px(w))
	case "pouch":
		s := "M" + at(x, y+6)
		teeth := math.Floor(w / 12)
		for range int(teeth) {
			s += "l" + px(w/teeth/2) + " " + "-6l" + px(w/teeth/2) + " 6"
		}
		d(s + "V" + px(y+h) + "H" + px(x) + "Z")
	case "box":
		d("M" + at(x, y+10) + "l10 -10h" + px(w-20) + "l10 10V" + px(y+h) + "H" + px(x) + "Z")
		d("M" + at(x, y+10) + "h" + px(w))
	case "certificate":
		c.rect("thing", x, y, w, h)
		c.rect("thing dotted", x+6, y+6, w-12, h-12)
	case "leaflet":
		d("M" + at(x, y) + "h" + px(w-18) + "l18 18V" + px(y+h) + "H" + px(x) + "Z")
		d("M" + at(x+w-18, y) + "v18h18")
	case "listing":
		c.add(`<rect class="thing" x="%s" y="%s" width="%s" height="%s" rx="9"/>`, px(x), px(y), px(w), px(h))
		d("M" + at(x, y+9) + "h" + px(w))
	default:
		c.add(`<rect class="thing" x="%s" y="%s" width="%s" height="%s" rx="3"/>`, px(x), px(y), px(w), px(h))
	}
}
