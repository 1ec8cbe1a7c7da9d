package tracefile

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"telltale/record"
)

// maxListed is how many gaps and stretches a Report lists; it counts all.
const maxListed = 1000

// Report is what a look at one trace shows. Times are seconds after the first
// row; a figure that does not exist is null.
type Report struct {
	Name   string   `json:"name"`
	SHA256 string   `json:"sha256"`
	Bytes  int64    `json:"bytes"`
	Forms  []string `json:"forms"` // which forms of a trace its columns make
	Start  string   `json:"start,omitempty"`

	Rows            int      `json:"rows"`
	SpanS           float64  `json:"span_s"`        // from the first row to the last
	MedianStepS     *float64 `json:"median_step_s"` // null for one row
	RatePerS        *float64 `json:"rate_per_s"`    // rows a second, by their number
	CoveragePercent float64  `json:"coverage_percent"`
	GapCount        int      `json:"gap_count"`
	Gaps            []Gap    `json:"gaps"`
	Repeated        Repeated `json:"repeated_rows"`

	Columns   []Column  `json:"columns"`
	Exercises []Stretch `json:"exercises"` // in the order in which they were done
	Sampling  []Stretch `json:"sampling"`

	Notes   []Note   `json:"notes"`
	Remarks []Remark `json:"remarks"`
}

// Note is a record.Note in a Report.
type Note struct {
	Key   string `json:"key"`
	Value string `json:"value"`
}

// Remark is a record.Remark in a Report.
type Remark struct {
	Code string `json:"code"`
	Line int    `json:"line"`
	Text string `json:"text"`
}

// Gap is a step of more than three periods.
type Gap struct {
	Row     int     `json:"row"`      // after this row, 1-based
	FromS   float64 `json:"from_s"`   // start of that row
	LengthS float64 `json:"length_s"` // until the next row
}

// Repeated counts rows that say exactly what the row before said: a counter that
// is read more often than it measures. Such rows are not independent.
type Repeated struct {
	Count int     `json:"count"`
	Share float64 `json:"share"` // of all rows
}

// Stretch is a run of rows with one label.
type Stretch struct {
	Label   string  `json:"label"`
	Row     int     `json:"row"` // the first, 1-based
	FromS   float64 `json:"from_s"`
	Rows    int     `json:"rows"`
	Seconds float64 `json:"seconds"` // the last row of a trace counts as long as the median step
}

// Inspect looks a trace over and judges nothing: what is in it, how evenly it
// was recorded, and where its readings are bounds.
func Inspect(t *record.Trace) Report {
	r := Report{Name: t.Name, SHA256: t.SHA256, Bytes: t.Bytes, Forms: formsOf(t), Rows: t.Rows(),
		Gaps: []Gap{}, Columns: []Column{}, Exercises: []Stretch{}, Sampling: []Stretch{}, Notes: []Note{}, Remarks: []Remark{}}
	for _, n := range t.Notes {
		r.Notes = append(r.Notes, Note(n))
	}
	for _, m := range t.Remarks {
		r.Remarks = append(r.Remarks, Remark(m))
	}
	if !t.Start.IsZero() {
		r.Start = t.Start.Format(time.RFC3339Nano)
	}
	if t.Rows() == 0 {
		return r
	}
	step := r.pace(t)
	r.Repeated = repeated(t)
	r.Columns = append(r.Columns, columnReports(t)...)
	if t.Exercise != nil {
		r.Exercises = stretches(t, step, func(row int) string {
			if i := t.Exercise[row]; i >= 0 {
				return t.Labels[i]
			}
			return ""
		})
	}
	if t.Switched {
		r.Sampling = stretches(t, step, func(row int) string { return t.Sampling[row].String() })
	}
	return r
}

// formsOf names the forms of docs/formats.md that the columns of t make.
func formsOf(t *record.Trace) []string {
	forms := []string{}
	ambient, inside := hasMain(t, record.Ambient), hasMain(t, record.Inside)
	switch {
	case t.Switched:
		forms = append(forms, "switched line")
	case ambient && inside:
		forms = append(forms, "two counters")
	case ambient:
		forms = append(forms, "ambient alone")
	case inside:
		forms = append(forms, "inside alone")
	}
	if t.Reading == record.RawCounts {
		forms = append(forms, "raw counts")
	}
	if len(t.Channels) > 0 {
		forms = append(forms, "size channels")
	}
	return forms
}

// pace fills in what the times alone show, and gives the period: the median
// step, or the mean one where most rows have the time of the row before.
func (r *Report) pace(t *record.Trace) (period float64) {
	n := t.Rows()
	r.CoveragePercent = 100
	if n < 2 {
		return 0
	}
	r.SpanS = t.TimeS[n-1] - t.TimeS[0]
	steps := make([]float64, n-1)
	for i := range steps {
		steps[i] = t.TimeS[i+1] - t.TimeS[i]
	}
	period = median(slices.Clone(steps))
	r.MedianStepS = finite(period)
	r.RatePerS = finite(float64(n-1) / r.SpanS)
	if period == 0 {
		period = r.SpanS / float64(n-1)
	}
	lost := 0.0
	for i, s := range steps {
		// A step of exactly three periods may come out a hair above by rounding.
		if s > 3*period*(1+1e-9) {
			r.GapCount++
			lost += s - period
			if len(r.Gaps) < maxListed {
				r.Gaps = append(r.Gaps, Gap{Row: i + 1, FromS: t.TimeS[i], LengthS: s})
			}
		}
	}
	if r.SpanS > 0 {
		r.CoveragePercent = 100 * (1 - lost/(r.SpanS+period))
	}
	return period
}

// median sorts values and gives their median; NaN for none.
func median(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	if n%2 == 1 {
		return values[n/2]
	}
	return (values[n/2-1] + values[n/2]) / 2
}

// finite gives nil for what JSON cannot hold.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// repeated counts the rows whose readings are all those of the row before. A row
// in which nothing was read repeats nothing.
func repeated(t *record.Trace) (r Repeated) {
	words := overloads(t)
	views := viewsOf(t)
	for row := 1; row < t.Rows(); row++ {
		same, something := true, false
		for _, v := range views {
			a, b := v.values[row-1], v.values[row]
			if math.IsNaN(a) && math.IsNaN(b) {
				over := words[place{row, v.air, v.channel}]
				something = something || over != ""
				same = same && over == words[place{row - 1, v.air, v.channel}]
				continue
			}
			something = true
			same = same && a == b
		}
		if same && something {
			r.Count++
		}
	}
	r.Share = float64(r.Count) / float64(t.Rows())
	return r
}

// stretches cuts the rows where their label changes; rows without one end a
// stretch and make none.
func stretches(t *record.Trace, period float64, label func(row int) string) []Stretch {
	out := []Stretch{}
	before := ""
	for row := range t.Rows() {
		now := label(row)
		if now != before && now != "" {
			if len(out) == maxListed {
				return out
			}
			out = append(out, Stretch{Label: now, Row: row + 1, FromS: t.TimeS[row]})
		}
		if now != "" {
			last := &out[len(out)-1]
			last.Rows++
			end := t.TimeS[row] + period
			if row+1 < t.Rows() {
				end = t.TimeS[row+1]
			}
			last.Seconds = end - last.FromS
		}
		before = now
	}
	return out
}

// linearTo is the reading, per cm3, up to which the counter's answer is said to
// be straight: the note linear_to_per_cm3, or no limit.
func linearTo(t *record.Trace) float64 {
	for _, n := range t.Notes {
		if strings.EqualFold(n.Key, "linear_to_per_cm3") {
			if v, err := strconv.ParseFloat(n.Value, 64); err == nil && v > 0 {
				return v
			}
		}
	}
	return math.Inf(1)
}
