package reference

import (
	_ "embed"
	"fmt"
	"sync"
)

//go:embed data/trade-item-prefixes.yaml
var prefixesYAML []byte

// TradeItems is what is known of trade-item numbers (8, 12, 13 or 14 digits under
// bars).
type TradeItems struct {
	Source     Source   `yaml:"source"`      // of the prefixes
	CheckDigit Source   `yaml:"check_digit"` // of the rule of the last digit
	Prefixes   []Prefix `yaml:"prefixes"`
}

// Prefix is a range of first three digits of a 13-digit number and what it says of
// the number, to stand behind "the number is". It says where the number was given
// out, not where the product was made.
type Prefix struct {
	From int    `yaml:"from"`
	To   int    `yaml:"to"`
	Says string `yaml:"says"`
}

// TradeItemNumbers gives the embedded rows; a broken file is a programmer's error.
func TradeItemNumbers() TradeItems { return loadTradeItems() }

var loadTradeItems = sync.OnceValue(func() TradeItems {
	t, err := readTradeItems("data/trade-item-prefixes.yaml", prefixesYAML)
	if err != nil {
		panic("reference: " + err.Error())
	}
	return t
})

// readTradeItems refuses rows that are out of order or overlap, and sources
// without a state.
func readTradeItems(file string, data []byte) (TradeItems, error) {
	var t TradeItems
	if err := decodeStrict(file, data, &t); err != nil {
		return t, err
	}
	for _, s := range []Source{t.Source, t.CheckDigit} {
		if s.Title == "" || !s.State.Valid() {
			return t, fmt.Errorf("%s: a source needs a title and a state", file)
		}
	}
	last := -1
	for _, p := range t.Prefixes {
		if p.From <= last || p.To < p.From || p.To > 999 || p.Says == "" {
			return t, fmt.Errorf("%s: prefixes %d to %d: ranges of three digits in order and what they say are needed", file, p.From, p.To)
		}
		last = p.To
	}
	return t, nil
}
