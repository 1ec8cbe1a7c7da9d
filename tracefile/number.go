package tracefile

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// number is one cell read as a number, with how its decimals were written.
type number struct {
	value float64
	point bool // a decimal point was used
	comma bool // a decimal comma was used
	// clear: the comma cannot be one between thousands (12,5 but not 1,234).
	clear bool
}

// pow10 are the powers of ten that a float64 holds exactly.
var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// scan is what was seen while walking over the letters of a number.
type scan struct {
	mant          uint64
	digits, shift int // digits in mant (leading zeros aside); power of ten of mant
	whole, frac   int // digits before and after the decimal sign
	negative      bool
}

// parseNumber reads a plain decimal number: an optional sign, digits with at
// most one decimal point or comma, an optional exponent. ok is false for
// anything else, including -0 and numbers that a float64 cannot hold; notNumber
// then says why.
//
// Where the digits fit 2^53 and the power of ten is at most 22 the value is one
// exact operation, hence correctly rounded (Clinger 1990, "How to read floating
// point numbers accurately"; from memory); the rest is left to strconv.
func parseNumber(b []byte) (n number, ok bool) {
	var s scan
	i := 0
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		s.negative = b[i] == '-'
		i++
	}
	first := i
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		s.add(b[i] - '0')
	}
	s.whole = i - first
	if i < len(b) && (b[i] == '.' || b[i] == ',') {
		n.point, n.comma = b[i] == '.', b[i] == ','
		i++
		from := i
		for ; i < len(b) && b[i]-'0' <= 9; i++ {
			s.add(b[i] - '0')
			s.shift--
		}
		s.frac = i - from
	}
	if s.whole+s.frac == 0 {
		return number{}, false
	}
	if n.comma {
		n.clear = s.frac != 3 || s.whole > 3 || s.whole == 0 || b[first] == '0'
	}
	if i < len(b) {
		e, fine := exponent(b[i:])
		if !fine {
			return number{}, false
		}
		s.shift += e
		n.clear = n.comma
	}
	n.value, ok = s.value(b)
	return n, ok
}

// add takes one more digit; beyond 19 it only marks that the fast way is shut.
func (s *scan) add(d byte) {
	if s.digits < 19 {
		s.mant = s.mant*10 + uint64(d)
		if s.mant > 0 {
			s.digits++
		}
		return
	}
	s.digits++
}

// exponent reads e, an optional sign and one to four digits up to the end.
func exponent(b []byte) (int, bool) {
	if b[0] != 'e' && b[0] != 'E' {
		return 0, false
	}
	b = b[1:]
	negative := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		b = b[1:]
	}
	if len(b) == 0 || len(b) > 4 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if c-'0' > 9 {
			return 0, false
		}
		e = e*10 + int(c-'0')
	}
	if negative {
		e = -e
	}
	return e, true
}

// value makes the float64 of the scanned number, whose text is b.
func (s *scan) value(b []byte) (float64, bool) {
	if s.mant == 0 {
		return 0, !s.negative
	}
	if s.digits <= 19 && s.mant < 1<<53 && s.shift >= -22 && s.shift <= 22 {
		v := float64(s.mant)
		if s.shift < 0 {
			v /= pow10[-s.shift]
		} else {
			v *= pow10[s.shift]
		}
		if s.negative {
			v = -v
		}
		return v, true
	}
	v, err := strconv.ParseFloat(strings.Replace(string(b), ",", ".", 1), 64)
	if err != nil || v == 0 {
		return 0, false
	}
	return v, true
}

// notNumber says with which code and why b, which parseNumber refused, is no
// number.
func notNumber(b []byte) (code, what, do string) {
	const digits = "Write plain digits with a decimal point, such as 1234.5."
	text := shown(b)
	low := strings.ToLower(strings.TrimLeft(string(b), "+-"))
	switch {
	case low == "nan" || low == "inf" || low == "infinity" || low == "∞":
		return "E108", text + " is not a number", "Leave the cell empty where there is no reading."
	case strings.HasPrefix(low, "0x"), strings.Contains(low, "_") && startsWithDigit(low):
		return "E108", text + " is not written as a plain decimal number", digits
	case allZero(b):
		return "E108", text + " is a zero with a minus sign", "Write 0, or leave the cell empty where there is no reading."
	case looksDecimal(b):
		return "E108", text + " is beyond what a number can hold", "Check the exponent, or leave the cell empty."
	}
	if startsWithDigit(low) {
		return "E107", text + " is not a plain number: " + oddCharacter(low), digits
	}
	return "E111", text + " is text where a number is expected",
		"Leave the cell empty where nothing was read; if the word means missing or over range, name it in a layout (missing: or overload:)."
}

func startsWithDigit(s string) bool {
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, "−–.,"))
	return unicode.IsDigit(r)
}

// allZero reports a minus sign with nothing but zeros behind it.
func allZero(b []byte) bool {
	return len(b) > 1 && b[0] == '-' && len(bytes.Trim(b[1:], "0.,")) == 0 && bytes.IndexByte(b, '0') > 0
}

// looksDecimal reports text of the right letters whose value does not fit.
func looksDecimal(b []byte) bool {
	_, err := strconv.ParseFloat(strings.Replace(string(b), ",", ".", 1), 64)
	if err == nil {
		return bytes.IndexByte(b, 'x') < 0
	}
	return err.(*strconv.NumError).Err == strconv.ErrRange
}

// oddCharacter names the first character that a plain number does not have.
func oddCharacter(s string) string {
	signs := 0
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
		case r == '.' || r == ',':
			if signs++; signs > 1 {
				return fmt.Sprintf("a second %q stands in it, perhaps between thousands", r)
			}
		case unicode.IsDigit(r):
			return fmt.Sprintf("%q (U+%04X) is a digit of another script", r, r)
		case unicode.IsSpace(r) || r == '\'' || r == '’':
			return fmt.Sprintf("%q (U+%04X) stands between its digits", r, r)
		default:
			return fmt.Sprintf("%q (U+%04X) is not a digit", r, r)
		}
	}
	return "its letters are out of order"
}

// shown quotes a cell for a message, cut to a readable length.
func shown(b []byte) string {
	r := []rune(string(b))
	if len(r) > 40 {
		return strconv.Quote(string(r[:40])) + "..."
	}
	return strconv.Quote(string(r))
}

// plain writes v so that parseNumber reads the same value back.
func plain(dst []byte, v float64) []byte {
	if v == 0 {
		return append(dst, '0')
	}
	if a := math.Abs(v); a < 1e-6 || a >= 1e15 {
		return strconv.AppendFloat(dst, v, 'e', -1, 64)
	}
	return strconv.AppendFloat(dst, v, 'f', -1, 64)
}
