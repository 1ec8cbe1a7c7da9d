package marks

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
	"telltale/record"
)

// MostBytes is the size of a marks file that is still read.
const MostBytes = 32 << 20

var placeKeys = []string{"facepiece", "strap", "pouch", "box", "leaflet", "certificate", "listing"}

var fileKeys = append(slices.Clone(placeKeys), "attachment", "valve", "made", "bought", "first_sold", "codes", "registers", "machine_read")

var registerKeys = []string{"register", "number", "state", "holder", "date", "valid_until", "screenshot"}

var (
	attachmentWords = []string{"ear_loops", "head_straps", "other"}
	stateWords      = []string{string(record.Matched), string(record.OtherHolder), string(record.NoSuchNumber), string(record.Revoked), string(record.NotLookedUp)}
)

var label = regexp.MustCompile(`(?i)^(facepiece|strap|pouch|box|leaflet|certificate|listing)[ \t]*:[ \t]*`)

// ReadFile reads a marks file: YAML with the keys told in docs/formats.md, or
// plain text. A name that ends in .yaml, .yml or .json is YAML, and unknown keys,
// wrong words and bad dates are refused with their line. Anything else is plain
// text: lines that begin with a place and a colon ("facepiece: ...") start that
// place's text, and lines before any of them are the text of the box. A plain
// text that is a faultless marks file is read as one.
func ReadFile(name string, data []byte) (record.Marks, error) {
	if len(data) > MostBytes {
		return record.Marks{}, &fault.Fault{Code: "E324", What: fmt.Sprintf("the file has %d bytes, more than printed words fill", len(data)), File: name, Do: "Give the printed words alone."}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if isYAML(name) {
		return readYAML(name, text)
	}
	if first, _, _ := strings.Cut(strings.TrimSpace(text), ":"); slices.Contains(fileKeys, first) {
		if m, err := readYAML(name, text); err == nil {
			return m, nil
		}
	}
	return readText(text), nil
}

func isYAML(name string) bool {
	switch strings.ToLower(path.Ext(strings.ReplaceAll(name, `\`, "/"))) {
	case ".yaml", ".yml", ".json":
		return true
	}
	return false
}

// readText files labelled lines under their places, the others under the box.
func readText(text string) record.Marks {
	parts := map[string]*strings.Builder{}
	where := "box"
	for line := range strings.Lines(text) {
		if m := label.FindStringSubmatch(line); m != nil {
			where, line = strings.ToLower(m[1]), line[len(m[0]):]
		}
		if parts[where] == nil {
			parts[where] = &strings.Builder{}
		}
		parts[where].WriteString(line)
	}
	var m record.Marks
	for where, b := range parts {
		if s := strings.TrimRight(b.String(), "\r\n"); strings.TrimSpace(s) != "" {
			*m.At(where) = s
		}
	}
	return m
}

// yamlReader collects the faults of one file.
type yamlReader struct {
	file   string
	faults fault.List
}

func readYAML(name, text string) (record.Marks, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		return record.Marks{}, syntaxFault(name, err)
	}
	if len(doc.Content) == 0 {
		return record.Marks{}, nil // nothing stated: not enough to examine
	}
	r := &yamlReader{file: name}
	var m record.Marks
	r.mapping(doc.Content[0], fileKeys, func(key string, v *yaml.Node) { r.field(&m, key, v) })
	if err := r.faults.Or(); err != nil {
		return record.Marks{}, err
	}
	return m, nil
}

var yamlLine = regexp.MustCompile(`line (\d+): (.*)`)

func syntaxFault(name string, err error) error {
	f := &fault.Fault{Code: "E322", What: strings.TrimPrefix(err.Error(), "yaml: "), File: name, Err: err,
		Do: "A text with a colon in it needs quotation marks, or a | and its lines below."}
	if m := yamlLine.FindStringSubmatch(f.What); m != nil {
		fmt.Sscan(m[1], &f.Line)
		f.What = m[2]
	}
	return f
}

func (r *yamlReader) bad(n *yaml.Node, code, do, format string, args ...any) {
	r.faults = append(r.faults, &fault.Fault{Code: code, What: fmt.Sprintf(format, args...), File: r.file, Line: n.Line, Col: n.Column, Do: do})
}

// mapping walks the keys of a mapping and refuses unknown ones and repeats.
func (r *yamlReader) mapping(n *yaml.Node, known []string, field func(string, *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		r.bad(n, "E322", "Known: "+strings.Join(known, ", ")+".", "keys with values are needed here")
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		switch {
		case !slices.Contains(known, key.Value):
			r.bad(key, "E320", fault.DidYouMean(key.Value, known), "unknown key %q", key.Value)
		case seen[key.Value]:
			r.bad(key, "E320", "Write it once.", "key %q stands twice", key.Value)
		default:
			seen[key.Value] = true
			field(key.Value, n.Content[i+1])
		}
	}
}

func (r *yamlReader) field(m *record.Marks, key string, v *yaml.Node) {
	switch key {
	case "attachment":
		m.Attachment = r.oneOf(v, attachmentWords)
	case "valve":
		m.Valve = r.yesNo(v)
	case "made":
		m.Made, m.MadeLast = r.days(v)
	case "bought":
		m.Bought, m.BoughtLast = r.days(v)
	case "first_sold":
		m.FirstSold, m.FirstSoldLast = r.days(v)
	case "codes":
		for _, item := range r.list(v) {
			m.Codes = append(m.Codes, r.text(item))
		}
	case "registers":
		for _, item := range r.list(v) {
			m.Registers = append(m.Registers, r.register(item))
		}
	case "machine_read":
		for _, item := range r.list(v) {
			m.MachineRead = append(m.MachineRead, r.oneOf(item, placeKeys))
		}
	case "certificate":
		if v.Kind == yaml.SequenceNode { // several papers, all kept
			var papers []string
			for _, item := range v.Content {
				papers = append(papers, r.text(item))
			}
			m.Certificate = strings.Join(papers, "\n\n")
			return
		}
		m.Certificate = r.text(v)
	default:
		*m.At(key) = r.text(v)
	}
}

func (r *yamlReader) register(n *yaml.Node) record.RegisterEntry {
	var e record.RegisterEntry
	stated := false
	r.mapping(n, registerKeys, func(key string, v *yaml.Node) {
		switch key {
		case "register":
			e.Register = r.text(v)
		case "number":
			e.Number = r.text(v)
		case "holder":
			e.Holder = r.text(v)
		case "state":
			stated = true
			e.State = record.RegisterState(r.oneOf(v, stateWords))
		case "date":
			e.Date = r.day(v)
		case "valid_until":
			e.ValidUntil = r.day(v)
		case "screenshot":
			e.Screenshot = r.text(v)
		}
	})
	if n.Kind == yaml.MappingNode && !stated {
		r.bad(n, "E321", "Known: "+strings.Join(stateWords, ", ")+".", "a look-up needs its state")
	}
	return e
}

func (r *yamlReader) list(n *yaml.Node) []*yaml.Node {
	switch {
	case n.Kind == yaml.SequenceNode:
		return n.Content
	case n.Tag == "!!null":
		return nil
	}
	r.bad(n, "E321", "Begin each item with a hyphen, or write [a, b].", "a list is needed here")
	return nil
}

func (r *yamlReader) text(n *yaml.Node) string {
	if n.Kind != yaml.ScalarNode {
		r.bad(n, "E321", "Write the words as printed, in quotation marks.", "a text is needed here")
		return ""
	}
	if n.Tag == "!!null" {
		return ""
	}
	return n.Value
}

func (r *yamlReader) oneOf(n *yaml.Node, words []string) string {
	text := r.text(n)
	if text != "" && !slices.Contains(words, text) {
		r.bad(n, "E321", fault.DidYouMean(text, words), "%q is not a word known here", text)
		return ""
	}
	return text
}

func (r *yamlReader) yesNo(n *yaml.Node) *bool {
	switch strings.ToLower(r.text(n)) {
	case "":
		return nil
	case "true", "yes":
		yes := true
		return &yes
	case "false", "no":
		return new(bool)
	}
	r.bad(n, "E321", "Write true or false.", "%q is neither true nor false", n.Value)
	return nil
}

// days reads 2024-03-01, or a month or a year alone with the last day of it.
func (r *yamlReader) days(n *yaml.Node) (first, last time.Time) {
	text := r.text(n)
	if t, err := time.Parse("2006-01", text); err == nil {
		return t, t.AddDate(0, 1, -1)
	}
	if t, err := time.Parse("2006", text); err == nil {
		return t, t.AddDate(1, 0, -1)
	}
	return r.day(n), time.Time{}
}

// day reads 2024-03-01.
func (r *yamlReader) day(n *yaml.Node) time.Time {
	text := r.text(n)
	if text == "" {
		return time.Time{}
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		r.bad(n, "E321", "Write the day as 2024-03-01.", "%q is no day", text)
	}
	return t
}
