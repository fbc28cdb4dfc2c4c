package photo

import (
	"bytes"
	"path"

	"github.com/bep/imagemeta"
)

// exifFacts is what is wanted of a photo's EXIF data (CIPA DC-008).
type exifFacts struct {
	turn     turn // upright where absent or out of range
	srgb     bool // ColorSpace 1
	adobeRGB bool // interoperability index R03: the option colour space of DCF
	focal35  int  // 35 mm equivalent focal length, mm; 0 where absent
}

// focal35Tag is the field 0xA405 of CIPA DC-008, 4.6.5, by the library's name.
const focal35Tag = "FocalLengthIn35mmFormat"

// The 35 mm equivalents, mm, of lenses that a table is photographed with; what
// lies outside is a slip of the camera's.
const (
	leastFocal = 8
	mostFocal  = 400
)

// readEXIF reads a TIFF structure; damaged data give what could be read of them,
// for a photo is worth more than its labels.
func readEXIF(tiff []byte) exifFacts {
	f := exifFacts{turn: 1}
	if tiff == nil {
		return f
	}
	_, _ = imagemeta.Decode(imagemeta.Options{
		R:           bytes.NewReader(tiff),
		ImageFormat: imagemeta.TIFF, // an EXIF block is a TIFF file
		Sources:     imagemeta.EXIF,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool {
			return t.Tag == "Orientation" || t.Tag == "ColorSpace" || t.Tag == focal35Tag || isInterop(t)
		},
		HandleTag: func(t imagemeta.TagInfo) error {
			switch v := t.Value.(type) {
			case uint16:
				switch {
				case t.Tag == "Orientation" && t.Namespace == "IFD0" && v >= 1 && v <= 8:
					f.turn = turn(v)
				case t.Tag == "ColorSpace":
					f.srgb = v == 1
				case t.Tag == focal35Tag && v >= leastFocal && v <= mostFocal:
					f.focal35 = int(v)
				}
			case string:
				f.adobeRGB = f.adobeRGB || isInterop(t) && v == "R03"
			}
			return nil
		},
	})
	return f
}

// isInterop reports whether a tag stands in the interoperability directory, whose tag
// 1 is the index. Its number is that of a GPS tag as well, so the name is no help.
func isInterop(t imagemeta.TagInfo) bool { return path.Base(t.Namespace) == "InteroperabilityIFD" }
