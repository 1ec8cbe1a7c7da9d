package publication

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"telltale/dossier"
	"telltale/finding"
)

// Film gives texts to go with a recording of the study: chapters that begin at
// each run's time, counted from the first run of its day, and subtitles for each
// run that begin with its trace. Runs without a time have no chapter.
func Film(f *finding.Findings) []dossier.File {
	var out []dossier.File
	days, names := chapters(f)
	for _, day := range names {
		out = append(out, dossier.File{Name: "chapters-" + day + ".txt", Data: []byte(days[day])})
	}
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				if text := subtitles(r, c, w); text != "" {
					out = append(out, dossier.File{Name: "subtitles-" + w.ID + ".srt", Data: []byte(text)})
				}
			}
		}
	}
	return out
}

type scene struct {
	at   time.Time
	text string
}

// chapters gives the text of each day, and the days in order.
func chapters(f *finding.Findings) (map[string]string, []string) {
	scenes := map[string][]scene{}
	var names []string
	for _, r := range f.Respirators {
		for _, c := range r.Configurations {
			for _, w := range c.Wearings {
				at, err := time.Parse(time.RFC3339, w.At)
				if err != nil {
					continue
				}
				day := at.Format(time.DateOnly)
				if scenes[day] == nil {
					names = append(names, day)
				}
				scenes[day] = append(scenes[day], scene{at, shown(fmt.Sprintf("%s, %s (%s)", r.Name, c.Name, told(w)))})
			}
		}
	}
	slices.Sort(names)
	out := map[string]string{}
	for day, all := range scenes {
		slices.SortStableFunc(all, func(a, b scene) int { return a.at.Compare(b.at) })
		var b strings.Builder
		for _, s := range all {
			fmt.Fprintf(&b, "%s %s\n", clock(s.at.Sub(all[0].at)), s.text)
		}
		out[day] = b.String()
	}
	return out, names
}

// told says what became of a run in a few words.
func told(w finding.Wearing) string {
	switch {
	case w.Excluded != "":
		return "left out: " + w.Excluded
	case w.Problem != "":
		return "no figure: " + w.Problem
	}
	return "fit factor " + w.FitFactor.Words()
}

func clock(d time.Duration) string {
	s := int(d.Seconds())
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// subtitles words each exercise of a run while it lasts; "" for a run without.
func subtitles(r finding.Respirator, c finding.Configuration, w finding.Wearing) string {
	var b strings.Builder
	n := 0
	for _, e := range w.Exercises {
		if !(e.EndS > e.StartS) || math.IsInf(e.EndS, 0) {
			continue
		}
		n++
		name := e.Name
		if name == "" {
			name = "the whole run"
		}
		fmt.Fprintf(&b, "%d\n%s --> %s\n%s, %s\n%s: fit factor %s\n\n", n, stamp(e.StartS), stamp(e.EndS), shown(r.Name), shown(c.Name), shown(name), e.FitFactor.Words())
	}
	return b.String()
}

// stamp writes seconds as subtitles do: 00:01:02,500.
func stamp(s float64) string {
	ms := int64(math.Round(math.Max(0, s) * 1000))
	return fmt.Sprintf("%02d:%02d:%02d,%03d", ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
}
