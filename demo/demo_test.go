package demo

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"

	"telltale/record"
)

func TestTheDemoIsSmallAndQuick(t *testing.T) {
	start := time.Now()
	files, study, _ := Study(Seed)
	took := time.Since(start)
	t.Logf("%d wearings, %d files, %d bytes, %v", len(study.Wearings), len(files), files.Bytes(), took)
	if n := len(study.Wearings); n < 30 || n > 44 {
		t.Errorf("%d wearings", n)
	}
	if files.Bytes() > 3<<20 {
		t.Errorf("%d bytes", files.Bytes())
	}
	if took > 3*time.Second { // a slow machine under load; 0.1 s when idle
		t.Errorf("took %v", took)
	}
}

func TestTheDemoIsTheSameEachTime(t *testing.T) {
	a, b := Files(Seed), Files(Seed)
	for _, name := range a.Names() {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs", name)
		}
	}
	if bytes.Equal(a["traces/fold-1.csv"], Files(Seed + 1)["traces/fold-1.csv"]) {
		t.Error("another seed gives the same trace")
	}
}

// read is room over mask over the whole file, a rough look.
func read(t *testing.T, s *record.Study, id string) float64 {
	t.Helper()
	w, ok := s.Wearing(id)
	if !ok {
		t.Fatalf("no wearing %s", id)
	}
	var sum, n [2]float64
	for i := range w.Trace.Rows() {
		for k, v := range []float64{w.Trace.Ambient[i], w.Trace.Inside[i]} {
			if !math.IsNaN(v) && w.Trace.Sampling[i] != record.Purge {
				sum[k] += v
				n[k]++
			}
		}
	}
	return sum[0] / n[0] / (sum[1] / n[1])
}

func TestTheDemoTellsItsStory(t *testing.T) {
	for _, seed := range []uint64{Seed, 1, 2, 3} {
		_, study, truth := Study(seed)
		if testing.Verbose() {
			for _, w := range study.Wearings {
				v := truth.Wearings[w.ID]
				t.Logf("%-9s %-8s %-38v FF %8.1f seal share %.2f, read %.1f", w.ID, w.At.Format("01-02 15:04"), w.Repairs, v.FitFactor, v.SealShare, read(t, study, w.ID))
			}
			t.Log(truth.Holders)
		}
		ff := func(id string) float64 { return truth.Wearings[id].FitFactor }
		for i := 1; i <= 15; i += 5 {
			if names := []string{"fold-1", "fold-6", "fold-11"}; ff(names[i/5]) > 70 {
				t.Errorf("seed %d: %s is too good as worn: %g", seed, names[i/5], ff(names[i/5]))
			}
		}
		if ff("fold-4") < 2.5*ff("fold-1") || ff("fold-9") < 2.5*ff("fold-6") {
			t.Errorf("seed %d: the ladder does not help", seed)
		}
		if ff("wren-4") > 8 || truth.Wearings["wren-4"].SealShare > 0.05 {
			t.Errorf("seed %d: the weak filter is not: %+v", seed, truth.Wearings["wren-4"])
		}
		if ff("plain-1") < 100 || ff("loop-3") > 20 {
			t.Errorf("seed %d: plain %g, loop %g", seed, ff("plain-1"), ff("loop-3"))
		}
		for id, bad := range map[string]bool{"ref-1": false, "ref-2": true, "ref-3": false} {
			if got := read(t, study, id); got < 120 != bad {
				t.Errorf("seed %d: %s reads %g", seed, id, got)
			}
		}
		for _, id := range []string{"dome-1", "dome-2", "dome-3"} {
			w, _ := study.Wearing(id)
			for i, v := range w.Trace.Inside {
				if v > 0 && w.Trace.Sampling[i] == record.Inside {
					t.Errorf("seed %d: %s counts %g inside at row %d", seed, id, v, i)
				}
			}
		}
	}
}

func TestThePapersGoWithTheRespirators(t *testing.T) {
	files, study, _ := Study(Seed)
	for _, r := range study.Respirators {
		if r.Role == record.Reference {
			continue
		}
		paper := string(files[r.Marks])
		var keys struct {
			Facepiece, Strap, Pouch, Box, Leaflet, Certificate, Listing string
			Attachment                                                  string
			Valve                                                       bool
			Made, Bought                                                time.Time
			Registers                                                   []map[string]any
		}
		dec := yaml.NewDecoder(strings.NewReader(paper))
		dec.KnownFields(true)
		if err := dec.Decode(&keys); err != nil || keys.Facepiece == "" || keys.Made.IsZero() {
			t.Errorf("%s: %v", r.Marks, err)
		}
		if !strings.Contains(paper, r.Claim) || !strings.Contains(strings.ToLower(paper), strings.ToLower(r.Name)) {
			t.Errorf("%s: its paper names neither class nor name", r.ID)
		}
	}
}
