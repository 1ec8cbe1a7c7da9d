package simulate

import (
	"telltale/quantity"
	"telltale/record"
)

// Zero makes the trace of a counter on filtered air: what it shows for nothing.
func Zero(seed uint64, c Counter, seconds float64) *record.Trace {
	return RoomCheck(seed, Room{}, c, seconds)
}

// RoomCheck makes the trace of one counter on the room.
func RoomCheck(seed uint64, r Room, c Counter, seconds float64) *record.Trace {
	b := bench{seed: seed, room: r, ambientCounter: c,
		steps: []stretch{{to: seconds, line: record.Ambient, word: record.Ambient}}}
	return b.run()
}

// SideBySide makes the trace of two counters on the same room: the first in the
// ambient columns, the second in the inside ones.
func SideBySide(seed uint64, r Room, first, second Counter, seconds float64) *record.Trace {
	return both(seed, r, first, second, seconds, func(Size) float64 { return 1 })
}

// Clamp is a filter held without a face, air drawn through a part of it.
type Clamp struct {
	Mask Mask
	Area quantity.Area // of the part that is clamped
	Flow quantity.Flow // through that part
	Leak float64       // share of the flow past the clamp, 0-1
}

// Penetration is the truth of a clamp for particles of a size's response and
// pass: that of the medium at the same face velocity, and the clamp's own leak.
func (c Clamp) Penetration(s Size) float64 {
	whole := c.Flow * quantity.Flow(c.Mask.area()/c.Area)
	return c.Mask.Through(whole, s.Response)*(1-c.Leak) + c.Leak*s.Pass
}

// Holder makes the trace of a clamped filter: upstream in the ambient columns,
// downstream in the inside ones. One counter switched is the same counter twice.
func Holder(seed uint64, r Room, c Clamp, up, down Counter, seconds float64) *record.Trace {
	return both(seed, r, up, down, seconds, c.Penetration)
}

func both(seed uint64, r Room, first, second Counter, seconds float64, through func(Size) float64) *record.Trace {
	bins := r.bins()
	b := bench{seed: seed, room: r, ambientCounter: first, insideCounter: second,
		steps: []stretch{{to: seconds, line: record.Both, word: record.Both}}}
	b.inside = func(_, _, room float64, out []float64) {
		for i, s := range bins {
			out[i] = room * s.Share * through(s)
		}
	}
	return b.run()
}
