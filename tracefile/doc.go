// Package tracefile answers: what does this trace say?
//
// It reads a recorded series from text into a record.Trace, writes it back in
// one canonical form, joins two one-column traces of one test, and looks a trace
// over. The format, the layouts for foreign files and all codes are described in
// docs/formats.md.
//
// It assumes nothing that the file does not say: an empty cell is missing and
// never zero, a unit is never guessed, and what was tolerated becomes a remark
// of the trace. It refuses, with file, line and what to do, whatever can be read
// in two ways. Nothing of a faulty file is used.
package tracefile

// The limits of a trace file (E120). They hold a reading within the memory of a
// small computer; a week at one row a second is 600 000 rows.
const (
	MaxBytes   = 50 << 20  // bytes of a file
	MaxLine    = 64 << 10  // bytes of a line, and of a record with line ends in quotes
	MaxRows    = 5_000_000 // rows of measurements
	MaxColumns = 256       // columns of a row
)

// Absurd is the concentration per cm3, or the count, from which on a reading is
// taken for a slip and kept out (E110): even a smoke plume stays below 1e9.
const Absurd = 1e12

// A reading that has nothing but faults ends after maxFaults of them; from
// keptFaults on they are only counted.
const (
	maxFaults  = 1_000_000
	keptFaults = 1000
)

// The codes of remarks; the codes of faults are written where they arise. All
// are explained in docs/formats.md.
const (
	remarkBOM        = "R101" // byte order mark removed
	remarkLineEnds   = "R102" // line ends other than LF
	remarkUTF16      = "R103" // read as UTF-16
	remarkEncoding   = "R104" // read in the encoding of the layout
	remarkSeparator  = "R105" // separator or decimal sign other than , and .
	remarkLastLine   = "R106" // last line incomplete, not used
	remarkEqualTimes = "R107" // several rows with one time
	remarkEpoch      = "R108" // time_s counts from 1970
	remarkJoined     = "R109" // two files joined
	remarkConverted  = "R110" // unit converted by the layout
	remarkFraction   = "R111" // counts that are not whole
	remarkBlank      = "R112" // blank lines
	remarkIgnored    = "R113" // columns ignored by the layout
	remarkFullScale  = "R114" // readings at the full scale of the layout
	remarkAbsent     = "R115" // columns of the layout that the file does not have
	remarkAbsurd     = "E110" // readings kept out as absurd
)
