package tracefile

import (
	"fmt"
	"io"
	"math"
	"strings"

	"go.yaml.in/yaml/v3"
	"telltale/fault"
	"telltale/record"
)

// maxLayout is the size of a layout file in bytes; a real one has a screen.
const maxLayout = 256 << 10

// layoutFormat is the first line of a layout.
const layoutFormat = "telltale-layout/1"

var layoutKeys = []string{"format", "separator", "decimal", "encoding", "skip_lines", "names", "columns", "ignore", "missing", "overload", "sampling", "notes"}

var columnKeys = []string{"to", "unit", "format", "tz", "full_scale"}

// layoutReader reads one layout file and gathers its faults.
type layoutReader struct {
	name   string
	faults fault.List
	layout *Layout
}

// ReadLayout reads a layout file called name from r. It is strict: a key that
// is not known, a word of the wrong kind or a unit that does not fit is a fault
// (E125) with its line.
func ReadLayout(name string, r io.Reader) (*Layout, error) {
	lr := &layoutReader{name: name, layout: &Layout{Name: name}}
	raw, err := io.ReadAll(io.LimitReader(r, maxLayout+1))
	if err != nil {
		return nil, asFault(name, 0, err)
	}
	if len(raw) > maxLayout {
		return nil, &fault.Fault{Code: "E120", File: name, What: fmt.Sprintf("the layout is over %d KiB", maxLayout>>10), Do: "Check that this is a layout file."}
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(raw, &doc); err != nil {
		return nil, &fault.Fault{Code: "E125", File: name, Line: yamlLine(err), What: "this is not YAML: " + strings.TrimPrefix(err.Error(), "yaml: "),
			Do: "Compare it with the example in docs/formats.md.", Err: err}
	}
	if len(doc.Content) == 0 || doc.Content[0].Kind != yaml.MappingNode {
		return nil, &fault.Fault{Code: "E125", File: name, Line: 1, What: "the layout is empty or not a list of keys",
			Do: "Begin it with format: " + layoutFormat + "."}
	}
	lr.top(doc.Content[0])
	if len(lr.faults) == 1 {
		return nil, lr.faults[0]
	}
	if err := lr.faults.Or(); err != nil {
		return nil, err
	}
	return lr.layout, nil
}

// yamlLine takes the line out of the message of the YAML reader.
func yamlLine(err error) int {
	var line int
	if _, rest, ok := strings.Cut(err.Error(), "line "); ok {
		fmt.Sscanf(rest, "%d", &line)
	}
	return max(line, 1)
}

func (lr *layoutReader) fault(n *yaml.Node, what, do string) {
	lr.faults = append(lr.faults, &fault.Fault{Code: "E125", File: lr.name, Line: max(n.Line, 1), Col: n.Column, What: what, Do: do})
}

// pairs gives the keys and values of a map, with a fault for a key that is not
// known (when known is given) or stands twice.
func (lr *layoutReader) pairs(n *yaml.Node, what string, known []string, each func(key, value *yaml.Node)) {
	if n.Kind != yaml.MappingNode {
		lr.fault(n, what+" is not a list of keys with values", "Write it as in the example in docs/formats.md.")
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case key.Kind != yaml.ScalarNode:
			lr.fault(key, "a key of "+what+" is not a word", "Put names with signs in quotes.")
		case seen[key.Value]:
			lr.fault(key, fmt.Sprintf("%s stands twice in %s", shown([]byte(key.Value)), what), "Leave one of them out.")
		case known != nil && !isIn(key.Value, known):
			lr.fault(key, fmt.Sprintf("%s is no key of %s", shown([]byte(key.Value)), what), fault.DidYouMean(key.Value, known))
		default:
			each(key, value)
		}
		seen[key.Value] = true
	}
}

func isIn(word string, words []string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}

func (lr *layoutReader) top(n *yaml.Node) {
	l := lr.layout
	format := ""
	lr.pairs(n, "the layout", layoutKeys, func(key, value *yaml.Node) {
		switch key.Value {
		case "format":
			format = lr.word(value, "format")
		case "separator":
			l.Separator = lr.separator(value)
		case "decimal":
			l.Decimal = lr.oneOf(value, "decimal", ".", ",")[0]
		case "encoding":
			l.Encoding = lr.oneOf(value, "encoding", "utf-8", "windows-1252")
		case "skip_lines":
			l.Skip = int(lr.number(value, "skip_lines", 10000))
		case "names":
			l.Names = lr.words(value, "names")
		case "columns":
			lr.pairs(value, "columns", nil, lr.column)
		case "ignore":
			l.Ignore = lr.words(value, "ignore")
		case "missing":
			l.Missing = lr.words(value, "missing")
		case "overload":
			l.Overload = lr.words(value, "overload")
		case "sampling":
			lr.sampling(value)
		case "notes":
			lr.pairs(value, "notes", nil, func(key, value *yaml.Node) {
				l.Notes = append(l.Notes, oneLine(key.Value, lr.word(value, "notes")))
			})
		}
	})
	if format != layoutFormat {
		lr.fault(n, "the format of the layout is not "+layoutFormat, "Begin the file with format: "+layoutFormat+".")
	}
	if l.Separator != 0 && l.Separator == l.Decimal {
		lr.fault(n, "separator and decimal are the same sign", "Say how the file tells its columns apart.")
	}
	lr.clashes(n)
}

// oneLine makes a note that can be written as one line.
func oneLine(key, value string) record.Note {
	return note("#" + strings.Join(strings.Fields(key), " ") + ": " + strings.Join(strings.Fields(value), " "))
}

// clashes finds columns that are mapped twice or to one target.
func (lr *layoutReader) clashes(n *yaml.Node) {
	to := map[string]string{}
	from := map[string]bool{}
	for _, c := range lr.layout.Columns {
		key, word := c.col.same(), strings.ToLower(strings.Trim(c.From, " \t"))
		if other, twice := to[key]; twice {
			lr.fault(n, fmt.Sprintf("the columns %q and %q are both mapped to %s", other, c.From, c.To), "Map one of them, and name the other under ignore.")
		}
		if from[word] {
			lr.fault(n, fmt.Sprintf("column %q stands twice, case and blanks aside", c.From), "Leave one of them out.")
		}
		to[key], from[word] = c.From, true
	}
	for _, w := range lr.layout.Ignore {
		if from[strings.ToLower(strings.Trim(w, " \t"))] {
			lr.fault(n, fmt.Sprintf("column %q is both mapped and ignored", w), "Decide for one.")
		}
	}
}

// column reads one entry of columns: a name of ours, or a map.
func (lr *layoutReader) column(key, value *yaml.Node) {
	c := LayoutColumn{From: key.Value}
	places := map[string]*yaml.Node{}
	if value.Kind == yaml.ScalarNode {
		c.To = lr.word(value, "columns")
	} else {
		lr.pairs(value, fmt.Sprintf("column %q", key.Value), columnKeys, func(k, v *yaml.Node) {
			places[k.Value] = v
			switch k.Value {
			case "to":
				c.To = lr.word(v, "to")
			case "unit":
				c.Unit = lr.word(v, "unit")
			case "format":
				c.Format = lr.word(v, "format")
			case "tz":
				c.TZ = lr.word(v, "tz")
			case "full_scale":
				c.FullScale = lr.number(v, "full_scale", math.MaxFloat64)
			}
		})
	}
	if where, err := c.settle(); err != nil {
		at := value
		if n := places[where]; n != nil {
			at = n
		}
		do := "Look at the units in docs/formats.md."
		switch where {
		case "to":
			do = fault.DidYouMean(c.To, known())
		case "unit":
			do = fault.DidYouMean(c.Unit, Units())
		}
		lr.fault(at, err.Error(), do)
		return
	}
	lr.layout.Columns = append(lr.layout.Columns, c)
}

func (lr *layoutReader) sampling(n *yaml.Node) {
	lr.layout.Sampling = map[string]record.Air{}
	lr.pairs(n, "sampling", nil, func(key, value *yaml.Node) {
		word := lr.oneOf(value, "sampling", airs...)
		air := map[string]record.Air{"ambient": record.Ambient, "inside": record.Inside, "purge": record.Purge}[word]
		lr.layout.Sampling[strings.ToLower(strings.Trim(key.Value, " \t"))] = air
	})
}

func (lr *layoutReader) separator(n *yaml.Node) byte {
	if w := lr.oneOf(n, "separator", ",", ";", "tab", "\t", "|"); w != "tab" {
		return w[0]
	}
	return '\t'
}

// oneOf reads a word that has to be one of the given ones; after a fault it
// gives the first.
func (lr *layoutReader) oneOf(n *yaml.Node, key string, words ...string) string {
	w := lr.word(n, key)
	if n.Kind == yaml.ScalarNode && !isIn(w, words) {
		lr.fault(n, fmt.Sprintf("%s is no value of %s", shown([]byte(w)), key), fault.DidYouMean(w, words))
	}
	if !isIn(w, words) {
		return words[0]
	}
	return w
}

// word reads a scalar as it is written.
func (lr *layoutReader) word(n *yaml.Node, key string) string {
	if n.Kind != yaml.ScalarNode {
		lr.fault(n, "the value of "+key+" is not a single word or number", "Write one value behind the colon.")
		return ""
	}
	return n.Value
}

func (lr *layoutReader) words(n *yaml.Node, key string) []string {
	if n.Kind != yaml.SequenceNode {
		lr.fault(n, "the value of "+key+" is not a list", "Write it as "+key+": [one, two].")
		return nil
	}
	out := make([]string, 0, len(n.Content))
	for _, item := range n.Content {
		out = append(out, lr.word(item, key))
	}
	return out
}

// number reads a plain number above or at 0 and at most limit.
func (lr *layoutReader) number(n *yaml.Node, key string, limit float64) float64 {
	text := lr.word(n, key)
	v, ok := parseNumber([]byte(text))
	if !ok || v.comma || v.value < 0 || v.value > limit {
		lr.fault(n, fmt.Sprintf("%s is no value of %s", shown([]byte(text)), key), "Write a plain number such as 65535.")
		return 0
	}
	return v.value
}
