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
}

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
			return t.Tag == "Orientation" || t.Tag == "ColorSpace" || isInterop(t)
		},
		HandleTag: func(t imagemeta.TagInfo) error {
			switch v := t.Value.(type) {
			case uint16:
				switch {
				case t.Tag == "Orientation" && t.Namespace == "IFD0" && v >= 1 && v <= 8:
					f.turn = turn(v)
				case t.Tag == "ColorSpace":
					f.srgb = v == 1
				}
			case string:
				f.adobeRGB = f.adobeRGB || isInterop(t) && v == "R03"
			}
			return nil
		},
	})
	return f
}

// isInterop says whether a tag stands in the interoperability directory, whose tag
// 1 is the index. Its number is that of a GPS tag as well, so the name is no help.
func isInterop(t imagemeta.TagInfo) bool { return path.Base(t.Namespace) == "InteroperabilityIFD" }
