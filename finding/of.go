package finding

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"telltale/claim"
	"telltale/control"
	"telltale/fitfactor"
	"telltale/record"
	"telltale/reference"
)

// Options are the wishes of whoever asks.
type Options struct {
	Level   float64 // 0 = 0.95
	Program Program
}

// Of says everything that may be said of a study. It never fails: a run from
// which no figure can be formed is listed with its problem.
func Of(s *record.Study, o Options) *Findings {
	if o.Level == 0 {
		o.Level = 0.95
	}
	if o.Program.ReferenceDigest == "" {
		o.Program.ReferenceDigest = reference.Digest()
	}
	e := newEvening(s, o.Level)
	f := &Findings{Format: Format, Program: o.Program, Level: o.Level, Study: studyLine(s),
		Rules: []string{fitfactor.Version, fitfactor.DecisionRule, control.Version, claim.Rule}}
	f.Sessions = e.describe()
	f.Respirators = each(s.Respirators, e.respirator)
	f.Runs = runs(f.Respirators)
	return f
}

// studyLine sums up who and when.
func studyLine(s *record.Study) Study {
	out := Study{Title: s.Title}
	faces := map[string]bool{}
	var days []string
	for _, w := range s.Wearings {
		faces[w.Wearer] = true
		if d := day(w.At); d != "" {
			days = append(days, d)
		}
	}
	out.Faces = len(faces)
	if len(days) > 0 {
		out.First, out.Last = slices.Min(days), slices.Max(days)
	}
	return out
}

// runs counts what was started, used and left out.
func runs(all []Respirator) (out Runs) {
	for _, r := range all {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				out.Started++
				switch {
				case w.Excluded != "":
					out.Excluded++
				case w.Problem != "":
					out.Faulty++
				default:
					out.Used++
				}
			}
		}
	}
	return out
}

// respirator gathers everything about one respirator.
func (e *evening) respirator(r record.Respirator) Respirator {
	out := Respirator{ID: r.ID, Name: cmp.Or(r.Name, r.ID), Claim: r.Claim, Role: string(r.Role), Obtained: r.Obtained}
	var results []result
	for _, w := range e.study.Wearings {
		if w.Respirator == r.ID {
			results = append(results, e.results[w.ID])
		}
	}
	groups := grouped(results)
	for _, g := range groups {
		out.Configurations = append(out.Configurations, e.configuration(g, groups))
	}
	out.Gates = e.gatesOf(results)
	out.caveats(results, groups)
	repaired, taped := repairsDone(results)
	for _, c := range reference.Cautions(repaired, taped) {
		out.Cautions = append(out.Cautions, c.Text)
	}
	out.Sources = sources(results)
	a := e.ladder(r, groups)
	out.Attribution = a.shown(e.level)
	out.Holders, _ = e.holders(r)
	out.ClaimCheck = e.claimCheck(r, groups, a)
	out.Marks = marksOf(r)
	out.say(groups)
	return out
}

// gatesOf gives the gates of a respirator's runs, each once: those of its sessions
// as they stand, those of single runs where they are not in order.
func (e *evening) gatesOf(results []result) []Gate {
	out := []Gate{}
	for _, r := range results {
		if r.wearing.Excluded != "" {
			continue
		}
		shared := len(e.sessions[sessionOf(r.wearing)].gates)
		for i, g := range r.gates {
			if i < shared || g.State != control.InOrder {
				if one := shown(g); !slices.Contains(out, one) {
					out = append(out, one)
				}
			}
		}
	}
	return out
}

func shown(g control.Gate) Gate {
	return Gate{g.Name, string(g.State), string(g.Blocks), g.Text, g.Source.String()}
}

// caveats gathers what a reader must know beside all figures of the respirator.
func (r *Respirator) caveats(results []result, groups []group) {
	r.Caveats = []string{}
	add := func(text string) {
		if !slices.Contains(r.Caveats, text) {
			r.Caveats = append(r.Caveats, text)
		}
	}
	faces, specimens, used := map[string]bool{}, map[string]bool{}, 0
	for _, x := range results {
		if x.counts() {
			used++
			faces[x.wearing.Wearer] = true
			specimens[x.wearing.Specimen] = true
			for _, c := range x.fit.Caveats {
				add(c)
			}
		}
	}
	for _, x := range results {
		switch {
		case x.wearing.Excluded != "":
			add("Run " + x.wearing.ID + " is listed and kept out of the figures: " + x.wearing.Excluded + ".")
		case x.problem != "":
			add("Run " + x.wearing.ID + " is listed and gave no figure: " + strings.TrimSuffix(x.problem, ".") + ".")
		case x.leftOut != "":
			add("Run " + x.wearing.ID + " is listed and left out of the pooled figures: " + x.leftOut + ".")
		}
	}
	if used == 0 {
		return
	}
	if len(faces) == 1 {
		add("One face: another person may fare better or worse.")
	} else {
		add(fmt.Sprintf("%d faces are pooled; the scatter between faces is in the interval only as far as they happened to differ.", len(faces)))
	}
	if len(specimens) == 1 {
		add("One specimen: others of the same model were not worn.")
	}
	for _, g := range groups {
		if len(g.donnings) == 1 {
			add("A configuration worn once shows that wearing only; the scatter from one donning to the next is not in its interval.")
		}
	}
}

// repairsDone tells whether any run had repairs, or tape.
func repairsDone(results []result) (repaired, taped bool) {
	for _, x := range results {
		for _, p := range x.wearing.Repairs {
			repaired = true
			taped = taped || p.Word == "tape"
		}
	}
	return repaired, taped
}

// sources are the outside rows on which the decisions rest, with their state.
func sources(results []result) []reference.Source {
	out := []reference.Source{}
	for _, x := range results {
		if x.fit == nil {
			continue
		}
		all := []reference.Source{x.fit.Protocol.Source}
		if v := x.fit.Verdict; v != nil {
			all = append(all, v.Limit.Source)
		}
		for _, s := range all {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}
