package studyfile

import (
	"fmt"

	"telltale/quantity"
	"telltale/record"
)

// The spans are wide: they catch a slip of the unit or the decimal point, not an
// unusual instrument or face.
var (
	faceSpan      = span{low: 50, high: 250, unit: "mm"}
	flowSpan      = span{low: 0.01, high: 5000, unit: "cm3/s"}
	deadTimeSpan  = span{low: 1e-10, high: 1e-2, unit: "s", zero: true}
	smallestSpan  = span{low: 0.001, high: 10, unit: "um"}
	topSpan       = span{low: 1, high: 1e8, unit: "particles per cm3"}
	lineSpan      = span{low: 1e-3, high: 600, unit: "s", zero: true}
	fitFactorSpan = span{low: 1, high: 1e7}
	areaSpan      = span{low: 0.1, high: 10000, unit: "cm2"}
	pumpSpan      = span{low: 0.01, high: 1000, unit: "l/min"}
)

func (r *reader) wearer(n node, i int) record.Wearer {
	o := r.item(n, i, "wearer", "id", "face_length_mm", "face_width_mm", "facial_hair")
	return record.Wearer{
		ID:         o.newID("wearer"),
		FaceLength: quantity.Length(o.number("face_length_mm", faceSpan)),
		FaceWidth:  quantity.Length(o.number("face_width_mm", faceSpan)),
		FacialHair: o.text("facial_hair"),
	}
}

func (r *reader) counter(n node, i int) record.Counter {
	o := r.item(n, i, "counter", "id", "kind", "flow_cm3_s", "dead_time_s", "smallest_um", "top_per_cm3", "transit_s", "washout_s", "layout")
	c := record.Counter{
		ID:       o.newID("counter"),
		Kind:     record.CounterKind(o.word("kind", "", string(record.Condensation), string(record.Optical))),
		Flow:     quantity.Flow(o.number("flow_cm3_s", flowSpan)),
		DeadTime: quantity.Seconds(o.number("dead_time_s", deadTimeSpan)),
		Smallest: quantity.Diameter(o.number("smallest_um", smallestSpan)),
		Top:      quantity.Concentration(o.number("top_per_cm3", topSpan)),
		Transit:  quantity.Seconds(o.number("transit_s", lineSpan)),
		Washout:  quantity.Seconds(o.number("washout_s", lineSpan)),
	}
	c.Layout.Path = o.paper("layout", func(p record.Paper) { r.study.Counters[i].Layout = p })
	return c
}

func (r *reader) respirator(n node, i int) record.Respirator {
	o := r.item(n, i, "respirator", "id", "name", "claim", "role", "obtained", "marks", "expected_fit_factor")
	p := record.Respirator{
		ID:       o.newID("respirator"),
		Name:     o.text("name"),
		Claim:    o.text("claim"),
		Role:     record.Role(o.word("role", string(record.Test), string(record.Test), string(record.Reference))),
		Obtained: o.text("obtained"),
		Expected: o.expected(),
	}
	p.Marks = o.paper("marks", func(p record.Paper) { r.study.Respirators[i].MarksPaper = p })
	if n, ok := o.value("expected_fit_factor"); ok && p.Role != record.Reference {
		r.add("E227", n, fmt.Sprintf("%s: expected_fit_factor stands at a respirator under test", o.who),
			"It belongs to the known good one: write role: reference, or take it out.")
	}
	return p
}

func (o object) expected() record.Range {
	n, ok := o.value("expected_fit_factor")
	if !ok {
		return record.Range{}
	}
	e := o.r.object(n, o.who+", expected_fit_factor", "low", "high")
	e.need("low", "high")
	span := record.Range{Low: e.number("low", fitFactorSpan), High: e.number("high", fitFactorSpan)}
	if span.Low > 0 && span.High > 0 && span.Low >= span.High {
		o.r.add("E228", n, fmt.Sprintf("%s: low %s is not below high %s", e.who, shortest(span.Low), shortest(span.High)), "Write the lower one as low.")
	}
	return span
}
