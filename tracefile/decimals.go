package tracefile

import (
	"fmt"
	"strings"
)

// decimals watches how a file writes its decimals, since 1,234 alone may be one
// thousand or one and a bit. A whole file decides: it may use the point, or the
// comma where at least one number shows that the comma is no sign between
// thousands.
type decimals struct {
	commaSaid bool // the layout says that the comma is the decimal sign
	pointSaid bool

	point, comma, clear, doubt seen
}

// seen is the first place of a way of writing.
type seen struct {
	line int
	text string
}

func (s *seen) at(line int, text []byte) {
	if s.line == 0 {
		s.line, s.text = line, string(text)
	}
}

func (d *decimals) allow(layout *Layout) {
	if layout != nil {
		d.commaSaid, d.pointSaid = layout.Decimal == ',', layout.Decimal == '.'
	}
}

func (d *decimals) see(n number, line int, text []byte) {
	switch {
	case n.point:
		if d.point.line == 0 {
			d.point.at(line, text)
		}
	case n.clear:
		d.comma.at(line, text)
		d.clear.at(line, text)
	default:
		d.comma.at(line, text)
		d.doubt.at(line, text)
	}
}

// judge makes the faults and the remark at the end of the file.
func (d *decimals) judge(rd *reader) {
	switch {
	case d.comma.line > 0 && d.point.line > 0, d.commaSaid && d.point.line > 0, d.pointSaid && d.comma.line > 0:
		rd.mixed(d)
	case d.comma.line == 0:
	case d.commaSaid || d.clear.line > 0:
		example := d.clear
		if example.line == 0 {
			example = d.comma
		}
		rd.remark(remarkSeparator, example.line, "decimal commas: %s is read as %s", example.text, strings.Replace(example.text, ",", ".", 1))
	default:
		rd.fault("E105", d.doubt.line, 0, fmt.Sprintf("cannot tell whether %s is one number with a thousands sign (%s) or with a decimal comma (%s)",
			d.doubt.text, strings.Replace(d.doubt.text, ",", "", 1), strings.Replace(d.doubt.text, ",", ".", 1)),
			"Write decimals with a point and thousands without a sign, or say in a layout: decimal: \",\".")
	}
}

func (rd *reader) mixed(d *decimals) {
	if d.comma.line == 0 || d.point.line == 0 {
		odd := d.comma
		if odd.line == 0 {
			odd = d.point
		}
		rd.fault("E106", odd.line, 0, fmt.Sprintf("%s in line %d does not have the decimal sign of the layout", odd.text, odd.line), "Correct the layout (decimal:) or the file.")
		return
	}
	rd.fault("E106", max(d.comma.line, d.point.line), 0, fmt.Sprintf("decimal commas and decimal points are mixed: %s in line %d, %s in line %d",
		d.comma.text, d.comma.line, d.point.text, d.point.line), "Use the decimal point in the whole file.")
}
