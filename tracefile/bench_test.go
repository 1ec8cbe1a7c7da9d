package tracefile

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
)

// bigTrace is a trace of two counters of at least n bytes, ten rows a second.
func bigTrace(n int) []byte {
	rng := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	b.WriteString("# finished: yes\ntime_s,ambient_per_cm3,inside_per_cm3,exercise\n")
	labels := []string{"normal breathing", "deep breathing", "talking", ""}
	for i := 0; b.Len() < n; i++ {
		fmt.Fprintf(&b, "%.1f,%.1f,%.3f,%s\n", float64(i)/10, 8000+500*rng.NormFloat64(), 40*rng.ExpFloat64(), labels[i/600%4])
	}
	return b.Bytes()
}

func BenchmarkReadFiftyMegabytes(b *testing.B) {
	data := bigTrace(50_000_000)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("big.csv", bytes.NewReader(data), nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseNumber(b *testing.B) {
	text := []byte("8123.4")
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, ok := parseNumber(text); !ok {
			b.Fatal("refused")
		}
	}
}
