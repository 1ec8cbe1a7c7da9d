package uncertainty

import "math"

// CurrieLimits are the three limits of Currie, "Limits for qualitative detection
// and quantitative determination", Anal. Chem. 40 (1968) 586 (from memory), as
// net counts in the sample.
type CurrieLimits struct {
	Critical       float64 // L_C: net counts above it are called seen
	Detection      float64 // L_D: a true net of this many is seen with the chance 1-alpha
	Quantification float64 // L_Q: a true net of this many has a relative sd of 10 %
}

// Currie gives the limits for a background of the given counts looked at for its
// exposure, and a sample looked at for sampleExposure; alpha (0.05 by custom) is
// the chance of each of the two errors. It takes the counts as normal: below some
// 25 background counts use OnOff, since with none the critical limit is zero and
// one count would "detect".
func Currie(background Counted, sampleExposure, alpha float64) CurrieLimits {
	const relativeSD = 0.10
	z, r := -normalQuantile(alpha), sampleExposure/background.Exposure
	variance := background.Count*r + background.Count*r*r // of the net count at a true net of zero
	critical := z * math.Sqrt(variance)
	k2 := 1 / (relativeSD * relativeSD)
	return CurrieLimits{
		Critical:       critical,
		Detection:      z*z + 2*critical,
		Quantification: k2 / 2 * (1 + math.Sqrt(1+4*variance/k2)),
	}
}

// OnOffTest says how unlikely the counts of the sample (on) are if there were
// nothing but the background (off).
type OnOffTest struct {
	Excess float64 // net counts, never clipped at zero
	P      float64 // chance of as many counts in on, given the sum, from background alone
	Z      float64 // the same as a one-sided normal deviate (Z_Bi); +Inf where P underflows
	LiMa   float64 // Li & Ma's S, with the sign of the excess: an approximation
}

// OnOff is the exact binomial test of a sample against a background, with Li and
// Ma's significance beside it (Astrophys. J. 272 (1983) 317, eq. 17; Cousins,
// Linnemann & Tucker, Nucl. Instrum. Meth. A 595 (2008) 480; both from memory).
// Off-counts may be fractional. Unsound counts give P = 1 and no significance.
func OnOff(on, off Counted) OnOffTest {
	if !on.sound() || !off.sound() || on.Count+off.Count == 0 {
		return OnOffTest{P: 1}
	}
	alpha := on.Exposure / off.Exposure
	t := OnOffTest{Excess: on.Count - alpha*off.Count}
	t.P, _ = exactTails(on.Count, off.Count, alpha)
	t.Z = -normalQuantile(t.P)
	t.LiMa = math.Copysign(liMa(on.Count, off.Count, alpha), t.Excess)
	return t
}

// liMa is the square root of twice the log-likelihood ratio.
func liMa(on, off, alpha float64) float64 {
	expectOn := (on + off) * alpha / (1 + alpha)
	expectOff := (on + off) / (1 + alpha)
	var sum float64
	if on > 0 {
		sum += deviance(on, expectOn)
	} else {
		sum += expectOn
	}
	if off > 0 {
		sum += deviance(off, expectOff)
	} else {
		sum += expectOff
	}
	return math.Sqrt(2 * math.Max(0, sum))
}
