package tracefile

import (
	"math"

	"telltale/record"
)

// Column is what a look at one column of particles shows.
type Column struct {
	Name     string `json:"name"`
	Readings int    `json:"readings"`
	Missing  int    `json:"missing"` // rows in which this air was sampled and nothing read
	Zeros    int    `json:"zeros"`

	Min    *float64 `json:"min"`
	Median *float64 `json:"median"`
	Max    *float64 `json:"max"`

	LongestConstant Constant  `json:"longest_constant"`
	Saturated       Saturated `json:"saturated"`
	Drift           *Drift    `json:"drift"`            // over the whole trace; null when it cannot be told
	DecayAfterPeak  *Drift    `json:"decay_after_peak"` // null for a column without a peak
}

// Constant is the longest run of equal readings.
type Constant struct {
	Rows  int     `json:"rows"`
	Row   int     `json:"row"` // the first, 1-based
	Value float64 `json:"value"`
}

// Saturated counts the readings that are only bounds ("at least"), and why.
type Saturated struct {
	Rows    int      `json:"rows"`
	Words   int      `json:"words"`   // overload words, and full scale of a layout
	Plateau *float64 `json:"plateau"` // the level of equal readings (see record.Plateau)
}

// Drift is a straight line through the logarithm of the readings against time
// by least squares: C(t) = C0 exp(PerHour t). It uses readings above zero that
// are no bounds. A decay has its sign turned: PerHour is the loss.
type Drift struct {
	PerHour float64  `json:"per_hour"`
	Rows    int      `json:"rows"`  // readings used
	Below   *float64 `json:"below"` // only readings below this were used; null = all
}

// minDrift is how many readings a Drift needs at least.
const minDrift = 10

// DriftOf fits the Drift of readings at the times timeS in seconds, of which only
// those above zero and below the limit are used. ok is false with fewer than ten
// of them, or without any time between them.
func DriftOf(timeS, readings []float64, limit float64) (d Drift, ok bool) {
	var n, meanT, meanY, tt, ty float64
	for i, v := range readings {
		if !(v > 0 && v < limit) {
			continue
		}
		// Running means and products (Welford 1962, from memory): no large sums.
		n++
		hours, y := timeS[i]/3600, math.Log(v)
		dt := hours - meanT
		meanT += dt / n
		meanY += (y - meanY) / n
		tt += dt * (hours - meanT)
		ty += dt * (y - meanY)
	}
	d = Drift{PerHour: ty / tt, Rows: int(n), Below: finite(limit)}
	return d, n >= minDrift && tt > 0 && finite(d.PerHour) != nil
}

// view is one column of readings of a trace.
type view struct {
	name    string
	air     record.Air
	channel int
	values  []float64
}

// viewsOf are the columns of particles of t. A switched line has two, named by
// the air.
func viewsOf(t *record.Trace) []view {
	unit := [...]string{"_per_cm3", "_count"}[t.Reading]
	var out []view
	for _, a := range []record.Air{record.Ambient, record.Inside} {
		values := t.Ambient
		if a == record.Inside {
			values = t.Inside
		}
		if t.Switched || hasMain(t, a) {
			out = append(out, view{a.String() + unit, a, 0, values})
		}
	}
	for i, c := range t.Channels {
		if c.Ambient != nil {
			out = append(out, view{channelName(record.Ambient, c), record.Ambient, i + 1, c.Ambient})
		}
		if c.Inside != nil {
			out = append(out, view{channelName(record.Inside, c), record.Inside, i + 1, c.Inside})
		}
	}
	return out
}

func columnReports(t *record.Trace) []Column {
	var out []Column
	for _, v := range viewsOf(t) {
		out = append(out, columnReport(t, v))
	}
	return out
}

func columnReport(t *record.Trace, v view) Column {
	c := Column{Name: v.name}
	var read []float64
	sampled := 0
	for row, x := range v.values {
		if row < len(t.Sampling) && (t.Sampling[row] == v.air || t.Sampling[row] == record.Both) {
			sampled++
		}
		if math.IsNaN(x) {
			continue
		}
		read = append(read, x)
		if x == 0 {
			c.Zeros++
		}
	}
	c.LongestConstant = constant(v.values)
	free, peak := c.saturation(t, v)
	c.Readings = len(read)
	c.Missing = max(0, sampled-len(read)-c.Saturated.Words)
	if m := median(read); len(read) > 0 { // sorted by median
		c.Min, c.Median, c.Max = finite(read[0]), finite(m), finite(read[len(read)-1])
	}
	limit := linearTo(t)
	if d, ok := DriftOf(t.TimeS, free, limit); ok {
		c.Drift = &d
	}
	if d, ok := DriftOf(t.TimeS[peak:], free[peak:], limit); ok && c.peaked(peak, v) {
		d.PerHour = -d.PerHour
		c.DecayAfterPeak = &d
	}
	return c
}

// saturation counts the bounds, and gives the readings without them and the row
// of the peak: the last bound, or else the first of the highest readings.
func (c *Column) saturation(t *record.Trace, v view) (free []float64, peak int) {
	free = append(free, v.values...)
	highest := math.Inf(-1)
	for row, x := range v.values {
		if x > highest {
			highest, peak = x, row
		}
	}
	if top, ok := record.Plateau(v.values); ok {
		c.Saturated.Plateau = &top
		for row, x := range v.values {
			if x == top {
				c.Saturated.Rows++
				free[row] = math.NaN()
				peak = row
			}
		}
	}
	for _, o := range t.Overload {
		if o.Air == v.air && o.Channel == v.channel {
			if c.Saturated.Words++; c.Saturated.Words == 1 || o.Row > peak {
				peak = o.Row
			}
		}
	}
	c.Saturated.Rows += c.Saturated.Words
	return free, peak
}

// peaked reports whether the column falls from a peak: from a bound, or from a
// highest reading of at least twice the median of the last ten.
func (c *Column) peaked(peak int, v view) bool {
	if c.Saturated.Rows > 0 {
		return true
	}
	var last []float64
	for row := len(v.values) - 1; row > peak && len(last) < 10; row-- {
		if !math.IsNaN(v.values[row]) {
			last = append(last, v.values[row])
		}
	}
	return v.values[peak] >= 2*median(last)
}

// constant finds the longest run of equal readings; missing ones end a run.
func constant(values []float64) (best Constant) {
	rows := 0
	for row, x := range values {
		switch {
		case math.IsNaN(x):
			rows = 0
			continue
		case rows > 0 && x == values[row-1]:
			rows++
		default:
			rows = 1
		}
		if rows > best.Rows {
			best = Constant{Rows: rows, Row: row - rows + 2, Value: x}
		}
	}
	return best
}
