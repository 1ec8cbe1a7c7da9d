package studyfile

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"telltale/fault"
	"telltale/quantity"
	"telltale/record"
)

// options stand in for the reader of traces: a file beginning with "bad" has
// two faults, one beginning with "odd" an error without a place; the layout it
// was given ends up in a note.
var options = Options{ReadTrace: fakeRead, Join: fakeJoin}

func fakeRead(name string, r io.Reader, layout []byte) (*record.Trace, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	switch {
	case strings.HasPrefix(string(data), "bad"):
		return nil, fault.List{{Code: "E108", What: "not a number", File: name, Line: 3}, {Code: "E114", What: "too many fields", File: name, Line: 7}}
	case strings.HasPrefix(string(data), "odd"):
		return nil, errors.New("it is odd")
	}
	t := &record.Trace{Name: name, SHA256: digest(data), Bytes: int64(len(data))}
	if layout != nil {
		t.Notes = []record.Note{{Key: "layout", Value: string(layout)}}
	}
	return t, nil
}

func fakeJoin(room, mask *record.Trace) (*record.Trace, error) {
	if strings.Contains(mask.Name, "late") {
		return nil, &fault.Fault{Code: "E119", What: "no common time", File: mask.Name}
	}
	return &record.Trace{Name: room.Name + " + " + mask.Name, Notes: append(room.Notes, mask.Notes...)}, nil
}

// whole is a study that uses every key.
const whole = `format: telltale-study/1
title: "An evening: two masks"
wearers:
  - {id: w1, face_length_mm: 118, face_width_mm: 139.5, facial_hair: none}
  - {id: w2}
counters:
  - {id: c1, kind: condensation, flow_cm3_s: 1.67, dead_time_s: 4e-7, smallest_um: 0.02, top_per_cm3: 100000, transit_s: 1.5, washout_s: 0.8, layout: layouts/c1.yaml}
  - {id: c2, kind: optical}
respirators:
  - {id: r1, name: Plain White 2, claim: FFP2, role: test, obtained: bought, marks: papers/r1.yaml}
  - {id: ref, name: the known good one, claim: FFP3, role: reference, expected_fit_factor: {low: 190, high: 360}}
wearings:
  - id: r1-1
    respirator: r1
    specimen: a
    wearer: w1
    counter: c1
    at: 2026-08-14T18:05:00+02:00
    donning: d1
    repairs: [nose_strip, tape:nose, tape:chin]
    protocol: us-8
    trace: traces/r1-1.csv
    observed: [collapse_on_inhalation, felt_leak:nose]
  - id: r1-2
    respirator: r1
    specimen: a
    wearer: w1
    counter: {ambient: c1, inside: c2}
    at: 2026-08-14T16:25:00.5Z
    donning: d1
    protocol: free
    trace: {ambient: traces/room.csv, inside: traces/mask.csv}
    layout: layouts/own.yaml
    excluded: "the line came off"
  - id: ref-1
    respirator: ref
    wearer: w2
    counter: c1
    protocol: jp-7
    trace: traces/ref-1.csv
checks:
  - {kind: zero, counter: c1, at: 2026-08-14T17:40:00+02:00, trace: traces/zero.csv}
  - {kind: room, counter: c1, trace: traces/roomcheck.csv}
  - {kind: reference, counter: c1, wearing: ref-1}
  - {kind: side_by_side, counters: [c1, c2], trace: traces/pair.csv, layout: layouts/own.yaml}
holders:
  - {id: h1, respirator: r1, specimen: b, area_cm2: 160, flow_l_min: 30, counter: c1, trace: traces/h1.csv}
`

// folder is whole with all its files, each with bytes of its own.
func folder() fstest.MapFS {
	fsys := fstest.MapFS{Name: {Data: []byte(whole)}}
	for _, name := range []string{"papers/r1.yaml", "layouts/c1.yaml", "layouts/own.yaml", "traces/r1-1.csv", "traces/room.csv", "traces/mask.csv",
		"traces/ref-1.csv", "traces/zero.csv", "traces/roomcheck.csv", "traces/pair.csv", "traces/h1.csv"} {
		fsys[name] = &fstest.MapFile{Data: []byte("of " + name)}
	}
	return fsys
}

func with(text string) fstest.MapFS {
	fsys := folder()
	fsys[Name] = &fstest.MapFile{Data: []byte(text)}
	return fsys
}

func mustRead(t *testing.T, fsys fstest.MapFS) *record.Study {
	t.Helper()
	s, err := Read(fsys, options)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestEveryKeyOfAStudyIsRead(t *testing.T) {
	s := mustRead(t, folder())
	east := time.FixedZone("", 2*3600)
	own := record.Paper{Path: "layouts/own.yaml", SHA256: digest([]byte("of layouts/own.yaml")), Data: []byte("of layouts/own.yaml")}
	trace := func(name, layout string) *record.Trace {
		tr, _ := fakeRead(name, strings.NewReader("of "+name), []byte(layout))
		return tr
	}
	const c1 = "of layouts/c1.yaml"
	joined := &record.Trace{Name: "traces/room.csv + traces/mask.csv",
		Notes: []record.Note{{Key: "layout", Value: string(own.Data)}, {Key: "layout", Value: string(own.Data)}},
		Parts: []record.Part{{Path: "traces/room.csv", SHA256: digest([]byte("of traces/room.csv")), Bytes: 18}, // letters counted by hand
			{Path: "traces/mask.csv", SHA256: digest([]byte("of traces/mask.csv")), Bytes: 18}}}
	want := &record.Study{
		Title:   "An evening: two masks",
		Wearers: []record.Wearer{{ID: "w1", FaceLength: 118, FaceWidth: 139.5, FacialHair: "none"}, {ID: "w2"}},
		Counters: []record.Counter{{ID: "c1", Kind: record.Condensation, Flow: 1.67, DeadTime: 4e-7, Smallest: 0.02, Top: 100000, Transit: 1.5, Washout: 0.8,
			Layout: record.Paper{Path: "layouts/c1.yaml", SHA256: digest([]byte(c1)), Data: []byte(c1)}}, {ID: "c2", Kind: record.Optical}},
		Respirators: []record.Respirator{
			{ID: "r1", Name: "Plain White 2", Claim: "FFP2", Role: record.Test, Obtained: "bought", Marks: "papers/r1.yaml",
				MarksPaper: record.Paper{Path: "papers/r1.yaml", SHA256: digest([]byte("of papers/r1.yaml")), Data: []byte("of papers/r1.yaml")}},
			{ID: "ref", Name: "the known good one", Claim: "FFP3", Role: record.Reference, Expected: record.Range{Low: 190, High: 360}}},
		Wearings: []record.Wearing{
			{ID: "r1-1", Respirator: "r1", Specimen: "a", Wearer: "w1", Ambient: "c1", Inside: "c1", At: time.Date(2026, 8, 14, 18, 5, 0, 0, east), Donning: "d1",
				Repairs: []record.Repair{{Word: "nose_strip"}, {Word: "tape", Zone: "nose"}, {Word: "tape", Zone: "chin"}}, Protocol: "us-8",
				Trace: trace("traces/r1-1.csv", c1), Observed: []string{"collapse_on_inhalation", "felt_leak:nose"}},
			{ID: "r1-2", Respirator: "r1", Specimen: "a", Wearer: "w1", Ambient: "c1", Inside: "c2", At: time.Date(2026, 8, 14, 16, 25, 0, 5e8, time.UTC), Donning: "d1",
				Protocol: "free", Layout: own, Trace: joined, Excluded: "the line came off"},
			{ID: "ref-1", Respirator: "ref", Wearer: "w2", Ambient: "c1", Inside: "c1", Donning: "ref-1", Protocol: "jp-7", Trace: trace("traces/ref-1.csv", c1)}},
		Checks: []record.Check{
			{Kind: record.Zero, Counters: []string{"c1"}, At: time.Date(2026, 8, 14, 17, 40, 0, 0, east), Trace: trace("traces/zero.csv", c1)},
			{Kind: record.Room, Counters: []string{"c1"}, Trace: trace("traces/roomcheck.csv", c1)},
			{Kind: record.ReferenceRun, Counters: []string{"c1"}, Wearing: "ref-1"},
			{Kind: record.SideBySide, Counters: []string{"c1", "c2"}, Layout: own, Trace: trace("traces/pair.csv", string(own.Data))}},
		Holders: []record.Holder{{ID: "h1", Respirator: "r1", Specimen: "b", Area: 160, Flow: 500, Counter: "c1", Trace: trace("traces/h1.csv", c1)}}, // 30 l/min = 500 cm3/s by hand
	}
	for _, pair := range [][2]any{{s.Title, want.Title}, {s.Wearers, want.Wearers}, {s.Counters, want.Counters}, {s.Respirators, want.Respirators},
		{s.Wearings, want.Wearings}, {s.Checks, want.Checks}, {s.Holders, want.Holders}} {
		if !reflect.DeepEqual(pair[0], pair[1]) {
			t.Errorf("got  %+v\nwant %+v", pair[0], pair[1])
		}
	}
}

func TestAStudyNeedsLittle(t *testing.T) {
	s := mustRead(t, with(`# the least
format: telltale-study/1
wearers: [{id: w1}]
counters: [{id: c1}]
respirators: [{id: 7, claim: 95}]
checks:
wearings:
  - {id: a, respirator: 7, wearer: w1, counter: c1, trace: traces/h1.csv, excluded: ""}
`))
	w := s.Wearings[0]
	if w.Donning != "a" || w.Protocol != "free" || w.Respirator != "7" || w.Ambient != "c1" || !w.At.IsZero() || w.Excluded != "" {
		t.Errorf("got %+v", w)
	}
	if p := s.Respirators[0]; p.Role != record.Test || p.Claim != "95" {
		t.Errorf("got %+v", p)
	}
}

func TestTheSectionsMayStandInAnyOrder(t *testing.T) {
	head, tail, _ := strings.Cut(whole, "wearers:\n")
	people, rest, _ := strings.Cut(tail, "counters:\n")
	s := mustRead(t, with(head+"counters:\n"+rest+"wearers:\n"+people))
	if !reflect.DeepEqual(s, mustRead(t, folder())) {
		t.Errorf("got %+v", s)
	}
}

func TestAReferenceCheckTakesItsWearingsCounterAndTime(t *testing.T) {
	text := strings.Replace(whole, "{kind: reference, counter: c1, wearing: ref-1}", "{kind: reference, wearing: ref-1}", 1)
	text = strings.Replace(text, "    protocol: jp-7\n", "    at: 2026-08-14T19:00:00+02:00\n", 1)
	c := mustRead(t, with(text)).Checks[2]
	if !reflect.DeepEqual(c.Counters, []string{"c1"}) || c.At.Format(time.RFC3339) != "2026-08-14T19:00:00+02:00" {
		t.Errorf("got %+v", c)
	}
}

func TestACheckMayNameItsCountersAsAWearingDoes(t *testing.T) {
	text := strings.Replace(whole, "counters: [c1, c2], trace", "counter: {ambient: c1, inside: c2}, trace", 1)
	if got, want := mustRead(t, with(text)), mustRead(t, folder()); text == whole || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v", got.Checks)
	}
}

func TestOneFileOfTwoCountersMayHaveTheLayoutOfBoth(t *testing.T) {
	text := strings.Replace(whole, "{id: c2, kind: optical}", "{id: c2, kind: optical, layout: layouts/c1.yaml}", 1)
	text = strings.Replace(text, "trace: traces/pair.csv, layout: layouts/own.yaml", "trace: traces/pair.csv", 1)
	c := mustRead(t, with(text)).Checks[3]
	if got := c.Trace.Notes[0].Value; got != "of layouts/c1.yaml" {
		t.Errorf("read with the layout %q", got)
	}
}

func TestAMarkAtTheBeginningAndLineEndsOfAnyKindChangeNothing(t *testing.T) {
	want := mustRead(t, folder())
	for name, text := range map[string]string{"byte order mark": "\ufeff" + whole, "CR LF": strings.ReplaceAll(whole, "\n", "\r\n"), "document line": "---\n" + whole} {
		if got := mustRead(t, with(text)); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %+v", name, got)
		}
	}
}

func TestFilesListsWhatTheStudyUses(t *testing.T) {
	fsys := folder()
	fsys["notes.txt"] = &fstest.MapFile{Data: []byte("not part of it")}
	files, err := Files(fsys)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	last := ""
	for _, f := range files {
		if f.SHA256 != digest(fsys[f.Path].Data) || f.Bytes != int64(len(fsys[f.Path].Data)) || f.Path <= last {
			t.Errorf("got %+v", f)
		}
		seen[f.Path], last = true, f.Path
	}
	want := maps.Clone(fsys)
	delete(want, "notes.txt")
	for name := range want {
		if !seen[name] {
			t.Errorf("%s is missing", name)
		}
	}
	if len(files) != len(want) {
		t.Errorf("%d files, want %d", len(files), len(want))
	}
}

func TestFilesTellsWhatIsMissing(t *testing.T) {
	fsys := folder()
	delete(fsys, "traces/mask.csv")
	delete(fsys, "papers/r1.yaml")
	_, err := Files(fsys)
	var l fault.List
	if !errors.As(err, &l) || len(l) != 2 || l[0].Code != "E231" || l[0].Line != 10 || l[1].Line != 32 { // lines counted in whole
		t.Errorf("got %v", err)
	}
}

// remake writes a study and lays the result beside the traces of folder.
func remake(t *testing.T, s *record.Study) (fstest.MapFS, string) {
	t.Helper()
	files, err := Write(s)
	if err != nil {
		t.Fatal(err)
	}
	fsys := folder()
	delete(fsys, "papers/r1.yaml")
	delete(fsys, "layouts/c1.yaml")
	delete(fsys, "layouts/own.yaml")
	for _, f := range files {
		fsys[f.Path] = &fstest.MapFile{Data: f.Data}
	}
	return fsys, string(files[0].Data)
}

func TestWhatIsWrittenReadsBackTheSame(t *testing.T) {
	s := mustRead(t, folder())
	fsys, text := remake(t, s)
	again := mustRead(t, fsys)
	if !reflect.DeepEqual(s, again) {
		t.Errorf("got %+v\nwant %+v", again, s)
	}
	if _, second := remake(t, again); second != text {
		t.Errorf("first\n%s\nsecond\n%s", text, second)
	}
	if !strings.Contains(text, "  - {id: c1, kind: condensation, flow_cm3_s: 1.67, dead_time_s: 4e-07, smallest_um: 0.02,") {
		t.Errorf("got\n%s", text)
	}
}

func TestEveryTextReadsBackTheSame(t *testing.T) {
	for _, s := range []string{"a: b", "a #b", "- a", "null", "~", "yes", "3.1", "1e3", "0x10", "2026-08-14", " lead", "trail ", "two\nlines\n", "tab\there",
		`"quoted"`, "it's", `back\slash`, "{a, b}", "[x]", "&a", "*a", "!t", "%d", "@x", "`x`", "été", "防護", "e\u0301", "\u2028", "a:", "key: ",
		"\ufeffx", "\U0001F637", "\u200f", "|", ">", "?", "a,b", "=", "<<", "---", "...", "#"} {
		study := &record.Study{Title: s, Respirators: []record.Respirator{{ID: "r1", Name: s, Claim: s, Role: record.Test}}}
		fsys, text := remake(t, study)
		if got := mustRead(t, fsys); !reflect.DeepEqual(got, study) {
			t.Errorf("%q: got %+v from\n%s", s, got, text)
		}
	}
}

func TestEveryHolderFlowReadsBackTheSame(t *testing.T) {
	for i := range 20000 {
		want := quantity.LitresPerMinute(float64(i+1) / 100) // 0.01 to 200 l/min
		study := &record.Study{Holders: []record.Holder{{Flow: want}}}
		v := litresText(study.Holders[0].Flow)
		var l float64
		if _, err := fmt.Sscan(v, &l); err != nil || quantity.LitresPerMinute(l) != want || len(v) > 6 {
			t.Fatalf("%v cm3/s is written as %s l/min", want, v)
		}
	}
}

// Any flow that some number of l/min gives, to all its digits, reads back.
func TestAFlowOfManyDigitsReadsBackTheSame(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		want := quantity.LitresPerMinute(rng.Float64() * 200)
		l, err := strconv.ParseFloat(litresText(want), 64)
		if err != nil || quantity.LitresPerMinute(l) != want {
			t.Fatalf("%v cm3/s is written as %s l/min", float64(want), litresText(want))
		}
	}
}

func TestALinkOutOfTheFolderIsNotFollowedByARoot(t *testing.T) {
	outer := t.TempDir()
	dir := filepath.Join(outer, "study")
	text := strings.Replace(small, "traces/a.csv", "secret.csv", 1)
	for name, file := range smallFolder(text) {
		if file.Mode.IsRegular() && len(file.Data) < 10000 {
			path := filepath.Join(dir, name)
			if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, file.Data, 0o644)); err != nil {
				t.Fatal(err)
			}
		}
	}
	err := errors.Join(os.WriteFile(filepath.Join(outer, "secret"), []byte("a secret"), 0o644), os.Symlink("../secret", filepath.Join(dir, "secret.csv")))
	if err != nil {
		t.Skipf("no links here: %v", err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	_, err = Read(root.FS(), options)
	var l fault.List
	if !errors.As(err, &l) || len(l) != 1 || l[0].Code != "E232" || l[0].Line != 21 { // line counted in small
		t.Errorf("got %v", err)
	}
}

func TestWhatReadWouldRefuseIsNotWritten(t *testing.T) {
	for name, s := range map[string]*record.Study{
		"no id":               {Wearers: []record.Wearer{{}}},
		"dangling":            {Wearings: []record.Wearing{{ID: "a", Respirator: "r", Wearer: "w", Ambient: "c", Inside: "c", Trace: &record.Trace{Name: "a.csv"}}}},
		"not a number":        {Wearers: []record.Wearer{{ID: "w", FaceLength: quantity.Length(nan())}}},
		"not UTF-8":           {Title: "\xff"},
		"control character":   {Title: "a\rb"},
		"path out of folder":  {Respirators: []record.Respirator{{ID: "r", Role: record.Test, Marks: "../m.yaml"}}},
		"two papers one name": {Counters: []record.Counter{{ID: "a", Layout: record.Paper{Path: "l", Data: []byte("1")}}, {ID: "b", Layout: record.Paper{Path: "l", Data: []byte("2")}}}},
	} {
		files, err := Write(s)
		var l fault.List
		if !errors.As(err, &l) || files != nil {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func nan() float64 { var zero float64; return zero / zero }
