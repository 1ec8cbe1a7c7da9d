package studyfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
)

// object is a set of keys of study.yaml, such as one wearing.
type object struct {
	r      *reader
	who    string // for messages: "wearing r1-1", or "wearings, item 3" without a usable id
	node   node
	values map[string]node
	broken bool // not a set of keys at all; already told
}

// item reads the i-th item of a list as an object, named by its id if it has one.
func (r *reader) item(n node, i int, noun string, known ...string) object {
	who := fmt.Sprintf("%ss, item %d", noun, i+1)
	if n.Kind == yaml.MappingNode {
		for k := 0; k+1 < len(n.Content); k += 2 {
			if n.Content[k].Value == "id" && goodID(n.Content[k+1].Value) {
				who = noun + " " + n.Content[k+1].Value
				break
			}
		}
	}
	return r.object(n, who, known...)
}

// object reads a set of keys, each known and there once.
func (r *reader) object(n node, who string, known ...string) object {
	o := object{r: r, who: who, node: n, values: map[string]node{}}
	if n.Kind != yaml.MappingNode {
		o.broken = true
		r.add("E213", n, fmt.Sprintf("%s is %s, not a set of keys", who, kindOf(n)), "Write it as key: value pairs; keys: "+strings.Join(known, ", ")+".")
		return o
	}
	lines := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		first, twice := lines[k.Value]
		switch {
		case k.Kind != yaml.ScalarNode:
			r.add("E210", k, fmt.Sprintf("%s: a key is %s, not a word", who, kindOf(k)), "Keys: "+strings.Join(known, ", ")+".")
		case twice:
			r.add("E207", k, fmt.Sprintf("%s: the key %s stands twice, first in line %d", who, quote(k.Value), first), "Keep one of them.")
		case !slices.Contains(known, k.Value):
			r.add("E210", k, fmt.Sprintf("%s: the key %s is not known", who, quote(k.Value)), unknownKey(k.Value, known))
			lines[k.Value] = k.Line
		default:
			lines[k.Value], o.values[k.Value] = k.Line, n.Content[i+1]
		}
	}
	return o
}

var digits = regexp.MustCompile(`^[0-9]+$`)

// unknownKey says what to do. A bare number as a key is the tail of a decimal
// that was written with a comma.
func unknownKey(key string, known []string) string {
	if digits.MatchString(key) {
		return "A decimal is written with a point, such as 1.67."
	}
	return fault.DidYouMean(key, known)
}

// value gives what stands at a key. A key with nothing after it counts as left
// out.
func (o object) value(key string) (node, bool) {
	n, ok := o.values[key]
	if !ok || n.Kind == yaml.ScalarNode && n.Tag == "!!null" {
		return nil, false
	}
	return n, true
}

// need tells which of the keys are missing.
func (o object) need(keys ...string) {
	if o.broken {
		return
	}
	for _, key := range keys {
		if n, ok := o.value(key); !ok || n.Kind == yaml.ScalarNode && n.Value == "" {
			at := o.node
			if empty := o.values[key]; empty != nil {
				at = empty
			}
			o.r.add("E208", at, fmt.Sprintf("%s: %s is missing", o.who, key), needed[key])
		}
	}
}

// needed says what a missing key is for.
var needed = map[string]string{
	"id":         "Give it a short id, such as r1; other parts of the study call it by that.",
	"respirator": "Write the id of a respirator of this study.",
	"wearer":     "Write the id of a wearer of this study.",
	"counter":    "Write the id of a counter of this study, or {ambient: id, inside: id} for a wearing with two.",
	"counters":   "Write the ids of the two counters, the one called ambient first: [c1, c2].",
	"trace":      "Write the path of its trace, such as traces/r1-1.csv.",
	"kind":       "Write what was looked at: zero, room, reference or side_by_side.",
	"wearing":    "Write the id of the wearing of the reference respirator.",
	"flow_l_min": "Write the flow through the clamped filter in l/min, such as 30.",
	"area_cm2":   "Write the area the air passes through in cm2, such as 160.",
	"low":        "Write the lowest usual fit factor, such as 190.",
	"high":       "Write the highest usual fit factor, such as 360.",
	"ambient":    "Write the one of the room.",
	"inside":     "Write the one of the mask.",
}

// list gives the items at a key, none when it is left out.
func (o object) list(key string) []node {
	n, ok := o.value(key)
	if !ok {
		return nil
	}
	if n.Kind != yaml.SequenceNode {
		o.r.add("E213", n, fmt.Sprintf("%s: %s is %s, not a list", o.who, key, kindOf(n)), "Write it as [one, two], or one item a line, each beginning with a dash.")
		return nil
	}
	return n.Content
}

// register holds the ids of one noun in the order they were given.
type register struct {
	order []string
	line  map[string]int
}

// newID reads the object's id and notes it in the noun's register.
func (o object) newID(noun string) string {
	o.need("id")
	n, ok := o.value("id")
	if !ok {
		return ""
	}
	id, ok := o.r.id(n, o.who, "id")
	if !ok {
		return ""
	}
	reg := o.r.ids[noun]
	if reg == nil {
		reg = &register{line: map[string]int{}}
		o.r.ids[noun] = reg
	}
	if first, twice := reg.line[id]; twice {
		o.r.add("E220", n, fmt.Sprintf("the %s id %s stands twice, first in line %d", noun, quote(id), first), "Give each "+noun+" an id of its own.")
		return id
	}
	reg.order = append(reg.order, id)
	reg.line[id] = n.Line
	return id
}

// ref reads the id of a noun that the study must hold.
func (o object) ref(key, noun string) string {
	n, ok := o.value(key)
	if !ok {
		return ""
	}
	return o.r.ref(n, o.who, key, noun)
}

func (r *reader) ref(n node, who, key, noun string) string {
	id, ok := r.id(n, who, key)
	if !ok {
		return ""
	}
	var known []string
	if reg := r.ids[noun]; reg != nil {
		if reg.line[id] > 0 {
			return id
		}
		known = reg.order
	}
	do := fmt.Sprintf("List it under %ss.", noun)
	if len(r.faults) < fault.Most {
		do = unknownID(id, noun, known)
	}
	r.add("E221", n, fmt.Sprintf("%s: the study has no %s %s", who, noun, quote(id)), do)
	return id
}

const listed = 12 // ids that a message lists at most

func unknownID(id, noun string, known []string) string {
	if _, near := fault.Nearest(id, known); near || len(known) > 0 && len(known) <= listed {
		return fault.DidYouMean(id, known)
	}
	return fmt.Sprintf("List it under %ss.", noun)
}
