package report

import (
	"reflect"
	"strings"
	"unicode"

	"telltale/finding"
	"telltale/uncertainty"
)

// Clean makes a text fit to be shown: line breaks and tabs become spaces, control
// characters and the marks that turn the writing direction go away, so that no
// name can rearrange the words beside it. What was recorded stays as it was.
func Clean(s string) string {
	return strings.ToValidUTF8(strings.Map(shown, s), "\uFFFD")
}

func shown(r rune) rune {
	switch {
	case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029':
		return ' '
	case unicode.IsControl(r), isBidi(r), r == '\uFEFF':
		return -1
	}
	return r
}

// isBidi reports the marks, embeddings, overrides and isolates of the Unicode
// bidirectional algorithm (UAX 9, section 2; from memory).
func isBidi(r rune) bool {
	return r == '\u061C' || r == '\u200E' || r == '\u200F' || r >= '\u202A' && r <= '\u202E' || r >= '\u2066' && r <= '\u2069'
}

// cleaned is a copy of the findings with every text cleaned and every estimate
// readable; the caller's value is not touched.
func cleaned(f *finding.Findings) *finding.Findings {
	if f == nil {
		f = &finding.Findings{}
	}
	return cleanCopy(reflect.ValueOf(f)).Interface().(*finding.Findings)
}

// readable turns an estimate that lacks what its kind promises into one that
// knows nothing, so that no page prints a figure that does not exist.
func readable(e uncertainty.Estimate) uncertainty.Estimate {
	whole := finite(e.Level)
	switch e.Kind {
	case uncertainty.Interval:
		whole = whole && finite(e.Value, e.Low, e.High)
	case uncertainty.AtLeast:
		whole = whole && finite(e.Low)
	case uncertainty.AtMost:
		whole = whole && finite(e.High)
	default:
		whole = finite(e.Value, e.Level)
	}
	if !whole {
		return uncertainty.NewUnknown(0, e.Assumption, e.Caveats...)
	}
	return e
}

// cleanCopy copies a tree of structs, slices, pointers and texts.
func cleanCopy(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.String:
		out.SetString(Clean(v.String()))
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(cleanCopy(v.Elem()))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		}
		for i := range v.Len() {
			out.Index(i).Set(cleanCopy(v.Index(i)))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			out.Field(i).Set(cleanCopy(v.Field(i)))
		}
		if e, is := out.Interface().(uncertainty.Estimate); is {
			out.Set(reflect.ValueOf(readable(e)))
		}
	default:
		out.Set(v)
	}
	return out
}
