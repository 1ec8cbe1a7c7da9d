package marks

import (
	"strings"
	"time"
	"unicode"

	"go.yaml.in/yaml/v3"

	"telltale/record"
)

// Format writes a marks file that ReadFile reads back as the same marks, but for
// bytes that are no UTF-8. head are lines of comment above it. Every place stands
// in it, so that a person sees where words can be typed.
func Format(m record.Marks, head ...string) []byte {
	w := &yamlWriter{}
	for _, where := range placeKeys {
		w.text(where, *m.At(where))
	}
	if m.Attachment != "" {
		w.text("attachment", m.Attachment)
	}
	if m.Valve != nil {
		w.put("valve", plainNode(map[bool]string{true: "true", false: "false"}[*m.Valve]))
	}
	w.days("made", m.Made, m.MadeLast)
	w.days("bought", m.Bought, m.BoughtLast)
	w.days("first_sold", m.FirstSold, m.FirstSoldLast)
	if len(m.Codes) > 0 {
		w.put("codes", listNode(m.Codes))
	}
	if len(m.Registers) > 0 {
		all := &yaml.Node{Kind: yaml.SequenceNode}
		for _, e := range m.Registers {
			all.Content = append(all.Content, registerNode(e))
		}
		w.put("registers", all)
	}
	if len(m.MachineRead) > 0 {
		w.put("machine_read", listNode(m.MachineRead))
	}
	body, err := yaml.Marshal(&yaml.Node{Kind: yaml.MappingNode, Content: w.content})
	if err != nil {
		panic("marks: " + err.Error()) // nodes made here can always be written
	}
	var b strings.Builder
	for _, line := range head {
		b.WriteString("# " + commentLine(line) + "\n")
	}
	return append([]byte(b.String()), body...)
}

// commentLine keeps a comment on its line.
func commentLine(s string) string {
	return strings.ToValidUTF8(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || r == '\ufeff' {
			return ' '
		}
		return r
	}, s), "\ufffd")
}

// yamlWriter collects keys and values in order.
type yamlWriter struct{ content []*yaml.Node }

func (w *yamlWriter) put(key string, v *yaml.Node) {
	w.content = append(w.content, plainNode(key), v)
}

func (w *yamlWriter) text(key, s string) { w.put(key, textNode(s)) }

// days writes a day, or the month or year that is known.
func (w *yamlWriter) days(key string, first, last time.Time) {
	form := time.DateOnly
	switch {
	case first.IsZero():
		return
	case last.IsZero():
	case last.Equal(first.AddDate(1, 0, -1)):
		form = "2006"
	case last.Equal(first.AddDate(0, 1, -1)):
		form = "2006-01"
	}
	w.put(key, plainNode(first.Format(form)))
}

func plainNode(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: s} }

// textNode writes words: lines as lines where that keeps every letter, else in
// quotation marks with escapes.
func textNode(s string) *yaml.Node {
	s = strings.ToValidUTF8(s, "\ufffd")
	n := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s, Style: yaml.DoubleQuotedStyle}
	if strings.Contains(strings.TrimRight(s, "\n"), "\n") && !strings.ContainsFunc(s, func(r rune) bool {
		return r != '\n' && !unicode.IsPrint(r)
	}) && s[0] != ' ' && s[0] != '\n' {
		n.Style = yaml.LiteralStyle
	}
	return n
}

func listNode(all []string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, s := range all {
		n.Content = append(n.Content, textNode(s))
	}
	return n
}

func registerNode(e record.RegisterEntry) *yaml.Node {
	w := &yamlWriter{}
	for _, f := range []struct{ key, text string }{{"register", e.Register}, {"number", e.Number}, {"state", string(e.State)}, {"holder", e.Holder}} {
		if f.text != "" {
			w.text(f.key, f.text)
		}
	}
	w.days("date", e.Date, time.Time{})
	w.days("valid_until", e.ValidUntil, time.Time{})
	if e.Screenshot != "" {
		w.text("screenshot", e.Screenshot)
	}
	return &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: w.content}
}
