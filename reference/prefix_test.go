package reference

import (
	"strings"
	"testing"
)

func TestThePrefixesOfTradeItemNumbersStandInOrder(t *testing.T) {
	items := TradeItemNumbers()
	if len(items.Prefixes) < 40 || items.Source.State != FromMemory || items.CheckDigit.State != FromMemory {
		t.Errorf("%d prefixes; sources %v, %v", len(items.Prefixes), items.Source, items.CheckDigit)
	}
}

func TestAFaultyFileOfPrefixesIsRefused(t *testing.T) {
	const head = "source: {title: a, state: read}\ncheck_digit: {title: a, state: read}\n"
	for name, text := range map[string]string{
		"overlap":     head + "prefixes: [{from: 1, to: 5, says: x}, {from: 5, to: 6, says: y}]\n",
		"four digits": head + "prefixes: [{from: 1, to: 1000, says: x}]\n",
		"silent":      head + "prefixes: [{from: 1, to: 5}]\n",
		"unknown key": head + "prefixes: [{from: 1, to: 5, say: x}]\n",
		"no state":    strings.Replace(head, "state: read", "state: seen", 1) + "prefixes: [{from: 1, to: 5, says: x}]\n",
	} {
		if _, err := readTradeItems("x.yaml", []byte(text)); err == nil {
			t.Errorf("%s: no fault", name)
		}
	}
}
