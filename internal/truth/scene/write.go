package scene

import (
	"cmp"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"piecebag/internal/cloth"
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
	s.File, s.MaskFile = s.Name+".jpg", s.Name+"_mask.png"
	mask := image.NewGray16(image.Rect(0, 0, s.W, s.H))
	for i, id := range s.Mask {
		mask.Pix[2*i], mask.Pix[2*i+1] = byte(id>>8), byte(id)
	}
	f, err := os.Create(filepath.Join(dir, s.MaskFile))
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
	if err := os.WriteFile(filepath.Join(dir, s.File), s.JPEG, 0o644); err != nil {
		return err
	}
	b, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, s.Name+".json"), append(b, '\n'), 0o644)
}
