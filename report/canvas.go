package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// canvas collects the marks of one drawing. Places are in px of the drawing,
// from the upper left corner; every class stands in style.css.
type canvas struct {
	b    strings.Builder
	w, h float64
}

// px prints a place with one decimal at most.
func px(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("report: a place on a drawing is not a number")
	}
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
}

func (c *canvas) add(format string, args ...any) { fmt.Fprintf(&c.b, format, args...) }

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, px(x), px(y), px(math.Max(w, 0)), px(math.Max(h, 0)))
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.add(`<path class="%s" d="M%s %sL%s %s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

func (c *canvas) circle(class string, x, y, r float64) {
	c.add(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, px(x), px(y), px(r))
}

func (c *canvas) path(class, d string) {
	if d != "" {
		c.add(`<path class="%s" d="%s"/>`, class, d)
	}
}

// poly draws straight lines through x, y pairs.
func (c *canvas) poly(class string, places ...float64) {
	var d strings.Builder
	for i := 0; i+1 < len(places); i += 2 {
		d.WriteString(map[bool]string{true: "M", false: "L"}[i == 0])
		d.WriteString(px(places[i]) + " " + px(places[i+1]))
	}
	c.path(class, d.String())
}

// text writes s; class holds the type and, with "end" or "mid", where x stands.
func (c *canvas) text(class string, x, y float64, s string) {
	if s != "" {
		c.add(`<text class="%s" x="%s" y="%s">%s</text>`, class, px(x), px(y), html.EscapeString(s))
	}
}

// pair writes a strong text and a light one behind it.
func (c *canvas) pair(class string, x, y float64, strong, light string) {
	c.add(`<text class="%s" x="%s" y="%s"><tspan class="st">%s</tspan><tspan class="lt" dx="6">%s</tspan></text>`,
		class, px(x), px(y), html.EscapeString(strong), html.EscapeString(light))
}

// svg closes the drawing. label is read out in its place.
func (c *canvas) svg(class, label, desc string) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="%s" role="img" aria-label="%s" viewBox="0 0 %s %s" width="%s" height="%s"><desc>%s</desc>%s</svg>`,
		class, html.EscapeString(label), px(c.w), px(c.h), px(c.w), px(c.h), html.EscapeString(desc), c.b.String()))
}

// wide is how many px a text of the size takes, near enough to keep labels
// apart: measured on Atkinson Hyperlegible, full-width writing counted double.
func wide(s string, size float64) float64 {
	total := 0.0
	for _, r := range s {
		total += runeWidth(r)
	}
	return total * size
}

// runeWidth is the width of a letter as a share of the type size.
func runeWidth(r rune) float64 {
	switch {
	case r >= 0x1100:
		return 1
	case strings.ContainsRune(" .,:;il|'!()", r):
		return 0.29
	case r >= 'A' && r <= 'Z' || strings.ContainsRune("mw%÷", r):
		return 0.68
	}
	return 0.55
}

// cut shortens s to the room there is; the table beside the drawing holds it all.
func cut(s string, room, size float64) string {
	total, keep := 0.0, 0
	for i, r := range s {
		if total+runeWidth('…') <= room/size {
			keep = i
		}
		if total += runeWidth(r); total > room/size {
			return strings.TrimSpace(s[:keep]) + "…"
		}
	}
	return s
}

// wrap breaks s into at most n lines of the room there is.
func wrap(s string, room, size float64, n int) []string {
	var lines []string
	line := ""
	words := strings.Fields(s)
	for i, word := range words {
		switch {
		case line == "":
			line = word
		case wide(line+" "+word, size) <= room:
			line += " " + word
		case len(lines) == n-1:
			return append(lines, cut(line+" "+strings.Join(words[i:], " "), room, size))
		default:
			lines, line = append(lines, cut(line, room, size)), word
		}
	}
	if line != "" {
		lines = append(lines, cut(line, room, size))
	}
	return lines
}
