package dossier

import (
	"fmt"
	"regexp"
	"strings"

	"telltale/fault"
)

// Claim is a word in a text that no measurement carries.
type Claim struct {
	Word     string `json:"word"` // as written
	Sentence string `json:"sentence"`
	Why      string `json:"why"`
	Instead  string `json:"instead"`
	Refused  bool   `json:"refused"` // false = look again, it may be meant otherwise
}

// rule is one kind of claim without ground.
type rule struct {
	pattern      *regexp.Regexp
	why, instead string
	refused      bool
}

func words(list string) *regexp.Regexp { return regexp.MustCompile(`(?i)\b(?:` + list + `)\b`) }

// rules are the claims that are looked for, in English. What a measurement on a
// face can carry is a figure of one respirator, one wearer and one wearing.
var rules = []rule{
	{words(`(?:un)?safe|safely|safety|safest|safer`), "a fit factor says how much cleaner the air was, not what is safe", "about 1 particle in 9 got in", true},
	{words(`certif(?:y|ies|ied|ication)|approved|compliant|compliance|conform(?:s|ing|ant)?|meets? (?:the )?(?:standard|class|requirements?)`), "that is for a body to say, by the tests of its standard", "consistent with the printed class under our conditions", true},
	{words(`fakes?|faked|counterfeits?|genuine|authentic|scam|fraud(?:ulent)?|forged|forgery|bogus|sham`), "a measurement cannot tell who made it", "the words on it do not agree with each other", true},
	{words(`prov(?:e|es|ed|en|ing)|proof|guarantee[sd]?|guaranteed|definitely|undoubtedly|without (?:a |any )?doubt|for sure|100 ?%(?: sure)?`), "a measurement has an interval and leaves a doubt", "we measured; the interval is", true},
	{words(`protect(?:s|ed|ive|ion|ing)?|prevents?|blocks?|stops?|keeps? out|shields?`), "how a person fares also hangs on the dose, the time and the place", "lets in about 1 particle in 9 on this face", true},
	{words(`(?:virus|covid|corona|germ|smoke|dust|leak|bullet|fool)[- ]?(?:proof|free|tight)|kills?|sterile|disinfect(?:s|ing)?`), "the counter counts particles and does not know what they are", "particles of the room's air", true},
	{words(`everyone|everybody|anyone|all (?:people|faces|wearers|users|adults|children)|every (?:face|wearer|person|one|body)|nobody|no one`), "only the faces that wore it were measured", "on the faces we measured", true},
	{words(`all (?:masks|respirators|specimens|of them)|every (?:mask|respirator|specimen)|always|never`), "only these specimens and wearings were measured", "in each of our wearings", true},
	{words(`dangerous|deadly|lethal|harmless|healthy|cures?|life[- ]?saving|risk[- ]?free|no risk|zero risk`), "nothing about health was measured", "lets in more than", true},
	{words(`worthless|useless|garbage|junk|rubbish|perfect|ideal|flawless|(?:best|worst) (?:masks?|respirators?|filters?|protection)`), "better and worse need a comparison with its interval", "let in less than the other, by a factor of", true},
	{words(`lies|lied|lying|liar|cheat(?:s|ed|ing)?|criminal|illegal(?:ly)?|deceiv(?:e|es|ed|ing)|mislead(?:s|ing)?|dishonest`), "a measurement says nothing of anyone's intent", "the printed class and the figure do not agree", true},
	{words(`tested (?:to|by|against) (?:the )?standard|lab[- ]?tested|laboratory[- ]tested|officially`), "this was not the test of a standard", "measured on a face with a particle counter", true},
	{words(`(?:n|kn|p|r)(?:95|99|100)|ffp[123]`), "a class is what is printed on it; a wearing does not give one", "", false},
	{words(`best|worst|clearly|obviously|significant(?:ly)?|dramatic(?:ally)?|huge|massive`), "give the figure and its interval", "", false},
}

// denial is what before a word turns it into its opposite, or into a supposition: a
// filter which just meets the class is nobody's.
var denial = regexp.MustCompile(`(?i)\b(?:not|no|nothing|neither|nor|cannot|can't|isn't|doesn't|does not|without)\b[^.;:!?]{0,40}$|\bjust $`)

// quoted words are someone else's, such as what is printed on a bag.
var quoted = regexp.MustCompile(`"[^"\n]*"|“[^”\n]*”|«[^»\n]*»`)

var sentenceEnd = regexp.MustCompile(`[.!?]+(?:\s|$)|\n`)

// Claims looks for claims without ground in a text. Words in quotation marks are
// someone else's and pass; a word behind a denial passes.
func Claims(text string) []Claim {
	var out []Claim
	for _, s := range sentences(text) {
		plain := quoted.ReplaceAllStringFunc(s, func(q string) string { return strings.Repeat(" ", len(q)) })
		for _, r := range rules {
			for _, at := range r.pattern.FindAllStringIndex(plain, -1) {
				if denial.MatchString(plain[:at[0]]) {
					continue
				}
				out = append(out, Claim{plain[at[0]:at[1]], s, r.why, r.instead, r.refused})
			}
		}
	}
	return out
}

func sentences(text string) (out []string) {
	begin := 0
	for _, at := range sentenceEnd.FindAllStringIndex(text, -1) {
		if s := strings.TrimSpace(text[begin:at[1]]); s != "" {
			out = append(out, s)
		}
		begin = at[1]
	}
	if s := strings.TrimSpace(text[begin:]); s != "" {
		out = append(out, s)
	}
	return out
}

// refusedIn gives the faults of a text that may not be published.
func refusedIn(text string) error {
	var all fault.List
	for _, c := range Claims(text) {
		if c.Refused {
			all = append(all, &fault.Fault{Code: "E173", What: fmt.Sprintf("the summary says %q (%s): %s", c.Word, short(c.Sentence), c.Why),
				Do: fmt.Sprintf("Say instead: %s.", c.Instead)})
		}
	}
	return all.Or()
}

// Claims looks through the publisher's own words and through the sentences that
// the findings make.
func (d *Draft) Claims() []Claim {
	out := Claims(d.Card.Summary)
	out = append(out, Claims(d.Card.Study)...)
	for _, r := range d.Card.Runs {
		out = append(out, Claims(r.Reason)...)
	}
	for _, r := range d.Findings.Respirators {
		for _, s := range append([]string{r.Headline, r.Subline}, r.MayBeSaid...) {
			out = append(out, Claims(s)...)
		}
	}
	return out
}
