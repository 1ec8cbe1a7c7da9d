//go:build js && wasm

// Command checkpage is the verifier as a part of a web page: the same code that
// telltale verify runs, compiled for browsers. The page hands it the bytes of a
// dossier that a person chose; nothing is sent anywhere. It assumes the names that
// page/index.html uses, and refuses what dossier.Verify refuses.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"syscall/js"

	"telltale/dossier"
	"telltale/finding"
	"telltale/ledger"
	"telltale/report"
)

// version and commit are set by the build, as in cmd/telltale.
var (
	version = "0.1.0"
	commit  = "unknown"
)

// result is what the page shows.
type result struct {
	Error    string           `json:"error"`
	Manifest string           `json:"manifest"`
	Study    string           `json:"study"`
	By       string           `json:"by"`
	Answers  []dossier.Answer `json:"answers"`
	Page     string           `json:"page"` // the report as recomputed here
}

func main() {
	js.Global().Set("telltaleVerify", js.FuncOf(func(_ js.Value, args []js.Value) any {
		text, err := json.Marshal(verify(bytesOf(args, 0), bytesOf(args, 1)))
		if err != nil {
			return `{"error":"the answers could not be written"}`
		}
		return string(text)
	}))
	select {} // the page calls for as long as it is open
}

// bytesOf takes the bytes of an argument, nil when it is left out.
func bytesOf(args []js.Value, i int) []byte {
	if i >= len(args) || !args[i].Truthy() {
		return nil
	}
	data := make([]byte, args[i].Get("length").Int())
	js.CopyBytesToGo(data, args[i])
	return data
}

func verify(archive, book []byte) (r result) {
	defer func() {
		if p := recover(); p != nil {
			r = result{Error: fmt.Sprintf("a fault of the program: %v", p)}
		}
	}()
	reader := dossier.Reader{Maker: dossier.Maker{Program: finding.Program{Name: "telltale", Version: version, Commit: commit}, Page: report.HTML}}
	if book != nil {
		l, err := ledger.Read(book)
		if err != nil {
			return result{Error: err.Error()}
		}
		reader.Ledger = l
	}
	v, err := dossier.Verify(archive, reader)
	if err != nil {
		return result{Error: err.Error()}
	}
	r = result{Manifest: v.Manifest, Answers: v.Answers()}
	if v.Card != nil {
		r.Study, r.By = v.Card.Study, v.Card.Publisher+", "+v.Card.Published
	}
	if v.Findings != nil {
		var page bytes.Buffer
		if err := report.HTML(&page, v.Findings, v.Study); err == nil {
			r.Page = page.String()
		}
	}
	return r
}
