package studyfile

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"telltale/fault"
	"telltale/quantity"
	"telltale/record"
)

// Write gives study.yaml in its one canonical form, followed by the marks files
// and layouts of the study by path. The traces are the caller's to write, under
// their names. Reading what was written gives the same study back, for all that
// Read itself would take; what it would not take comes back as a fault.List with
// the places of the text that was not written. A flow of a holder that no number
// of litres per minute gives exactly is written as the nearest.
func Write(s *record.Study) ([]File, error) {
	text := canonical(s)
	r, err := parseText(text)
	if err != nil {
		return nil, err
	}
	papers := map[string]record.Paper{}
	for _, p := range papersOf(s) {
		if old, twice := papers[p.Path]; twice && !bytes.Equal(old.Data, p.Data) {
			r.faults = append(r.faults, &fault.Fault{Code: unreadable, What: fmt.Sprintf("two different files are both called %q", p.Path), Do: "Give one of them another name."})
		}
		papers[p.Path] = p
	}
	if err := r.result(); err != nil {
		return nil, err
	}
	out := []File{{Path: Name, SHA256: digest(text), Bytes: int64(len(text)), Data: text}}
	for _, p := range papers {
		out = append(out, File{Path: p.Path, SHA256: digest(p.Data), Bytes: int64(len(p.Data)), Data: p.Data})
	}
	slices.SortFunc(out[1:], func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return out, nil
}

// papersOf lists the papers of a study that are stated and held.
func papersOf(s *record.Study) []record.Paper {
	var all []record.Paper
	for _, c := range s.Counters {
		all = append(all, c.Layout)
	}
	for _, p := range s.Respirators {
		all = append(all, p.MarksPaper)
	}
	for _, w := range s.Wearings {
		all = append(all, w.Layout)
	}
	for _, c := range s.Checks {
		all = append(all, c.Layout)
	}
	for _, h := range s.Holders {
		all = append(all, h.Layout)
	}
	return slices.DeleteFunc(all, func(p record.Paper) bool { return !p.Stated() })
}

// canonical words the study: sections and keys in the order of docs/formats.md,
// an item a line, a wearing a block.
func canonical(s *record.Study) []byte {
	var b strings.Builder
	b.WriteString("format: " + Format + "\n")
	if s.Title != "" {
		b.WriteString("title: " + scalarText(s.Title) + "\n")
	}
	section(&b, "wearers", s.Wearers, wearerLine)
	section(&b, "counters", s.Counters, counterLine)
	section(&b, "respirators", s.Respirators, respiratorLine)
	section(&b, "wearings", s.Wearings, wearingBlock)
	section(&b, "checks", s.Checks, checkLine)
	section(&b, "holders", s.Holders, holderLine)
	return []byte(b.String())
}

func section[T any](b *strings.Builder, key string, all []T, item func(T) string) {
	if len(all) == 0 {
		return
	}
	b.WriteString(key + ":\n")
	for _, v := range all {
		b.WriteString("  - " + item(v) + "\n")
	}
}

// pairs are the keys of one item in order.
type pairs []string

// put adds a key unless its value, already worded, is empty.
func (p *pairs) put(key, value string) {
	if value != "" {
		*p = append(*p, key+": "+value)
	}
}

func (p pairs) flow() string  { return "{" + strings.Join(p, ", ") + "}" }
func (p pairs) block() string { return strings.Join(p, "\n    ") }

func wearerLine(w record.Wearer) string {
	var p pairs
	p.put("id", optional(w.ID))
	p.put("face_length_mm", numberText(float64(w.FaceLength)))
	p.put("face_width_mm", numberText(float64(w.FaceWidth)))
	p.put("facial_hair", optional(w.FacialHair))
	return p.flow()
}

func counterLine(c record.Counter) string {
	var p pairs
	p.put("id", optional(c.ID))
	p.put("kind", optional(string(c.Kind)))
	p.put("flow_cm3_s", numberText(float64(c.Flow)))
	p.put("dead_time_s", numberText(float64(c.DeadTime)))
	p.put("smallest_um", numberText(float64(c.Smallest)))
	p.put("top_per_cm3", numberText(float64(c.Top)))
	p.put("transit_s", numberText(float64(c.Transit)))
	p.put("washout_s", numberText(float64(c.Washout)))
	p.put("layout", optional(c.Layout.Path))
	return p.flow()
}

func respiratorLine(r record.Respirator) string {
	var p pairs
	p.put("id", optional(r.ID))
	p.put("name", optional(r.Name))
	p.put("claim", optional(r.Claim))
	p.put("role", optional(string(r.Role)))
	p.put("obtained", optional(r.Obtained))
	p.put("marks", optional(r.Marks))
	if r.Expected != (record.Range{}) {
		p.put("expected_fit_factor", pairs{"low: " + plain(r.Expected.Low), "high: " + plain(r.Expected.High)}.flow())
	}
	return p.flow()
}

func wearingBlock(w record.Wearing) string {
	var p pairs
	p.put("id", optional(w.ID))
	p.put("respirator", optional(w.Respirator))
	p.put("specimen", optional(w.Specimen))
	p.put("wearer", optional(w.Wearer))
	if w.Ambient == w.Inside {
		p.put("counter", optional(w.Ambient))
	} else {
		p.put("counter", pairs{"ambient: " + scalarText(w.Ambient), "inside: " + scalarText(w.Inside)}.flow())
	}
	p.put("at", timeText(w.At))
	if w.Donning != w.ID {
		p.put("donning", optional(w.Donning))
	}
	var repairs []string
	for _, r := range w.Repairs {
		repairs = append(repairs, r.String())
	}
	p.put("repairs", listText(repairs))
	p.put("protocol", optional(w.Protocol))
	p.put("trace", tracePath(w.Trace))
	p.put("layout", optional(w.Layout.Path))
	p.put("observed", listText(w.Observed))
	p.put("excluded", optional(w.Excluded))
	return p.block()
}

func checkLine(c record.Check) string {
	var p pairs
	p.put("kind", optional(string(c.Kind)))
	if len(c.Counters) == 1 {
		p.put("counter", scalarText(c.Counters[0]))
	} else {
		p.put("counters", listText(c.Counters))
	}
	p.put("at", timeText(c.At))
	p.put("wearing", optional(c.Wearing))
	p.put("trace", tracePath(c.Trace))
	p.put("layout", optional(c.Layout.Path))
	return p.flow()
}

func holderLine(h record.Holder) string {
	var p pairs
	p.put("id", optional(h.ID))
	p.put("respirator", optional(h.Respirator))
	p.put("specimen", optional(h.Specimen))
	p.put("area_cm2", numberText(float64(h.Area)))
	p.put("flow_l_min", litresText(h.Flow))
	p.put("counter", optional(h.Counter))
	p.put("at", timeText(h.At))
	p.put("trace", tracePath(h.Trace))
	p.put("layout", optional(h.Layout.Path))
	return p.flow()
}

// tracePath names the file of a trace, or its two.
func tracePath(t *record.Trace) string {
	switch {
	case t == nil:
		return ""
	case len(t.Parts) == 2:
		return pairs{"ambient: " + scalarText(t.Parts[0].Path), "inside: " + scalarText(t.Parts[1].Path)}.flow()
	}
	return optional(t.Name)
}

func optional(s string) string {
	if s == "" {
		return ""
	}
	return scalarText(s)
}

func listText(all []string) string {
	if len(all) == 0 {
		return ""
	}
	var words []string
	for _, s := range all {
		words = append(words, scalarText(s))
	}
	return "[" + strings.Join(words, ", ") + "]"
}

// numberText leaves a zero out: it means not known, or none.
func numberText(v float64) string {
	if v == 0 {
		return ""
	}
	return plain(v)
}

func plain(v float64) string {
	if !quantity.Finite(v) {
		return scalarText(fmt.Sprint(v))
	}
	return shortest(v)
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339Nano)
}

// litresText finds the shortest number of litres per minute that reads back as
// f. The conversion rounds, so a few neighbours are tried too.
func litresText(f quantity.Flow) string {
	v := f.LitresPerMinute()
	for digits := 1; digits <= 17; digits++ {
		short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
		if err == nil && quantity.LitresPerMinute(short) == f {
			return numberText(short)
		}
	}
	for _, near := range []float64{math.Nextafter(v, 0), math.Nextafter(v, math.Inf(1))} {
		if quantity.LitresPerMinute(near) == f {
			return numberText(near)
		}
	}
	return numberText(v)
}

// A text stands bare only where every reader of YAML takes it for that text.
var (
	bare    = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_./+:-]*( [A-Za-z0-9(][A-Za-z0-9_./+()-]*)*$`)
	notBare = regexp.MustCompile(`(?i)^(null|true|false|yes|no|on|off|y|n)$|:$|: `)
)

func scalarText(s string) string {
	if bare.MatchString(s) && !notBare.MatchString(s) {
		return s
	}
	if !utf8.ValidString(s) {
		return `"` + s + `"` // for parseText to refuse
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteString(`\` + string(c))
		case c == '\n':
			b.WriteString(`\n`)
		case c == '\t':
			b.WriteString(`\t`)
		case c > 0xFFFF && !unicode.IsPrint(c):
			fmt.Fprintf(&b, `\U%08X`, c)
		case !unicode.IsPrint(c):
			fmt.Fprintf(&b, `\u%04X`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}
