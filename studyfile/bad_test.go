package studyfile

import (
	"errors"
	"io/fs"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"telltale/fault"
	"telltale/record"
)

// small is the study that the bad inputs are made of by one change each.
const small = `format: telltale-study/1
title: small
wearers:
  - {id: w1, face_length_mm: 118}
  - {id: w2}
counters:
  - {id: c1, kind: condensation, flow_cm3_s: 1.67}
  - {id: c2, kind: optical}
respirators:
  - {id: r1, role: test}
  - {id: ref, role: reference, expected_fit_factor: {low: 190, high: 360}}
wearings:
  - id: a
    respirator: r1
    wearer: w1
    counter: c1
    at: 2026-08-14T18:05:00+02:00
    donning: d1
    repairs: [nose_strip, tape:nose]
    protocol: us-8
    trace: traces/a.csv
  - {id: b, respirator: ref, wearer: w1, counter: c1, trace: traces/b.csv}
checks:
  - {kind: zero, counter: c1, trace: traces/zero.csv}
  - {kind: reference, wearing: b}
holders:
  - {id: h1, respirator: r1, area_cm2: 160, flow_l_min: 30, counter: c1, trace: traces/h.csv}
`

func smallFolder(text string) fstest.MapFS {
	fsys := fstest.MapFS{Name: {Data: []byte(text)}}
	for _, name := range []string{"traces/a.csv", "traces/b.csv", "traces/zero.csv", "traces/h.csv", "papers/m.yaml", "layouts/l.yaml"} {
		fsys[name] = &fstest.MapFile{Data: []byte("of " + name)}
	}
	fsys["traces/copy-of-a.csv"] = &fstest.MapFile{Data: []byte("of traces/a.csv")}
	fsys["traces/bad.csv"] = &fstest.MapFile{Data: []byte("bad")}
	fsys["traces/odd.csv"] = &fstest.MapFile{Data: []byte("odd")}
	fsys["traces/late.csv"] = &fstest.MapFile{Data: []byte("late")}
	fsys["papers/large.yaml"] = &fstest.MapFile{Data: make([]byte, MaxPaper+1)}
	fsys["traces/pipe.csv"] = &fstest.MapFile{Mode: fs.ModeNamedPipe}
	return fsys
}

func TestTheSmallStudyIsGood(t *testing.T) {
	if _, err := Read(smallFolder(small), options); err != nil {
		t.Fatal(err)
	}
}

// Lines are counted in small; a change that adds lines is counted with them.
func TestBadStudiesAreToldWithPlaceAndAdvice(t *testing.T) {
	for _, c := range []struct {
		name, old, new string // the change to small; an empty old replaces all
		code           string
		line           int
		says           string // part of the whole message
	}{
		{"empty file", "", "\n", "E203", 0, "the file is empty"},
		{"comments only", "", "# nothing\n", "E203", 0, "format: telltale-study/1"},
		{"not UTF-8", "title: small", "title: sm\xe4ll", "E203", 2, "byte 10: the file is not UTF-8 text"},
		{"UTF-16", "", "\xff\xfef\x00o\x00", "E203", 1, "Save it as UTF-8"},
		{"a zero byte", "title: small", "title: sm\x00ll", "E203", 2, "not UTF-8 text"},
		{"too large", "title: small", "title: small" + strings.Repeat(" ", MaxStudy), "E232", 0, "larger than 1 MiB"},
		{"a tab indents", "    wearer: w1", "\twearer: w1", "E204", 15, "byte 1: a tab indents this line. Indent with spaces."},
		{"an open bracket", "repairs: [nose_strip, tape:nose]", "repairs: [nose_strip, tape:nose", "E204", 19, "close quotes and brackets"},
		{"an open quote", "title: small", `title: "small`, "E204", 2, "close quotes"},
		{"a second document", "holders:", "---\nholders:", "E204", 26, "take the line --- out"},
		{"an anchor", "title: small", "title: &x small", "E205", 2, "&x"},
		{"an alias", "{id: w2}", "*x", "E205", 5, "Write the values out"},
		{"anchor and alias", "title: small\nwearers:\n  - {id: w1, face_length_mm: 118}", "title: small\nwearers:\n  - &w {id: w1}\n  - *w", "E205", 4, "Write the values out"},
		{"a tag", "title: small", "title: !!binary aGk=", "E205", 2, "!!binary"},
		{"a tag of its own", "title: small", "title: !x small", "E205", 2, "!x"},
		{"a list as study", "", "- a\n- b\n", "E213", 1, "the study is a list, not a set of keys"},
		{"a word as study", "", "hello\n", "E213", 1, "a text"},
		{"no format", "format: telltale-study/1\n", "", "E206", 1, "format is missing"},
		{"a later format", "study/1", "study/2", "E206", 1, "This version reads telltale-study/1."},
		{"another format", "telltale-study/1", "csv", "E206", 1, `"csv" is not known`},

		{"unknown section", "wearers:", "wearer:", "E210", 3, `Did you mean "wearers"?`},
		{"unknown key", "    respirator: r1", "    resperator: r1", "E210", 14, `byte 5: wearing a: the key "resperator" is not known. Did you mean "respirator"?`},
		{"unknown key, none near", "    donning: d1", "    colour: white", "E210", 18, "Known: id, respirator,"},
		{"decimal comma", "flow_cm3_s: 1.67", "flow_cm3_s: 1,67", "E210", 7, "with a point, such as 1.67"},
		{"merge key", "{id: w2}", "{id: w2, <<: {facial_hair: none}}", "E210", 5, `"<<"`},
		{"key is a list", "{id: w2}", "{id: w2, ? [a]: b}", "E210", 5, "a list, not a word"},
		{"key twice", "    donning: d1", "    wearer: w1", "E207", 18, "first in line 15"},
		{"section twice", "holders:", "checks: []\nholders:", "E207", 26, "Keep one"},
		{"no wearing id", "{id: b, ", "{", "E208", 22, "wearings, item 2: id is missing"},
		{"no respirator", "    respirator: r1\n", "", "E208", 13, "wearing a: respirator is missing"},
		{"no wearer", "    wearer: w1\n", "", "E208", 13, "wearer is missing"},
		{"no counter", "    counter: c1\n", "", "E208", 13, "counter is missing"},
		{"no trace", "    trace: traces/a.csv\n", "", "E208", 13, "such as traces/r1-1.csv"},
		{"empty trace", "trace: traces/a.csv", "trace:", "E208", 21, "trace is missing"},
		{"empty text as trace", "trace: traces/a.csv", `trace: ""`, "E208", 21, "trace is missing"},
		{"holder without flow", "flow_l_min: 30, ", "", "E208", 27, "in l/min, such as 30"},
		{"holder without area", "area_cm2: 160, ", "", "E208", 27, "in cm2, such as 160"},
		{"check without kind", "{kind: zero, ", "{", "E208", 24, "zero, room, reference or side_by_side"},
		{"zero without counter", "kind: zero, counter: c1", "kind: zero", "E208", 24, "counter is missing"},
		{"zero without trace", ", trace: traces/zero.csv", "", "E208", 24, "trace is missing"},
		{"reference without wearing", "{kind: reference, wearing: b}", "{kind: reference}", "E208", 25, "wearing is missing"},
		{"half a range", "{low: 190, high: 360}", "{low: 190}", "E208", 11, "high is missing"},

		{"section is a word", "holders:\n  - {id: h1, respirator: r1, area_cm2: 160, flow_l_min: 30, counter: c1, trace: traces/h.csv}", "holders: none", "E213", 26, "a text, not a list"},
		{"section is a set of keys", "  - {id: w1, face_length_mm: 118}\n  - {id: w2}", "  id: w1", "E213", 4, "a set of keys, not a list"},
		{"item is a word", "{id: w2}", "w2", "E213", 5, "wearers, item 2 is a text"},
		{"item is nothing", "  - {id: w2}", "  -", "E213", 5, "nothing"},
		{"title is a list", "title: small", "title: [a]", "E213", 2, "title is a list"},
		{"repairs is a word", "repairs: [nose_strip, tape:nose]", "repairs: tape", "E213", 19, "Write it as [one, two]"},
		{"a number observed", "    donning: d1", "    observed: [12]", "E213", 18, "a number, not words"},
		{"flow is a list", "flow_cm3_s: 1.67", "flow_cm3_s: [1.67]", "E213", 7, "not a number"},
		{"number in quotes", "face_length_mm: 118", `face_length_mm: "118"`, "E216", 4, "Leave the quotes out"},
		{"number with unit", "face_length_mm: 118", "face_length_mm: 118 mm", "E216", 4, "from 50 mm to 250 mm"},
		{"not a number", "flow_cm3_s: 1.67", "flow_cm3_s: .nan", "E216", 7, "not a plain number"},
		{"infinite", "flow_cm3_s: 1.67", "flow_cm3_s: .inf", "E216", 7, "not a plain number"},
		{"hexadecimal", "flow_cm3_s: 1.67", "flow_cm3_s: 0x10", "E216", 7, "not a plain number"},
		{"underscore", "flow_cm3_s: 1.67", "flow_cm3_s: 1_0", "E216", 7, "not a plain number"},
		{"negative flow", "flow_cm3_s: 1.67", "flow_cm3_s: -1.67", "E215", 7, "cannot be -1.67 cm3/s"},
		{"zero flow", "flow_cm3_s: 1.67", "flow_cm3_s: 0", "E215", 7, "Leave the key out when it is not known"},
		{"beyond all numbers", "flow_cm3_s: 1.67", "flow_cm3_s: 1e999", "E215", 7, "from 0.01 cm3/s to 5000 cm3/s"},
		{"face in metres", "face_length_mm: 118", "face_length_mm: 0.118", "E215", 4, "0.118 mm"},
		{"negative dead time", "flow_cm3_s: 1.67", "dead_time_s: -1e-7", "E215", 7, "or 0 for none"},
		{"dead time in microseconds", "flow_cm3_s: 1.67", "dead_time_s: 0.4", "E215", 7, "0.4 s"},
		{"zero area", "area_cm2: 160", "area_cm2: 0", "E215", 27, "0 cm2"},
		{"negative pump", "flow_l_min: 30", "flow_l_min: -30", "E215", 27, "-30 l/min"},
		{"fit factor below one", "low: 190", "low: 0.5", "E215", 11, "from 1 to"},
		{"low above high", "low: 190, high: 360", "low: 360, high: 190", "E228", 11, "low 360 is not below high 190"},
		{"range at a test respirator", "role: reference, ", "", "E227", 11, "role: reference"},

		{"unknown role", "{id: r1, role: test}", "{id: r1, role: tests}", "E214", 10, `Did you mean "test"?`},
		{"unknown kind of counter", "kind: condensation", "kind: Condensation", "E214", 7, `Did you mean "condensation"?`},
		{"unknown kind of check", "kind: zero", "kind: zeros", "E214", 24, `Did you mean "zero"?`},
		{"unknown protocol", "protocol: us-8", "protocol: us8", "E201", 20, `byte 15: wearing a: protocol "us8" is not known. Did you mean "us-8"?`},
		{"time without zone", "18:05:00+02:00", "18:05:00", "E217", 17, "has no zone"},
		{"a date as time", "2026-08-14T18:05:00+02:00", "2026-08-14", "E217", 17, "2026-08-14T18:05:00+02:00"},
		{"time is a list", "at: 2026-08-14T18:05:00+02:00", "at: [2026]", "E213", 17, "not a single value"},
		{"protocol is a list", "protocol: us-8", "protocol: [us-8]", "E213", 20, "not a single value"},
		{"repair is a list", "nose_strip, tape:nose", "[tape]", "E213", 19, "not a single value"},
		{"counter is a list", "    counter: c1", "    counter: [c1, c2]", "E213", 16, "{ambient: c1, inside: c2}"},
		{"no time", "2026-08-14T18:05:00+02:00", "14/08/2026 18:05", "E217", 17, "is not a time"},
		{"the 31st of June", "2026-08-14", "2026-06-31", "E217", 17, "is not a time"},
		{"a clock never set", "2026-08-14", "1970-01-01", "E217", 17, "not in our time"},
		{"id with a space", "{id: w2}", "{id: w 2}", "E218", 5, "without spaces"},
		{"id climbs", "{id: w2}", "{id: ../w2}", "E218", 5, "cannot be an id"},
		{"id too long", "{id: w2}", "{id: " + strings.Repeat("w", 65) + "}", "E218", 5, "64 at most"},
		{"id is a list", "{id: w2}", "{id: [w2]}", "E213", 5, "not a single value"},
		{"bell in a text", "title: small", `title: "a\ab"`, "E219", 2, "U+0007"},
		{"direction switched in a text", "title: small", `title: "a\u202Eb"`, "E219", 2, "U+202E"},

		{"wearer twice", "{id: w2}", "{id: w1}", "E220", 5, "first in line 4"},
		{"wearing twice", "{id: b, respirator: ref", "{id: a, respirator: ref", "E220", 22, "first in line 13"},
		{"dangling respirator", "    respirator: r1", "    respirator: r2", "E221", 14, `byte 17: wearing a: the study has no respirator "r2". Did you mean "r1"?`},
		{"dangling wearer", "    wearer: w1", "    wearer: anna", "E221", 15, "Known: w1, w2."},
		{"dangling counter", "    counter: c1", "    counter: c3", "E221", 16, `Did you mean "c1"?`},
		{"dangling inside counter", "    counter: c1", "    counter: {ambient: c1, inside: c9}", "E221", 16, `"c9"`},
		{"half a pair of counters", "    counter: c1", "    counter: {ambient: c1}", "E208", 16, "inside is missing"},
		{"dangling counter of a check", "zero, counter: c1", "zero, counter: k1", "E221", 24, `"k1"`},
		{"dangling wearing", "wearing: b", "wearing: bb", "E221", 25, `Did you mean "b"?`},
		{"dangling respirator of a holder", "{id: h1, respirator: r1", "{id: h1, respirator: r7", "E221", 27, `"r7"`},
		{"no counters at all", "counters:\n  - {id: c1, kind: condensation, flow_cm3_s: 1.67}\n  - {id: c2, kind: optical}\n", "", "E221", 13, "List it under counters."},
		{"donning over two respirators", "{id: b, respirator: ref", "{id: b, donning: d1, respirator: ref", "E222", 22, `not its respirator: "ref" and "r1"`},
		{"donning over two specimens", "{id: b, respirator: ref", "{id: b, donning: d1, specimen: z, respirator: r1", "E222", 22, "not its specimen"},
		{"donning over two wearers", "{id: b, respirator: ref, wearer: w1", "{id: b, donning: d1, respirator: r1, wearer: w2", "E222", 22, "not its wearer"},

		{"no repair", "nose_strip, tape:nose", `"two words"`, "E223", 19, "word or word:zone"},
		{"repair with a capital", "nose_strip, tape:nose", "Tape:nose", "E223", 19, "small letters"},
		{"a zone alone", "nose_strip, tape:nose", `":nose"`, "E223", 19, "is not a repair"},
		{"unknown zone", "tape:nose", "tape:noes", "E224", 19, `byte 27: wearing a: the zone "noes" of repair "tape:noes" is not known. Did you mean "nose"?`},
		{"empty zone", "tape:nose", `"tape:"`, "E224", 19, "Known: nose, cheeks, chin, all."},
		{"two zones in one", "tape:nose", "tape:nose:chin", "E224", 19, `"nose:chin"`},
		{"same repair twice", "nose_strip, tape:nose", "brace, brace", "E225", 19, "brace stands twice"},
		{"same zone twice", "nose_strip, tape:nose", "tape:nose, tape:nose", "E225", 19, "tape:nose stands twice"},
		{"zone beside all", "nose_strip, tape:nose", "tape:nose, tape:all", "E225", 19, "tape:nose and tape:all overlap"},
		{"zone beside none", "nose_strip, tape:nose", "tape, tape:chin", "E225", 19, "overlap"},
		{"space after the colon", "nose_strip, tape:nose", "tape: nose", "E213", 19, "no space after the colon"},

		{"reference check of a test respirator", "kind: reference, wearing: b", "kind: reference, wearing: a", "E226", 25, "whose role is test"},
		{"reference check with a trace", "kind: reference, wearing: b", "kind: reference, wearing: b, trace: traces/b.csv", "E226", 25, "it is that of the wearing"},
		{"reference check with another counter", "kind: reference, wearing: b", "kind: reference, wearing: b, counter: c2", "E226", 25, "was not used in wearing b"},
		{"zero check with a wearing", "kind: zero, counter: c1", "kind: zero, counter: c1, wearing: b", "E226", 24, "only a reference check"},
		{"zero check with two counters", "kind: zero, counter: c1", "kind: zero, counters: [c1, c2]", "E226", 24, "one counter"},
		{"side by side alone", "kind: zero, counter: c1", "kind: side_by_side, counter: c1", "E226", 24, "two different counters"},
		{"zero check with a pair", "kind: zero, counter: c1", "kind: zero, counter: {ambient: c1, inside: c2}", "E226", 24, "one counter"},
		{"side by side with itself", "kind: zero, counter: c1", "kind: side_by_side, counters: [c1, c1]", "E226", 24, "two different counters"},
		{"side by side without counters", "kind: zero, counter: c1", "kind: side_by_side", "E208", 24, "counters is missing"},
		{"a room with one counter twice", "kind: zero, counter: c1", "kind: room, counters: [c2, c2]", "E226", 24, "two different ones"},
		{"counter and counters", "kind: zero, counter: c1", "kind: zero, counter: c1, counters: [c1]", "E226", 24, "Keep one"},
		{"two files of one counter", "trace: traces/a.csv", "trace: {ambient: traces/a.csv, inside: traces/b.csv}", "E226", 21, "not two counters"},

		{"path climbs", "traces/a.csv", "../a.csv", "E230", 21, "leaves the study folder"},
		{"path climbs in the middle", "traces/a.csv", "traces/../../a.csv", "E230", 21, "leaves the study folder"},
		{"path from the root", "traces/a.csv", "/etc/passwd", "E230", 21, "begins at the root"},
		{"path with a drive", "traces/a.csv", "C:/a.csv", "E230", 21, "colon"},
		{"path with a backslash", "traces/a.csv", `traces\a.csv`, "E230", 21, "Write / between"},
		{"path of an address", "traces/a.csv", "https://example.org/a.csv", "E230", 21, "addresses"},
		{"path not plain", "traces/a.csv", "./traces/a.csv", "E230", 21, `Write it as "traces/a.csv".`},
		{"path of a device", "traces/a.csv", "traces/CON.csv", "E230", 21, "device"},
		{"path with a point at the end", "traces/a.csv", "traces/a.csv.", "E230", 21, "cut short"},
		{"path with a space at the end", "traces/a.csv", `"traces /a.csv"`, "E230", 21, "cut short"},
		{"path too long", "traces/a.csv", strings.Repeat("x", 256), "E230", 21, "longer than 255 bytes"},
		{"path with direction switched", "traces/a.csv", `"traces/a\u202Evsc.exe"`, "E219", 21, "U+202E"},
		{"path of the study", "traces/a.csv", "study.yaml", "E230", 21, "the study itself"},
		{"missing trace", "traces/a.csv", "traces/a.cvs", "E231", 21, `Did you mean "traces/a.csv"?`},
		{"missing folder", "traces/a.csv", "trace/a.csv", "E231", 21, "no folder trace"},
		{"missing marks", "{id: r1, role: test}", "{id: r1, marks: papers/r1.yaml}", "E231", 10, `marks "papers/r1.yaml" is not in the study folder`},
		{"missing layout", "    donning: d1", "    layout: layouts/k.yaml", "E231", 18, `Did you mean "layouts/l.yaml"?`},
		{"trace is a folder", "traces/a.csv", "traces", "E232", 21, "not a plain file"},
		{"trace is a pipe", "traces/a.csv", "traces/pipe.csv", "E232", 21, "not a plain file"},
		{"marks too large", "{id: r1, role: test}", "{id: r1, marks: papers/large.yaml}", "E232", 10, "larger than 1 MiB"},
		{"layouts differ", "{id: c2, kind: optical}", "{id: c2, layout: layouts/l.yaml}", "E233", 0, "Write a layout beside the trace"},
		{"same trace twice", "trace: traces/b.csv", "trace: traces/a.csv", "E123", 22, "wearing b has the trace of wearing a, byte for byte"},
		{"copy of a trace", "trace: traces/b.csv", "trace: traces/copy-of-a.csv", "E123", 22, "traces/copy-of-a.csv and traces/a.csv"},
		{"holder with a wearing's trace", "traces/h.csv", "traces/a.csv", "E123", 27, "holder h1 has the trace of wearing a"},
		{"zero check with a wearing's trace", "traces/zero.csv", "traces/a.csv", "E123", 24, "wearing a"},
		{"room and mask the same", "    counter: c1\n    at: 2026-08-14T18:05:00+02:00\n    donning: d1\n    repairs: [nose_strip, tape:nose]\n    protocol: us-8\n    trace: traces/a.csv",
			"    counter: {ambient: c1, inside: c2}\n    trace: {ambient: traces/a.csv, inside: traces/copy-of-a.csv}", "E123", 17, "are the same"},
		{"unreadable without a place", "traces/a.csv", "traces/odd.csv", "E234", 21, "it is odd"},
	} {
		text := c.new
		if c.old != "" {
			if strings.Count(small, c.old) != 1 && c.old != "traces/a.csv" {
				t.Errorf("%s: %q stands %d times in small", c.name, c.old, strings.Count(small, c.old))
			}
			text = strings.Replace(small, c.old, c.new, 1)
		}
		if c.name == "layouts differ" {
			text = strings.Replace(text, "    counter: c1", "    counter: {ambient: c1, inside: c2}", 1)
			c.line = 21
		}
		s, err := Read(smallFolder(text), options)
		var l fault.List
		if !errors.As(err, &l) || s != nil {
			t.Errorf("%s: got %v, %v", c.name, s, err)
			continue
		}
		hit := false
		for _, f := range l {
			hit = hit || f.Code == c.code && f.File == Name && f.Line == c.line && strings.Contains(f.Error(), c.says) && f.Do != ""
		}
		if !hit {
			t.Errorf("%s: want %s line %d saying %q, got\n%v", c.name, c.code, c.line, c.says, err)
		}
	}
}

func TestEveryFaultIsFoundAtOnce(t *testing.T) {
	text := strings.NewReplacer("title: small", "titel: small", "flow_l_min: 30", "flow_l_min: -1", "    wearer: w1", "    wearer: w3",
		"traces/a.csv", "traces/bad.csv", "traces/zero.csv", "traces/gone.csv").Replace(small)
	s, err := Read(smallFolder(text), options)
	var l fault.List
	if !errors.As(err, &l) || s != nil {
		t.Fatalf("got %v, %v", s, err)
	}
	var got []string
	for _, f := range l {
		got = append(got, f.Code+" "+f.Where())
	}
	// Bytes counted by hand in small.
	want := "E210 study.yaml line 2 byte 1, E221 study.yaml line 15 byte 13, E231 study.yaml line 24 byte 38, E215 study.yaml line 27 byte 57, " +
		"E108 traces/bad.csv line 3, E114 traces/bad.csv line 7"
	if strings.Join(got, ", ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, ", "), want)
	}
}

const pair = "    counter: {ambient: c1, inside: c2}\n    trace: {ambient: traces/a.csv, inside: traces/%}\n    layout: layouts/l.yaml\n"

func TestTwoFilesThatDoNotMeetAreToldByTheJoiner(t *testing.T) {
	text := strings.Replace(strings.Replace(small, "    counter: c1\n", strings.Replace(pair, "%", "late.csv", 1), 1), "    trace: traces/a.csv\n", "", 1)
	_, err := Read(smallFolder(text), options)
	var l fault.List
	if !errors.As(err, &l) || len(l) != 1 || l[0].Code != "E119" {
		t.Errorf("got %v", err)
	}
}

func TestTwoWearingsMayShareTheRoomButNotTheMask(t *testing.T) {
	one := strings.Replace(strings.Replace(small, "    counter: c1\n", strings.Replace(pair, "%", "odd.csv", 1), 1), "    trace: traces/a.csv\n", "", 1)
	two := strings.Replace(one, "wearer: w1, counter: c1, trace: traces/b.csv", "wearer: w1, counter: {ambient: c1, inside: c2}, trace: {ambient: traces/a.csv, inside: traces/b.csv}", 1)
	fsys := smallFolder(two)
	fsys["traces/odd.csv"] = &fstest.MapFile{Data: []byte("the mask of a")}
	if _, err := Read(fsys, options); err != nil {
		t.Errorf("the same room: %v", err)
	}
	fsys["traces/odd.csv"] = fsys["traces/b.csv"]
	_, err := Read(fsys, options)
	if err == nil || !strings.Contains(err.Error(), "E123 ") || !strings.Contains(err.Error(), "traces/b.csv and traces/odd.csv") {
		t.Errorf("the same mask: %v", err)
	}
}

func TestTwoChecksMayShareATraceUnlessTheyAreTheSame(t *testing.T) {
	add := func(line string) string { return strings.Replace(small, "checks:\n", "checks:\n  - "+line+"\n", 1) }
	if _, err := Read(smallFolder(add("{kind: zero, counter: c2, trace: traces/zero.csv}")), options); err != nil {
		t.Errorf("zero of two counters: %v", err)
	}
	_, err := Read(smallFolder(add("{kind: zero, counter: c1, trace: traces/zero.csv}")), options)
	if err == nil || !strings.Contains(err.Error(), "E123 ") {
		t.Errorf("the same zero twice: %v", err)
	}
}

// Whole files of such faults took 2.4 s at most when this was written; these are
// a quarter as large, and a minute would mean that the work grows with the square.
func TestALargeBadStudyIsToldSoon(t *testing.T) {
	for name, text := range map[string]string{
		"one line of faults": "wearers: [" + strings.Repeat("é, ", MaxStudy/20) + "]",
		"dangling ids":       "wearings:\n" + strings.Repeat("- {id: x, wearer: y, trace: {a: }}\n", MaxStudy/160),
		"deep brackets":      strings.Repeat("[", 9000),
		"long key":           strings.Repeat("k", 1000000) + ": 1",
	} {
		begin := time.Now()
		_, err := Read(smallFolder("format: telltale-study/1\n"+text+"\n"), options)
		var l fault.List
		if !errors.As(err, &l) || time.Since(begin) > time.Minute {
			t.Errorf("%s: %d faults after %v", name, len(l), time.Since(begin))
		}
	}
}

func TestAFolderWithoutAStudySaysSo(t *testing.T) {
	_, err := Read(fstest.MapFS{"study.yml": {Data: []byte(small)}}, options)
	if err == nil || !strings.HasPrefix(err.Error(), "E202 study.yaml: there is no study.yaml in this folder") {
		t.Errorf("got %v", err)
	}
}

// FuzzStudy reads whatever comes: a bad text is a list of faults in study.yaml
// with what to do, a good one reads back the same from what Write makes of it.
func FuzzStudy(f *testing.F) {
	f.Add(small)
	f.Add(whole)
	f.Add("format: telltale-study/1\nwearers: [{id: a, facial_hair: \"\\u2028 \\U0001F637\"}]\n")
	f.Add("? [a]\n: &b {<<: *b}\n---\n...")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := parseText([]byte(text))
		if err == nil {
			err = r.result()
		}
		var l fault.List
		switch {
		case errors.As(err, &l):
			for _, x := range l {
				if x.File != Name || x.Code == "" || x.Do == "" || x.Line < 0 || x.Col < 0 || x.Line > strings.Count(text, "\n")+strings.Count(text, "\r")+strings.Count(text, "\u0085")+strings.Count(text, "\u2028")+strings.Count(text, "\u2029")+2 {
					t.Fatalf("fault %+v", x)
				}
			}
			return
		case err != nil:
			t.Fatalf("not a list of faults: %v", err)
		}
		first := written(t, r)
		again, err := parseText(first)
		if err != nil {
			t.Fatalf("%v in\n%s", err, first)
		}
		if second := written(t, again); string(first) != string(second) {
			t.Fatalf("first\n%s\nsecond\n%s", first, second)
		}
		if !reflect.DeepEqual(r.study, again.study) {
			t.Fatalf("got %+v\nwant %+v", again.study, r.study)
		}
	})
}

// written gives the canonical text of what was read, with traces by name only.
func written(t *testing.T, r *reader) []byte {
	for _, u := range r.traceUses {
		trace := &record.Trace{Name: u.one}
		if u.one == "" {
			trace.Parts = []record.Part{{Path: u.ambient}, {Path: u.mask}}
		}
		u.set(trace)
	}
	files, err := Write(&r.study)
	if err != nil {
		t.Fatalf("%v in\n%s", err, canonical(&r.study))
	}
	return files[0].Data
}
