package attribution

import "telltale/uncertainty"

// NextWearing is the step that is expected to narrow the open question most.
type NextWearing struct {
	What string `json:"what"`
	// Narrowing is the expected ratio of the filter's log uncertainty after the
	// step to now (1 = nothing gained).
	Narrowing uncertainty.Estimate `json:"narrowing"`
	Wearings  int                  `json:"wearings"` // about how many such steps settle it; 0 = not to be settled this way
	Text      string               `json:"text"`
}
