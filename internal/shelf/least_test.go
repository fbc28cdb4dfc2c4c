package shelf

import (
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

func TestLeastIsTheFloorOrTheNeed(t *testing.T) {
	blue, cut := Alike{Family: cloth.Blue, Value: cloth.Dark}, Square(2.5)
	floors := []Floor{{Least: 4}, {Cut: cut, Least: 10}}
	needs := []Need{{Quilt: "a", Alike: blue, Cut: cut, Count: 7}, {Quilt: "b", Alike: blue, Cut: cut, Count: 6}}
	require.Equal(t, 13, Least(floors, needs, blue, cut), "two quilts together take more than the floor")
	require.Equal(t, 10, Least(floors, needs[:1], blue, cut), "the more particular floor holds")
	require.Equal(t, 4, Least(floors, needs, blue, Square(5)))
	require.Zero(t, Least(nil, nil, blue, cut))
}
