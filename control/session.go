package control

import (
	"fmt"
	"math"

	"telltale/fitfactor"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// mostBackground is the share of what a mask at the limit would let in that the
// zero check may show.
const mostBackground = 0.1

// ReferenceGate is the name of the gate of the reference respirator.
const ReferenceGate = "reference respirator"

// Reference judges the reference respirator's wearings of a session against the
// usual range. Without a wearing or a range the gate is not examined, and neither
// pass nor fail may be said.
func Reference(wearings []uncertainty.Estimate, usual record.Range) Gate {
	const name = ReferenceGate
	if len(wearings) == 0 {
		return notExamined(name, "the reference respirator was not worn on this counter this day", Decision)
	}
	if !usual.Stated() {
		return notExamined(name, "the reference respirator was worn, but no usual range is stated for it", Decision)
	}
	var texts []string
	for _, e := range wearings {
		texts = append(texts, e.Words())
		if !within(e, usual) {
			return distrust(name, fmt.Sprintf("the reference respirator read %s, outside its usual range %s to %s", e.Words(),
				uncertainty.Number(usual.Low), uncertainty.Number(usual.High)))
		}
	}
	return inOrder(name, fmt.Sprintf("the reference respirator read %s (usual range %s to %s)", join(texts), uncertainty.Number(usual.Low), uncertainty.Number(usual.High)))
}

// within reports whether a figure agrees with a range. A value must lie in it; a
// bound must not lie beyond its far end.
func within(e uncertainty.Estimate, usual record.Range) bool {
	switch e.Kind {
	case uncertainty.Interval:
		return e.Value >= usual.Low && e.Value <= usual.High
	case uncertainty.AtLeast:
		return e.Low <= usual.High
	case uncertainty.AtMost:
		return e.High >= usual.Low
	}
	return false
}

func join(words []string) string {
	out := ""
	for i, w := range words {
		if i > 0 {
			out += ", "
		}
		out += w
	}
	return out
}

// Zero judges a counter's zero check: what it shows for filtered air, against what
// a mask at the limit would let in from this room. Without a zero check nothing
// can be said against a mask, since a background only lowers the figure.
func Zero(counter string, check *fitfactor.Background, room, limit float64) Gate {
	const name = "zero check"
	if check == nil {
		return notExamined(name, fmt.Sprintf("counter %s had no zero check this day: its background is still in the inside figure, which makes the fit factor read low", counter), Failing)
	}
	text := fmt.Sprintf("counter %s shows %s per cm3 for filtered air (at most %s)", counter, uncertainty.Number(check.PerCM3), uncertainty.Number(check.Upper))
	if limit <= 0 {
		limit = 100
	}
	if allowed := mostBackground * room / limit; !math.IsNaN(room) && check.Upper > allowed {
		return distrust(name, fmt.Sprintf("%s; more than %s, a tenth of what a mask with fit factor %s would let in here", text, uncertainty.Number(allowed), uncertainty.Number(limit)))
	}
	return inOrder(name, text)
}

// Room tells what a room check showed; it blocks nothing by itself.
func Room(counter string, perCM3, change float64) Gate {
	return inOrder("room check", fmt.Sprintf("counter %s showed %s particles per cm3 in the room, changing by %.0f %% over the check", counter,
		uncertainty.Number(perCM3), 100*change))
}

// Paired tells how two counters compare on the same air.
func Paired(p *fitfactor.Pairing) Gate {
	const name = "two counters"
	if p == nil {
		u := fitfactor.Unpaired()
		g := notExamined(name, "the two counters were not compared on the same air; the interval allows "+uncertainty.Number(100*u.U)+" % for it", Nothing)
		g.Source = reference.Source{Title: "Aerosol Science and Technology 38 (2004) 487", Section: "abstract: 63 % of handheld comparisons within 10 %", State: reference.Read}
		return g
	}
	text := fmt.Sprintf("the inside counter reads %s times the room's (standard uncertainty %s %%)", uncertainty.Number(p.Factor), uncertainty.Number(100*p.U))
	if p.Factor < 0.5 || p.Factor > 2 {
		return distrust(name, text+"; a factor of two between counters is too much to correct")
	}
	return inOrder(name, text)
}
