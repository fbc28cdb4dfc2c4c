package report

import (
	"fmt"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// Papers are the sheets that the card can be printed on, as Card names them.
var Papers = []string{"letter", "a4"}

// paperSizes are sheets in inches: ANSI/ASME Y14.1 size A, ISO 216 A4.
var paperSizes = map[string]fpdf.SizeType{
	"letter": {Wd: 8.5, Ht: 11}, "a4": {Wd: 210 / cloth.MMPerInch, Ht: 297 / cloth.MMPerInch},
}

// printed is the date in the file: the same card is the same bytes.
var printed = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// newPDF returns a PDF without a sheet yet, its paper's sides in inches. The same sheets give
// the same bytes.
func newPDF(paper, title string) (pdf lettered, w, h float64, err error) {
	size, ok := paperSizes[paper]
	if !ok {
		return pdf, w, h, fmt.Errorf("no paper %q", paper)
	}
	pdf = lettered{fpdf.NewCustom(&fpdf.InitType{UnitStr: "in", Size: size})}
	pdf.SetCreationDate(printed)
	pdf.SetModificationDate(printed)
	pdf.SetCatalogSort(true)
	pdf.SetProducer(maker, false)
	pdf.SetTitle(title, true)
	pdf.SetLang("en-GB")
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetLineJoinStyle("round")
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	return pdf, size.Wd, size.Ht, nil
}

// outlineGrey is the code value of the line to cut along, light enough not to
// be taken for part of a mark.
const outlineGrey = 170

// Card writes the reference card as a PDF of one page of the given paper, at
// its exact size in the middle of it.
func Card(w io.Writer, paper string) error {
	pdf, pw, ph, err := newPDF(paper, "Piecebag reference card")
	if err != nil {
		return err
	}
	pdf.AddPage()
	x0, y0 := (pw-card.Width)/2, (ph-card.Height)/2
	for _, s := range card.Shapes() {
		grey := greyCode(s.Lightness)
		pdf.SetFillColor(grey, grey, grey)
		pdf.Rect(x0+s.X, y0+s.Y, s.W, s.H, "F")
	}
	pdf.SetDrawColor(outlineGrey, outlineGrey, outlineGrey)
	pdf.SetLineWidth(0.5 / 72)
	pdf.Rect(x0, y0, card.Width, card.Height, "D")
	for _, t := range card.Texts() {
		style := ""
		if t.Bold {
			style = "B"
		}
		pdf.SetFont("go", style, t.Size)
		x := t.X
		if t.Centre {
			x -= pdf.GetStringWidth(t.Words) / 2
		}
		pdf.Text(x0+x, y0+t.Y, t.Words)
	}
	return pdf.Output(w)
}

// greyCode returns the sRGB code value, 0..255, of a grey of the given CIE L*.
func greyCode(lightness float64) int {
	y := colour.Lab{L: lightness}.XYZ()[1]
	return int(math.Round(255 * colour.EncodeSRGB(y)))
}
