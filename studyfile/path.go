package studyfile

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"telltale/record"
)

// path reads the path of a file of the folder, "" when it is left out or bad.
func (r *reader) path(n node, who, key string) string {
	s, ok := r.text(n, who, key)
	if !ok || s == "" {
		return ""
	}
	if why, do := outside(s); why != "" {
		r.add("E230", n, fmt.Sprintf("%s: %s %s %s", who, key, quote(s), why), do)
		return ""
	}
	return s
}

func (o object) path(key string) string {
	n, ok := o.value(key)
	if !ok {
		return ""
	}
	return o.r.path(n, o.who, key)
}

const maxPath = 255 // bytes

const pathHelp = "Put the file into the study folder and write its path from there, such as traces/r1-1.csv."

// outside says why a path may not be used: it leaves the folder, or it does not
// mean the same file on every system.
func outside(s string) (why, do string) {
	switch {
	case len(s) > maxPath:
		return fmt.Sprintf("is longer than %d bytes", maxPath), "Give the file a shorter name."
	case strings.Contains(s, `\`):
		return "holds a backslash", "Write / between folder and file."
	case strings.HasPrefix(s, "/"):
		return "begins at the root of the machine", pathHelp
	case strings.Contains(s, ":"):
		return "holds a colon, as drives and addresses do", pathHelp
	case slices.Contains(strings.Split(s, "/"), ".."):
		return "leaves the study folder", pathHelp
	case !fs.ValidPath(s) || s == ".":
		return "is not a plain path", "Write it as " + quote(strings.TrimPrefix(path.Clean(s), "./")) + "."
	case s == Name:
		return "is the study itself", pathHelp
	}
	for _, part := range strings.Split(s, "/") {
		if device(part) {
			return "names a device on some systems", "Give the file another name."
		}
		if strings.ContainsAny(part, "\n\t") || strings.TrimSpace(part) != part || strings.HasSuffix(part, ".") {
			return "holds a name that some systems cut short", "Take spaces and points off the ends of its names."
		}
	}
	return "", ""
}

// device reports whether some systems take the name for a device, whatever
// follows its first point.
func device(name string) bool {
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	switch base {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(base) == 4 && (strings.HasPrefix(base, "com") || strings.HasPrefix(base, "lpt")) && base[3] >= '0' && base[3] <= '9'
}

// paperUse is a small file that the study keeps whole.
type paperUse struct {
	path, what string
	node       node
	set        func(record.Paper)
}

// paper notes the file at a key and gives its path, "" when there is none.
func (o object) paper(key string, set func(record.Paper)) string {
	p := o.path(key)
	if p != "" {
		o.r.paperUses = append(o.r.paperUses, paperUse{path: p, what: o.who + ": " + key, node: o.values[key], set: set})
	}
	return p
}

// traceUse is a trace that the study names: one file, or two to be joined.
type traceUse struct {
	who      string
	check    string   // kind and counters of a check, "" for wearings and holders
	own      string   // path of its own layout, "" = that of its counter
	counters []string // ambient first

	node                  node
	one                   string // a single file
	ambient, mask         string // or two
	ambientNode, maskNode node
	set                   func(*record.Trace)
}

// trace notes the trace of an object.
func (o object) trace(use traceUse) {
	n, ok := o.value("trace")
	if !ok {
		return
	}
	use.node = n
	if n.Kind != yaml.MappingNode {
		if use.one = o.r.path(n, o.who, "trace"); use.one != "" {
			o.r.traceUses = append(o.r.traceUses, use)
		}
		return
	}
	pair := o.r.object(n, o.who+", trace", "ambient", "inside")
	pair.need("ambient", "inside")
	if len(use.counters) != 2 {
		o.r.add("E226", n, o.who+": two trace files, but not two counters", "Write trace: path for one counter, or name the counter of each file.")
	}
	use.ambientNode, use.maskNode = pair.values["ambient"], pair.values["inside"]
	use.ambient, use.mask = pair.path("ambient"), pair.path("inside")
	if use.ambient != "" && use.mask != "" && len(use.counters) == 2 {
		o.r.traceUses = append(o.r.traceUses, use)
	}
}
