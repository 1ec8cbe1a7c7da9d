package dossier

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"

	"telltale/fault"
	"telltale/finding"
	"telltale/ledger"
)

// Card says who publishes what, from when, by which rules. It is dossier.json.
type Card struct {
	Format     string          `json:"format"`
	Study      string          `json:"study"`     // the study's title; statements about it share it
	Publisher  string          `json:"publisher"` // as the publisher calls itself
	Key        string          `json:"key"`       // the public key, a line in minisign form
	Published  string          `json:"published"` // the publisher's date, 2026-08-20
	License    License         `json:"license"`
	Disclosure []Obtained      `json:"disclosure"`
	Summary    string          `json:"summary"` // in the publisher's own words; may be empty
	Program    finding.Program `json:"program"`
	Rules      []string        `json:"rules"`
	Level      float64         `json:"level"`
	Runs       []Run           `json:"runs"`     // every run of the study
	Started    []ledger.Record `json:"started"`  // what the ledger says of runs of this study
	Codes      int             `json:"codes"`    // wearers whose name was replaced by a code
	Ledger     string          `json:"ledger"`   // signed checkpoint of the ledger before this dossier; empty without a ledger
	Amends     *Amendment      `json:"amends"`   // null for a first statement
	Withheld   []string        `json:"withheld"` // what was left out by intent, in words
}

// License says what others may do with it.
type License struct {
	Name string `json:"name"`
	Path string `json:"path"`
}

// Obtained is the disclosure line of one respirator.
type Obtained struct {
	Respirator string `json:"respirator"`
	Name       string `json:"name"`
	How        string `json:"how"`
}

// Run is one run that was started.
type Run struct {
	ID         string `json:"id"`
	Respirator string `json:"respirator"`
	At         string `json:"at"`
	State      string `json:"state"` // used, excluded, no figure
	Reason     string `json:"reason"`
}

// Amendment says what a dossier corrects, why, and what changed.
type Amendment struct {
	Manifest string   `json:"manifest"` // digest of the earlier dossier's manifest
	Date     string   `json:"date"`     // of the earlier dossier
	Reason   string   `json:"reason"`
	Changes  []Change `json:"changes"`
}

// Change is one thing that reads differently.
type Change struct {
	Where string `json:"where"` // path in findings.json
	Old   string `json:"old"`   // as JSON; empty when there was nothing
	New   string `json:"new"`
}

// encode writes JSON as all JSON files of a dossier are written.
func encode(v any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		panic("dossier: " + err.Error())
	}
	return b.Bytes()
}

// parseCard reads dossier.json in its one form.
func parseCard(data []byte) (*Card, error) {
	tree, err := parseJSON(cardName, data)
	if err != nil {
		return nil, err
	}
	top, _ := tree.(map[string]any)
	if f, _ := top["format"].(string); f != Format {
		return nil, newer(cardName, f, Format)
	}
	var c Card
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil || !bytes.Equal(encode(c), data) {
		return nil, &fault.Fault{Code: "E157", File: cardName, What: "is not written in its one form", Do: "It was not made by this program, or was changed.", Err: err}
	}
	return &c, nil
}

// newer words a form that this program does not know.
func newer(file, found, known string) error {
	return &fault.Fault{Code: "E158", File: file, What: fmt.Sprintf("its format is %q, this program reads %q", found, known),
		Do: "A newer version of the program may read it."}
}

var dayForm = regexp.MustCompile(`^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$`)

// check refuses a card from which no dossier may be made.
func (c *Card) check() error {
	var all fault.List
	need := func(value, key, do string) {
		if strings.TrimSpace(value) == "" {
			all = append(all, &fault.Fault{Code: "E170", What: key + " is missing", Do: do})
		}
	}
	need(c.Publisher, "the publisher", "Say who publishes: a name or a pen name, with --publisher.")
	need(c.License.Name, "the licence", "Say what others may do with it, with --license, such as CC-BY-4.0.")
	if !dayForm.MatchString(c.Published) {
		all = append(all, &fault.Fault{Code: "E170", What: fmt.Sprintf("the date %q is not a day", c.Published), Do: "Write it as 2026-08-20."})
	}
	for _, o := range c.Disclosure {
		if strings.TrimSpace(o.How) == "" {
			all = append(all, &fault.Fault{Code: "E171", File: "study.yaml", What: fmt.Sprintf("respirator %s does not say how it was obtained", o.Respirator),
				Do: "Write obtained: bought, given or borrowed; readers have a right to know."})
		}
	}
	if c.Amends != nil {
		need(c.Amends.Reason, "the reason of the correction", "Say what was wrong, with --reason.")
	}
	return all.Or()
}
