package studyfile

import (
	"fmt"
	"strings"

	"telltale/quantity"
	"telltale/record"
)

var checkKinds = []string{string(record.Zero), string(record.Room), string(record.ReferenceRun), string(record.SideBySide)}

func (r *reader) check(n node, i int) record.Check {
	o := r.object(n, fmt.Sprintf("checks, item %d", i+1), "kind", "counter", "counters", "at", "wearing", "trace", "layout")
	o.need("kind")
	c := record.Check{Kind: record.CheckKind(o.word("kind", "", checkKinds...)), At: o.time("at"), Counters: o.counters()}
	if c.Kind == record.ReferenceRun {
		o.referenceRun(&c)
		return c
	}
	if c.Kind != "" {
		o.need("trace")
		o.refuse(string(c.Kind), "wearing")
	}
	o.counterCount(c)
	c.Layout.Path = o.paper("layout", func(p record.Paper) { r.study.Checks[i].Layout = p })
	o.trace(traceUse{who: o.who, check: string(c.Kind) + " " + strings.Join(c.Counters, " "), own: c.Layout.Path, counters: c.Counters,
		set: func(t *record.Trace) { r.study.Checks[i].Trace = t }})
	return c
}

// counters reads counter: c1, counter: {ambient: c1, inside: c2} or
// counters: [c1, c2].
func (o object) counters() []string {
	if n, both := o.value("counters"); both {
		if _, one := o.value("counter"); one {
			o.r.add("E226", n, o.who+": counter and counters stand side by side", "Keep one of them.")
		}
		var ids []string
		for _, item := range o.list("counters") {
			ids = append(ids, o.r.ref(item, o.who, "counters", "counter"))
		}
		return ids
	}
	if _, one := o.value("counter"); one {
		return counters(o.counterPair())
	}
	return nil
}

// counterCount asks for one counter at a zero, two different ones side by side,
// and one or two in the room.
func (o object) counterCount(c record.Check) {
	n, listed := o.value("counters")
	if !listed {
		n = o.node
	}
	two := len(c.Counters) == 2 && (c.Counters[0] != c.Counters[1] || c.Counters[0] == "")
	switch {
	case o.broken || c.Kind == "":
	case c.Kind == record.SideBySide && len(c.Counters) == 0:
		o.need("counters")
	case len(c.Counters) == 0:
		o.need("counter")
	case c.Kind == record.SideBySide && !two:
		o.r.add("E226", n, o.who+": side_by_side needs two different counters", needed["counters"])
	case c.Kind == record.Zero && len(c.Counters) != 1:
		o.r.add("E226", n, o.who+": a zero check has one counter", "Write a check of its own for each counter: counter: c1.")
	case c.Kind == record.Room && len(c.Counters) > 1 && !two:
		o.r.add("E226", n, o.who+": a room check has one counter, or two different ones", needed["counters"])
	}
}

// referenceRun reads a check whose trace is that of a wearing. What it leaves
// out is taken from that wearing.
func (o object) referenceRun(c *record.Check) {
	o.need("wearing")
	o.refuse("reference", "trace", "layout")
	c.Wearing = o.ref("wearing", "wearing")
	w, ok := o.r.study.Wearing(c.Wearing)
	if !ok || c.Wearing == "" {
		return
	}
	own := counters(w.Ambient, w.Inside)
	if p, ok := o.r.study.Respirator(w.Respirator); ok && p.Role != record.Reference {
		n, _ := o.value("wearing")
		o.r.add("E226", n, fmt.Sprintf("%s: wearing %s is of respirator %s, whose role is test", o.who, w.ID, p.ID),
			"Name a wearing of a respirator with role: reference.")
	}
	for _, id := range c.Counters {
		if id != "" && id != w.Ambient && id != w.Inside {
			o.r.add("E226", o.node, fmt.Sprintf("%s: counter %s was not used in wearing %s", o.who, id, w.ID), "Leave the counter out: it is that of the wearing.")
		}
	}
	if c.Counters == nil {
		c.Counters = own
	}
	if c.At.IsZero() {
		c.At = w.At
	}
}

// refuse tells of keys that this kind of check does not have.
func (o object) refuse(kind string, keys ...string) {
	for _, key := range keys {
		if n, ok := o.value(key); ok {
			do := "Take it out; only a reference check names a wearing."
			if kind == "reference" {
				do = "Take it out: it is that of the wearing."
			}
			o.r.add("E226", n, fmt.Sprintf("%s: a %s check has no %s", o.who, kind, key), do)
		}
	}
}

func (r *reader) holder(n node, i int) record.Holder {
	o := r.item(n, i, "holder", "id", "respirator", "specimen", "area_cm2", "flow_l_min", "counter", "at", "trace", "layout")
	h := record.Holder{
		ID:         o.newID("holder"),
		Respirator: o.ref("respirator", "respirator"),
		Specimen:   o.label("specimen"),
		Area:       quantity.Area(o.number("area_cm2", areaSpan)),
		Flow:       quantity.LitresPerMinute(o.number("flow_l_min", pumpSpan)),
		Counter:    o.ref("counter", "counter"),
		At:         o.time("at"),
	}
	o.need("respirator", "area_cm2", "flow_l_min", "counter", "trace")
	h.Layout.Path = o.paper("layout", func(p record.Paper) { r.study.Holders[i].Layout = p })
	o.trace(traceUse{who: o.who, own: h.Layout.Path, counters: []string{h.Counter},
		set: func(t *record.Trace) { r.study.Holders[i].Trace = t }})
	return h
}
