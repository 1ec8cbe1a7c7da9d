package simulate

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"go.yaml.in/yaml/v3"
)

func TestEveryScenarioIsWrittenWhole(t *testing.T) {
	for _, sc := range Scenarios() {
		files, study, truth := Study(1, sc)
		if err := fstest.TestFS(files, files.Names()...); err != nil {
			t.Errorf("%s: %v", sc.Name, err)
		}
		text := string(files["study.yaml"])
		for _, w := range study.Wearings {
			if files[w.Trace.Name] == nil || !strings.Contains(text, `trace: "`+w.Trace.Name+`"`) {
				t.Errorf("%s: %s has no file or is not in study.yaml", sc.Name, w.ID)
			}
			if v := truth.Wearings[w.ID]; !(v.FitFactor > 1) || v.SealShare < 0 || v.SealShare > 1 {
				t.Errorf("%s: %s: truth %+v", sc.Name, w.ID, v)
			}
			if strings.Contains(text, fmt.Sprint(truth.Wearings[w.ID].FitFactor)) {
				t.Errorf("%s: the truth stands in the study", sc.Name)
			}
		}
		if !json.Valid(truth.JSON()) {
			t.Errorf("%s: truth is no JSON", sc.Name)
		}
		if testing.Verbose() {
			t.Log(sc.Name)
			for _, w := range study.Wearings {
				v := truth.Wearings[w.ID]
				t.Logf("  %-12s FF %8.1f sealed %8.1f seal share %.2f  read %.1f", w.ID, v.FitFactor, v.SealedFitFactor, v.SealShare, mean(w.Trace.Ambient)/mean(w.Trace.Inside))
			}
		}
	}
}

func TestEveryFileIsWhatItsFormatAsks(t *testing.T) {
	for _, sc := range Scenarios() {
		files, _, _ := Study(4, sc)
		for _, name := range files.Names() {
			if !strings.HasSuffix(name, ".csv") {
				continue
			}
			r := csv.NewReader(bytes.NewReader(files[name]))
			r.Comment = '#'
			rows, err := r.ReadAll() // refuses rows of unequal length
			if err != nil || len(rows) < 60 {
				t.Errorf("%s: %s: %d rows, %v", sc.Name, name, len(rows), err)
			}
		}
		var study struct {
			Format                                   string
			Title                                    string
			Wearers, Counters, Respirators, Wearings []map[string]any
			Checks, Holders                          []map[string]any
		}
		dec := yaml.NewDecoder(bytes.NewReader(files["study.yaml"]))
		dec.KnownFields(true)
		if err := dec.Decode(&study); err != nil || study.Format != "telltale-study/1" || len(study.Wearings) != len(sc.Wearings) || len(study.Checks) != len(sc.Checks) {
			t.Errorf("%s: study.yaml: %v", sc.Name, err)
		}
		if v, ok := study.Counters[0]["flow_cm3_s"]; !ok || v != float64(sc.Counters[0].Flow) && v != int(sc.Counters[0].Flow) {
			t.Errorf("%s: flow %v", sc.Name, v)
		}
	}
}

func TestTheManualListsEveryScenario(t *testing.T) {
	manual, err := os.ReadFile("../docs/simulate.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, sc := range Scenarios() {
		if row := "| " + sc.Name + " | " + sc.About + " |"; !strings.Contains(string(manual), row) {
			t.Errorf("docs/simulate.md has no row %q", row)
		}
	}
}

func TestOneSeedIsOneStudy(t *testing.T) {
	sc, ok := ScenarioByName("both")
	if !ok {
		t.Fatal("no scenario both")
	}
	a, _, _ := Study(3, sc)
	b, _, _ := Study(3, sc)
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

func TestTheScenariosAreWhatTheySay(t *testing.T) {
	get := func(name string) (Files, map[string]Truth, func(id string) float64) {
		sc, ok := ScenarioByName(name)
		if !ok {
			t.Fatalf("no scenario %s", name)
		}
		files, study, truth := Study(2, sc)
		return files, truth.Wearings, func(id string) float64 {
			w, ok := study.Wearing(id)
			if !ok {
				t.Fatalf("%s has no wearing %s", name, id)
			}
			return mean(w.Trace.Ambient) / mean(w.Trace.Inside)
		}
	}
	if _, truth, _ := get("leaky-nose-good-filter"); truth["m1-worn-1"].SealShare < 0.8 || truth["m1-nose-1"].FitFactor < 3*truth["m1-worn-1"].FitFactor {
		t.Errorf("leaky nose: %+v", truth["m1-worn-1"])
	}
	if _, truth, _ := get("good-seal-weak-filter"); truth["m1-worn-1"].SealShare > 0.2 || truth["m1-all-1"].FitFactor > 1.2*truth["m1-worn-1"].FitFactor {
		t.Errorf("weak filter: %+v", truth["m1-worn-1"])
	}
	if _, truth, _ := get("repair-that-harms"); truth["m1-strip-1"].FitFactor > truth["m1-worn-1"].FitFactor {
		t.Errorf("harm: %+v", truth["m1-strip-1"])
	}
	if _, truth, read := get("bad-day"); truth["ref-1"].FitFactor < 180 || read("ref-1") > 100 {
		t.Errorf("bad day: truth %g, read %g", truth["ref-1"].FitFactor, read("ref-1"))
	}
	if _, _, read := get("zero-counts"); !math.IsInf(read("m1-worn-1"), 1) {
		t.Errorf("zero counts: read %g", read("m1-worn-1"))
	}
	files, _, _ := get("capped-counter")
	if !bytes.Contains(files["traces/m1-worn-1.csv"], []byte(",OVER,")) && !bytes.Contains(files["traces/m1-worn-2.csv"], []byte(",OVER,")) {
		t.Error("capped: no file says OVER")
	}
	if !bytes.Contains(files["traces/ref-1.csv"], []byte(",100000,")) {
		t.Error("capped: no file is clipped")
	}
}

func TestYAMLNumbersReadTheSameEverywhere(t *testing.T) {
	for v, want := range map[float64]string{4e-7: "4.0e-7", 1.67: "1.67", 100000: "100000", 0.02: "0.02", 3.5e-7: "3.5e-7"} {
		if got := figure(v); got != want {
			t.Errorf("%g: %s, want %s", v, got, want)
		}
	}
}
