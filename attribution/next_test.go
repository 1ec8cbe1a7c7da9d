package attribution

import (
	"fmt"
	"testing"
)

func TestNextTry(t *testing.T) {
	for _, file := range []string{"ladder_data.csv", "ladder_exercises.csv"} {
		l := asLadder(readCounts(t, file))
		r, err := Solve(l, Options{Next: true})
		if err != nil {
			t.Fatal(err)
		}
		if r.Next == nil {
			continue
		}
		fmt.Println(r.Next.Text)
		for _, s := range r.Next.Others {
			fmt.Println("  ", s.text())
		}
	}
}
