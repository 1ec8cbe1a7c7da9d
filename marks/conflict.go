package marks

import (
	"slices"
	"strings"
	"time"

	"telltale/reference"
)

// conflicts runs the regimes' rows of things that do not stand together.
func conflicts(r *reporter) {
	for i, regime := range r.it.book.regimes {
		for _, c := range regime.Conflicts {
			evidence, holds := r.it.all(i, c.When)
			if !holds || r.it.any(i, c.Without) {
				continue
			}
			severity := c.Severity
			if !c.After.IsZero() || !c.Before.IsZero() {
				made, sure := r.it.date()
				if !inTime(made, c) {
					continue
				}
				if !sure && severity == reference.Contradiction {
					severity = reference.Unusual // old stock is possible
				}
				evidence = append(evidence, made.evidence())
			}
			r.add(c.Rule, severity, c.Source, fill(c.Text, r.it.of(i, "")), c.Clears, evidence)
		}
	}
}

func inTime(made stated, c reference.Conflict) bool {
	return made.known() && (c.After.IsZero() || made.first.After(c.After)) && (c.Before.IsZero() || made.last.Before(c.Before))
}

// all looks up each condition and gives the evidence of them together.
func (it *item) all(regime int, conditions []string) ([]Evidence, bool) {
	var out []Evidence
	for _, c := range conditions {
		evidence := it.condition(regime, c)
		if len(evidence) == 0 {
			return nil, false
		}
		for _, e := range evidence {
			if !slices.Contains(out, e) {
				out = append(out, e)
			}
		}
	}
	return out, true
}

// any says whether one of the conditions holds.
func (it *item) any(regime int, conditions []string) bool {
	return slices.ContainsFunc(conditions, func(c string) bool { return len(it.condition(regime, c)) > 0 })
}

// condition gives the evidence for one condition of a regime file; none = it does
// not hold. The words are told in reference.Conflict.
func (it *item) condition(regime int, condition string) []Evidence {
	var out []Evidence
	for _, either := range strings.Split(condition, "|") {
		id, place, _ := strings.Cut(either, "@")
		for _, e := range it.atom(regime, id) {
			if place == "" || e.Where == place {
				out = append(out, e)
			}
		}
	}
	return out
}

func (it *item) atom(regime int, id string) []Evidence {
	ofKind := func(keep func(claimed) bool) []Evidence {
		return quote(claimWords(slices.DeleteFunc(it.of(-1, ""), func(c claimed) bool { return !keep(c) })))
	}
	name, isName := strings.CutPrefix(id, "class=")
	switch {
	case isName:
		return ofKind(func(c claimed) bool { return c.regime == regime && c.class.Name == name })
	case id == "class":
		return ofKind(func(c claimed) bool { return c.regime == regime })
	case id == "any-class":
		return ofKind(func(c claimed) bool { return it.book.regimes[c.regime].Kind == reference.RespiratorKind })
	case id == "other-class":
		return ofKind(func(c claimed) bool {
			return c.regime != regime && it.book.regimes[c.regime].Kind == reference.RespiratorKind
		})
	case id == "standard":
		return quote(slices.DeleteFunc(it.support(regime, ""), func(w word) bool { return !w.standard }))
	case id == "ear_loops" && it.m.Attachment == "ear_loops":
		return []Evidence{{"attachment", "ear_loops"}}
	case id == "valve" && it.m.Valve != nil && *it.m.Valve:
		return []Evidence{{"valve", "true"}}
	case id == "pack":
		for _, p := range it.places {
			if p.Where == "pouch" || p.Where == "box" {
				return []Evidence{{p.Where, short(p.Text)}}
			}
		}
		return nil
	}
	return quote(it.find(regime, id))
}

// short is the beginning of a text, for evidence that is about the whole of it.
func short(text string) string {
	text = strings.TrimSpace(text)
	count := 0
	for i := range text {
		if count++; count > 60 {
			return text[:i] + " ..."
		}
	}
	return text
}

// attachments compares the stated straps with what is known of the class.
func attachments(r *reporter) {
	for _, i := range r.it.claimants() {
		for _, a := range r.it.book.regimes[i].Attachment {
			if a.Severity != "" && a.Attachment == r.it.m.Attachment {
				claims := r.it.of(i, "")
				r.add("ear-loops-unlike-class", a.Severity, a.Source, fill(a.Text, claims), "the holder's or maker's own page that shows this model with such loops",
					append(quote(claimWords(claims)), Evidence{"attachment", r.it.m.Attachment}))
			}
		}
	}
}

// stated is a date and the key it stands under. Where only a month or a year is
// known, every day from first to last can be meant, and a rule must hold for all.
type stated struct {
	key         string
	first, last time.Time
}

func (s stated) known() bool { return !s.first.IsZero() }

func (s stated) evidence() Evidence {
	text := s.first.Format(reference.Day)
	if !s.last.Equal(s.first) {
		text += " to " + s.last.Format(reference.Day)
	}
	return Evidence{s.key, text}
}

func stateDay(key string, first, last time.Time) stated {
	if last.Before(first) {
		last = first
	}
	return stated{key, first, last}
}

func (it *item) made() stated   { return stateDay("made", it.m.Made, it.m.MadeLast) }
func (it *item) bought() stated { return stateDay("bought", it.m.Bought, it.m.BoughtLast) }
func (it *item) sold() stated {
	return stateDay("first_sold", it.m.FirstSold, it.m.FirstSoldLast)
}

// date is the day that editions are judged by: of manufacture if stated (sure),
// else of first sale or purchase, when older stock is possible.
func (it *item) date() (d stated, sure bool) {
	for i, d := range []stated{it.made(), it.sold(), it.bought()} {
		if d.known() {
			return d, i == 0
		}
	}
	return stated{}, false
}
