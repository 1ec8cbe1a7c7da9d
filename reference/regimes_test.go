package reference

import (
	"os"
	"slices"
	"strings"
	"testing"
)

func TestEveryRegimeFileIsWhole(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range Regimes() { // reading them checks keys, patterns, sources and fractions
		if ids[r.ID] {
			t.Errorf("two files call themselves %s", r.ID)
		}
		ids[r.ID] = true
		if r.Kind == RespiratorKind && (len(r.Classes) == 0 || len(r.Families) == 0) {
			t.Errorf("%s: a respirator regime needs classes and the form in which they are printed", r.ID)
		}
		for _, c := range r.Classes {
			if c.LimitPenetration == 0 && c.TIL == nil && c.Name != "KF-AD" {
				t.Errorf("%s: class %s limits nothing", r.ID, c.Name)
			}
		}
	}
	if len(ids) < 15 {
		t.Errorf("%d regimes, want 15", len(ids))
	}
}

// Each condition of a rule names something that exists.
func TestEveryConditionNamesAKnownWord(t *testing.T) {
	known := []string{"class", "any-class", "other-class", "standard", "ear_loops", "valve", "pack"}
	for _, r := range Regimes() {
		for _, m := range r.Marks {
			known = append(known, m.ID)
		}
		for _, s := range r.Standards {
			known = append(known, s.ID)
		}
		for _, c := range r.Classes {
			known = append(known, "class="+c.Name)
		}
	}
	for _, r := range Regimes() {
		check := func(rule string, conditions []string) {
			for _, c := range conditions {
				for _, either := range strings.Split(c, "|") {
					id, place, _ := strings.Cut(either, "@")
					if !slices.Contains(known, id) || place != "" && !slices.Contains(places, place) {
						t.Errorf("%s: %s: nothing is called %q", r.ID, rule, either)
					}
				}
			}
		}
		for _, d := range r.Complete {
			check(d.Rule, d.When)
			check(d.Rule, d.Without)
			check(d.Rule, d.Marks)
		}
		for _, c := range r.Conflicts {
			check(c.Rule, c.When)
			check(c.Rule, c.Without)
		}
	}
}

func TestTheExampleOfTheManualIsAFaultlessFile(t *testing.T) {
	r, err := ReadRegime("docs/regimes.md", manual(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Classes) != 1 || r.Classes[0].Regime != "xx-example" || r.Standards[0].Editions[1].Source.State != FromMemory {
		t.Errorf("read as %+v", r)
	}
}

func manual(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile("../docs/regimes.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(data), "```yaml\n")
	example, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("docs/regimes.md has no example")
	}
	return []byte(example)
}

func TestAFaultyRegimeFileIsRefusedWithItsPlace(t *testing.T) {
	good := string(manual(t))
	for _, c := range []struct{ from, to, want string }{
		{"limit_penetration: 0.06", "limit_penetraton: 0.06", `line 14`},
		{"limit_penetration: 0.06", "limit_penetraton: 0.06", `Did you mean "limit_penetration"?`},
		{"limit_penetration: 0.06", "limit_penetration: 6", "not a fraction"},
		{"limit_penetration: 0.06", "limit_penetration: six", "line 14"},
		{"kind: respirator ", "kind: respirator\nkind: medical ", "already defined"},
		{"basis: A", "basis: Z", "not one of A to F"},
		{`(?P<class>EX\d)`, `(?P<class>EX\d`, "missing closing"},
		{"state: read}", "state: heard}", "a source with title and state"},
		{"severity: missing", "severity: grave", "grave"},
		{"places: [facepiece, strap]", "places: [face, strap]", `"face"`},
		{`rule: approval-number-missing, source`, `source`, "either a rule or why_not"},
		{"grace: 2016-08-31", "grace: 2014-08-31", "grace ends before"},
		{"weighting: photometer", "weighting: eye", "eye"},
		{"source: *old}", "source: *older}", "older"},
		{good, "", "empty"},
	} {
		_, err := ReadRegime("x.yaml", []byte(strings.Replace(good, c.from, c.to, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "x.yaml") {
			t.Errorf("%q for %q: %v, want words like %q", c.to, c.from, err, c.want)
		}
	}
}

func TestEveryRespiratorRegimeWithARegulatorsWarningsMapsThem(t *testing.T) {
	for _, id := range []string{"us-niosh", "eu-ppe", "cn-gb2626", "kr-mfds", "jp-mhlw", "au-nz", "br-ca", "us-f2100"} {
		r, ok := RegimeByID(id)
		if !ok || len(r.Signs) == 0 {
			t.Errorf("%s: no warning signs", id)
		}
	}
}
