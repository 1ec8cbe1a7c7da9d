package medium

import "telltale/reference"

// Published is a filter penetration that someone measured, to set beside one's own.
// It is what media were seen to do, never a limit.
type Published struct {
	Device    string
	Condition string
	Low, High float64 // share, 0 to 1; Low 0 = only an upper value is stated
	// FlowLow and FlowHigh are the flows of the test through the whole device in L/min;
	// 0 = not stated.
	FlowLow, FlowHigh float64
	Source            reference.Source
}

// PublishedPenetrations are the published values known here.
func PublishedPenetrations() []Published {
	read := func(title, section string) reference.Source {
		return reference.Source{Title: title, Section: section, State: reference.Read}
	}
	r2009 := read("Rengasamy, Eimer and Shaffer 2009, N95, P100, FFP2 and FFP3 at most penetrating sizes", "abstract")
	photometric, worst := "polydisperse salt, mass median 0.238 um, photometer", "single sizes at the most penetrating, 0.03-0.06 um"
	ce := read("Size-resolved penetration of filtering materials from CE-marked respirators", "abstract; cut pieces, neutralised")
	worstCut := "most penetrating size, cut pieces"
	return []Published{
		{"N95 (2 models)", photometric, 0, 0.01, 85, 85, r2009},
		{"N95 (2 models)", worst, 0, 0.0428, 85, 85, r2009},
		{"FFP2 (2 models)", photometric, 0, 0.01, 85, 85, r2009},
		{"FFP2 (2 models)", worst, 0, 0.0222, 85, 85, r2009},
		{"FFP3 (2 models)", photometric, 0, 0.0003, 85, 85, r2009},
		{"FFP3 (2 models)", worst, 0, 0.00164, 85, 85, r2009},
		{"P100 (2 models)", photometric, 0, 0.0003, 85, 85, r2009},
		{"P100 (2 models)", worst, 0, 0.00009, 85, 85, r2009},
		{"FFP1 (CE-marked)", worstCut, 0.032, 0.163, 0, 0, ce},
		{"FFP2 (CE-marked)", worstCut, 0.024, 0.343, 0, 0, ce},
		{"FFP3 (CE-marked)", worstCut, 0.0002, 0.033, 0, 0, ce},
		{"FFP2 (1 model)", "most penetrating size 0.065 um", 0.055, 0.055, 0, 0, read("PMC10474009", "table 1 and text")},
		{"FFP2 (1 model)", "salt 0.075/1.86 weighed by mass", 0.015, 0.015, 0, 0, read("PMC10474009", "table 1 and text")},
		{"N95 (9 models)", "salt as in 42 CFR 84", 0.0032, 0.0185, 85, 85, read("Rengasamy et al. 2016, comparison of test methods", "abstract")},
		{"surgical masks (3 models)", "salt as in 42 CFR 84", 0.116, 0.453, 85, 85, read("Rengasamy et al. 2016, comparison of test methods", "abstract")},
		{"N95-class respirator", "spheres of 1.05 um, breathing manikin", 0.0007, 0.0012, 15, 85, read("Cho et al. 2013, J Occup Environ Hyg 10:109", "abstract; mean inspiratory flow")},
	}
}
