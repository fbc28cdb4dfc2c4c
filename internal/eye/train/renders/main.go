// Renders writes scenes of internal/truth/scene as raw files for the training program:
//
//	renders DIR FIRST COUNT STEP [SWATCHES]
//
// writes the scenes of seeds FIRST, FIRST+STEP, … and waits while DIR holds many.
// A share of the cloth is cut from the pictures of real prints in SWATCHES.
package main

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/truth/scene"
)

const (
	white = 65534   // id of a white card or sheet
	paper = 1 << 14 // bit of white paper that lies on a piece
	most  = 400     // files in DIR while which nothing is written
	fine  = 4       // places each way in a cell whose white is averaged
	grid  = 16      // cells each way in which the white of a scene is told
)

func main() {
	var n [3]uint64
	for i := range n {
		v, err := strconv.ParseUint(os.Args[2+i], 10, 64)
		if err != nil {
			fmt.Fprintln(os.Stderr, "renders: DIR FIRST COUNT STEP [SWATCHES]:", err)
			os.Exit(2)
		}
		n[i] = v
	}
	var swatches []*scene.Swatch
	if len(os.Args) > 5 {
		var err error
		if swatches, err = scene.ReadSwatches(os.Args[5]); err != nil {
			fmt.Fprintln(os.Stderr, "renders:", err)
			os.Exit(1)
		}
	}
	for i := range n[1] {
		for {
			files, err := os.ReadDir(os.Args[1])
			if err != nil {
				fmt.Fprintln(os.Stderr, "renders:", err)
				os.Exit(1)
			}
			if len(files) < most {
				break
			}
			time.Sleep(300 * time.Millisecond)
		}
		if err := write(os.Args[1], n[0]+i*n[2], swatches); err != nil {
			fmt.Fprintln(os.Stderr, "renders:", err)
			os.Exit(1)
		}
	}
}

// write makes one scene: little-endian w, h, kind, 16 (bits an id), grid, then RGB,
// then ids, then what a white sheet would have in the mean of each of grid × grid
// cells, 3 float16 each.
func write(dir string, seed uint64, swatches []*scene.Swatch) error {
	r := rand.New(rand.NewPCG(seed, 77))
	// stacks and piles are the harder kinds, and drawn more often
	kinds := []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile}
	k := []int{0, 0, 1, 2, 2, 2, 3, 3, 3, 3}[r.IntN(10)]
	level := []int{1, 1, 2, 2, 2, 3, 3, 3}[r.IntN(8)]
	s := scene.Make(kinds[k], level, seed, scene.Options{
		Long:   []int{896, 960, 1024, 1088, 1152}[r.IntN(5)],
		Varied: r.Float64() < .75,
		// About a third of the cloth is real: none of it in some scenes, all in others.
		Swatches: swatches, Real: min(1, max(0, -.4+1.45*r.Float64())), Dyed: .5,
	})
	w, h := s.W, s.H
	if len(s.Pieces) == 0 {
		k = len(kinds)
	}
	buf := make([]byte, 20+5*w*h, 20+5*w*h+6*grid*grid)
	for j, v := range []int{w, h, k, 16, grid} {
		binary.LittleEndian.PutUint32(buf[4*j:], uint32(v))
	}
	px, ids := buf[20:20+3*w*h], make([]uint16, w*h)
	for i := range ids {
		copy(px[3*i:3*i+3], s.Image.Pix[4*i:4*i+3])
		ids[i] = s.Mask[i]
		switch {
		case s.Paper[i] && ids[i] == 0:
			ids[i] = white
		case s.Paper[i]:
			ids[i] |= paper
		}
	}
	for i, id := range ids {
		binary.LittleEndian.PutUint16(buf[20+3*w*h+2*i:], id)
	}
	for y := range grid {
		for x := range grid {
			// The mean of the cell: shadows have edges.
			var mean [3]float64
			for k := range fine * fine {
				at := geom.Point{
					X: (float64(x) + (float64(k%fine)+.5)/fine) * float64(w) / grid,
					Y: (float64(y) + (float64(k/fine)+.5)/fine) * float64(h) / grid,
				}
				for i, v := range s.WhiteAt(at) {
					mean[i] += v / (fine * fine)
				}
			}
			for _, v := range mean {
				buf = binary.LittleEndian.AppendUint16(buf, half(v))
			}
		}
	}
	name := filepath.Join(dir, fmt.Sprintf("%010d", seed))
	if err := os.WriteFile(name+".tmp", buf, 0o644); err != nil {
		return err
	}
	return os.Rename(name+".tmp", name+".raw")
}

// half returns v as an IEEE 754 half, for 2⁻¹⁴ ≤ v < 65504; less is 0.
func half(v float64) uint16 {
	if v < 1./(1<<14) {
		return 0
	}
	bits := math.Float32bits(float32(min(v, 65504)))
	return uint16((bits - (127-15)<<23 + 1<<12) >> 13)
}
