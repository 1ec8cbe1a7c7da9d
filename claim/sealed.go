package claim

import (
	"slices"
	"strings"

	"telltale/record"
)

// taped are the zones that together make tape all round.
var taped = []string{"nose", "cheeks", "chin"}

// SealedConfiguration decides whether repairs seal a respirator as well as could be
// done on a face, and words how. Only tape all round does: tape for the zone all,
// tape without a zone (which means all), or tape at nose, cheeks and chin together.
// A brace, a nose strip or a strap clip presses harder but closes no gap by itself,
// so without the tape it does not count, and with it it is only named. Sealed as
// well as could is not yet sealed: that takes a demonstration.
func SealedConfiguration(repairs []record.Repair) (sealed bool, words string) {
	zones := map[string]bool{}
	var others []string
	for _, r := range repairs {
		if r.Word == "tape" {
			zones[r.Zone] = true
			continue
		}
		others = append(others, strings.ReplaceAll(r.Word, "_", " "))
	}
	parts := slices.DeleteFunc(slices.Clone(taped), func(zone string) bool { return !zones[zone] })
	switch {
	case zones["all"] || zones[""]:
		sealed, words = true, "tape all round"
	case len(parts) == len(taped):
		sealed, words = true, "tape at nose, cheeks and chin"
	case len(parts) > 0:
		words = "tape at " + strings.Join(parts, " and ") + " only"
	case len(zones) > 0:
		words = "tape in places only"
	case len(others) == 0:
		return false, "as worn"
	default:
		words = "no tape"
	}
	if len(others) > 0 {
		words += ", with " + strings.Join(others, " and ")
	}
	return sealed, words
}
