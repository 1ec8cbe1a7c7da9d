package dossier

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"telltale/quantity"
	"telltale/record"
)

// Leaving is one thing that would leave the machine.
type Leaving struct {
	Where string `json:"where"` // file and place
	What  string `json:"what"`  // kind of thing: field, free text, file, made here
	Value string `json:"value"`
	Look  string `json:"look"` // why to look twice, "" when there is nothing
}

// Leaving lists everything in the draft, field by field: each line of study.yaml,
// each note of a trace, each paper, each file. Free text is marked for a last look.
func (d *Draft) Leaving() []Leaving {
	var out []Leaving
	for old, now := range sortedPairs(d.Renamed) {
		out = append(out, Leaving{"study.yaml, wearers", "replaced", fmt.Sprintf("%q is called %s", old, now), ""})
	}
	add := func(where, what, value, look string) {
		if extra := d.nameIn(value); extra != "" && what != "field of a wearer" {
			look = strings.TrimPrefix(look+"; "+extra, "; ")
		}
		out = append(out, Leaving{where, what, value, look})
	}
	add("dossier.json", "publisher", d.Card.Publisher, "")
	add("dossier.json", "your key", keyID(d.Card.Key), "")
	if d.Card.Summary != "" {
		add("dossier.json, summary.txt", "free text", d.Card.Summary, "read it once more")
	}
	d.fields(add)
	for _, f := range d.files {
		what := "made here from the above"
		if strings.HasPrefix(f.Name, factsFolder) {
			what = "file, byte by byte"
		}
		add(f.Name, what, fmt.Sprintf("%d bytes", len(f.Data)), "")
	}
	return out
}

// fields lists the facts.
func (d *Draft) fields(add func(where, what, value, look string)) {
	s := d.Study
	add("study.yaml, title", "free text", s.Title, "")
	for _, w := range s.Wearers {
		add("study.yaml, wearer "+w.ID, "field of a wearer", fmt.Sprintf("face %s long, %s wide, hair %q", millimetres(w.FaceLength), millimetres(w.FaceWidth), w.FacialHair),
			"measures of a face; leave them out of study.yaml if the wearer minds")
	}
	for _, c := range s.Counters {
		add("study.yaml, counter "+c.ID, "field", string(c.Kind), "")
	}
	for _, r := range s.Respirators {
		add("study.yaml, respirator "+r.ID, "field", fmt.Sprintf("%s, claims %s, %s, obtained: %s", r.Name, r.Claim, r.Role, r.Obtained), "")
		if r.MarksPaper.Stated() {
			add(r.MarksPaper.Path, "free text", strings.TrimSpace(string(r.MarksPaper.Data)), "words as printed; is there a buyer's or a person's name in them?")
		}
	}
	for _, w := range s.Wearings {
		at := "no time"
		if !w.At.IsZero() {
			at = w.At.Format("2006-01-02 15:04 -07:00")
		}
		add("study.yaml, wearing "+w.ID, "field", fmt.Sprintf("%s worn by %s, %s, %s", w.Respirator, w.Wearer, at, strings.Join(w.Observed, ", ")), "")
		if w.Excluded != "" {
			add("study.yaml, wearing "+w.ID+", excluded", "free text", w.Excluded, "")
		}
		notes(w.Trace, add)
	}
	for _, c := range s.Checks {
		notes(c.Trace, add)
	}
	for _, h := range s.Holders {
		notes(h.Trace, add)
	}
}

// notes lists the free text of a trace.
func notes(t *record.Trace, add func(where, what, value, look string)) {
	if t == nil {
		return
	}
	for _, n := range t.Notes {
		add(t.Name+", note", "free text", n.Key+": "+n.Value, lookAt(n.Key))
	}
	for _, n := range t.RowNotes {
		add(fmt.Sprintf("%s, row %d", t.Name, n.Row+1), "free text", n.Text, "")
	}
}

// lookAt says why a note of a counter's export deserves a look.
func lookAt(key string) string {
	for _, word := range []string{"operator", "name", "user", "subject", "person", "patient", "location", "address", "email", "serial"} {
		if strings.Contains(strings.ToLower(key), word) {
			return "this may name a person, a place or your counter"
		}
	}
	return ""
}

// nameIn reports a wearer's former name in a text.
func (d *Draft) nameIn(text string) string {
	for old := range sortedPairs(d.Renamed) {
		if asWord(old).MatchString(text) {
			return fmt.Sprintf("holds %q, which is a wearer's name here", old)
		}
	}
	return ""
}

// NamesLeft lists the files in which a wearer's former name still stands.
func (d *Draft) NamesLeft() []string {
	var out []string
	for old := range sortedPairs(d.Renamed) {
		named := asWord(old)
		for _, f := range d.files {
			if named.Match(f.Data) || named.MatchString(f.Name) {
				out = append(out, fmt.Sprintf("%s holds %q, which is a wearer's name here", f.Name, old))
			}
		}
	}
	return out
}

// asWord finds a name where no letter stands before or behind it.
func asWord(name string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(?:^|[^\pL])` + regexp.QuoteMeta(name) + `(?:[^\pL]|$)`)
}

func sortedPairs(m map[string]string) func(func(string, string) bool) {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return func(yield func(string, string) bool) {
		for _, k := range keys {
			if !yield(k, m[k]) {
				return
			}
		}
	}
}

func millimetres(m quantity.Length) string {
	if m == 0 {
		return "unmeasured"
	}
	return fmt.Sprintf("%.0f mm", float64(m))
}
