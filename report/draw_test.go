package report

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"telltale/finding"
	"telltale/quantity"
	"telltale/record"
	"telltale/uncertainty"
)

// luminance is the relative luminance of a colour #rrggbb (WCAG 2.2, definition
// of relative luminance; from memory).
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	v, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	channel := func(shift uint) float64 {
		c := float64(v>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(16) + 0.7152*channel(8) + 0.0722*channel(0)
}

func contrast(t *testing.T, a, b string) float64 {
	la, lb := luminance(t, a), luminance(t, b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func TestContrastOfBlackOnWhiteIsTwentyOne(t *testing.T) {
	if c := contrast(t, "#000000", "#ffffff"); math.Abs(c-21) > 1e-9 { // WCAG 2.2: the largest ratio is 21:1
		t.Errorf("contrast %v", c)
	}
}

// TestColoursStandOut checks the pairs that are really laid on each other: 4.5 for
// text (WCAG 2.2, 1.4.3), 3 for marks (1.4.11). Print has a white ground.
func TestColoursStandOut(t *testing.T) {
	for name, p := range map[string]palette{"paper": paper, "night": night} {
		of := map[string]string{}
		for _, x := range p {
			of[x.name] = x.value
		}
		grounds := []string{of["paper"], of["shade"]}
		if name == "paper" {
			grounds = append(grounds, "#ffffff")
		}
		for _, ground := range grounds {
			for _, text := range []string{"ink", "muted", "room", "filter"} {
				if c := contrast(t, of[text], ground); c < 4.5 {
					t.Errorf("%s: text %s on %s has contrast %.2f", name, text, ground, c)
				}
			}
			for _, mark := range []string{"edge", "room", "filter", "ink", "muted"} {
				if c := contrast(t, of[mark], ground); c < 3 {
					t.Errorf("%s: mark %s on %s has contrast %.2f", name, mark, ground, c)
				}
			}
		}
		for _, over := range [][2]string{{"ink", "band"}, {"edge", "band"}, {"room", "band"}, {"ink", "edge"}} {
			if c := contrast(t, of[over[0]], of[over[1]]); c < 3 {
				t.Errorf("%s: %s over %s has contrast %.2f", name, over[0], over[1], c)
			}
		}
		if c := contrast(t, of["ink"], of["band"]); c < 4.5 {
			t.Errorf("%s: labels over the band have contrast %.2f", name, c)
		}
	}
}

func TestAScaleKeepsOrderAndStaysInside(t *testing.T) {
	for _, s := range []scale{logScale(10, 300, 3, 250), logScale(0, 700, 1e-9, 1e9), logScale(5, 900, 42), logScale(0, 100), linearScale(0, 400, 17.3), linearScale(0, 400, math.NaN())} {
		last := math.Inf(-1)
		for v := 1e-12; v < 1e12; v *= 1.7 {
			at := s.place(v)
			if at < last || at < s.x0 || at > s.x1 {
				t.Fatalf("%+v: %v is drawn at %v after %v", s, v, at, last)
			}
			last = at
		}
		ticks := s.ticks(tickSize)
		if len(ticks) < 2 {
			t.Errorf("%+v has the ticks %v", s, ticks)
		}
		for i, v := range ticks {
			if v < s.lo*(1-1e-6) || v > s.hi*(1+1e-6) || i > 0 && v <= ticks[i-1] {
				t.Errorf("%+v: tick %v", s, v)
			}
		}
	}
}

func TestATickIsAPlainNumber(t *testing.T) {
	for v, want := range map[float64]string{1: "1", 0.5: "0.5", 0.001: "0.001", 300: "300", 10000: "10 000", 2e6: "2 million", 5e9: "5 billion", 0: "0", 0.3: "0.3"} {
		if got := plainNumber(v); got != want {
			t.Errorf("%v is labelled %q, not %q", v, got, want)
		}
	}
}

func TestTheFieldHoldsAThousandParticles(t *testing.T) {
	for _, x := range []struct {
		p               uncertainty.Estimate
		inside, allowed int // by hand: 1000 times the share
	}{
		{ff(0.112, 0.08, 0.16), 112, 160}, {uncertainty.NewAtMost(0.0013, lab, ""), 0, 1}, {uncertainty.NewAtLeast(0.2, lab, ""), 200, 1000},
		{uncertainty.NewUnknown(lab, ""), 0, 0}, {ff(1.4, 1.2, 1.6), 1000, 1000}, {ff(-0.1, -0.2, 0.05), 0, 50},
	} {
		g := rung{total: percent(x.p)}
		g.split(nil, "")
		ways, allowed := g.counts()
		if inside := ways[0] + ways[1] + ways[2]; inside != x.inside || allowed != x.allowed {
			t.Errorf("%v: %d and %d, not %d and %d", x.p, inside, allowed, x.inside, x.allowed)
		}
		c := field(g, 425)
		if marks := strings.Count(c.b.String(), "M"); marks != allowed+(allowed-x.inside) { // one move a disc, two a ring (stroke and hole)
			t.Errorf("%v: %d marks are drawn", x.p, marks)
		}
	}
	r := cup()
	// By hand: as worn 1000/140 = 7.14, of which 44 % = 3.14 round the edge; whole particles.
	if ways, _ := rungs(&r)[0].counts(); ways != [3]int{3, 4, 0} {
		t.Errorf("told apart, the ways in are drawn as %v", ways)
	}
	seen := map[int]bool{}
	for _, turn := range scattered(fieldParticles) {
		seen[turn] = true
	}
	if len(seen) != fieldParticles {
		t.Errorf("only %d places have a turn", len(seen))
	}
}

func TestTheWaysInMakeUpTheWhole(t *testing.T) {
	for _, r := range fixture().Respirators {
		for _, g := range rungs(&r) {
			sum := g.edge + g.filter + g.undecided
			if finite(g.total.Value) && math.Abs(sum-g.total.Value) > 1e-12 {
				t.Errorf("%s %s: the parts make %v of %v", r.ID, g.name, sum, g.total.Value)
			}
		}
	}
	a := fold()
	gs := rungs(&a)
	// By hand: as worn 100/8.9 = 11.236 %, the filter at most 1.7 %, so 9.536 % came round the edge.
	if math.Abs(gs[0].edge-9.536) > 0.001 || gs[0].filter != 0 || math.Abs(gs[0].undecided-1.7) > 1e-9 {
		t.Errorf("as worn is split into %+v", gs[0])
	}
	a.Attribution = nil
	if gs = rungs(&a); gs[0].edge != 0 || gs[0].filter != 0 {
		t.Errorf("without attribution a way in is claimed: %+v", gs[0])
	}
}

func TestColumnsAlign(t *testing.T) {
	var b bytes.Buffer
	err := Columns(&b, [][]string{{"name", "figure", "note"}, {"呼吸", "8.9", "a\u202Eb"}, {"e\u0301te", "1234"}, {}}, "lr")
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 呼吸 takes four columns, the combining accent none.
	want := "  name  figure  note\n  呼吸     8.9  ab\n  e\u0301te     1234\n\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

func TestATraceOfAnyShapeIsDrawn(t *testing.T) {
	f := fixture()
	w := f.Respirators[0].Configurations[0].Wearings[0]
	long := trace(1, w, false)
	one := *long
	one.TimeS, one.Ambient, one.Inside = long.TimeS[:1], long.Ambient[:1], long.Inside[:1]
	gone := *long
	gone.Ambient, gone.Inside = nil, nil
	for name, x := range map[string]*tracePlot{"long": newTracePlot(w, long, tops{}), "one row": newTracePlot(w, &one, tops{8000, 8000}), "no readings": newTracePlot(w, &gone, tops{8000, 0})} {
		x.columns = 200
		if x.draw().b.Len() == 0 {
			t.Errorf("%s: nothing was drawn", name)
		}
	}
}

func TestDecimationKeepsTheExtremes(t *testing.T) {
	f := fixture()
	tr := trace(1, f.Respirators[0].Configurations[0].Wearings[0], false)
	for i := range tr.Inside {
		tr.Inside[i] = 100
	}
	tr.Inside[301] = 4000 // one row in 480, drawn in 50 columns
	p := newTracePlot(f.Respirators[0].Configurations[0].Wearings[0], tr, tops{})
	p.columns = 50
	c := &canvas{w: wideWidth, h: traceHeight}
	p.curve(c, "x", p.inside)
	rise := int(math.Round(2*p.height(4000))) - int(math.Round(2*p.height(100)))
	if !strings.Contains(c.b.String(), strconv.Itoa(rise)+" ") { // a minus parts it from the number before
		t.Errorf("the spike of %d half px is not in %s", rise, c.b.String())
	}
}

func TestParticlesAreWordedAsTheFindingWordsThem(t *testing.T) {
	for _, x := range []struct {
		oneIn  string
		fit    uncertainty.Estimate
		strong string
		light  string
	}{
		{"about 1 particle in 8.9 gets in", ff(8.9, 6.1, 13), "1 in 8.9", "6.1 to 13.0"},
		{"about 67 particles in 100 get in", ff(1.5, 1.2, 1.9), "67 in 100", ""},
		{"at most 1 particle in 740 gets in", uncertainty.NewAtLeast(742, lab, ""), "at most 1 in 740", "95 %"},
		{"at least 1 particle in 12 gets in", uncertainty.NewAtMost(11.2, lab, ""), "at least 1 in 12", "95 %"},
		{"how many particles get in cannot be told", uncertainty.NewUnknown(lab, ""), "cannot tell", ""},
		{"", ff(8.9, 6.1, 13), "cannot tell", ""},
	} {
		got := particles(finding.Configuration{OneIn: x.oneIn, FitFactor: x.fit})
		if got != (said{x.strong, x.light}) {
			t.Errorf("%q is worded %+v", x.oneIn, got)
		}
	}
}

func TestReadingsAtTheTopOfTheRangeAreMarked(t *testing.T) {
	w := fold().Configurations[0].Wearings[0]
	tr := trace(1, w, false)
	tr.Overload = nil
	for _, x := range []struct {
		top    tops
		capped bool
	}{{tops{}, false}, {tops{8000, 8000}, false}, {tops{5000, 0}, true}, {tops{0, 500}, true}} { // the room reads about 5200, the inside about 700
		p := newTracePlot(w, tr, x.top)
		p.columns = 100
		p.draw()
		if p.capped != x.capped {
			t.Errorf("with the tops %+v capped is %v", x.top, p.capped)
		}
	}
}

func TestSizeChannelsAreSummedOnce(t *testing.T) {
	channel := func(low, high quantity.Diameter, inside ...float64) record.Channel {
		return record.Channel{Low: low, High: high, Inside: inside}
	}
	for _, x := range []struct {
		name string
		all  []record.Channel
		want float64 // by hand
	}{
		{"two bins", []record.Channel{channel(0.3, 0.5, 40), channel(0.5, 1, 7)}, 47},
		{"bins and what lies above", []record.Channel{channel(0.3, 0.5, 40), channel(0.3, 0, 60)}, 40},
		{"cumulative ones hold each other", []record.Channel{channel(0.5, 0, 20), channel(0.3, 0, 60)}, 60},
	} {
		got := channelSum(&record.Trace{TimeS: []float64{0}, Channels: x.all}, false)
		if len(got) != 1 || got[0] != x.want {
			t.Errorf("%s: %v, not %v", x.name, got, x.want)
		}
	}
	if got := channelSum(&record.Trace{TimeS: []float64{0}}, true); len(got) != 1 || !math.IsNaN(got[0]) {
		t.Errorf("without channels the sum is %v", got)
	}
}
