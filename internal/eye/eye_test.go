package eye

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// stored reads what train/export.py wrote beside the weights: a picture and what
// the same net, in integers, answers to it in PyTorch.
func stored(t *testing.T) (rgb []byte, w, h int, kind []float64, logits []int16) {
	b, err := os.ReadFile("testdata/activations.bin")
	require.NoError(t, err)
	n := func(i int) int { return int(binary.LittleEndian.Uint32(b[4*i:])) }
	w, h = n(0), n(1)
	kinds, heads := n(2), n(3)
	b = b[16:]
	rgb, b = b[:3*w*h], b[3*w*h:]
	sum := 0.0
	for i := range kinds {
		kind = append(kind, math.Exp(float64(math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:])))))
		sum += kind[i]
	}
	for i := range kind {
		kind[i] /= sum
	}
	b = b[4*kinds:]
	require.Len(t, b, w/2*h/2*heads*2)
	for i := 0; i < len(b); i += 2 {
		logits = append(logits, int16(binary.LittleEndian.Uint16(b[i:])))
	}
	return rgb, w, h, kind, logits
}

// The activations are PyTorch's, made by train/export.py. All is integers but
// for the kind, so the answers are the same to the last bit.
func TestLookAnswersAsTheTrainingFramework(t *testing.T) {
	rgb, w, h, kind, logits := stored(t)
	withEach(t, func() {
		e, err := Read(trained)
		require.NoError(t, err)
		got, kinds := seen(e, rgb, w, h)
		require.Equal(t, logits, got, best.name)
		require.InDeltaSlice(t, kind, kinds, 1e-5)
	})
}

// seen is all that the eye answers to a picture, as stored gives it.
func seen(e *Eye, rgb []byte, w, h int) (logits []int16, kind []float64) {
	heads := len(e.Header.Heads)
	logits = make([]int16, w/2*h/2*heads)
	kind = e.Look(rgb, w, h, func(r *Row) {
		for x := range w / 2 {
			copy(logits[(r.Y*w/2+x)*heads:][:heads], r.logits[x*r.heads:])
		}
	})
	return logits, kind
}

// withEach runs f with each kernel of this processor, and with plain Go.
func withEach(t *testing.T, f func()) {
	defer func(old kernel) { best = old }(best)
	for _, best = range append(kernels, kernel{name: "plain Go", lanes: group}) {
		t.Log(best.name)
		f()
	}
}

// A convolution is what its definition says, by each kernel and in plain Go, and
// leaves the border as it was: widths under, at and above the kernels', both
// strides, a residual or none.
func TestConvolutionByDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, s := range []struct{ in, out, k, stride, w, h int }{
		{12, 16, 3, 1, 24, 6}, {16, 24, 3, 1, 26, 4}, {24, 32, 3, 2, 50, 8}, {32, 16, 1, 1, 12, 2}, {8, 10, 1, 1, 15, 3}, {16, 8, 3, 1, 2, 4}, {16, 8, 3, 2, 6, 4},
	} {
		raw := make([]int8, s.out*s.k*s.k*s.in)
		for i := range raw {
			raw[i] = int8(r.IntN(255) - 127)
		}
		scale, bias := make([]float32, s.out), make([]float32, s.out)
		for i := range scale {
			scale[i], bias[i] = float32(r.Float64()/1000), float32(r.NormFloat64()*2000)
		}
		var in, res tensor
		fill(in.shape(s.h, s.w, s.in), r)
		fill(res.shape(s.h/s.stride, s.w/s.stride, (s.out+group-1)/group*group), r)
		withEach(t, func() {
			c := newConv(s.in, s.out, s.k, s.stride, raw, scale, bias)
			for _, with := range []*tensor{nil, &res} {
				for _, relu := range []bool{false, true} {
					got, sum := new(tensor).shape(s.h/s.stride, s.w/s.stride, c.out), tensor{res.h, res.w, res.c, 0, slices.Clone(res.d)}
					c.run(got, &in, with, relu)
					for y := range got.h {
						for x := range got.w {
							for o := range s.out {
								var sum int32
								for ky := range s.k {
									for kx := range s.k {
										for i := range s.in {
											v := in.d[in.at(x*s.stride+kx-s.k/2, y*s.stride+ky-s.k/2)+i]
											sum += int32(v) * int32(raw[((o*s.k+ky)*s.k+kx)*s.in+i])
										}
									}
								}
								want := math.RoundToEven(float64(float32(float32(sum)*scale[o]) + bias[o]))
								if with != nil {
									want += float64(res.d[res.at(x, y)+o])
								}
								lo := -actTop
								if relu {
									lo = 0
								}
								require.Equal(t, int16(max(float64(lo), min(actTop, want))), got.d[got.at(x, y)+o], "%s: %+v at %d,%d,%d", best.name, s, x, y, o)
							}
						}
					}
					if with != nil {
						c.run(&sum, &in, &sum, relu) // into its own residual
						require.Equal(t, got.d, sum.d, "%s: %+v in place", best.name, s)
					}
					border := new(tensor).shape(got.h, got.w, got.c)
					for y := range got.h {
						copy(border.d[got.at(0, y):][:got.w*got.c], got.d[got.at(0, y):])
					}
					require.Equal(t, border.d, got.d, "%s: %+v: the border is not zero", best.name, s)
				}
			}
		})
	}
}

func fill(t *tensor, r *rand.Rand) {
	for y := range t.h {
		row := t.d[t.at(0, y):][:t.w*t.c]
		for i := range row {
			row[i] = int16(r.IntN(2*actTop+1) - actTop)
		}
	}
}

// What is left of a larger look must not shine through a smaller one.
func TestLookForgetsTheLookBefore(t *testing.T) {
	rgb, w, h, _, logits := stored(t)
	big := make([]byte, 3*256*192)
	for i := range big {
		big[i] = byte(i * 7919 >> 3)
	}
	e := Default()
	seen(e, big, 256, 192)
	got, _ := seen(e, rgb, w, h)
	require.Equal(t, logits, got)
}

// A damaged file of weights is refused, wherever the damage lies.
func TestReadRefusesDamage(t *testing.T) {
	cut := func(n int) []byte { return append([]byte(nil), trained[:n]...) }
	for name, b := range map[string][]byte{
		"empty": nil, "no header": []byte("x\n"), "a later version": append([]byte("piecebag eye 2 "), trained[15:]...),
		"half": cut(len(trained) / 2), "a byte short": cut(len(trained) - 1), "a byte long": append(cut(len(trained)), 0),
	} {
		_, err := Read(b)
		require.ErrorIs(t, err, ErrWeights, name)
	}
	for _, change := range []struct{ from, to string }{
		{`"cloth"`, `"clotX"`}, {`"e3.1.a"`, `"e3.1.c"`}, {"  24,", "  25,"}, {`"kinds": [`, `"kindz": [`},
	} {
		b := []byte(string(trained))
		i := index(b, change.from)
		copy(b[i:], change.to)
		_, err := Read(b)
		require.ErrorIs(t, err, ErrWeights, change.to)
	}
	_, err := Read(trained)
	require.NoError(t, err)
	require.Less(t, len(trained), 4<<20)
}

// The weights say what they are and what they reached.
func TestWeightsSayWhatTheyAre(t *testing.T) {
	h := Default().Header
	for _, v := range []string{h.Made, h.Commit, h.Seeds, h.Figures, h.Licence} {
		require.NotEmpty(t, v)
	}
}

// Weights whose sums could leave int32 are refused, and so is a scale that could.
func TestReadRefusesSumsThatOverflow(t *testing.T) {
	for _, c := range []struct {
		in          int
		scale, bias float32
		fine        bool
	}{{224, 0.001, 0, true}, {232, 0.001, 0, false}, {224, 2, 0, false}, {224, 0.001, 2e9, true}, {224, 0.001, -3e9, false}} {
		b := bytes.Repeat([]byte{127}, 9*c.in)
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(c.scale))
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(c.bias))
		r := &reader{from: bytes.NewReader(b)}
		r.conv("e5.1.a", c.in, 1, 3, 1)
		require.Equal(t, c.fine, r.err == nil, "%+v: %v", c, r.err)
	}
}

func index(b []byte, s string) int {
	for i := range b {
		if string(b[i:i+len(s)]) == s {
			return i
		}
	}
	panic(s)
}

func BenchmarkLook1024x768(b *testing.B) {
	rgb := make([]byte, 3*1024*768)
	for i := range rgb {
		rgb[i] = byte(i * 7919 >> 3)
	}
	e := Default()
	for b.Loop() {
		e.Look(rgb, 1024, 768, func(*Row) {})
	}
}
