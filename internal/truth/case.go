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

// Case is one photo and what is true of it. Coordinates are the photo's
// pixels, upright, full size.
type Case struct {
	Name         string // e.g. "board2-0007"
	File         string // of the photo; empty where it is held in memory only
	Kind         cloth.Kind
	Level        int
	W, H         int
	Mask         []uint16 // row-major: the ID of the piece seen at a pixel, 0 for none
	Pieces       []Piece
	HasReference bool    // a thing of known size and colour lies in view
	PxPerInch    float64 // in the middle of the photo
}

// Piece is the truth of one piece of cloth.
type Piece struct {
	ID       int
	Print    string
	Cloth    string        // its print by a name that holds in other photos too; "" for none
	Lab      colour.Lab    // mean albedo over the seen pixels
	Mean     colour.Linear // the same, as 8-bit sRGB holds it
	Colours  []cloth.Swatch
	WidthIn  float64
	HeightIn float64
	// Measurable says that the photo shows both sides well enough to be asked
	// for the size.
	Measurable     bool
	Corners        []geom.Point // four in ring order, or nil
	CornersVisible []bool
	Ignore         bool // a sliver: neither asked for nor held against anybody
	// Called are the families that people call it, and CalledValue the value, where they
	// were asked: they go before what was measured.
	Called      []cloth.Family
	CalledValue cloth.Value
}

// file is what a truth file says; other keys are not needed here.
type file struct {
	ID           string     `json:"id"`
	Image        string     `json:"image"`
	Mask         string     `json:"mask"`
	Type         cloth.Kind `json:"type"`
	Level        int        `json:"level"`
	Width        int        `json:"width"`
	Height       int        `json:"height"`
	HasReference bool       `json:"has_reference"`
	Scale        struct {
		PxPerInch float64 `json:"px_per_inch_center"`
	} `json:"scale"`
	Pieces []struct {
		ID             int            `json:"id"`
		Print          string         `json:"print_id"`
		Cloth          string         `json:"cloth_id"`
		WidthIn        float64        `json:"cut_width_in"`
		HeightIn       float64        `json:"cut_height_in"`
		Measurable     bool           `json:"size_measurable"`
		Ignore         bool           `json:"ignore"`
		Lab            [3]float64     `json:"albedo_mean_lab"`
		Hex            string         `json:"albedo_mean_hex"`
		Corners        [][2]float64   `json:"corners_px"`
		CornersVisible []bool         `json:"corners_visible"`
		Called         []cloth.Family `json:"called"`
		CalledValue    cloth.Value    `json:"called_value"`
		Dominant       []struct {
			Hex      string  `json:"hex"`
			Fraction float64 `json:"fraction"`
		} `json:"dominant"`
	} `json:"pieces"`
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
	var f file
	if err := json.Unmarshal(b, &f); err != nil || len(f.Pieces) == 0 || f.Mask == "" {
		return nil, fmt.Errorf("%s: %w", name, ErrNoTruth)
	}
	dir := filepath.Dir(name)
	c := &Case{
		Name: f.ID, File: filepath.Join(dir, f.Image), Kind: f.Type, Level: f.Level, W: f.Width, H: f.Height,
		HasReference: f.HasReference, PxPerInch: f.Scale.PxPerInch,
	}
	if c.Mask, err = readMask(filepath.Join(dir, f.Mask), f.Width, f.Height); err != nil {
		return nil, err
	}
	for _, p := range f.Pieces {
		q := Piece{
			ID: p.ID, Print: p.Print, Cloth: p.Cloth, Lab: colour.Lab{L: p.Lab[0], A: p.Lab[1], B: p.Lab[2]},
			WidthIn: p.WidthIn, HeightIn: p.HeightIn, Measurable: p.Measurable,
			CornersVisible: p.CornersVisible, Ignore: p.Ignore,
			Called: p.Called, CalledValue: p.CalledValue,
		}
		if q.Mean, err = colour.ParseColour(p.Hex); err != nil {
			return nil, fmt.Errorf("%s: piece %d: %w", name, p.ID, err)
		}
		for _, v := range p.Corners {
			q.Corners = append(q.Corners, geom.Point{X: v[0], Y: v[1]})
		}
		for _, d := range p.Dominant {
			h, err := colour.ParseColour(d.Hex)
			if err != nil {
				return nil, fmt.Errorf("%s: piece %d: %w", name, p.ID, err)
			}
			q.Colours = append(q.Colours, cloth.Swatch{Colour: h, Share: d.Fraction})
		}
		c.Pieces = append(c.Pieces, q)
	}
	return c, nil
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
