package find

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
)

// forestDepth is how many questions each tree of a forest asks.
const forestDepth = 3

// forest is a sum of small decision trees, each complete and of the same depth
// (gradient boosting, Friedman 2001). Its answer is in log odds.
type forest struct {
	bias  float32
	trees []tree
}

// tree asks node 0 first; node k's children are 2k+1 (feature ≤ limit) and 2k+2.
type tree struct {
	feature [1<<forestDepth - 1]int32
	limit   [1<<forestDepth - 1]float32
	leaf    [1 << forestDepth]float32
}

func (f *forest) logOdds(x []float32) float32 {
	s := f.bias
	for i := range f.trees {
		t := &f.trees[i]
		k := 0
		for range forestDepth {
			if x[t.feature[k]] <= t.limit[k] {
				k = 2*k + 1
			} else {
				k = 2*k + 2
			}
		}
		s += t.leaf[k-(1<<forestDepth-1)]
	}
	return s
}

// parseForest reads the number of trees and the bias, then a tree a line: its
// questions as feature and limit, node by node, and its leaves.
func parseForest(b []byte, features int) (*forest, error) {
	r := bufio.NewReader(bytes.NewReader(b))
	f := &forest{}
	n := 0
	if _, err := fmt.Fscan(r, &n, &f.bias); err != nil {
		return nil, fmt.Errorf("forest: %w", err)
	}
	f.trees = make([]tree, n)
	for i := range f.trees {
		t := &f.trees[i]
		for k := range t.feature {
			if _, err := fmt.Fscan(r, &t.feature[k], &t.limit[k]); err != nil {
				return nil, fmt.Errorf("forest: tree %d: %w", i, err)
			}
			if t.feature[k] < 0 || int(t.feature[k]) >= features {
				return nil, fmt.Errorf("forest: tree %d asks feature %d of %d", i, t.feature[k], features)
			}
		}
		for k := range t.leaf {
			if _, err := fmt.Fscan(r, &t.leaf[k]); err != nil {
				return nil, fmt.Errorf("forest: tree %d: %w", i, err)
			}
		}
	}
	return f, nil
}

func logistic(x float32) float32 { return float32(1 / (1 + math.Exp(-float64(x)))) }
