package scene

import (
	"cmp"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Set says what scenes WriteSet makes.
type Set struct {
	Kinds []cloth.Kind
	Per   int    // scenes of each kind: levels 1, 2, 3 in turn
	First uint64 // seed of the first of each kind; the others follow on it
	// Half gives every second scene of a kind a reference, from the first, and
	// the others none.
	Half bool
	// Pairs makes each scene twice, NAME-with and NAME-without a reference.
	Pairs bool
	Options
}

// WriteSet makes scenes and writes them into dir, which is made.
func WriteSet(dir string, set Set) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, k := range set.Kinds {
		for i := range set.Per {
			write := func(choice ReferenceChoice, suffix string) error {
				o := set.Options
				o.Reference = choice
				s := Make(k, 1+i%3, set.First+uint64(i), o)
				s.Name += suffix
				return s.WriteTo(dir)
			}
			var err error
			switch {
			case set.Pairs:
				err = cmp.Or(write(Always, "-with"), write(Withheld, "-without"))
			case set.Half:
				err = write([2]ReferenceChoice{Always, Withheld}[i%2], "")
			default:
				err = write(set.Reference, "")
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// WriteTo writes NAME.jpg, NAME_mask.png (16-bit grey, the piece's ID at a
// pixel) and NAME.json into dir, which must exist.
func (s *Scene) WriteTo(dir string) error {
	mask := image.NewGray16(image.Rect(0, 0, s.W, s.H))
	for i, id := range s.Mask {
		mask.Pix[2*i], mask.Pix[2*i+1] = byte(id>>8), byte(id)
	}
	f, err := os.Create(filepath.Join(dir, s.Name+"_mask.png"))
	if err != nil {
		return err
	}
	if err := png.Encode(f, mask); err != nil {
		f.Close()
		return fmt.Errorf("%s: %w", f.Name(), err)
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, s.Name+".jpg"), s.JPEG, 0o644); err != nil {
		return err
	}
	b, err := json.MarshalIndent(s.file(), "", " ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, s.Name+".json"), append(b, '\n'), 0o644)
}

type object = map[string]any

// file is the truth as it is written: lengths in inches, places in pixels,
// colours as CIELAB (D65), linear sRGB and hex.
func (s *Scene) file() object {
	white := s.White.SRGB()
	top := max(s.White[0], s.White[1], s.White[2])
	var grid any
	if s.Rows > 0 {
		grid = object{"rows": s.Rows, "cols": s.Cols}
	}
	var container any
	if s.Container != "" {
		container = s.Container
	}
	refs := make([]object, len(s.References))
	for i, r := range s.References {
		refs[i] = object{
			"kind": r.Kind, "size_in": [2]float64{round(r.WidthIn, 4), round(r.HeightIn, 4)},
			"corners_px": places(r.Corners[:]), "albedo_lin": list(r.Albedo, 4), "albedo_lab": lab(r.Albedo),
		}
	}
	pieces := make([]object, len(s.Pieces))
	for i := range s.Pieces {
		pieces[i] = s.Pieces[i].file()
	}
	return object{
		"id": s.Name, "image": s.Name + ".jpg", "mask": s.Name + "_mask.png",
		"type": s.Kind, "level": s.Level, "seed": s.Seed, "width": s.W, "height": s.H,
		"ground": object{"kind": s.Ground, "container": container},
		"light":  object{"kind": s.Light},
		"white": object{
			"linear_rgb_center": list(s.White, 4), "hex_center": s.White.Hex(), "clipped": top > 1,
			"srgb_center": []float64{round(255*min(1, white[0]), 1), round(255*min(1, white[1]), 1), round(255*min(1, white[2]), 1)},
		},
		"scale":     object{"px_per_inch_center": round(s.PxPerInch, 3)},
		"reference": refs, "has_reference": len(refs) > 0,
		"grid": grid, "settings": s.Settings, "pieces": pieces,
	}
}

func (p *Piece) file() object {
	o := object{
		"id": p.ID, "print_id": p.Print, "print_name": p.PrintName, "cloth_id": p.Cloth, "kind": p.Shape,
		"cut_width_in": p.WidthIn, "cut_height_in": p.HeightIn, "size_measurable": p.Measurable,
		"irregular": p.Irregular, "folded": p.Folded, "visible_px": p.VisiblePx,
		"truncated": p.Truncated, "ignore": p.Ignore, "back_fraction": round(p.Back, 3),
		"albedo_mean_lab": lab(p.Mean), "albedo_mean_lin": list(p.Mean, 5), "albedo_mean_hex": p.Mean.Hex(),
		"corners_px": nil, "corners_visible": p.CornersVisible, "visible_fraction": nil, "occluded": nil, "bbox_px": nil,
		"photo_mean_rgb": []float64{round(p.PhotoMean[0], 1), round(p.PhotoMean[1], 1), round(p.PhotoMean[2], 1)},
		"dominant":       swatches(p.Colours),
	}
	if p.Corners != nil {
		o["corners_px"], o["visible_fraction"], o["occluded"] = places(p.Corners), round(p.Visible, 3), p.Occluded
	}
	if p.VisiblePx > 0 {
		o["bbox_px"] = []int{p.Bounds.Min.X, p.Bounds.Min.Y, p.Bounds.Max.X, p.Bounds.Max.Y}
	}
	return o
}

func swatches(s []cloth.Swatch) []object {
	out := make([]object, len(s))
	for i, w := range s {
		out[i] = object{"lab": lab(w.Colour), "hex": w.Colour.Hex(), "lin": list(w.Colour, 4), "fraction": round(w.Share, 3)}
	}
	return out
}

func places(p []geom.Point) [][2]float64 {
	out := make([][2]float64, len(p))
	for i, q := range p {
		out[i] = [2]float64{round(q.X, 1), round(q.Y, 1)}
	}
	return out
}

func lab(c colour.Linear) [3]float64 {
	l := c.Lab()
	return [3]float64{round(l.L, 2), round(l.A, 2), round(l.B, 2)}
}

func list(c colour.Linear, digits int) [3]float64 {
	return [3]float64{round(c[0], digits), round(c[1], digits), round(c[2], digits)}
}

func round(v float64, digits int) float64 {
	k := math.Pow10(digits)
	return math.Round(v*k) / k
}
