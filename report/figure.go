package report

import "html/template"

// Figure is a picture with the sentence that it shows and the table that proves
// it. Wide is drawn for a desk and for paper, Narrow for a telephone; where there
// is no Narrow the wide one scrolls.
type figure struct {
	Title   string
	Caption string
	Wide    template.HTML
	Narrow  template.HTML
	Key     []keyItem
	Table   table
	Open    bool // the table stands open under the picture
}

// keyItem says what a colour or hatching means.
type keyItem struct{ Class, Text string }

// table is the figures behind a picture.
type table struct {
	Caption string
	Head    []string
	Align   string // one letter a column: l or r
	Rows    [][]said
}

// cell is a table cell without an interval.
func cell(s string) said { return said{Strong: s} }

// cells makes a row of plain cells.
func cells(texts ...string) []said {
	row := make([]said, len(texts))
	for i, t := range texts {
		row[i] = cell(t)
	}
	return row
}

// Right reports whether column i holds numbers.
func (t table) Right(i int) bool { return i < len(t.Align) && t.Align[i] == 'r' }

// wideWidth and narrowWidth are the px a drawing is made for: the text column of
// a desk and of a telephone.
const (
	wideWidth   = 980.0
	halfWidth   = 560.0
	narrowWidth = 340.0
)

// draw makes both drawings of a figure by one function of the width.
func (f *figure) draw(width float64, desc string, by func(w float64) *canvas) {
	f.Wide = by(width).svg("wide", f.Title, desc)
	f.Narrow = by(narrowWidth).svg("narrow", f.Title, desc)
}
