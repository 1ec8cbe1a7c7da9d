package tracefile

import (
	"fmt"
	"strings"
	"time"
)

// instant is a moment: seconds since 1970 in UTC, nanoseconds, and the offset in
// seconds of the zone in which it was written.
type instant struct {
	sec    int64
	ns     int64
	offset int
}

func (i instant) time() time.Time {
	zone := time.UTC
	if i.offset != 0 {
		zone = time.FixedZone("", i.offset)
	}
	return time.Unix(i.sec, i.ns).In(zone)
}

// since is the time from j to i in seconds, correctly rounded for spans up to
// a hundred days.
func (i instant) since(j instant) float64 {
	sec, ns := i.sec-j.sec, i.ns-j.ns
	if sec > -9e6 && sec < 9e6 {
		return float64(sec*1e9+ns) / 1e9
	}
	return float64(sec) + float64(ns)/1e9
}

// clock is how a layout writes instants: pieces of a pattern in order.
type clock struct {
	pattern string
	pieces  []string // YYYY MM DD hh mm ss f AP Z, or literal text
	zoned   bool     // the pattern holds Z
	dated   bool     // the pattern holds year, month and day
	offset  int      // seconds east of UTC where the pattern has no Z
	given   bool     // offset was given
}

var rfc3339 = clock{pattern: "YYYY-MM-DDThh:mm:ssZ", pieces: []string{"YYYY", "-", "MM", "-", "DD", "T", "hh", ":", "mm", ":", "ss", "f", "Z"}, zoned: true, dated: true}

// newClock reads a pattern such as DD.MM.YYYY hh:mm:ss. YYYY MM DD hh mm ss are
// digits, f an optional fraction of a second, AP is AM or PM, Z an offset such as
// +02:00 or Z; all else stands for itself.
func newClock(pattern string) (*clock, error) {
	c := &clock{pattern: pattern}
	seen := map[string]bool{}
	for rest := pattern; rest != ""; {
		piece := rest[:1]
		for _, p := range []string{"YYYY", "MM", "DD", "hh", "mm", "ss", "AP", "f", "Z"} {
			if strings.HasPrefix(rest, p) {
				piece = p
				if seen[p] {
					return nil, fmt.Errorf("%s stands twice in the pattern", p)
				}
				seen[p] = true
				break
			}
		}
		c.pieces = append(c.pieces, piece)
		rest = rest[len(piece):]
	}
	if !seen["hh"] || !seen["mm"] {
		return nil, fmt.Errorf("the pattern needs hh and mm")
	}
	dates := 0
	for _, p := range []string{"YYYY", "MM", "DD"} {
		if seen[p] {
			dates++
		}
	}
	if dates != 0 && dates != 3 {
		return nil, fmt.Errorf("the pattern needs YYYY, MM and DD, or none of them")
	}
	c.zoned, c.dated = seen["Z"], dates == 3
	return c, nil
}

// parts are the numbers of one written time.
type parts struct {
	year, month, day, hour, min, sec int
	ns                               int64
	offset                           int
	pm, half                         bool
}

// read reads b by the pattern; local is true when only the zone is missing.
func (c *clock) read(b []byte) (i instant, local, ok bool) {
	p := parts{year: 1970, month: 1, day: 1, offset: c.offset}
	for _, piece := range c.pieces {
		if piece == "Z" && len(b) == 0 {
			if !p.valid() {
				return i, false, false
			}
			return p.instant(), true, false
		}
		if b, ok = p.take(piece, b); !ok {
			return i, false, false
		}
	}
	if len(b) > 0 || !p.valid() {
		return i, false, false
	}
	return p.instant(), false, true
}

// take reads one piece off the front of b.
func (p *parts) take(piece string, b []byte) (rest []byte, ok bool) {
	switch piece {
	case "YYYY":
		return digits(b, 4, &p.year)
	case "MM":
		return digits(b, 2, &p.month)
	case "DD":
		return digits(b, 2, &p.day)
	case "hh":
		return digits(b, 2, &p.hour)
	case "mm":
		return digits(b, 2, &p.min)
	case "ss":
		return digits(b, 2, &p.sec)
	case "f":
		return p.fraction(b)
	case "AP":
		if len(b) < 2 || b[1]|0x20 != 'm' || b[0]|0x20 != 'a' && b[0]|0x20 != 'p' {
			return b, false
		}
		p.half, p.pm = true, b[0]|0x20 == 'p'
		return b[2:], true
	case "Z":
		return p.zone(b)
	case "T":
		return b[min(1, len(b)):], len(b) > 0 && (b[0] == 'T' || b[0] == 't' || b[0] == ' ')
	}
	return b[min(1, len(b)):], len(b) > 0 && b[0] == piece[0]
}

func digits(b []byte, n int, v *int) ([]byte, bool) {
	if len(b) < n {
		return b, false
	}
	*v = 0
	for _, c := range b[:n] {
		if c < '0' || c > '9' {
			return b, false
		}
		*v = *v*10 + int(c-'0')
	}
	return b[n:], true
}

// fraction takes an optional fraction of a second; digits beyond nanoseconds
// are dropped.
func (p *parts) fraction(b []byte) ([]byte, bool) {
	if len(b) == 0 || b[0] != '.' && b[0] != ',' {
		return b, true
	}
	i, unit := 1, int64(1e8)
	for ; i < len(b) && b[i] >= '0' && b[i] <= '9'; i++ {
		p.ns += int64(b[i]-'0') * unit
		unit /= 10
	}
	return b[i:], i > 1
}

func (p *parts) zone(b []byte) ([]byte, bool) {
	if b[0] == 'Z' || b[0] == 'z' {
		p.offset = 0
		return b[1:], true
	}
	if len(b) < 6 || b[0] != '+' && b[0] != '-' || b[3] != ':' {
		return b, false
	}
	var hour, minute int
	_, okHour := digits(b[1:], 2, &hour)
	_, okMinute := digits(b[4:], 2, &minute)
	p.offset = hour*3600 + minute*60
	if b[0] == '-' {
		p.offset = -p.offset
	}
	return b[6:], okHour && okMinute && hour < 24 && minute < 60
}

// valid refuses days and hours that do not exist.
func (p *parts) valid() bool {
	if p.half {
		if p.hour < 1 || p.hour > 12 {
			return false
		}
		p.hour %= 12
		if p.pm {
			p.hour += 12
		}
		p.half = false
	}
	if p.month < 1 || p.month > 12 || p.day < 1 || p.hour > 23 || p.min > 59 || p.sec > 59 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[p.month-1]
	if p.month == 2 && p.year%4 == 0 && (p.year%100 != 0 || p.year%400 == 0) {
		days = 29
	}
	return p.day <= days
}

// instant counts the days of the proleptic Gregorian calendar since 1970.
func (p *parts) instant() instant {
	y, m := int64(p.year), int64(p.month)
	if m <= 2 {
		y--
		m += 12
	}
	days := 365*y + floorDiv(y, 4) - floorDiv(y, 100) + floorDiv(y, 400) + (153*(m-3)+2)/5 + int64(p.day) - 1 - 719468
	return instant{sec: days*86400 + int64(p.hour*3600+p.min*60+p.sec-p.offset), ns: p.ns, offset: p.offset}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// slashed reports a date such as 03/04/2026 or 3.4.2026, whose day and month a
// reader cannot tell apart.
func slashed(b []byte) bool {
	i, groups := 0, 0
	for groups < 3 {
		from := i
		for i < len(b) && b[i] >= '0' && b[i] <= '9' {
			i++
		}
		n := i - from
		if n == 0 || groups < 2 && n > 2 || groups == 2 && n != 4 && n != 2 {
			return false
		}
		groups++
		if groups == 3 {
			return i == len(b) || b[i] == ' ' || b[i] == 'T' || b[i] == ','
		}
		if i >= len(b) || b[i] != '/' && b[i] != '.' && b[i] != '-' {
			return false
		}
		i++
	}
	return false
}
