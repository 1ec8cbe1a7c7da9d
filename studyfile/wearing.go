package studyfile

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
	"telltale/record"
	"telltale/reference"
)

// DefaultProtocol is that of a wearing that names none: the whole trace.
const DefaultProtocol = "free"

func (r *reader) wearing(n node, i int) record.Wearing {
	o := r.item(n, i, "wearing", "id", "respirator", "specimen", "wearer", "counter", "at", "donning", "repairs",
		"protocol", "trace", "layout", "observed", "excluded")
	w := record.Wearing{
		ID:         o.newID("wearing"),
		Respirator: o.ref("respirator", "respirator"),
		Specimen:   o.label("specimen"),
		Wearer:     o.ref("wearer", "wearer"),
		At:         o.time("at"),
		Donning:    o.label("donning"),
		Repairs:    o.repairs(),
		Protocol:   o.protocol(),
		Observed:   o.observed(),
		Excluded:   o.text("excluded"),
	}
	o.need("respirator", "wearer", "counter", "trace")
	w.Ambient, w.Inside = o.counterPair()
	if w.Donning == "" {
		w.Donning = w.ID
	}
	w.Layout.Path = o.paper("layout", func(p record.Paper) { r.study.Wearings[i].Layout = p })
	o.trace(traceUse{who: o.who, own: w.Layout.Path, counters: counters(w.Ambient, w.Inside),
		set: func(t *record.Trace) { r.study.Wearings[i].Trace = t }})
	return w
}

// counters lists the one or two counters of a pair.
func counters(ambient, inside string) []string {
	if ambient == inside {
		return []string{ambient}
	}
	return []string{ambient, inside}
}

// counterPair reads counter: c1 or counter: {ambient: c1, inside: c2}.
func (o object) counterPair() (ambient, inside string) {
	n, ok := o.value("counter")
	if !ok || n.Kind == yaml.ScalarNode && n.Value == "" {
		return "", ""
	}
	switch n.Kind {
	case yaml.ScalarNode:
		id := o.ref("counter", "counter")
		return id, id
	case yaml.SequenceNode:
		o.r.add("E213", n, o.who+": counter is a list", "Write counter: c1, or for two counter: {ambient: c1, inside: c2}.")
		return "", ""
	}
	pair := o.r.object(n, o.who+", counter", "ambient", "inside")
	pair.need("ambient", "inside")
	return pair.ref("ambient", "counter"), pair.ref("inside", "counter")
}

func (o object) protocol() string {
	n, ok := o.value("protocol")
	if !ok {
		return DefaultProtocol
	}
	id, ok := o.r.scalar(n, o.who, "protocol")
	if !ok {
		return DefaultProtocol
	}
	if _, err := reference.ProtocolByID(id); err != nil {
		f := &fault.Fault{}
		if !errors.As(err, &f) {
			panic("studyfile: reference answers without a fault: " + err.Error())
		}
		o.r.add(f.Code, n, o.who+": "+f.What, f.Do)
	}
	return id
}

// observed reads notes; a number is a measurement and has no place here.
func (o object) observed() []string {
	var out []string
	for _, n := range o.list("observed") {
		if n.Tag == "!!int" || n.Tag == "!!float" || n.Tag == "!!null" {
			o.r.add("E213", n, fmt.Sprintf("%s: observed holds %s, not words", o.who, kindOf(n)), "Write what was seen, such as collapse_on_inhalation.")
			continue
		}
		if s, ok := o.r.text(n, o.who, "observed"); ok {
			out = append(out, s)
		}
	}
	return out
}

// zones are the parts of the seal a repair can name.
var zones = []string{"nose", "cheeks", "chin", "all"}

const repairHelp = "Write it as word or word:zone, such as nose_strip or tape:nose."

// repairs reads the list of changes to the mask. A repair stands once; a zone
// says nothing beside the same repair all round.
func (o object) repairs() []record.Repair {
	var out []record.Repair
	for _, n := range o.list("repairs") {
		rep, ok := o.repair(n)
		if !ok {
			continue
		}
		clash := slices.IndexFunc(out, func(p record.Repair) bool {
			return p.Word == rep.Word && (p.Zone == rep.Zone || wide(p.Zone) || wide(rep.Zone))
		})
		switch {
		case clash < 0:
			out = append(out, rep)
		case out[clash].Zone == rep.Zone:
			o.r.add("E225", n, fmt.Sprintf("%s: the repair %s stands twice", o.who, rep), "Name it once.")
		default:
			o.r.add("E225", n, fmt.Sprintf("%s: the repairs %s and %s overlap", o.who, out[clash], rep), "Name "+rep.Word+" with its zones, or once for all round.")
		}
	}
	return out
}

// wide reports whether a zone is the whole seal, in words or by silence.
func wide(zone string) bool { return zone == "" || zone == "all" }

func (o object) repair(n node) (record.Repair, bool) {
	if n.Kind == yaml.MappingNode {
		o.r.add("E213", n, fmt.Sprintf("%s: a repair is a set of keys, not a word", o.who), "Leave no space after the colon: tape:nose.")
		return record.Repair{}, false
	}
	s, ok := o.r.scalar(n, o.who, "repairs")
	if !ok {
		return record.Repair{}, false
	}
	word, zone, zoned := strings.Cut(s, ":")
	switch {
	case !repairWord(word):
		o.r.add("E223", n, fmt.Sprintf("%s: %s is not a repair", o.who, quote(s)), repairHelp+" A word has small letters, digits, _ and -.")
		return record.Repair{}, false
	case zoned && !slices.Contains(zones, zone):
		o.r.add("E224", n, fmt.Sprintf("%s: the zone %s of repair %s is not known", o.who, quote(zone), quote(s)), fault.DidYouMean(zone, zones))
		return record.Repair{}, false
	}
	return record.Repair{Word: word, Zone: zone}, true
}

// repairWord asks for small letters, since Tape and tape would count as two
// repairs.
func repairWord(s string) bool {
	for i, c := range s {
		letter := unicode.IsLetter(c) && !unicode.IsUpper(c) || unicode.IsMark(c)
		if !letter && (i == 0 || !unicode.IsDigit(c) && c != '_' && c != '-') {
			return false
		}
	}
	return s != "" && len(s) <= 4*maxID
}

// donnings tells of wearings that share a donning though they cannot: without
// taking it off, it is the same specimen on the same face.
func (r *reader) donnings(items []node) {
	first := map[string]int{}
	for i, w := range r.study.Wearings {
		if w.Donning == "" {
			continue
		}
		k, shared := first[w.Donning]
		if !shared {
			first[w.Donning] = i
			continue
		}
		other := r.study.Wearings[k]
		for _, d := range []struct{ what, is, was string }{
			{"respirator", w.Respirator, other.Respirator}, {"specimen", w.Specimen, other.Specimen}, {"wearer", w.Wearer, other.Wearer},
		} {
			if d.is != d.was {
				r.add("E222", items[i], fmt.Sprintf("wearing %s shares the donning %s with wearing %s, but not its %s: %s and %s",
					w.ID, w.Donning, other.ID, d.what, quote(d.is), quote(d.was)),
					"Wearings of one donning were not taken off in between: give this one a donning of its own, or mend the "+d.what+".")
			}
		}
	}
}
