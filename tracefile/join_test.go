package tracefile

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"telltale/record"
)

func joinedOf(t *testing.T, room, mask string) *record.Trace {
	t.Helper()
	a, err := Read("room.csv", strings.NewReader(room), nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Read("mask.csv", strings.NewReader(mask), nil)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := Join(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

func TestATraceSplitInTwoFilesJoinsToTheWhole(t *testing.T) {
	for _, clock := range []string{"time_s", "time"} {
		times := []string{"0", "1", "2", "3.5"}
		if clock == "time" {
			for i, s := range []string{"00", "01", "02", "03.5"} {
				times[i] = "2026-08-14T18:05:" + s + "+02:00"
			}
		}
		var whole, room, mask strings.Builder
		whole.WriteString(clock + ",ambient_per_cm3,inside_per_cm3,ambient_gt0.3um_per_cm3,inside_gt0.3um_per_cm3,exercise,note\n")
		room.WriteString(clock + ",ambient_per_cm3,ambient_gt0.3um_per_cm3\n")
		mask.WriteString(clock + ",inside_per_cm3,inside_gt0.3um_per_cm3,exercise,note\n")
		ambient, inside := []string{"100,5", ",6", "OVER,7", "90,>"}, []string{"1,.5", "2,OVER", ",", ">,.1"}
		label := []string{"a,x", "b,", ",", "a,y"}
		for i, at := range times {
			a, b := strings.Split(ambient[i], ","), strings.Split(inside[i], ",")
			whole.WriteString(strings.Join([]string{at, a[0], b[0], a[1], b[1], label[i]}, ",") + "\n")
			room.WriteString(at + "," + ambient[i] + "\n")
			mask.WriteString(at + "," + inside[i] + "," + label[i] + "\n")
		}
		got := joinedOf(t, room.String(), mask.String())
		equalTraces(t, got, read(t, whole.String()))
	}
}

func TestJoinTakesTheNearestRowWithinHalfAStep(t *testing.T) {
	got := joinedOf(t, "time,ambient_per_cm3\n2026-08-14T18:05:00Z,10\n2026-08-14T18:05:01Z,11\n2026-08-14T18:05:02Z,12\n2026-08-14T18:05:03Z,13\n",
		"time,inside_per_cm3,exercise\n2026-08-14T20:04:59.3+02:00,1,a\n2026-08-14T20:05:01.1+02:00,2,b\n2026-08-14T20:05:02.4+02:00,3,c\n2026-08-14T20:05:09+02:00,4,d\n")
	// The mask's median step is 1.8 s, so half a step is 0.9 s: 59.3 belongs to 0
	// (0.7 s away), 1.1 to 1, 2.4 to 2; 3 has none left, 9 is too far.
	if !reflect.DeepEqual(got.Inside[:3], []float64{1, 2, 3}) || !math.IsNaN(got.Inside[3]) {
		t.Errorf("got %v", got.Inside)
	}
	if !reflect.DeepEqual(got.Labels, []string{"a", "b", "c"}) || !reflect.DeepEqual(got.Exercise, []int32{0, 1, 2, -1}) {
		t.Errorf("got %v %v", got.Labels, got.Exercise)
	}
	text := ""
	for _, r := range got.Remarks {
		text += r.Text + "\n"
	}
	for _, want := range []string{"joined by the instants", "starts -0.7 s after", "3 rows of mask.csv", "1 rows of the room have no partner, 1 of the mask"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}

func TestWithoutInstantsTracesJoinFromTheirStartsWithARemark(t *testing.T) {
	got := joinedOf(t, "time_s,ambient_per_cm3\n100,10\n101,11\n", "time,inside_per_cm3\n2026-08-14T18:05:00Z,1\n2026-08-14T18:05:01Z,2\n")
	if got.Inside[0] != 1 || got.Inside[1] != 2 {
		t.Errorf("got %v", got.Inside)
	}
	if r := got.Remarks[len(got.Remarks)-1]; r.Code != "R109" || !strings.Contains(r.Text, "started together") {
		t.Errorf("got %+v", r)
	}
}

func TestTracesThatDoNotBelongTogetherAreNotJoined(t *testing.T) {
	for _, c := range []struct{ name, room, mask, code, says string }{
		{"no common time", "time,ambient_per_cm3\n2026-08-14T10:00:00Z,1\n2026-08-14T10:08:00Z,1\n", "time,inside_per_cm3\n2026-08-14T11:02:00Z,1\n2026-08-14T11:09:00Z,1\n",
			"E119", "room trace 2026-08-14 10:00:00Z to 10:08:00Z, mask trace 2026-08-14 11:02:00Z to 11:09:00Z: no common time"},
		{"swapped", "time_s,inside_per_cm3\n0,1\n", "time_s,ambient_per_cm3\n0,1\n", "E112", "ambient air alone"},
		{"both in one", "time_s,ambient_per_cm3\n0,1\n", heading + "0,1,2\n", "E112", "inside air alone"},
		{"counts and concentrations", "time_s,ambient_per_cm3\n0,1\n", "time_s,inside_count,volume_cm3\n0,1,1\n", "E112", "counts"},
		{"two volumes", "time_s,ambient_count,volume_cm3\n0,1,1\n", "time_s,inside_count,volume_cm3\n0,1,2\n", "E112", "volume"},
	} {
		a, _ := Read("room.csv", strings.NewReader(c.room), nil)
		b, _ := Read("mask.csv", strings.NewReader(c.mask), nil)
		_, err := Join(a, b)
		if f := faultsOf(err); len(f) != 1 || f[0].Code != c.code || f[0].Do == "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
}
