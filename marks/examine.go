package marks

import (
	"fmt"
	"slices"
	"strings"

	"telltale/record"
	"telltale/reference"
)

// Examine compares the words of one respirator with each other and with what the
// regimes they name demand. It is pure: the same marks give the same findings.
//
// A contradiction that rests on a row from memory is reported as unusual, and one
// that rests on letters a machine read as a note, until a person confirms it.
func Examine(m record.Marks) Findings {
	it := read(theBook(), m)
	r := &reporter{it: it}
	for _, rule := range []func(*reporter){
		noSuchClass, otherStandard, paperOfOtherStandard, conflicts, attachments, // what cannot stand together
		forms, spelling, editions, certificateDates, bodies, dates,
		differences, papersDiffer, registers,
		demands, classless, packOnly, // what is not there
		likenesses, sharedNames, lookUps, barcodes, readings, // context
	} {
		rule(r)
	}
	return r.result()
}

// own is the source of a rule that is this program's reasoning.
var own = reference.Source{Title: "this program's own rule", Section: "plain reasoning", State: reference.Own}

// reporter collects findings of one item.
type reporter struct {
	it      *item
	out     []Finding
	lookUps []LookUp
}

// most pieces of evidence of one finding.
const mostEvidence = 8

// add weighs a finding and files it; one that says the same again only adds its
// evidence.
func (r *reporter) add(rule string, s reference.Severity, source reference.Source, text, clears string, evidence []Evidence) {
	if s == reference.Contradiction && source.State == reference.FromMemory {
		s = reference.Unusual
		text += " (the source is from memory, so it weighs less)"
	}
	for i := range r.out {
		f := &r.out[i]
		if f.Rule != rule || f.Text != text {
			continue
		}
		for _, e := range evidence {
			if !slices.Contains(f.Evidence, e) && len(f.Evidence) < mostEvidence {
				f.Evidence = append(f.Evidence, e)
			}
		}
		return
	}
	title := source.Title
	if source.Section != "" {
		title += ", " + source.Section
	}
	r.out = append(r.out, Finding{Rule: rule, Severity: s, Text: text, Evidence: evidence[:min(len(evidence), mostEvidence)],
		Source: title, State: source.State, Clears: clears})
}

// addForm files a finding on the form of words. If every one was read by a machine
// a letter may have been misread, and it is a note until a person looks.
func (r *reporter) addForm(rule string, s reference.Severity, source reference.Source, text, clears string, words []word) {
	if !slices.ContainsFunc(words, func(w word) bool { return !w.machine }) {
		s = reference.Note
		text += "; a machine read this, so compare it with the picture first"
		clears = "a person's reading of the picture; " + clears
	}
	r.add(rule, s, source, text, clears, quote(words))
}

// result sorts the findings, the heaviest first, and sums them up.
func (r *reporter) result() Findings {
	out := Findings{Claims: []Claim{}, Findings: r.out, Summary: NoInconsistency, LookUps: r.lookUps}
	if out.LookUps == nil {
		out.LookUps = []LookUp{}
	}
	if out.Findings == nil {
		out.Findings = []Finding{}
	}
	for _, c := range r.it.claims {
		claim := Claim{c.class.Name, r.it.book.regimes[c.regime].ID, c.word.where}
		if !slices.Contains(out.Claims, claim) {
			out.Claims = append(out.Claims, claim)
		}
	}
	r.strongest(&out)
	r.it.unconfirmed(out.Findings)
	slices.SortStableFunc(out.Findings, func(a, b Finding) int { return a.Severity.Weight() - b.Severity.Weight() })
	examined := slices.ContainsFunc(r.it.words, r.it.speaks)
	switch {
	case len(out.Findings) > 0 && out.Findings[0].Severity == reference.Contradiction:
		out.Summary = Inconsistent
	case len(out.Claims) == 0 && !examined && !slices.ContainsFunc(out.Findings, heavy):
		out.Summary = NotEnoughToExamine
	}
	return out
}

func heavy(f Finding) bool { return f.Severity != reference.Note }

// strongest drops a finding that says more weakly what the same rule said of the
// same words.
func (r *reporter) strongest(out *Findings) {
	out.Findings = slices.DeleteFunc(slices.Clone(out.Findings), func(f Finding) bool {
		return slices.ContainsFunc(r.out, func(o Finding) bool {
			return o.Rule == f.Rule && o.Severity.Weight() < f.Severity.Weight() && slices.ContainsFunc(o.Evidence, func(e Evidence) bool { return slices.Contains(f.Evidence, e) })
		})
	})
}

// fill puts the class names into a rule's text.
func fill(text string, claims []claimed) string {
	class := names(claims)
	if class == "" {
		class = "the class"
	}
	return strings.ReplaceAll(text, "{class}", class)
}

// noSuchClass reports words of a regime's form that are none of its classes.
func noSuchClass(r *reporter) {
	for _, o := range r.it.odd {
		regime := r.it.book.regimes[o.regime]
		r.addForm("no-such-class", reference.Contradiction, o.family.Source,
			fmt.Sprintf("%s is no class of %s (%s)", o.raw, regime.Name, classList(regime)), "a photograph that shows another class", []word{o.word})
	}
}

func classList(regime reference.Regime) string {
	var out []string
	for _, c := range regime.Classes {
		out = append(out, c.Name)
	}
	return "its classes: " + strings.Join(out, ", ")
}

// likenesses notes classes that are compared with, or denied.
func likenesses(r *reporter) {
	if len(r.it.likes) > 0 {
		r.add("class-used-as-comparison", reference.Note, own, "a class is denied, compared with or advised here, which claims nothing for this item",
			"nothing needs to be cleared", quote(r.it.likes))
	}
}

// sharedNames notes class words that belong to somebody else here.
func sharedNames(r *reporter) {
	for _, s := range r.it.shared {
		r.add("class-name-shared", reference.Note, s.collision.Source, fmt.Sprintf("%s is here the name of %s, whose rules are not examined", s.word.text, s.collision.With),
			"a person who knows that standard", quote([]word{s.word}))
	}
}

// readings notes what a person should look at before anything is published.
func readings(r *reporter) {
	var guessed []word
	for _, w := range r.it.words {
		if w.guessed && r.it.book.regimes[w.regime].Kind != reference.CommonKind {
			guessed = append(guessed, w)
		}
	}
	for _, f := range r.it.families {
		if _, known := r.it.book.class(f.regime, f.name); f.guessed && known {
			guessed = append(guessed, f.word)
		}
	}
	if len(guessed) > 0 {
		r.add("look-at-the-picture", reference.Note, own, "letters that machines mistake for digits were taken as digits here", "a person's reading of the picture", quote(guessed))
	}
	for _, where := range r.it.cut {
		r.add("text-too-long", reference.Note, own, "the text is longer than printed words are, and only a part of it was examined", "the printed words alone",
			[]Evidence{{where, fmt.Sprintf("%d bytes", len(r.it.texts[where].raw))}})
	}
	if r.it.of(-1, printed) == nil && r.it.of(-1, seller) != nil {
		r.add("nothing-printed-read", reference.Note, own, "the class stands in a listing only; what is printed on the respirator was not read", "the words on facepiece, strap and pack", quote(claimWords(r.it.of(-1, seller))))
	}
}
