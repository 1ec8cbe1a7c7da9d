package fitfactor

import "telltale/uncertainty"

// Say words a fit factor with its interval.
func Say(e uncertainty.Estimate) string { return e.Words() }

func number(v float64) string { return uncertainty.Number(v) }
