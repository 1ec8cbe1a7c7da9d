package marks

import (
	"regexp"
	"strings"
)

// A word is a mention, not a claim, where the text denies it, compares with it or
// advises another product. The guards look at the clause the word stands in, no
// further than a sentence's end.

// filler are the words that may stand between a denial or comparison and the word.
// A comma ends the phrase unless it follows another class ("not an N95, KN95 or FFP2").
const filler = `(?:[\s/&("'-]+(?:a|an|the|any|been|yet|currently|meets?|met|conforms?|comply|compliant|with|to|as|of|or|and|be|is|are|considered|certified|approved|cleared|rated|tested|` +
	`equivalent|substitute|replacement|replace|intended|suitable|designed|meant|recommended|use|used|for|from|by|under|per|in|according|niosh|fda|osha|requirements?|standards?|respirators?|masks?|grade|level|class|` +
	`ein|eine|einen|einer|keine?|der|die|das|und|oder|un|une|una|um|uma|unos|el|la|le|les|os|o|y|e|ou|de|que|es|é|est|ist|sind|são|sont|` +
	`[A-Z]{1,4}-?\d{1,3},?))*?[\s/&("'-]*$`

var (
	denied  = regexp.MustCompile(`(?i)(?:\b(?:not|isn't|isnt|doesn't|aren't|cannot|never|neither|nor|without|kein|keine|nicht|pas|aucune?|nao|não|no es|no son|sin|sem|ohne|sans)\b|\bnon\b|(?:^|[,(]\s*|\b(?:is|are|has|have|with)\s+)no\b)` + filler)
	likened = regexp.MustCompile(`(?i)\b(?:compared? (?:to|with)|comparable (?:to|with)|similar to|equivalent (?:to|of)|equal to|better than|superior to|alternatives? (?:to|for)|` +
		`replaces?|instead of|unlike|versus|vs\.?|same as|as good as|like|exceeds?|vergleichbar mit|wie|comme|similaire à|similar al?|equivalente al?)` + filler + `|(?i)(?:ähnlich(?: wie)?|équivalente? à)` + filler)
	advised = regexp.MustCompile(`(?i)\b(?:use|wear|choose|select|need|needs|requires?|switch to|upgrade to|recommend|recommends|go for|see your) (?:a|an|the|only)(?: certified| approved| fitted)?` + filler)
	styled  = regexp.MustCompile(`(?i)^["')]*[\s-]?(?:style|like|type (?:mask|look)|look|equivalent|alternative|comparable|similar|inspired|grade equivalent|substitute|replacement filters? not)\b`)
	rated   = regexp.MustCompile(`^\s?(?:相当|同等|级别相当|수준|동급|상당)`)
	after   = regexp.MustCompile(`(?i)^[^.\n!?;]{0,20}?(?:ではありません|ではない|아님|아닙니다|不是|\bnot included\b|\b(?:sold|available) separately\b)`)
	disown  = regexp.MustCompile(`(?i)^\s+(?:has|have|does|do|did|is|was)(?:\s+not|n't)\b`)
	before  = regexp.MustCompile(`(?:不是|非|不符合|不属于|無|没有)\s*$`)
)

// mention says whether the word at start..end of the text is only mentioned.
func mention(text string, start, end int) bool {
	from := max(0, start-90)
	clause := text[from:start]
	if i := strings.LastIndexAny(clause, ".\n;!?"); i >= 0 {
		clause = broken(clause, i)
	}
	rest := text[end:min(len(text), end+60)]
	return denied.MatchString(clause) || likened.MatchString(clause) || advised.MatchString(clause) ||
		before.MatchString(clause) || styled.MatchString(rest) || rated.MatchString(rest) || after.MatchString(rest)
}

// disowned says whether the text goes on to say that the office has not done so
// ("NIOSH has not approved this mask").
func disowned(text string, end int) bool {
	return disown.MatchString(text[end:min(len(text), end+30)])
}

// broken cuts a clause after a sentence's end; a line break alone ends no clause
// whose last words still deny ("this is not\nan N95").
func broken(clause string, i int) string {
	tail := clause[i+1:]
	if clause[i] == '\n' && openEnd.MatchString(clause[:i]) {
		if k := strings.LastIndexAny(clause[:i], ".\n;!?"); k >= 0 {
			return clause[k+1:i] + " " + tail
		}
		return clause[:i] + " " + tail
	}
	return tail
}

// openEnd finds a line that ends in the middle of a phrase.
var openEnd = regexp.MustCompile(`(?i)\b(?:not|a|an|the|to|no|with|as|meet|of|or|than)\s*$`)

var (
	codeBefore = regexp.MustCompile(`(?i)\b(?:model|modell|style|ref|item|art|article|part|no|nr|sku|size|sizes|code|lot|batch|cat|page|pg|fig|room|gate|road|route)\b[\s.:#-]*(?:no|nr|number)?[\s.:#]*$`)
	codeAfter  = regexp.MustCompile(`(?i)^\s*(?:road|rd\b|street|st\b|avenue|highway|sizes?\b|size\b)`)
	figure     = regexp.MustCompile(`^(?:[.,]\d|\s?%|°|\s?(?:mm|cm|ml|kg|pcs)\b)`)
)

// code says whether a word that looks like a class is a model code, a size or a
// place instead.
func code(text string, start, end int) bool {
	return codeBefore.MatchString(text[max(0, start-30):start]) || codeAfter.MatchString(text[end:min(len(text), end+20)])
}

// number says whether the word is part of a figure.
func number(text string, end int) bool {
	return figure.MatchString(text[end:min(len(text), end+6)])
}
