// Package finding answers: what may be said of this respirator?
//
// Of is pure and the only maker of figures that may be published, and of the
// words around them: terminal, page and report print what stands here. It rests
// on the rules of fitfactor, control, attribution, marks and claim, and adds none
// of the trade's own. Its sentences keep to
// words that a measurement carries; dossier.Claims looks for others before anything
// is published.
package finding

import (
	"telltale/reference"
	"telltale/uncertainty"
)

// Format names the shape of findings.json.
const Format = "telltale-findings/1"

// Findings is everything that may be said of a study.
type Findings struct {
	Format      string       `json:"format"`
	Study       Study        `json:"study"`
	Program     Program      `json:"program"`
	Level       float64      `json:"level"`
	Rules       []string     `json:"rules"` // versions of the rules used
	Runs        Runs         `json:"runs"`
	Sessions    []Session    `json:"sessions"`
	Respirators []Respirator `json:"respirators"`
}

// Study is what the figures are of.
type Study struct {
	Title string `json:"title"`
	First string `json:"first,omitempty"` // date of the first wearing, as written
	Last  string `json:"last,omitempty"`
	Faces int    `json:"faces"`
}

// Program says what computed the figures.
type Program struct {
	Name            string `json:"name"`
	Version         string `json:"version"`
	Commit          string `json:"commit"`
	ReferenceDigest string `json:"reference_digest"` // SHA-256 of the embedded reference data
}

// Runs counts what was started, used and left out, so that nobody can pick the
// best of many in silence.
type Runs struct {
	Started  int `json:"started"`
	Used     int `json:"used"`
	Excluded int `json:"excluded"`
	Faulty   int `json:"faulty"`
}

// Session is one counter (or pair of counters) on one day, with its gates.
type Session struct {
	Day      string `json:"day"`
	Counters string `json:"counters"`
	Gates    []Gate `json:"gates"`
}

// Gate is one condition for a decision.
type Gate struct {
	Name   string `json:"name"`
	State  string `json:"state"`  // in order, open, not examined
	Blocks string `json:"blocks"` // what an open gate keeps from being said: decision, fail, nothing
	Text   string `json:"text"`
	Source string `json:"source"`
}

// Respirator is one respirator of the study.
type Respirator struct {
	ID             string             `json:"id"`
	Name           string             `json:"name"`
	Claim          string             `json:"claim"`
	Role           string             `json:"role"`
	Obtained       string             `json:"obtained"`
	Headline       string             `json:"headline"`    // one sentence that answers
	Subline        string             `json:"subline"`     // its interval and conditions
	HeldBack       bool               `json:"held_back"`   // open gates keep every statement back; the numbers are kept
	MayBeSaid      []string           `json:"may_be_said"` // the sentences that may be published
	Configurations []Configuration    `json:"configurations"`
	Attribution    *Attribution       `json:"attribution"`
	ClaimCheck     *ClaimCheck        `json:"claim_check"`
	Marks          *Marks             `json:"marks"`
	Holders        []Holder           `json:"holders"`
	Gates          []Gate             `json:"gates"` // of its sessions, and of single runs where not in order
	Caveats        []string           `json:"caveats"`
	Cautions       []string           `json:"cautions"`
	Sources        []reference.Source `json:"sources"`
}

// Configuration is one way of wearing it: as worn, or with repairs.
type Configuration struct {
	Repairs      []string              `json:"repairs"`
	Name         string                `json:"name"` // as worn, stiffer nose strip, tape at the nose ...
	Wearings     []Wearing             `json:"wearings"`
	Used         int                   `json:"used"` // wearings that enter the figure
	Donnings     int                   `json:"donnings"`
	FitFactor    uncertainty.Estimate  `json:"fit_factor"`
	Penetration  uncertainty.Estimate  `json:"penetration"`
	VersusAsWorn *uncertainty.Estimate `json:"versus_as_worn"`
	OneIn        string                `json:"one_in"` // about 1 particle in 9 gets in
}

// Wearing is one run.
type Wearing struct {
	ID          string               `json:"id"`
	Specimen    string               `json:"specimen"`
	Wearer      string               `json:"wearer"`
	Counters    string               `json:"counters"`
	At          string               `json:"at"`
	Donning     string               `json:"donning"`
	Protocol    string               `json:"protocol"`
	Trace       string               `json:"trace"`
	TraceSHA256 string               `json:"trace_sha256"`
	FitFactor   uncertainty.Estimate `json:"fit_factor"`
	Penetration uncertainty.Estimate `json:"penetration"`
	Decision    *string              `json:"decision"` // pass, conditional_pass, cannot_decide, fail; null without a limit
	Reason      string               `json:"reason"`
	Limit       *Limit               `json:"limit"`
	Exercises   []Exercise           `json:"exercises"`
	Channels    []Channel            `json:"channels"`
	Steps       []Step               `json:"steps"`
	Trimmed     []Span               `json:"trimmed"` // stretches that still held the air before a switch
	Gates       []Gate               `json:"gates"`
	Observed    []string             `json:"observed"`
	Excluded    string               `json:"excluded"` // reason; the run is listed and out of the figures
	LeftOut     string               `json:"left_out"` // reason; the run is listed and out of pooled figures
	Problem     string               `json:"problem"`  // why no figure could be formed
	Caveats     []string             `json:"caveats"`
}

// Limit is what a decision was taken against.
type Limit struct {
	FitFactor float64 `json:"fit_factor"`
	Facepiece string  `json:"facepiece"`
	Rule      string  `json:"rule"`
	Source    string  `json:"source"`
	Decision  string  `json:"decision_rule"`
}

// Exercise is one exercise of a run; InsideCounts is null without a sample flow.
type Exercise struct {
	Name          string               `json:"name"`
	Counted       bool                 `json:"counted"`
	StartS        float64              `json:"start_s"`
	EndS          float64              `json:"end_s"`
	AmbientPerCM3 *float64             `json:"ambient_per_cm3"`
	InsidePerCM3  *float64             `json:"inside_per_cm3"`
	InsideCounts  *float64             `json:"inside_counts"`
	FitFactor     uncertainty.Estimate `json:"fit_factor"`
	RoomChange    float64              `json:"room_change"` // across the exercise, share of the mean
	Inflation     *float64             `json:"variance_over_poisson"`
}

// Channel is one size channel's overall figure.
type Channel struct {
	LowUM        float64              `json:"low_um"`
	HighUM       *float64             `json:"high_um"` // null = all above
	FitFactor    uncertainty.Estimate `json:"fit_factor"`
	InsideCounts *float64             `json:"inside_counts"`
}

// Span is a stretch of a trace, in seconds from its start.
type Span struct {
	StartS float64 `json:"start_s"`
	EndS   float64 `json:"end_s"`
}

// Step is one named step from readings to figure.
type Step struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Attribution is what the ladder says about seal and filter.
type Attribution struct {
	Separable         bool                 `json:"separable"`
	Reason            string               `json:"reason"`
	FilterPenetration uncertainty.Estimate `json:"filter_penetration"`
	SealShare         []SealShare          `json:"seal_share"`
	Zones             []Zone               `json:"zones"`
	NextWearing       *NextWearing         `json:"next_wearing"`
	Text              []string             `json:"text"`
}

// SealShare is the share of what gets in that came past the seal, per
// configuration.
type SealShare struct {
	Repairs  []string             `json:"repairs"`
	Name     string               `json:"name"`
	Share    uncertainty.Estimate `json:"share"`
	Dominant string               `json:"dominant"` // mostly seal, mostly filter, undecided
	Helped   *float64             `json:"chance_it_helped"`
}

// Zone is a share of the leak by place.
type Zone struct {
	Zone  string               `json:"zone"`
	Share uncertainty.Estimate `json:"share"`
}

// NextWearing is the step expected to narrow the open question most.
type NextWearing struct {
	What      string               `json:"what"`
	Text      string               `json:"text"`
	HowMany   int                  `json:"how_many"`
	Narrowing uncertainty.Estimate `json:"narrowing"`
}

// ClaimCheck is whether the printed class can be true, by measurement. Paper is a
// separate answer (Marks).
type ClaimCheck struct {
	Class       string               `json:"class"`
	Verdict     string               `json:"verdict"` // consistent, hard_to_reconcile, inconsistent, cannot_tell
	Text        string               `json:"text"`
	Expected    *Expected            `json:"expected"`
	Measured    uncertainty.Estimate `json:"measured"` // the figure compared: sealed or filter alone
	Ground      []string             `json:"ground"`
	WouldChange []string             `json:"would_change"`
	Rule        string               `json:"rule"`
}

// Expected is the band that a filter which only just meets the class would show.
type Expected struct {
	Low              float64      `json:"low"`
	Central          float64      `json:"central"`
	High             float64      `json:"high"`
	HardBelow        float64      `json:"hard_to_reconcile_below"`
	BetterAbove      float64      `json:"better_than_class_minimum_above"`
	LimitPenetration float64      `json:"limit_penetration"`
	TestFlowLMin     float64      `json:"test_flow_l_min"`
	Ventilation      string       `json:"ventilation"`
	Standard         string       `json:"standard"`
	Narrow           string       `json:"would_narrow_most"`
	Assumptions      []Assumption `json:"assumptions"`
}

// Assumption is one thing the band rests on and how far it moves it.
type Assumption struct {
	Name   string  `json:"name"`
	Text   string  `json:"text"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Source string  `json:"source"`
}

// Marks is what the words on the respirator say.
type Marks struct {
	Summary  string        `json:"summary"` // inconsistent, no_inconsistency_found, not_enough_to_examine
	Text     string        `json:"text"`
	Places   []Place       `json:"places"`
	Claims   []MarkClaim   `json:"claims"`
	Findings []MarkFinding `json:"findings"`
}

// Place is a printed text and where it stands.
type Place struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// MarkClaim is a class that the words claim.
type MarkClaim struct {
	Class  string `json:"class"`
	Regime string `json:"regime"`
	Where  string `json:"where"`
}

// MarkFinding is one thing about the words.
type MarkFinding struct {
	Rule     string  `json:"rule"`
	Severity string  `json:"severity"`
	Text     string  `json:"text"`
	Evidence []Place `json:"evidence"`
	Source   string  `json:"source"`
	State    string  `json:"state"`
	Clears   string  `json:"clears"`

	// NeedsConfirmation: it rests on words that a machine read and nobody has
	// compared with the picture.
	NeedsConfirmation bool `json:"needs_confirmation"`
}

// Holder is a run of the filter alone.
type Holder struct {
	ID              string               `json:"id"`
	Specimen        string               `json:"specimen"`
	FaceVelocityCMS float64              `json:"face_velocity_cm_s"`
	FlowLMin        float64              `json:"flow_l_min"`
	Penetration     uncertainty.Estimate `json:"penetration"`
	Channels        []Channel            `json:"channels"`
	Text            string               `json:"text"`
	Problem         string               `json:"problem"`
}
