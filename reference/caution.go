package reference

import "slices"

// Caution is a sentence that goes with a result because acting on it can hurt
// someone.
type Caution struct {
	ID     string
	Text   string
	Source Source
}

var own = Source{Title: "common practice of the trade", State: FromMemory}

// cautions in the order they are shown.
var cautions = []Caution{
	{"one-face", "A fit factor belongs to one face, one specimen and one wearing. It is not what another person, or the same person tomorrow, will get.",
		Source{"HSE INDG479 rev 1 (2019)", "in a fit-test provider's summary", Read}},
	{"not-approved", "A repaired, taped, braced or otherwise altered respirator is no longer the approved one. Repairs are shown as experiments, in rows of their own.",
		Source{"42 CFR 84; 29 CFR 1910.134(d)(1)(ii)", "", FromMemory}},
	{"tape-skin", "Tape can injure skin. Use tape meant for skin, keep it off eyes and broken skin, take it off slowly, stop at any pain or redness.", own},
	{"breathing", "Sealing and bracing raise breathing resistance. Stop at breathlessness, dizziness or chest pain; people with heart or lung disease ask a clinician first.", own},
	{"no-reliance", "Do not rely on any of this for asbestos, for air that may lack oxygen, for gases and vapours, or for medical care.", own},
	{"local-rules", "Where protection is required by law or at work, follow the local rules and a qualified fit tester; this report does not replace them.", own},
	{"probe", "A respirator that was pierced for a probe is a test piece and is not worn for protection afterwards.",
		Source{"29 CFR 1910.134 Appendix A", "I.C.2(a)", FromMemory}},
}

// Cautions gives the cautions that every report bears, and those about repairs
// and tape only where they were done.
func Cautions(repaired, taped bool) []Caution {
	return slices.DeleteFunc(slices.Clone(cautions), func(c Caution) bool {
		return c.ID == "not-approved" && !repaired || c.ID == "tape-skin" && !taped
	})
}
