package reference

import (
	"errors"
	"strings"
	"testing"

	"telltale/fault"
)

func TestEveryProtocolRowIsWholeAndHasASource(t *testing.T) {
	want := []string{"us-8", "us-short-filtering", "us-short-elastomeric", "uk-7", "jp-7", "jp-short-filtering", "jp-short-elastomeric", "free"}
	all := Protocols()
	if len(all) != len(want) {
		t.Fatalf("%d protocols, want %d", len(all), len(want))
	}
	for i, p := range all {
		if p.ID != want[i] {
			t.Errorf("protocol %d is %s, want %s", i, p.ID, want[i])
		}
		if p.Rule != Overall && p.Rule != EveryExercise {
			t.Errorf("%s: rule %q", p.ID, p.Rule)
		}
		if p.Ambient != BeforeAfterEach && p.Ambient != StartAndEnd {
			t.Errorf("%s: ambient %q", p.ID, p.Ambient)
		}
		sources := []Source{p.Source}
		for _, l := range p.Limits {
			sources = append(sources, l.Source)
			if l.FitFactor < 1 {
				t.Errorf("%s: limit %v", p.ID, l.FitFactor)
			}
		}
		for _, n := range p.Notes {
			sources = append(sources, n.Source)
		}
		for _, s := range sources {
			if s.Title == "" || !s.State.Valid() {
				t.Errorf("%s: source %+v", p.ID, s)
			}
		}
	}
}

// The sums: 7 x 60 + 15 s of the eight exercises, 50 + 30 + 30 + 39 s of the
// short ones, 7 x 60 s (JIS T 8150:2021 as quoted in a 2025 catalogue; by hand).
func TestTheSecondsOfTheProtocolsAddUp(t *testing.T) {
	for id, want := range map[string]int{"us-8": 435, "us-short-filtering": 149, "us-short-elastomeric": 149, "uk-7": 420,
		"jp-7": 420, "jp-short-filtering": 149, "jp-short-elastomeric": 149} {
		p, err := ProtocolByID(id)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0
		for _, e := range p.Exercises {
			sum += e.Seconds
			if got := e.AmbientS + e.InsideS + e.AmbientAfterS; got != 0 && got != e.Seconds {
				t.Errorf("%s, %s: the parts last %d s, the exercise %d s", id, e.Name, got, e.Seconds)
			}
		}
		if sum != want {
			t.Errorf("%s lasts %d s, want %d", id, sum, want)
		}
	}
}

func TestAnUnknownProtocolNamesTheNearest(t *testing.T) {
	_, err := ProtocolByID("us8")
	var f *fault.Fault
	if !errors.As(err, &f) || f.Code != "E201" || !strings.Contains(f.Do, `"us-8"`) {
		t.Errorf("got %v", err)
	}
	_, err = ProtocolByID("something else")
	if err == nil || !strings.Contains(err.Error(), "Known: us-8, ") {
		t.Errorf("got %v", err)
	}
}

func TestVerdictsOnMemoryAreKnown(t *testing.T) {
	short, err := ProtocolByID("us-short-filtering")
	if err != nil {
		t.Fatal(err)
	}
	if len(short.FromMemory()) != 2 {
		t.Errorf("rows from memory: %v", short.FromMemory())
	}
}
