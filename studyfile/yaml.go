package studyfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
)

type node = *yaml.Node

// root parses the text as one plain YAML document; nil after a fault.
func (r *reader) root(text []byte) node {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	r.lines = strings.Split(string(text), "\n")
	if f := notText(text); f != nil {
		r.faults = append(r.faults, f)
		return nil
	}
	dec := yaml.NewDecoder(bytes.NewReader(text))
	var doc, second yaml.Node
	switch err := dec.Decode(&doc); {
	case errors.Is(err, io.EOF):
		r.faults = append(r.faults, &fault.Fault{Code: "E203", What: "the file is empty", File: Name, Do: "Begin it with the line: format: " + Format})
		return nil
	case err != nil:
		r.faults = append(r.faults, r.syntax(err))
		return nil
	}
	switch err := dec.Decode(&second); {
	case err == nil:
		r.add("E204", &second, "a second YAML document begins here", "A study is one document: take the line --- out.")
		return nil
	case !errors.Is(err, io.EOF):
		r.faults = append(r.faults, r.syntax(err))
		return nil
	}
	r.plain(&doc)
	if len(r.faults) > 0 || len(doc.Content) == 0 {
		return nil
	}
	return doc.Content[0]
}

// notText finds the first byte that a UTF-8 text cannot hold.
func notText(text []byte) *fault.Fault {
	line, start := 1, 0
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRune(text[i:])
		if c == 0 || c == utf8.RuneError && size == 1 {
			return &fault.Fault{Code: "E203", What: "the file is not UTF-8 text", File: Name, Line: line, Col: i - start + 1,
				Do: "Save it as UTF-8 in a plain text editor."}
		}
		i += size
		if c == '\n' {
			line, start = line+1, i
		}
	}
	return nil
}

var yamlLine = regexp.MustCompile(`^yaml: line (\d+): `)

// countedFromZero are the errors whose line the YAML library counts from 0; the
// others it counts from 1. A line is that where the thing in trouble begins.
var countedFromZero = regexp.MustCompile(`^did not find expected (<|node content|key|'-' indicator|',' or)`)

// syntax words an error of the YAML parser. A tab that indents is the usual
// cause and is looked for first, since the parser's own words do not name it.
func (r *reader) syntax(err error) *fault.Fault {
	for i, line := range r.lines {
		indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
		if at := strings.IndexByte(indent, '\t'); at >= 0 && len(indent) < len(strings.TrimRight(line, "\r")) {
			return &fault.Fault{Code: "E204", What: "a tab indents this line", File: Name, Line: i + 1, Col: at + 1, Do: "Indent with spaces.", Err: err}
		}
	}
	if m := unknownAnchor.FindStringSubmatch(err.Error()); m != nil {
		return &fault.Fault{Code: "E205", What: "the alias *" + m[1] + " is not read", File: Name, Line: r.lineWith("*" + m[1]), Do: aliasHelp, Err: err}
	}
	f := &fault.Fault{Code: "E204", File: Name, Do: "Look at what begins in this line, and at the line above: indent with spaces, put a space after each colon, close quotes and brackets.", Err: err}
	f.What = strings.TrimPrefix(err.Error(), "yaml: ")
	if m := yamlLine.FindStringSubmatch(err.Error()); m != nil {
		f.Line, _ = strconv.Atoi(m[1])
		f.What = strings.TrimPrefix(err.Error(), m[0])
		if countedFromZero.MatchString(f.What) {
			f.Line++
		}
	}
	f.What = "not YAML: " + f.What
	return f
}

var unknownAnchor = regexp.MustCompile(`unknown anchor '(.*)' referenced`)

const aliasHelp = "Write the values out, or put a text that begins with * in quotes."

// lineWith gives the first line that holds s, 0 when none does.
func (r *reader) lineWith(s string) int {
	return 1 + slices.IndexFunc(r.lines, func(line string) bool { return strings.Contains(line, s) })
}

// plain refuses what makes a text mean something other than what stands there:
// anchors, aliases and tags.
func (r *reader) plain(n node) {
	switch {
	case n.Kind == yaml.AliasNode:
		r.add("E205", n, "the alias *"+n.Value+" is not read", aliasHelp)
	case n.Anchor != "":
		r.add("E205", n, "the anchor &"+n.Anchor+" is not read", "Write the values out, or put a text that begins with & in quotes.")
	case n.Style&yaml.TaggedStyle != 0:
		r.add("E205", n, "the tag "+n.Tag+" is not read", "Take it out, or put a text that begins with ! in quotes.")
	}
	for _, c := range n.Content {
		r.plain(c)
	}
}

// add notes a fault at a node of study.yaml.
func (r *reader) add(code string, n node, what, do string) {
	r.faults = append(r.faults, r.at(n, &fault.Fault{Code: code, What: what, Do: do}))
}

// longLine is the length in bytes from which a place in a line is not counted.
const longLine = 4096

// at puts the place of n into f. The parser counts characters, a Fault bytes.
func (r *reader) at(n node, f *fault.Fault) *fault.Fault {
	f.File, f.Line, f.Col = Name, n.Line, n.Column
	if n.Line < 1 || n.Line > len(r.lines) {
		return f
	}
	if f.Col = 0; len(r.lines[n.Line-1]) >= longLine {
		return f
	}
	line := []rune(r.lines[n.Line-1])
	f.Col = 1 + len(string(line[:max(0, min(n.Column-1, len(line)))]))
	return f
}

// kindOf words what stands at a node.
func kindOf(n node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a set of keys"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Tag == "!!null":
		return "nothing"
	case n.Tag == "!!int" || n.Tag == "!!float":
		return "a number"
	}
	return "a text"
}

// quote shows a text of the file in a message, shortened and in one line.
func quote(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60]) + "..."
	}
	return fmt.Sprintf("%q", s)
}
