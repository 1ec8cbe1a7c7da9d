package report

import "strings"

// token is a colour with its name in style.css.
type token struct{ name, value string }

type palette []token

// paper is for reading and printing; night for a dark screen. Colour carries the
// way in (room, edge, filter), never good or bad.
var (
	paper = palette{
		{"paper", "#faf8f3"}, {"ink", "#1f2a30"}, {"muted", "#596469"}, {"rule", "#d9d4c7"},
		{"room", "#3d6a8a"}, {"edge", "#b26d09"}, {"filter", "#6b4a86"},
		{"band", "#d6e3eb"}, {"shade", "#ece8dc"}, {"guide", "#e6e1d5"},
	}
	night = palette{
		{"paper", "#14201f"}, {"ink", "#f2efe6"}, {"muted", "#a9b8b4"}, {"rule", "#3a4a47"},
		{"room", "#8cbfdf"}, {"edge", "#b67a1c"}, {"filter", "#c9abe6"},
		{"band", "#213943"}, {"shade", "#1e2f2d"}, {"guide", "#263734"},
	}
)

func (p palette) css() string {
	var b strings.Builder
	for _, t := range p {
		b.WriteString("--" + t.name + ":" + t.value + ";")
	}
	return b.String()
}
