// Package truth measures how true the tool's answers are, against photos of
// which everything is known: pieces found, colours, names, sizes and prints.
package truth

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Case is one photo and what is true of it, as a truth file says (NAME.json beside its
// photo and its mask). Coordinates are the photo's pixels, upright, full size.
type Case struct {
	Name         string     `json:"id"`    // e.g. "board2-0007"
	File         string     `json:"image"` // the photo; empty where it is held in memory only
	MaskFile     string     `json:"mask"`  // grey, the ID of the piece seen at a pixel, 0 for none
	Kind         cloth.Kind `json:"type"`
	Level        int        `json:"level"` // 1..3, harder
	W            int        `json:"width"`
	H            int        `json:"height"`
	HasReference bool       `json:"has_reference"` // a thing of known size and colour lies in view
	Scale        `json:"scale"`
	Pieces       []TruePiece `json:"pieces"`
	Mask         []uint16    `json:"-"` // row-major, as in MaskFile
}

// Scale of a photo, in its middle, where the cloth lies.
type Scale struct {
	PxPerInch float64 `json:"px_per_inch_center"`
}

// TruePiece is the truth of one piece of cloth.
type TruePiece struct {
	ID    int    `json:"id"`
	Print string `json:"print_id"` // pieces cut from one fabric share it
	// Cloth names its print in other photos too; "" where nothing does.
	Cloth    string  `json:"cloth_id"`
	WidthIn  float64 `json:"cut_width_in"`
	HeightIn float64 `json:"cut_height_in"`
	// Measurable says that the photo shows both sides well enough to be asked
	// for the size.
	Measurable     bool         `json:"size_measurable"`
	Ignore         bool         `json:"ignore"` // a sliver: neither asked for nor held against anybody
	CornersVisible []bool       `json:"corners_visible"`
	Corners        []geom.Point `json:"-"` // four in ring order, or nil
	// Mean is the mean albedo over the seen pixels, which a file holds in 8-bit sRGB, and
	// Lab the same in full.
	Mean    colour.Linear `json:"-"`
	Lab     colour.Lab    `json:"-"`
	Colours []cloth.Ink   `json:"-"`
	// Called are the families that people call it, and CalledValue the value, where they
	// were asked: they go before what was measured.
	Called      []cloth.Family `json:"called,omitempty"`
	CalledValue cloth.Value    `json:"called_value,omitempty"`

	Made `json:"made,omitzero"`
}

// Made is what is known besides of a piece in a made photo.
type Made struct {
	PrintName string          `json:"print_name"`
	Shape     string          `json:"kind"`      // square, rectangle, strip, folded
	Irregular bool            `json:"irregular"` // not a rectangle, though cut from one
	Folded    bool            `json:"folded"`
	Truncated bool            `json:"truncated"` // runs out of the picture
	Occluded  bool            `json:"occluded"`
	VisiblePx int             `json:"visible_px"`
	Visible   float64         `json:"visible_fraction"` // share of the piece that can be seen; 1 where it has no corners
	Back      float64         `json:"back_fraction"`    // share of the seen area that shows the wrong side
	PhotoMean [3]float64      `json:"photo_mean_rgb"`   // mean code values 0..255 in the photo
	Bounds    image.Rectangle `json:"-"`                // of the seen pixels
}

// inFile is how a file holds the colours and places of a piece.
type inFile struct {
	Lab      [3]float64   `json:"albedo_mean_lab"`
	Hex      string       `json:"albedo_mean_hex"`
	Corners  [][2]float64 `json:"corners_px"`
	Dominant []inFileInk  `json:"dominant"`
}

type inFileInk struct {
	Hex      string  `json:"hex"`
	Fraction float64 `json:"fraction"`
}

// MarshalJSON writes a piece as truth files have it.
func (p TruePiece) MarshalJSON() ([]byte, error) {
	type plain TruePiece
	f := inFile{Lab: [3]float64{p.Lab.L, p.Lab.A, p.Lab.B}, Hex: p.Mean.Hex()}
	for _, q := range p.Corners {
		f.Corners = append(f.Corners, [2]float64{q.X, q.Y})
	}
	for _, w := range p.Colours {
		f.Dominant = append(f.Dominant, inFileInk{w.Colour.Hex(), w.Share})
	}
	return json.Marshal(struct {
		plain
		inFile
	}{plain(p), f})
}

// UnmarshalJSON reads a piece of a truth file.
func (p *TruePiece) UnmarshalJSON(b []byte) (err error) {
	type plain TruePiece
	var f struct {
		plain
		inFile
	}
	if err := json.Unmarshal(b, &f); err != nil {
		return err
	}
	*p = TruePiece(f.plain)
	p.Lab = colour.Lab{L: f.inFile.Lab[0], A: f.inFile.Lab[1], B: f.inFile.Lab[2]}
	if p.Mean, err = colour.ParseColour(f.Hex); err != nil {
		return err
	}
	for _, v := range f.inFile.Corners {
		p.Corners = append(p.Corners, geom.Point{X: v[0], Y: v[1]})
	}
	for _, d := range f.Dominant {
		c, err := colour.ParseColour(d.Hex)
		if err != nil {
			return err
		}
		p.Colours = append(p.Colours, cloth.Ink{Colour: c, Share: d.Fraction})
	}
	return nil
}

// ErrNoTruth says that a folder holds no photo with truth.
var ErrNoTruth = errors.New("no photo with truth")

// ReadDir reads every truth file (NAME.json beside its photo and its mask) of
// a folder, by name. JSON files that hold no pieces are passed over.
func ReadDir(dir string) ([]*Case, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		return nil, err
	}
	var out []*Case
	for _, n := range names {
		c, err := Read(n)
		if errors.Is(err, ErrNoTruth) {
			continue
		}
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: %w", dir, ErrNoTruth)
	}
	slices.SortFunc(out, func(a, b *Case) int { return cmp.Compare(a.Name, b.Name) })
	return out, nil
}

// Read reads one truth file and its mask. The error is ErrNoTruth where the
// file is JSON but lists no pieces.
func Read(name string) (*Case, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	c := &Case{}
	err = json.Unmarshal(b, c)
	if len(c.Pieces) == 0 || c.MaskFile == "" {
		return nil, fmt.Errorf("%s: %w", name, ErrNoTruth)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	dir := filepath.Dir(name)
	c.File = filepath.Join(dir, c.File)
	c.Mask, err = readMask(filepath.Join(dir, c.MaskFile), c.W, c.H)
	return c, err
}

func readMask(name string, w, h int) ([]uint16, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if img.Bounds() != image.Rect(0, 0, w, h) {
		return nil, fmt.Errorf("%s: mask is %v, its photo %d × %d", name, img.Bounds().Size(), w, h)
	}
	out := make([]uint16, w*h)
	switch m := img.(type) {
	case *image.Gray16:
		for i := range out {
			out[i] = uint16(m.Pix[2*i])<<8 | uint16(m.Pix[2*i+1])
		}
	case *image.Gray:
		for i := range out {
			out[i] = uint16(m.Pix[i])
		}
	default:
		return nil, fmt.Errorf("%s: mask is %T, want grey", name, img)
	}
	return out, nil
}
