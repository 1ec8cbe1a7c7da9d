package attribution

import (
	"fmt"
	"math"
	"testing"
	"time"
)

func TestChainTry(t *testing.T) {
	for _, file := range []string{"ladder_data.csv", "ladder_exercises.csv"} {
		l := asLadder(readCounts(t, file))
		priors := append([]Prior{Base}, Variants()...)
		m := ready(&l, priors)
		t0 := time.Now()
		m.keep = true
		s := m.solve(priors)
		fmt.Println(time.Since(t0), s.failed, s.walked, len(s.under[0].t.cells))
		q := s.under[0]
		for _, p := range levels {
			fmt.Printf("f %.6f %.6f  d %.5f %.5f e %.5f %.5f\n", math.Exp(q.f.quantile(p)), math.Exp(s.filterAt(0, p)),
				math.Exp(q.d.quantile(p)), math.Exp(order(s.draws.lnd, nil).at(p)), math.Exp(q.e.quantile(p)), math.Exp(order(s.draws.lne, nil).at(p)))
		}
	}
}
