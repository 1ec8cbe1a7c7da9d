package publication

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"slices"

	"telltale/dossier"
	"telltale/finding"
)

// Shown is one dossier on a site: what was found when it was opened here.
type Shown struct {
	File    string // name of the archive on the site
	Page    string // name of its report on the site
	Verdict *dossier.Verdict
	State   string // why it does not stand any more, "" while it stands
}

// row is one respirator of one dossier.
type row struct {
	Name, Claim, Worn, WornNote, Best, BestName, Check, Obtained string
	Study, Publisher, Date, Page, File                           string
}

var sitePage = template.Must(template.New("site").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{{.Title}}</title>
<style>
body{font:1rem/1.5 system-ui,sans-serif;max-width:76rem;margin:2rem auto;padding:0 1rem;color:#14202b;background:#fff}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.5rem;border-bottom:1px solid #bbb}
caption{text-align:left;padding:.5rem 0}
.note{font-size:.9em;color:#444}
code{overflow-wrap:anywhere;font-size:.85em}
</style>
</head>
<body>
<h1>{{.Title}}</h1>
<p>{{len .Rows}} respirators out of {{len .Dossiers}} {{if eq (len .Dossiers) 1}}dossier{{else}}dossiers{{end}}, in the order of their names. This is not a ranking: figures are of the faces that wore them,
on those days, with those counters; where intervals overlap, neither is shown to be better. Among many respirators some interval misses by chance.</p>
<div class="wide" tabindex="0" role="region" aria-label="Respirators">
<table>
<caption>Fit factors with their intervals. A higher one lets fewer particles in.</caption>
<thead><tr><th scope="col">Respirator</th><th scope="col">Printed class</th><th scope="col">As worn</th><th scope="col">At its best</th><th scope="col">The printed class, by measurement</th><th scope="col">Study</th></tr></thead>
<tbody>
{{range .Rows}}<tr><th scope="row">{{.Name}}</th><td>{{.Claim}}</td><td>{{.Worn}}<br><span class="note">{{.WornNote}}</span></td><td>{{.Best}}<br><span class="note">{{.BestName}}</span></td><td>{{.Check}}</td>
<td><a href="{{.Page}}">{{.Study}}</a><br><span class="note">{{.Publisher}}, {{.Date}}; obtained: {{.Obtained}}; <a href="{{.File}}">dossier</a></span></td></tr>
{{end}}</tbody>
</table>
</div>
<h2>The dossiers, as they were opened here</h2>
<table>
<thead><tr><th scope="col">Dossier</th><th scope="col">Stands</th><th scope="col">Unchanged</th><th scope="col">Figures</th><th scope="col">Runs</th><th scope="col">Manifest</th></tr></thead>
<tbody>
{{range .Dossiers}}<tr><th scope="row"><a href="{{.File}}">{{.File}}</a></th><td>{{or .State "yes, as far as is known here"}}</td><td>{{.Verdict.Unchanged.Text}}</td><td>{{.Verdict.Recomputed.Text}}</td><td>{{.Verdict.Runs.Text}}</td><td><code>{{.Verdict.Manifest}}</code></td></tr>
{{end}}</tbody>
</table>
</body>
</html>
`))

// Site draws the page that compares many dossiers. A dossier whose answers
// contradict each other, or that does not stand any more, is listed with that, and
// its figures are left out.
func Site(title string, all []Shown) ([]byte, error) {
	all = corrected(all)
	var rows []row
	for _, s := range all {
		if s.State != "" || s.Verdict.Findings == nil || s.Verdict.Contradicted() {
			continue
		}
		for _, r := range s.Verdict.Findings.Respirators {
			if r.Role != "reference" {
				rows = append(rows, rowOf(s, r))
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Date, b.Date)) })
	var b bytes.Buffer
	err := sitePage.Execute(&b, struct {
		Title    string
		Rows     []row
		Dossiers []Shown
	}{title, rows, all})
	if err != nil {
		return nil, fmt.Errorf("write the site: %w", err)
	}
	return b.Bytes(), nil
}

// corrected marks each dossier that another one, signed by the same key, corrects.
func corrected(all []Shown) []Shown {
	out := slices.Clone(all)
	for _, by := range all {
		if by.Verdict.Card == nil || by.Verdict.Card.Amends == nil || !by.Verdict.Unchanged.Good {
			continue
		}
		c := by.Verdict.Card
		for i, x := range out {
			if x.Verdict.Manifest == c.Amends.Manifest && x.Verdict.Card != nil && x.Verdict.Card.Key == c.Key && x.State == "" {
				out[i].State = fmt.Sprintf("corrected on %s: %s", c.Published, shown(c.Amends.Reason))
			}
		}
	}
	return out
}

func rowOf(s Shown, r finding.Respirator) row {
	c := s.Verdict.Card
	out := row{Name: shown(r.Name), Claim: shown(r.Claim), Obtained: shown(r.Obtained), Study: shown(c.Study), Publisher: shown(c.Publisher), Date: c.Published, Page: s.Page, File: s.File}
	if r.ClaimCheck != nil {
		out.Check = r.ClaimCheck.Text
	}
	if r.HeldBack {
		out.Worn = r.MayBeSaid[0]
		out.Check = ""
		return out
	}
	for i, k := range r.Configurations {
		if len(k.Repairs) == 0 {
			out.Worn, out.WornNote = k.FitFactor.Words(), r.Subline
			continue
		}
		if b := best(r); b == i {
			out.Best, out.BestName = k.FitFactor.Words(), k.Name
		}
	}
	return out
}

// best is the repaired configuration with the highest lower bound, -1 without one.
func best(r finding.Respirator) int {
	at, bound := -1, 0.0
	for i, k := range r.Configurations {
		if len(k.Repairs) > 0 && k.FitFactor.Low > bound {
			at, bound = i, k.FitFactor.Low
		}
	}
	return at
}
