package photo

import (
	"crypto/sha256"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/testtable"
)

// What is read of every file of the test data stays as it was: its header and the memory
// that is counted on, the picture in 8 × 6 cells, and what stripping leaves of it.
func TestFilesAreKept(t *testing.T) {
	type kept struct {
		Refused  string      `json:",omitempty"`
		Info     Info        `json:",omitzero"`
		Memory   int64       `json:",omitempty"` // KiB
		Cells    [][]float64 `json:",omitempty"` // means of linear R, G and B, and of what is clipped
		Focal    float64     `json:",omitempty"`
		Camera   bool        `json:",omitempty"`
		Stripped string      `json:",omitempty"` // SHA-256
	}
	files := withSecrets(t, secretEXIF(6, []field{{0xa001, 3, 1}}, nil))
	delete(files, "patches.png") // as it is packed by this version of Go
	for _, folder := range []string{"photo", "heic", "corrupt"} {
		names, err := filepath.Glob(filepath.Join("..", "..", "testdata", folder, "*"))
		require.NoError(t, err)
		require.NotEmpty(t, names)
		for _, name := range names {
			if slices.Contains([]string{".md", ".py"}, filepath.Ext(name)) {
				continue
			}
			files[folder+"/"+filepath.Base(name)], err = os.ReadFile(name)
			require.NoError(t, err)
		}
	}
	out := map[string]kept{}
	for name, data := range files {
		var k kept
		if h, err := readHeader(data); err == nil {
			k.Memory = h.memory >> 10
		}
		if left, err := Strip(data); err == nil {
			sum := sha256.Sum256(left)
			k.Stripped = hex.EncodeToString(sum[:8])
		}
		pic, info, err := work(data, Options{})
		if err != nil {
			k.Refused = refuse(name, err).Why
		} else {
			k.Info, k.Focal, k.Camera = info, pic.Focal35, pic.Camera
			const across, down = 8, 6
			sums, n := make([][4]float64, across*down), make([]float64, across*down)
			for i := range pic.W * pic.H {
				cell := i/pic.W*down/pic.H*across + i%pic.W*across/pic.W
				n[cell]++
				for c := range 3 {
					sums[cell][c] += float64(pic.Pix[3*i+c])
				}
				sums[cell][3] += float64(pic.Clipped[i]) / 255
			}
			for cell, sum := range sums {
				for c := range sum {
					sum[c] = math.Round(1e4*sum[c]/max(1, n[cell])) / 1e4
				}
				k.Cells = append(k.Cells, sum[:])
			}
		}
		out[name] = k
	}
	testtable.Kept(t, "files", out, 1e-3)
}
