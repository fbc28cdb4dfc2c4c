package eye

import (
	"bytes"
	_ "embed"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math"
	"sync"
)

// trained holds the weights that train/export.py wrote.
//
//go:embed eye.weights
var trained []byte

// ErrWeights says that a file of weights is not whole or not of this format.
var ErrWeights = errors.New("the weights of the eye are damaged or of another version")

// Header is the text at the head of a file of weights.
type Header struct {
	Made     string `json:"made"`    // date
	Commit   string `json:"commit"`  // of the scene maker and the training program
	Seeds    string `json:"seeds"`   // of scenes and training
	Figures  string `json:"figures"` // what it reached, on what
	Licence  string `json:"licence"`
	Channels []int  `json:"channels"` // of the six widths c0…c5 of the net
	// Heads are the answers for each pixel, in the order of the last layer.
	Heads []struct {
		Name string `json:"name"` // cloth, card, affinity; others are left alone
		DY   int    `json:"dy"`   // of an affinity: to which pixel
		DX   int    `json:"dx"`
	} `json:"heads"`
	Kinds  []string `json:"kinds"` // the classes of the answer for the whole picture
	Layers []struct {
		Name  string  `json:"name"`
		Scale float64 `json:"scale"` // what a step of 1 in its activations stands for
	} `json:"layers"`
}

// Affinity is how likely a cell and the one at (DX, DY) from it are
// cloth of one piece.
type Affinity struct{ DX, DY, head int }

// Eye is a net with its weights. It is safe for use by many at once.
type Eye struct {
	Header Header
	Pulls  []Affinity
	Sum    string // CRC-32 of the file of weights, in hex

	cloth, card int // heads; -1 where the weights have none
	convs       []*conv
	level       float64 // the scale of the deepest level
	ctx, kind   dense
	spare       sync.Pool // of *workspace
}

// dense is a fully connected layer.
type dense struct {
	w, b []float32 // len out × in, out
}

// Default is the eye with the weights that are part of the program.
var Default = sync.OnceValue(func() *Eye {
	e, err := Read(trained)
	if err != nil {
		panic(err) // a test reads them
	}
	return e
})

// blocks is how many residual blocks each level of the encoder has, from the
// second.
var blocks = [4]int{1, 1, 3, 3}

// inputs is what one pixel of the first layer holds: 2 × 2 pixels of R, G, B.
const inputs = 12

// logitScale is what a step of 1 in an answer stands for.
const logitScale = 1.0 / 256

// Read reads a file of weights: a line "piecebag eye 1 N", N bytes of JSON, then
// the tensors: for each convolution int8 weights (out, ky, kx, in), float32
// scales and biases of the outputs; then weights and biases of the two dense
// layers. All little endian. Any fault gives an error that wraps ErrWeights.
func Read(data []byte) (*Eye, error) {
	bad := func(format string, a ...any) (*Eye, error) {
		return nil, fmt.Errorf("%w: %s", ErrWeights, fmt.Sprintf(format, a...))
	}
	line, rest, _ := bytes.Cut(data, []byte("\n"))
	var version, n int
	if _, err := fmt.Sscanf(string(line), "piecebag eye %d %d", &version, &n); err != nil || version != 1 || n < 0 || n > len(rest) {
		return bad("no header of version 1")
	}
	e := &Eye{cloth: -1, card: -1, Sum: fmt.Sprintf("%08x", crc32.ChecksumIEEE(data))}
	if err := json.Unmarshal(rest[:n], &e.Header); err != nil {
		return bad("the header: %v", err)
	}
	h := &e.Header
	if len(h.Channels) != 6 || len(h.Heads) == 0 || len(h.Heads) > 256 || len(h.Kinds) == 0 || len(h.Kinds) > 256 {
		return bad("the header lists %d widths, %d heads, %d kinds", len(h.Channels), len(h.Heads), len(h.Kinds))
	}
	for _, c := range h.Channels {
		if c < group || c > 1024 || c%group != 0 {
			return bad("a width of %d channels; a multiple of %d is needed", c, group)
		}
	}
	for i, head := range h.Heads {
		switch head.Name {
		case "cloth":
			e.cloth = i
		case "card":
			e.card = i
		case "affinity":
			e.Pulls = append(e.Pulls, Affinity{DX: head.DX, DY: head.DY, head: i})
		}
	}
	if e.cloth < 0 || len(e.Pulls) == 0 {
		return bad("no head for cloth, or none for affinities")
	}
	tensors := bytes.NewReader(rest[n:])
	r := &reader{from: tensors}
	e.readLayers(r)
	c5 := h.Channels[5]
	e.ctx = dense{r.floats(c5 * c5), r.floats(c5)}
	e.kind = dense{r.floats(len(h.Kinds) * c5), r.floats(len(h.Kinds))}
	if r.err != nil {
		return nil, r.err
	}
	if tensors.Len() != 0 {
		return bad("%d bytes too many", tensors.Len())
	}
	return e, nil
}

// readLayers reads the convolutions, in the order in which they run.
func (e *Eye) readLayers(r *reader) {
	c := e.Header.Channels
	add := func(name string, in, out, k, stride int) {
		i := len(e.convs)
		if r.err == nil && (i >= len(e.Header.Layers) || e.Header.Layers[i].Name != name) {
			r.err = fmt.Errorf("%w: layer %d is not %s", ErrWeights, i, name)
		}
		e.convs = append(e.convs, r.conv(name, in, out, k, stride))
	}
	add("e1.0", inputs, c[0], 3, 1)
	add("e1.1", c[0], c[1], 3, 1)
	for i, n := range blocks {
		in, out := c[i+1], c[i+2]
		if i == len(blocks)-1 && r.err == nil && len(e.Header.Layers) > len(e.convs) {
			e.level = e.Header.Layers[len(e.convs)].Scale
		}
		add(fmt.Sprintf("e%d.0", i+2), in, out, 3, 2)
		for b := 1; b <= n; b++ {
			add(fmt.Sprintf("e%d.%d.a", i+2, b), out, out, 3, 1)
			add(fmt.Sprintf("e%d.%d.b", i+2, b), out, out, 3, 1)
		}
	}
	for i := 4; i >= 1; i-- {
		add(fmt.Sprintf("l%d", i+1), c[i+1], c[i], 1, 1)
		add(fmt.Sprintf("d%d", i), c[i], c[i], 3, 1)
	}
	add("out", c[1], len(e.Header.Heads), 1, 1)
	if r.err == nil && !(e.level > 0) {
		r.err = fmt.Errorf("%w: a scale that is not positive", ErrWeights)
	}
}

// reader reads tensors until something is wrong.
type reader struct {
	from io.Reader
	err  error
}

func (r *reader) read(into any) {
	if r.err == nil && binary.Read(r.from, binary.LittleEndian, into) != nil {
		r.err = fmt.Errorf("%w: the file ends too early", ErrWeights)
	}
}

func (r *reader) floats(n int) []float32 {
	out := make([]float32, n)
	r.read(out)
	for _, v := range out {
		if v := float64(v); math.IsNaN(v) || math.IsInf(v, 0) {
			r.err = fmt.Errorf("%w: a number that is none", ErrWeights)
		}
	}
	return out
}

// conv reads one convolution and makes sure that none of its sums can leave
// int32, whatever the picture.
func (r *reader) conv(name string, in, out, k, stride int) *conv {
	raw := make([]int8, out*k*k*in)
	r.read(raw)
	scale, bias := r.floats(out), r.floats(out)
	if r.err != nil {
		return nil
	}
	for o := range out {
		sum := 0
		for _, v := range raw[o*k*k*in:][:k*k*in] {
			sum += max(int(v), -int(v))
		}
		most := float64(sum) * actTop
		if most > math.MaxInt32 || most*math.Abs(float64(scale[o]))+math.Abs(float64(bias[o]))+2*actTop > math.MaxInt32 {
			r.err = fmt.Errorf("%w: the sums of layer %s may overflow", ErrWeights, name)
		}
	}
	return newConv(in, out, k, stride, raw, scale, bias)
}
