package simulate

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"telltale/record"
)

// studyYAML writes study.yaml (format telltale-study/1, docs/formats.md). Every
// text is quoted, so no word of a scenario can be taken for something else.
func studyYAML(s *record.Study) []byte {
	y := &sheet{}
	y.line("format: telltale-study/1")
	y.line("title: " + strconv.Quote(s.Title))
	y.list("wearers", len(s.Wearers), func(i int) { wearer(y, s.Wearers[i]) })
	y.list("counters", len(s.Counters), func(i int) { counter(y, s.Counters[i]) })
	y.list("respirators", len(s.Respirators), func(i int) { respirator(y, s.Respirators[i]) })
	y.list("wearings", len(s.Wearings), func(i int) { wearing(y, s.Wearings[i]) })
	y.list("checks", len(s.Checks), func(i int) { check(y, s.Checks[i]) })
	y.list("holders", len(s.Holders), func(i int) { holder(y, s.Holders[i]) })
	return y.b.Bytes()
}

// sheet is a YAML text of lists of mappings.
type sheet struct {
	b     bytes.Buffer
	first bool // the next key starts a list item
}

func (y *sheet) line(s string) { y.b.WriteString(s + "\n") }

func (y *sheet) list(key string, n int, item func(i int)) {
	if n == 0 {
		return
	}
	y.line(key + ":")
	for i := range n {
		y.first = true
		item(i)
	}
}

// raw writes a key with a value that needs no quotes; an empty one is left out.
func (y *sheet) raw(key, value string) {
	if value == "" {
		return
	}
	lead := "    "
	if y.first {
		lead, y.first = "  - ", false
	}
	y.line(lead + key + ": " + value)
}

func (y *sheet) text(key, value string) {
	if value != "" {
		y.raw(key, strconv.Quote(value))
	}
}

func (y *sheet) number(key string, v float64) {
	if v != 0 {
		y.raw(key, figure(v))
	}
}

// figure writes a number as YAML 1.2 reads it: 4e-7, never 4e-07, nor 1e+06.
func figure(v float64) string {
	if v >= 1e-4 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	s := strconv.FormatFloat(v, 'e', -1, 64)
	mantissa, exponent, _ := strings.Cut(s, "e-")
	if !strings.Contains(mantissa, ".") {
		mantissa += ".0" // YAML 1.1 readers want the point
	}
	return mantissa + "e-" + strings.TrimLeft(exponent, "0")
}

func (y *sheet) time(key string, t time.Time) {
	if !t.IsZero() {
		y.raw(key, t.Format(time.RFC3339))
	}
}

func (y *sheet) texts(key string, all []string) {
	if len(all) == 0 {
		return
	}
	var quoted []string
	for _, s := range all {
		quoted = append(quoted, strconv.Quote(s))
	}
	y.raw(key, "["+strings.Join(quoted, ", ")+"]")
}

func wearer(y *sheet, w record.Wearer) {
	y.text("id", w.ID)
	y.number("face_length_mm", float64(w.FaceLength))
	y.number("face_width_mm", float64(w.FaceWidth))
	y.text("facial_hair", w.FacialHair)
}

func counter(y *sheet, c record.Counter) {
	y.text("id", c.ID)
	y.raw("kind", string(c.Kind))
	y.number("flow_cm3_s", float64(c.Flow))
	y.number("dead_time_s", float64(c.DeadTime))
	y.number("smallest_um", float64(c.Smallest))
	y.number("top_per_cm3", float64(c.Top))
	y.number("transit_s", float64(c.Transit))
	y.number("washout_s", float64(c.Washout))
}

func respirator(y *sheet, r record.Respirator) {
	y.text("id", r.ID)
	y.text("name", r.Name)
	y.text("claim", r.Claim)
	y.raw("role", string(r.Role))
	y.text("obtained", r.Obtained)
	y.text("marks", r.Marks)
	if r.Expected.Stated() {
		y.raw("expected_fit_factor", fmt.Sprintf("{low: %s, high: %s}", figure(r.Expected.Low), figure(r.Expected.High)))
	}
}

func wearing(y *sheet, w record.Wearing) {
	y.text("id", w.ID)
	y.text("respirator", w.Respirator)
	y.text("specimen", w.Specimen)
	y.text("wearer", w.Wearer)
	if w.Ambient == w.Inside {
		y.text("counter", w.Ambient)
	} else {
		y.raw("counter", fmt.Sprintf("{ambient: %q, inside: %q}", w.Ambient, w.Inside))
	}
	y.time("at", w.At)
	if w.Donning != w.ID {
		y.text("donning", w.Donning)
	}
	var repairs []string
	for _, r := range w.Repairs {
		repairs = append(repairs, r.String())
	}
	y.texts("repairs", repairs)
	y.text("protocol", w.Protocol)
	y.text("trace", w.Trace.Name)
	y.texts("observed", w.Observed)
	y.text("excluded", w.Excluded)
}

func check(y *sheet, c record.Check) {
	y.raw("kind", string(c.Kind))
	switch {
	case c.Kind == record.SideBySide:
		y.texts("counters", c.Counters)
	case c.Kind != record.ReferenceRun:
		y.text("counter", c.Counters[0])
	}
	y.text("wearing", c.Wearing)
	y.time("at", c.At)
	if c.Trace != nil {
		y.text("trace", c.Trace.Name)
	}
}

func holder(y *sheet, h record.Holder) {
	y.text("id", h.ID)
	y.text("respirator", h.Respirator)
	y.text("specimen", h.Specimen)
	y.number("area_cm2", float64(h.Area))
	y.number("flow_l_min", h.Flow.LitresPerMinute())
	y.text("counter", h.Counter)
	y.time("at", h.At)
	y.text("trace", h.Trace.Name)
}
