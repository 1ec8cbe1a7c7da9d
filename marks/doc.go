// Package marks answers: do the words on respirator, pouch and certificate agree
// with each other and with the regime they name?
//
// It assumes that the texts were read correctly, or are named as machine-read; a
// doubtful letter in a machine-read text is never more than a note. What a regime
// prints and demands is data of package reference; this package holds only the
// rules that compare. Normalised text is matched, raw text is quoted.
//
// It refuses to say where a respirator comes from or what it does: paper can
// contradict itself or not. No number is judged without a person's look-up in a
// register, and no measurement is looked at (that is package claim's part).
package marks
