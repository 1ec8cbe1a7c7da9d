package record

import (
	"time"

	"telltale/quantity"
)

// Air says which air a counter was sampling during a row.
type Air uint8

// The airs a line can be on.
const (
	NoAir   Air = iota // not stated or neither
	Ambient            // the room
	Inside             // the space inside the mask (or downstream of a clamped filter)
	Purge              // neither: the line is being rinsed, never used
	Both               // two counters at once
)

// String gives the word a trace file uses.
func (a Air) String() string {
	return [...]string{"", "ambient", "inside", "purge", "both"}[a]
}

// Reading says what the numbers of a trace's air columns are.
type Reading uint8

// The two readings a counter can give.
const (
	Concentrations Reading = iota // particles per cm3
	RawCounts                     // particles counted in the row's volume
)

// Trace is one recorded series, as it was read: rows in file order, nothing
// corrected, nothing trimmed. The air columns hold NaN where nothing was read; a
// switched line fills one of the two columns per row.
type Trace struct {
	Name   string // the file as the study names it
	SHA256 string // of the file's bytes, lower-case hex
	Bytes  int64
	Parts  []Part // the room's and the mask's file of a joined trace; nil for one file

	Notes   []Note   // "# key: value" lines before the heading, in order
	Remarks []Remark // what the reader tolerated, each with its code

	Start    time.Time // instant of the first row, zero if the file has only seconds
	Reading  Reading
	Switched bool // one counter with a switched line

	TimeS     []float64 // start of each row's interval in seconds after the first row
	Sampling  []Air     // per row
	Ambient   []float64 // per cm3 or counts, see Reading; NaN = missing
	Inside    []float64 // per cm3 or counts, see Reading; NaN = missing
	VolumeCM3 []float64 // sampled volume per row; nil unless Reading is RawCounts

	Overload []Overload // readings beyond the counter's range, in row order
	Channels []Channel  // size channels, in file order

	Labels   []string // exercise labels as written, in order of first use
	Exercise []int32  // index into Labels per row, -1 = none; nil without the column

	FlowLMin   []float64 // breathing flow per row; nil without the column
	PressurePa []float64 // mask pressure per row; nil without the column
	RowNotes   []RowNote // non-empty cells of the note column
}

// Rows is the number of rows.
func (t *Trace) Rows() int { return len(t.TimeS) }

// Note is one "# key: value" line before the heading.
type Note struct{ Key, Value string }

// Remark is something the reader tolerated or changed, told so that a person can
// object.
type Remark struct {
	Code string // as in docs/formats.md
	Line int    // 1-based, 0 when it concerns the whole file
	Text string
}

// RowNote is the text of the note column in one row.
type RowNote struct {
	Row  int
	Text string
}

// Overload is one reading that the counter gave as beyond its range; the column
// holds NaN there.
type Overload struct {
	Row  int
	Air  Air // Ambient or Inside
	Word string
	// Channel is 0 for the air's own column, else the number of the size channel,
	// from 1, in whose column the reading stood.
	Channel int
}

// Channel is one size channel of a trace. High is 0 for a cumulative channel
// (all sizes above Low).
type Channel struct {
	Low, High quantity.Diameter
	Ambient   []float64 // per cm3, NaN = missing; nil without the column
	Inside    []float64 // per cm3, NaN = missing; nil without the column
}
