package arrange

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"
)

func TestHardX(t *testing.T) {
	bad := 0
	var worst time.Duration
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 77))
		rows, columns := 3+r.IntN(18), 3+r.IntN(18)
		largest := 0.45 + 0.05*r.Float64()
		p := grid(rows, columns, false, planted(r, rows, columns, largest, 4))
		p.Effort = 0.02
		b, _ := newBoard(&p)
		s := newSearch(b)
		s.Effort = 1
		t0 := time.Now()
		s.part(context.Background())
		d := time.Since(t0)
		if d > worst {
			worst = d
			t.Log(rows, columns, largest, d, s.looked)
		}
		if s.total > 0 {
			bad++
			t.Log("FAILED", rows, columns, largest, s.total, b.least(s.at))
		}
	}
	t.Log(bad, worst)
}
