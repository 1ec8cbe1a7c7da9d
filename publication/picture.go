package publication

import (
	"fmt"
	"html"
	"math"
	"strings"

	"telltale/dossier"
	"telltale/finding"
	"telltale/uncertainty"
)

// shape is the size of a picture for a post, in pixels.
type shape struct {
	name          string
	width, height int
}

var shapes = []shape{{"16x9", 1600, 900}, {"1x1", 1080, 1080}, {"9x16", 1080, 1920}}

// Pictures draws a post for each respirator under test in three shapes, as SVG:
// headline, interval, and a hundred dots of which as many are filled as particles
// get in. The figures and words are those of the findings.
func Pictures(s *Sealed) []dossier.File {
	var out []dossier.File
	foot := fmt.Sprintf("%s, %s. Check it: manifest %s", s.Draft.Card.Publisher, s.Draft.Card.Published, s.Record.Subject[:16])
	for _, r := range s.Draft.Findings.Respirators {
		if r.Role == "reference" {
			continue
		}
		for _, sh := range shapes {
			out = append(out, dossier.File{Name: fmt.Sprintf("post-%s-%s.svg", r.ID, sh.name), Data: picture(sh, r, s.Draft.Card.Study, foot)})
		}
	}
	return out
}

// drawing gathers SVG and knows how far down it is.
type drawing struct {
	strings.Builder
	y float64
}

const (
	ink   = "#14202b"
	paper = "#ffffff"
	faint = "#d8dee3"
	dark  = "#0b4f8a"
	light = "#86b6e0"
)

func picture(sh shape, r finding.Respirator, study, foot string) []byte {
	w, h := float64(sh.width), float64(sh.height)
	headline, subline := r.Headline, r.Subline
	if r.HeldBack {
		headline, subline = "No statement from these runs", r.MayBeSaid[0]
	}
	d := &drawing{}
	fmt.Fprintf(d, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" role="img" aria-label="%s" font-family="sans-serif">`+"\n",
		sh.width, sh.height, sh.width, sh.height, html.EscapeString(shown(r.Name+": "+headline)))
	fmt.Fprintf(d, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", paper)
	margin := w / 16
	side, gridX, textWidth := w-2*margin, margin, w-2*margin
	wide := w > h
	if wide {
		side = h * 0.55
		textWidth = w - 3*margin - side
		gridX = w - margin - side
	} else {
		side = math.Min(side, h*0.42)
		gridX = (w - side) / 2
	}
	unit := math.Min(w, h) / 1080
	d.y = margin
	d.text(margin, textWidth, 30*unit, "normal", study)
	d.text(margin, textWidth, 44*unit, "bold", r.Name)
	d.text(margin, textWidth, 66*unit, "bold", headline)
	d.text(margin, textWidth, 32*unit, "normal", subline)
	gridY := d.y + margin/2
	if wide {
		gridY = (h - side) / 2
	} else {
		side = math.Min(side, h-gridY-200*unit)
		gridX = (w - side) / 2
	}
	if low, high, ok := ofHundred(r); ok && side > 0 {
		d.dots(gridX, gridY, side, low, high)
		d.y = gridY + side + 40*unit
		d.text(gridX, side, 26*unit, "normal", legend(low, high))
	}
	fmt.Fprintf(d, `<text x="%.0f" y="%.0f" font-size="%.0f" fill="%s">%s</text>`+"\n</svg>\n", margin, h-margin/2, 22*unit, ink, html.EscapeString(shown(foot)))
	return []byte(d.String())
}

// ofHundred gives between how many and how many of a hundred particles get in as
// worn; false when that cannot be told.
func ofHundred(r finding.Respirator) (low, high int, ok bool) {
	if len(r.Configurations) == 0 || r.HeldBack {
		return 0, 0, false
	}
	p := r.Configurations[0].Penetration
	switch p.Kind {
	case uncertainty.Interval:
		return int(math.Floor(100 * p.Low)), int(math.Min(100, math.Ceil(100*p.High))), true
	case uncertainty.AtMost:
		return 0, int(math.Min(100, math.Ceil(100*p.High))), true
	case uncertainty.AtLeast:
		return int(math.Floor(100 * p.Low)), 100, true
	}
	return 0, 0, false
}

func legend(low, high int) string {
	switch {
	case high <= 1:
		return "Of 100 particles in the room at most 1 gets in."
	case low == 0:
		return fmt.Sprintf("Of 100 particles in the room at most %d get in.", high)
	}
	return fmt.Sprintf("Of 100 particles in the room %d to %d get in.", low, high)
}

// dots draws ten rows of ten: dark ones get in at least, light ones may.
func (d *drawing) dots(x, y, side float64, low, high int) {
	step := side / 10
	for i := range 100 {
		fill := faint
		switch {
		case i < low:
			fill = dark
		case i < high:
			fill = light
		}
		fmt.Fprintf(d, `<circle cx="%.1f" cy="%.1f" r="%.1f" fill="%s"/>`+"\n", x+step*(float64(i%10)+0.5), y+step*(float64(i/10)+0.5), step*0.38, fill)
	}
}

// text writes a text in as many lines as it needs and moves down. Letters are
// taken to be 0.58 of their size wide, which is more than most are.
func (d *drawing) text(x, width, size float64, weight, words string) {
	most := max(8, int(width/(0.58*size)))
	for _, line := range wrapped(shown(words), most) {
		d.y += 1.25 * size
		fmt.Fprintf(d, `<text x="%.0f" y="%.0f" font-size="%.0f" font-weight="%s" fill="%s">%s</text>`+"\n", x, d.y, size, weight, ink, html.EscapeString(line))
	}
	d.y += 0.4 * size
}

// wrapped breaks a text at blanks into lines of at most so many letters.
func wrapped(text string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		for len([]rune(word)) > most {
			r := []rune(word)
			lines, line, word = append(lines, strings.TrimSpace(line+" "+string(r[:most-len([]rune(line))-1]))), "", string(r[most-len([]rune(line))-1:])
		}
		if line != "" && len([]rune(line))+1+len([]rune(word)) > most {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// shown takes control characters and marks that turn the writing out of a text.
func shown(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || r >= 0x7f && r < 0xa0:
			return ' '
		case r == 0x200e || r == 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0xfffd || r == 0xfffe || r == 0xffff:
			return -1
		}
		return r
	}, s)
}
