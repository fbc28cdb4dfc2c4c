package main

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHalves(t *testing.T) {
	// IEEE 754-2008, binary16.
	for v, want := range map[float64]uint16{0: 0, 1. / (1 << 14): 0x0400, 0.1: 0x2e66, 1. / 3: 0x3555, 1: 0x3c00, 1.5: 0x3e00, 65504: 0x7bff, 1e9: 0x7bff} {
		require.Equal(t, want, half(v), v)
	}
}

// A raw scene is as long as its head says, and its whites are those of a photo.
func TestARawScene(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, write(dir, 5, nil))
	b, err := os.ReadFile(filepath.Join(dir, "0000000005.raw"))
	require.NoError(t, err)
	var head [5]int
	for i := range head {
		head[i] = int(binary.LittleEndian.Uint32(b[4*i:]))
	}
	w, h, g := head[0], head[1], head[4]
	require.Len(t, b, 20+5*w*h+6*g*g)
	require.Equal(t, 16, g)
	for i := range 3 * g * g {
		bits := binary.LittleEndian.Uint16(b[20+5*w*h+2*i:])
		v := math.Ldexp(1+float64(bits&1023)/1024, int(bits>>10)-15)
		require.True(t, v > 0.05 && v < 4, "%d: %v", i, v)
	}
}
