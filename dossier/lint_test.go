package dossier

import (
	"strings"
	"testing"
	"testing/fstest"

	"telltale/demo"
	"telltale/finding"
)

func TestClaimsWithoutGroundAreFound(t *testing.T) {
	for _, text := range []string{
		"This mask is safe.", "It keeps you safer than cloth.", "A certified respirator.", "It is approved.", "It is not a bargain; it is a fake.",
		"Probably counterfeit.", "The genuine article.", "This proves that the seal leaks.", "Proof that it works.", "It protects you.", "It blocks 95 % of particles.",
		"Virus-proof.", "It is leak proof.", "Fits everyone.", "It works on all faces.", "All masks of this model leak.", "It never leaks.", "It is dangerous.",
		"It is useless.", "The best mask.", "The maker lies.", "The maker is cheating.", "It meets the standard.", "Lab-tested.", "100% sure.", "SAFE!", "Compliant with FFP2.",
		"Guaranteed to seal.", "It kills germs.", "A fraud.",
	} {
		found := false
		for _, c := range Claims(text) {
			found = found || c.Refused
			if c.Why == "" || c.Refused && c.Instead == "" {
				t.Errorf("%q: no reason or nothing to say instead", text)
			}
		}
		if !found {
			t.Errorf("%q passes", text)
		}
	}
}

func TestPlainReportsPass(t *testing.T) {
	for _, text := range []string{
		"As worn, about 1 particle in 9 got in (between 7 and 12).",
		"With tape at the nose it let in less: 5.9 times (4.1 to 8.5).",
		"Nothing is said of whether it is safe.",
		"We cannot say that it is certified.",
		`The bag says "protects against dust"; we did not test that.`,
		"Consistent with the printed class under our conditions.",
		"The reference check was out of its limits, so no statement is made.",
		"The wearer stopped because a strap tore.",
	} {
		for _, c := range Claims(text) {
			if c.Refused && c.Word != "stopped" {
				t.Errorf("%q: %q is refused: %s", text, c.Word, c.Why)
			}
		}
	}
}

// A hostile reader goes through every sentence of the demo's findings.
func TestTheDemosFindingsCarryNoClaimWithoutGround(t *testing.T) {
	folder := fstest.MapFS{}
	for name, data := range demo.Files(demo.Seed) {
		folder[name] = &fstest.MapFile{Data: data}
	}
	k := testKey(t, 1)
	d, err := Make(folder, testCard(k), testMaker())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range d.Findings.Respirators {
		for _, s := range spoken(r) {
			for _, c := range Claims(s) {
				if c.Refused {
					t.Errorf("%s says %q: %s", r.ID, c.Word, s)
				}
			}
			if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
				t.Errorf("%s: no number: %s", r.ID, s)
			}
		}
		if r.Role == "test" && len(r.Caveats) == 0 {
			t.Errorf("%s has figures without a caveat", r.ID)
		}
		if len(r.Configurations) > 0 && len(r.MayBeSaid) == 0 {
			t.Errorf("%s: nothing may be said, and that is not said", r.ID)
		}
	}
	if f := d.Findings.Runs; f.Started != f.Used+f.Excluded+f.Faulty || f.Started != len(d.Card.Runs) {
		t.Errorf("runs do not add up: %+v, %d listed", f, len(d.Card.Runs))
	}
}

// spoken are the sentences of a respirator that are made here, not printed on it.
func spoken(r finding.Respirator) []string {
	out := append([]string{r.Headline, r.Subline}, r.MayBeSaid...)
	out = append(out, r.Caveats...)
	if a := r.Attribution; a != nil {
		out = append(append(out, a.Reason), a.Text...)
	}
	if c := r.ClaimCheck; c != nil {
		out = append(append(append(out, c.Text), c.Ground...), c.WouldChange...)
	}
	return out
}

func TestASummaryWithAClaimIsNotPublished(t *testing.T) {
	card := testCard(testKey(t, 1))
	card.Summary = "This mask is certified and safe."
	_, err := Make(smallStudy(), card, testMaker())
	if err == nil || !strings.Contains(err.Error(), "E173") || strings.Count(err.Error(), "E173") != 2 {
		t.Error(err)
	}
}

func TestNothingIsMadeWithoutDisclosureAndNames(t *testing.T) {
	study := smallStudy()
	study["study.yaml"] = &fstest.MapFile{Data: []byte(strings.Replace(studyYAML, ", obtained: bought", "", 1))}
	if _, err := Make(study, testCard(testKey(t, 1)), testMaker()); err == nil || !strings.Contains(err.Error(), "E171") {
		t.Errorf("no disclosure: %v", err)
	}
	d, err := Make(smallStudy(), testCard(testKey(t, 1)), testMaker())
	if err != nil {
		t.Fatal(err)
	}
	if d.Renamed["Ruth"] != "wearer-1" {
		t.Error("the wearer kept a name", d.Renamed)
	}
	for _, f := range d.Files() {
		if strings.Contains(string(f.Data), "Ruth") {
			t.Errorf("%s still holds the wearer's name", f.Name)
		}
	}
	if left := d.NamesLeft(); len(left) != 0 {
		t.Error(left)
	}
}
