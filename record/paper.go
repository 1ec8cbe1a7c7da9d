package record

// Paper is a file of the study folder kept byte by byte: a marks file, or the
// layout of a counter's files. The zero Paper is none.
type Paper struct {
	Path   string // in the study folder, as the study writes it
	SHA256 string // of Data, lower-case hex
	Data   []byte
}

// Stated reports whether there is such a file.
func (p Paper) Stated() bool { return p.Path != "" }

// Part is one of the two files of which a Trace was joined.
type Part struct {
	Path   string // in the study folder, as the study writes it
	SHA256 string // of the file's bytes, lower-case hex
	Bytes  int64
}
