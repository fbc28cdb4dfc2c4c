package testtable

import (
	"fmt"
	"os"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// told is a test that is watched: what made it fail.
type told struct {
	testing.TB
	failure string
}

func (o *told) Helper() {}

func (o *told) Fatal(args ...any) { o.Fatalf("%s", fmt.Sprint(args...)) }

func (o *told) Fatalf(format string, args ...any) {
	o.failure = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

// failure is what Kept says of a value, "" where it is as it was kept.
func failure(name string, value any, tolerance float64) string {
	o := &told{}
	done := make(chan struct{})
	go func() {
		defer close(done)
		Kept(o, name, value, tolerance)
	}()
	<-done
	return o.failure
}

func TestKept(t *testing.T) {
	t.Chdir(t.TempDir())
	type seen struct {
		Name  string
		Sides []float64
		Inner map[string]float64 `json:",omitempty"`
		Seen  bool
	}
	was := seen{"a [b]", []float64{1, 200}, map[string]float64{"x": 0.5}, true}
	require.Contains(t, failure("a", was, 0.01), "-update", "nothing is kept yet")
	*Update = true
	require.Empty(t, failure("a", was, 0.01))
	*Update = false
	text, err := os.ReadFile("testdata/kept/a.json")
	require.NoError(t, err)
	require.Contains(t, string(text), `"Name": "a [b]",`)
	require.Contains(t, string(text), `"Sides": [1,200],`)
	for _, c := range []struct {
		now  seen
		want string
	}{
		{was, ""},
		{seen{"a [b]", []float64{1.009, 198.1}, map[string]float64{"x": 0.509}, true}, ""},
		{seen{"a [b]", []float64{1, 202.1}, map[string]float64{"x": 0.5}, true}, ".Sides[1]: 202.1, kept 200"},
		{seen{"a [b]", []float64{1, 200}, map[string]float64{"x": 0.489}, true}, ".Inner.x: 0.489, kept 0.5"},
		{seen{"a [b]", []float64{1}, map[string]float64{"x": 0.5}, true}, ".Sides: [1], kept [1,200]"},
		{seen{"a b", []float64{1, 200}, map[string]float64{"x": 0.5}, false}, ".Name: \"a b\", kept \"a [b]\"\n.Seen: false, kept true"},
		{seen{"a [b]", []float64{1, 200}, map[string]float64{"x": 0.5, "y": 0}, true}, ".Inner.y: 0, kept null"},
		{seen{"a [b]", []float64{1, 200}, nil, true}, ".Inner: null, kept {\"x\":0.5}"},
	} {
		got := failure("a", c.now, 0.01)
		if c.want == "" {
			require.Empty(t, got)
			continue
		}
		require.Contains(t, got, c.want)
	}
}
