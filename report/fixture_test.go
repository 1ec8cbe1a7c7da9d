package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"telltale/finding"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// The fixture is invented: makers, models, readings and sentences. Its figures
// are typed in, since a page only has to show what findings hold.

const lab = 0.95

func ff(value, low, high float64) uncertainty.Estimate {
	return uncertainty.New(value, low, high, lab, "wearings scatter evenly on the log scale")
}

func text(s string) *string { return &s }

func ptr(v float64) *float64 { return &v }

func gate(name, state, blocks, words string) finding.Gate {
	return finding.Gate{Name: name, State: state, Blocks: blocks, Text: words, Source: "own rule"}
}

var exerciseNames = []string{"normal breathing", "deep breathing", "head side to side", "head up and down", "talking", "grimace", "bending over", "normal breathing"}

func exercises(centre float64) []finding.Exercise {
	var out []finding.Exercise
	for i, name := range exerciseNames {
		v := centre * (1 + 0.2*math.Sin(float64(i)*1.7))
		from := float64(i * 60)
		out = append(out, finding.Exercise{Name: name, Counted: name != "grimace", StartS: from + 5, EndS: from + 58,
			AmbientPerCM3: ptr(5200), InsidePerCM3: ptr(5200 / v), InsideCounts: ptr(math.Round(5200 / v * 1.67 * 53)),
			FitFactor: ff(v, v*0.82, v*1.2), RoomChange: -0.012 * float64(i%3), Inflation: ptr(1.4 + 0.3*float64(i))})
	}
	return out
}

func wearing(id, at string, centre float64) finding.Wearing {
	return finding.Wearing{ID: id, Specimen: "a", Wearer: "w1", Counters: "c1 + c2", At: at, Donning: "d-" + id, Protocol: "us-8",
		Trace: "traces/" + id + ".csv", TraceSHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
		FitFactor: ff(centre, centre*0.8, centre*1.3), Penetration: ff(centre, centre*0.8, centre*1.3).Inverse(),
		Decision: text("cannot_decide"), Reason: "The interval holds the limit of 100.",
		Limit:     &finding.Limit{FitFactor: 100, Facepiece: "half", Rule: "overall", Source: "29 CFR 1910.134 Appendix A (from memory)", Decision: "overall, guard band"},
		Exercises: exercises(centre), Observed: []string{"felt_leak:nose"},
		Steps: []finding.Step{{Name: "counts", Text: "Readings became counts through the sample flow of 1.67 cm³/s."},
			{Name: "trim", Text: "42 of 960 readings dropped after 14 switches."}, {Name: "overall", Text: "Harmonic mean over 7 counted exercises."}},
		Gates: []finding.Gate{gate("coverage", "in order", "decision", "Every row that was expected was read.")}}
}

func configuration(name string, repairs []string, centre, low, high float64, runs ...finding.Wearing) finding.Configuration {
	e := ff(centre, low, high)
	return finding.Configuration{Name: name, Repairs: repairs, Wearings: runs, Donnings: len(runs), Used: len(runs), FitFactor: e, Penetration: e.Inverse(),
		OneIn: fmt.Sprintf("about 1 particle in %.0f gets in", centre)}
}

func versus(c finding.Configuration, value, low, high float64) finding.Configuration {
	e := ff(value, low, high)
	c.VersusAsWorn = &e
	return c
}

func at(minute int) string {
	return time.Date(2026, 8, 14, 18, minute, 0, 0, time.FixedZone("", 7200)).Format(time.RFC3339)
}

// fold is a respirator with a whole ladder whose filter is known only from above.
func fold() finding.Respirator {
	left := wearing("fold-4", at(32), 12)
	left.Excluded, left.Decision = "the phone rang in the fourth exercise", nil
	none := wearing("fold-9", at(75), 60)
	none.Problem, none.Decision, none.Exercises, none.FitFactor = "the trace lacks an inside reading", nil, nil, uncertainty.NewUnknown(lab, "")
	capped := wearing("fold-8", at(68), 70)
	capped.FitFactor, capped.Decision, capped.Reason = uncertainty.NewAtLeast(61, lab, "room at the top of the counter's range"), text("conditional_pass"), "At least 61 of the limit of 100."
	r := finding.Respirator{ID: "fold", Name: "Marlow Fold", Claim: "FFP2", Role: "test", Obtained: "bought",
		Headline: "As worn, about 1 particle in 9 gets in.", Subline: "Between 1 in 6 and 1 in 13 (95 %), for this wearer and these three wearings.",
		MayBeSaid: []string{"As worn by one wearer, three times, the fit factor was 8.9 (95 % interval 6.1 to 13).",
			"Tape at the nose let in 3.8 times less (2.1 to 6.9).", "Seal and filter cannot be told apart yet: the filter lets in at most 1.7 % (95 %)."},
		Configurations: []finding.Configuration{
			configuration("as worn", nil, 8.9, 6.1, 13, wearing("fold-1", at(5), 7.4), wearing("fold-2", at(14), 9.2), wearing("fold-3", at(23), 10.4), left),
			versus(configuration("stiffer nose strip", []string{"nose_strip"}, 17, 11, 26, wearing("fold-5", at(41), 17)), 1.9, 1.1, 3.3),
			versus(configuration("tape at the nose", []string{"nose_strip", "tape:nose"}, 34, 24, 48, wearing("fold-6", at(50), 34)), 3.8, 2.1, 6.9),
			versus(configuration("tape all round", []string{"tape:all"}, 67, 53, 85, wearing("fold-7", at(59), 67), capped), 7.5, 4.6, 12),
			versus(configuration("tape and brace", []string{"tape:all", "brace"}, 70, 55, 89, none), 7.9, 4.8, 13)},
		Attribution: &finding.Attribution{Reason: "All rungs could still hold a leak that tape did not reach.",
			FilterPenetration: uncertainty.NewAtMost(0.017, lab, "the plateau of the ladder"),
			SealShare: []finding.SealShare{{Name: "as worn", Share: ff(0.87, 0.79, 0.95), Dominant: "mostly seal"},
				{Name: "stiffer nose strip", Share: ff(0.75, 0.6, 0.9), Dominant: "mostly seal", Helped: ptr(0.98)},
				{Name: "tape at the nose", Share: ff(0.51, 0.2, 0.8), Dominant: "undecided"}, {Name: "tape all round", Share: uncertainty.NewUnknown(lab, ""), Dominant: "undecided"}},
			Zones:       []finding.Zone{{Zone: "nose", Share: ff(0.7, 0.5, 0.85)}, {Zone: "cheeks", Share: ff(0.2, 0.05, 0.4)}},
			NextWearing: &finding.NextWearing{What: "holder", Text: "A run of the filter alone in a holder would narrow the filter's share most.", HowMany: 2},
			Text:        []string{"For this wearer the seal lets in 6 to 11 times what the filter does. Tape at the nose alone brings most of the gain."}},
		ClaimCheck: foldClaim(), Marks: foldMarks(),
		Gates:    []finding.Gate{gate("room level", "open", "pass", "The room fell by 31 % within one exercise."), gate("zero check", "not examined", "decision", "No zero check of c2 that day.")},
		Caveats:  []string{"One wearer; another face may get a very different figure."},
		Cautions: []string{"A fit factor belongs to one face, one specimen and one wearing.", "A repaired, taped, braced or otherwise altered respirator is no longer the approved one.", "Where protection is required by law or at work, follow the local rules and a qualified fit tester; this report does not replace them."},
		Sources:  []reference.Source{{Title: "29 CFR 1910.134 Appendix A", Section: "I.C", State: reference.FromMemory}, {Title: "EN 149:2001+A1:2009", Section: "7.9.2", State: reference.Read}}}
	return r
}

func foldClaim() *finding.ClaimCheck {
	return &finding.ClaimCheck{Class: "FFP2", Verdict: "consistent", Text: "The measurement does not contradict the class. It cannot confirm it either: the class is tested at 95 litres a minute with salt and oil.",
		Measured: ff(70, 55, 89), Ground: []string{"The best sealed figure, 70 (55 to 89), lies above the band's upper end of 50.", "No run of the filter alone was made."},
		WouldChange: []string{"A run of the filter alone below a fit factor of 7."}, Rule: "claim/1",
		Expected: &finding.Expected{Low: 7, Central: 18, High: 50, HardBelow: 5.2, BetterAbove: 64, LimitPenetration: 0.06, TestFlowLMin: 95,
			Ventilation: "20 to 40 litres a minute", Standard: "EN 149:2001+A1:2009", Narrow: "the breathing flow",
			Assumptions: []finding.Assumption{{Name: "temperature", Text: "15 to 30 °C", Low: 17.2, High: 18.9, Source: "own rule"},
				{Name: "breathing flow", Text: "mean use of 20 to 40 L/min", Low: 9.5, High: 33, Source: "ISO/TS 16976-1 (from memory)"},
				{Name: "room aerosol", Text: "median 40 to 120 nm", Low: 12, High: 29, Source: "a measured distribution (read)"},
				{Name: "medium", Text: "charge decays with load", Low: 8.4, High: 41, Source: "own rule"}}}}
}

func foldMarks() *finding.Marks {
	return &finding.Marks{Summary: "inconsistent", Text: "The certificate names another country's standard than the respirator; a notified body's number is missing on the pouch.",
		Places: []finding.Place{{Where: "facepiece", Text: "MARLOW FOLD M2 FFP2 NR EN 149:2001+A1:2009 CE 0000"}, {Where: "strap", Text: "LOT 2403"},
			{Where: "pouch", Text: "Marlow Fold particle respirator FFP2 NR. 5 pcs. Filter efficiency ≥ 94 %"},
			{Where: "leaflet", Text: "Read before use. Not for gases and vapours. Press the nose strip to the nose with both hands and breathe out hard to look for leaks. Discard after one shift. Keep between -5 and 40 °C at less than 80 % humidity, away from sun."},
			{Where: "certificate", Text: "Certificate of test. Respirator M2. GB 2626-2019 KN95. Holder: Fernhill Trading"}, {Where: "listing", Text: "FFP2 mask, medical grade, 50 pieces"}},
		Claims: []finding.MarkClaim{{Class: "FFP2", Regime: "EN 149", Where: "facepiece"}, {Class: "KN95", Regime: "GB 2626", Where: "certificate"}},
		Findings: []finding.MarkFinding{{Rule: "M12", Severity: "missing", Text: "No body's number follows the CE mark on the pouch.", Evidence: []finding.Place{{Where: "pouch", Text: "FFP2 NR. 5 pcs."}}, Source: "Regulation (EU) 2016/425, article 17", State: "from memory", Clears: "A photo of the rest of the pouch."},
			{Rule: "M03", Severity: "contradiction", Text: "The certificate is for another country's standard than the one printed on the respirator.",
				Evidence: []finding.Place{{Where: "certificate", Text: "GB 2626-2019 KN95"}, {Where: "facepiece", Text: "EN 149:2001+A1:2009"}}, Source: "EN 149:2001+A1:2009, 9.2", State: "read", Clears: "A certificate to EN 149 by the body named on the facepiece."},
			{Rule: "M31", Severity: "note", Text: "“Medical grade” is no class of EN 149.", Evidence: []finding.Place{{Where: "listing", Text: "medical grade"}}, Source: "own rule", State: "own rule"}}}
}

// cup is a respirator whose seal and filter are told apart by a holder run.
func cup() finding.Respirator {
	zeros := wearing("cup-2", at(95), 800)
	zeros.FitFactor, zeros.Penetration = uncertainty.NewAtLeast(742, lab, "no count inside"), uncertainty.NewAtMost(1/742.0, lab, "no count inside")
	zeros.Decision, zeros.Reason = text("pass"), "The lower bound lies above the limit."
	taped := configuration("tape all round", []string{"tape:all"}, 1, 1, 1, zeros)
	taped.FitFactor, taped.Penetration, taped.OneIn = zeros.FitFactor, zeros.Penetration, "at most 1 particle in 742 gets in"
	return finding.Respirator{ID: "cup", Name: "Saltmarket Cup 40", Claim: "KF94", Role: "test", Obtained: "given",
		Headline: "As worn, about 1 particle in 140 gets in.", Subline: "Between 1 in 105 and 1 in 190 (95 %).",
		MayBeSaid:      []string{"As worn the fit factor was 140 (95 % interval 105 to 190)."},
		Configurations: []finding.Configuration{configuration("as worn", nil, 140, 105, 190, wearing("cup-1", at(86), 140)), taped},
		Attribution: &finding.Attribution{Separable: true, Reason: "The filter alone was run in a holder.", FilterPenetration: ff(0.004, 0.003, 0.0052),
			SealShare: []finding.SealShare{{Name: "as worn", Share: ff(0.44, 0.2, 0.6), Dominant: "undecided"}, {Name: "tape all round", Share: ff(0.02, 0, 0.1), Dominant: "mostly filter"}}},
		Holders: []finding.Holder{{ID: "h1", Specimen: "b", FaceVelocityCMS: 3.1, FlowLMin: 30, Penetration: ff(0.004, 0.003, 0.0052), Text: "At 3.1 cm/s; the class test is run faster and with other particles.",
			Channels: []finding.Channel{{LowUM: 0.3, HighUM: ptr(0.5), FitFactor: ff(240, 190, 320), InsideCounts: ptr(410)}, {LowUM: 0.5, FitFactor: uncertainty.NewAtLeast(900, lab, ""), InsideCounts: ptr(0)}}},
			{ID: "h2", Specimen: "c", FlowLMin: 30, Penetration: uncertainty.NewUnknown(lab, ""), Problem: "no area was stated"}}}
}

// bare has no wearing that can be used, and no more.
func bare() finding.Respirator {
	w := wearing("plain-1", at(104), 3)
	w.FitFactor, w.Penetration = uncertainty.NewUnknown(lab, ""), uncertainty.NewUnknown(lab, "")
	w.Excluded, w.Exercises, w.Decision, w.Limit = "the probe fell off", nil, nil, nil
	c := configuration("as worn", nil, 3, 2, 4, w)
	c.FitFactor, c.Penetration, c.OneIn, c.Donnings = w.FitFactor, w.Penetration, "cannot tell", 0
	return finding.Respirator{ID: "plain", Name: "Plain Disc with a Name That Goes On and On, Special Edition for the Saltmarket Tool Library", Claim: "", Role: "test", Obtained: "borrowed",
		Headline: "Cannot tell what gets in: no wearing could be used.", Configurations: []finding.Configuration{c},
		Gates: []finding.Gate{gate("wearings", "open", "decision", "The only run was left out.")}}
}

func known() finding.Respirator {
	w := wearing("ref-1", at(1), 260)
	w.Decision, w.Limit, w.Reason = nil, nil, "A reference run is not decided."
	return finding.Respirator{ID: "ref", Name: "The known good one", Claim: "FFP3", Role: "reference", Obtained: "bought",
		Headline: "The reference respirator read 260 (usual range 190 to 360).", Configurations: []finding.Configuration{configuration("as worn", nil, 260, 210, 320, w)}}
}

func fixture() *finding.Findings {
	return &finding.Findings{Format: finding.Format, Level: lab, Rules: []string{"fitfactor/1", "claim/1"},
		Study:   finding.Study{Title: "Saltmarket tool library, before smoke season", First: "2026-08-14", Last: "2026-08-15", Faces: 1},
		Program: finding.Program{Name: "telltale", Version: "0.1.0", Commit: "0123abc", ReferenceDigest: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		Runs:    finding.Runs{Started: 13, Used: 10, Excluded: 2, Faulty: 1},
		Sessions: []finding.Session{{Day: "2026-08-14", Counters: "c1 + c2", Gates: []finding.Gate{gate("reference respirator", "in order", "decision", "It read 260; its usual range is 190 to 360."),
			gate("zero check", "not examined", "decision", "No zero check of c2 that day."), gate("room level", "open", "pass", "The room fell by 31 % within one exercise.")}},
			{Day: "2026-08-15", Counters: "c1"}},
		Respirators: []finding.Respirator{fold(), cup(), bare(), known()}}
}

// recorded makes the study that belongs to the findings, with a trace a wearing.
func recorded(f *finding.Findings) *record.Study {
	s := &record.Study{Title: f.Study.Title, Counters: []record.Counter{{ID: "c1", Top: 8000}, {ID: "c2"}},
		Respirators: []record.Respirator{{ID: "ref", Expected: record.Range{Low: 190, High: 360}}},
		Checks:      []record.Check{{Kind: record.Zero, Counters: []string{"c1"}, At: time.Date(2026, 8, 14, 17, 40, 0, 0, time.FixedZone("", 7200))}}}
	n := 0
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				n++
				s.Wearings = append(s.Wearings, record.Wearing{ID: w.ID, Respirator: r.ID, Ambient: "c1", Inside: "c2", Trace: trace(uint64(n), w, n%4 == 3)})
			}
		}
	}
	return s
}

// trace is 8 minutes at 1 Hz, of two counters or of one with a switched line.
func trace(seed uint64, w finding.Wearing, switched bool) *record.Trace {
	rnd := rand.New(rand.NewPCG(seed, 7))
	centre := w.FitFactor.Value
	if math.IsNaN(centre) {
		centre = 60
	}
	t := &record.Trace{Switched: switched}
	for i := range 480 {
		room := 5200 * math.Exp(-float64(i)/4000) * (1 + 0.03*rnd.NormFloat64())
		inside := room / centre * (1 + 0.35*math.Sin(float64(i)*1.6) + 0.1*rnd.NormFloat64())
		if switched {
			switch phase := i % 60; {
			case phase < 12:
				inside = math.NaN()
				t.Sampling = append(t.Sampling, record.Ambient)
			case phase < 18:
				room, inside = math.NaN(), math.NaN()
				t.Sampling = append(t.Sampling, record.Purge)
			default:
				room = math.NaN()
				t.Sampling = append(t.Sampling, record.Inside)
			}
		}
		if !switched && i > 200 && i < 215 {
			room = math.NaN()
		}
		t.TimeS = append(t.TimeS, float64(i))
		t.Ambient, t.Inside = append(t.Ambient, room), append(t.Inside, math.Max(0, math.Round(inside)))
	}
	t.Overload = []record.Overload{{Row: 202, Air: record.Ambient, Word: "OVER"}}
	return t
}
