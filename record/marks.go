package record

import "time"

// Marks is what is printed on and around a respirator, and where, as a person
// or a machine read it (form of the marks file: docs/formats.md).
type Marks struct {
	Facepiece, Strap, Pouch, Box, Leaflet, Certificate, Listing string

	Attachment string // ear_loops, head_straps, other, or "" when not stated
	Valve      *bool  // nil when not stated

	Made, Bought, FirstSold time.Time // zero = not stated
	// The last day that can be meant, where only a month or a year is known; zero =
	// the day itself.
	MadeLast, BoughtLast, FirstSoldLast time.Time

	Codes       []string // what the barcodes on it say, as a scanner gives it
	Registers   []RegisterEntry
	MachineRead []string // places whose text was read by a machine and not yet confirmed
}

// RegisterState is what a person found when looking a number up.
type RegisterState string

// The states of a look-up.
const (
	Matched      RegisterState = "matched"
	OtherHolder  RegisterState = "other_holder"
	NoSuchNumber RegisterState = "no_such_number"
	Revoked      RegisterState = "revoked"
	NotLookedUp  RegisterState = "not_looked_up"
)

// RegisterEntry is one look-up by a person in a public register.
type RegisterEntry struct {
	Register string
	Number   string
	State    RegisterState
	Holder   string
	Date     time.Time // of the look-up

	ValidUntil time.Time // as the register shows it; zero = not stated
	Screenshot string    // name of the picture of the entry; empty = none was kept
}

// Place is one text of a respirator with the place it stands in.
type Place struct{ Where, Text string }

// Places lists the non-empty texts in the order a person would look at them.
func (m Marks) Places() []Place {
	all := []Place{
		{"facepiece", m.Facepiece}, {"strap", m.Strap}, {"pouch", m.Pouch}, {"box", m.Box},
		{"leaflet", m.Leaflet}, {"certificate", m.Certificate}, {"listing", m.Listing},
	}
	var out []Place
	for _, p := range all {
		if p.Text != "" {
			out = append(out, p)
		}
	}
	return out
}

// At is the text of a place by its word. A word that is no place is a programmer's
// error.
func (m *Marks) At(where string) *string {
	switch where {
	case "facepiece":
		return &m.Facepiece
	case "strap":
		return &m.Strap
	case "pouch":
		return &m.Pouch
	case "box":
		return &m.Box
	case "leaflet":
		return &m.Leaflet
	case "certificate":
		return &m.Certificate
	case "listing":
		return &m.Listing
	}
	panic("record: no place is called " + where)
}
