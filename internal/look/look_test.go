package look

import (
	"image"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/photo"
	"piecebag/internal/truth"
	"piecebag/internal/truth/scene"
)

// opened sends a picture through the door as a JPEG.
func opened(t *testing.T, m image.Image, quality int) *cloth.Picture {
	t.Helper()
	file := filepath.Join(t.TempDir(), "photo.jpg")
	require.NoError(t, imaging.Save(m, file, imaging.JPEGQuality(quality)))
	pic, _, err := photo.Open(file, photo.Options{})
	require.NoError(t, err)
	return pic
}

// looked makes a scene, sends it through the door as a JPEG and looks at it.
func looked(t *testing.T, s *scene.Scene, o Options) cloth.Sheet {
	t.Helper()
	sheet, err := Photo(opened(t, s.Image, 92), o)
	require.NoError(t, err)
	return sheet
}

// The bars are low beside the project's aims: the scenes are from seeds that
// nothing was tuned on, one of each three is hard, and one has no white in view.
func TestScenesAreSeenTruly(t *testing.T) {
	if testing.Short() {
		t.Skip("makes scenes")
	}
	bars := []struct {
		kind          cloth.Kind
		found         float64 // F1 at IoU 0.75
		family, value float64 // share of what was found that is named right
		with, without float64 // a white reference in view, median ΔE00
	}{
		{cloth.Spread, 0.9, 0.85, 0.75, 4, 6},
		{cloth.Board, 0.9, 0.75, 0.75, 5, 6.5},
		{cloth.Stack, 0.65, 0.7, 0.6, 6, 9},
		{cloth.Pile, 0.6, 0.7, 0.8, 4, 6},
	}
	judge := truth.Judge{DeltaE: colour.DeltaE00, Family: family.Of, Dull: family.Dull}
	for _, bar := range bars {
		t.Run(string(bar.kind), func(t *testing.T) {
			var results []truth.Result
			for level := 1; level <= 3; level++ {
				reference := []scene.ReferenceChoice{scene.Always, scene.Withheld, scene.Always}[level-1]
				s := scene.Make(bar.kind, level, uint64(7000+level), scene.Options{Long: 1024, Reference: reference})
				sheet := looked(t, s, Options{Seed: 1})
				dir := t.TempDir()
				require.NoError(t, s.WriteTo(dir))
				c, err := truth.Read(filepath.Join(dir, s.Name+".json"))
				require.NoError(t, err)
				results = append(results, judge.Score(c, &sheet))
			}
			row := truth.Sum(string(bar.kind), results)
			require.GreaterOrEqual(t, *row.F75, bar.found)
			require.Equal(t, 1.0, *row.Kind)
			require.GreaterOrEqual(t, *row.Family, bar.family)
			require.GreaterOrEqual(t, *row.Value, bar.value)
			require.LessOrEqual(t, *row.DERef, bar.with)
			require.LessOrEqual(t, *row.DENone, bar.without)
		})
	}
}

// table is a small made scene, for tests to which its size and level say nothing.
var table = sync.OnceValue(func() *scene.Scene { return scene.Make(cloth.Spread, 1, 5, scene.Options{Long: 512}) })

func TestTheSamePhotoGivesTheSameSheet(t *testing.T) {
	s := table()
	sheet := looked(t, s, Options{Seed: 1})
	require.Equal(t, sheet, looked(t, s, Options{Seed: 1}))
	// The notation is that of the whole piece, as its value is, not of the colour drawn
	// beside the name.
	others := 0
	for _, p := range sheet.Pieces {
		require.Equal(t, colour.ToMunsell(p.Mean).String(), p.Munsell)
		if p.Munsell != colour.ToMunsell(p.ReadsAs).String() {
			others++
		}
		require.Greater(t, p.FamilyTrust, 0.0)
		require.Greater(t, p.ValueTrust, 0.0)
	}
	require.NotZero(t, others)
}

func TestOutlinesByHand(t *testing.T) {
	s := table()
	g := geom.Polygon{{X: 100, Y: 100}, {X: 180, Y: 100}, {X: 180, Y: 160}, {X: 100, Y: 160}}
	sheet := looked(t, s, Options{Pieces: []geom.Polygon{g}, PxPerInch: 40})
	require.Len(t, sheet.Pieces, 1)
	p := sheet.Pieces[0]
	require.Equal(t, 1, p.ID)
	require.InDelta(t, 4800, p.Polygon.Area(), 1)
	require.InDelta(t, 1.5, p.WidthIn, 0.05)
	require.Greater(t, p.SizeTrust, 0.5)
	require.InDelta(t, 2, p.LengthIn, 0.05)
	require.NotEmpty(t, p.Family)
	require.NotEmpty(t, p.Munsell)
	require.InDelta(t, 40, sheet.Scale.PxPerInch, 1e-9)
}

func TestCropKeepsFullSizeCoordinates(t *testing.T) {
	s := table()
	all := looked(t, s, Options{Seed: 1})
	require.NotEmpty(t, all.Pieces)
	lo, hi := all.Pieces[0].Polygon.Bounds()
	box := Window{X: max(0, int(lo.X)-60), Y: max(0, int(lo.Y)-60)}
	box.W, box.H = int(hi.X)+60-box.X, int(hi.Y)+60-box.Y
	part := looked(t, s, Options{Seed: 1, Crop: &box})
	require.Equal(t, all.Width, part.Width)
	for _, p := range part.Pieces {
		a, b := p.Polygon.Bounds()
		require.GreaterOrEqual(t, a.X, float64(box.X)-2)
		require.GreaterOrEqual(t, a.Y, float64(box.Y)-2)
		require.LessOrEqual(t, b.X, float64(box.X+box.W)+2)
		require.LessOrEqual(t, b.Y, float64(box.Y+box.H)+2)
	}
}

func TestCropOutsideIsRefused(t *testing.T) {
	p := &cloth.Picture{W: 100, H: 80, Pix: make([]float32, 3*100*80), Shrink: 2, FullW: 200, FullH: 160}
	for _, r := range []Window{{X: 500, Y: 10, W: 50, H: 50}, {W: 10, H: 10}, {X: -100, Y: -100, W: 90, H: 90}} {
		_, err := Photo(p, Options{Crop: &r})
		require.ErrorContains(t, err, "leaves too little")
	}
}

// A kind of picture no quilter would send must still not stop the run.
func TestEmptyPictures(t *testing.T) {
	for _, v := range []float32{0, 0.5, 1} {
		p := &cloth.Picture{W: 320, H: 240, Pix: make([]float32, 3*320*240), Shrink: 1, FullW: 320, FullH: 240}
		for i := range p.Pix {
			p.Pix[i] = v
		}
		sheet, err := Photo(p, Options{})
		require.NoError(t, err)
		require.Empty(t, sheet.Pieces)
	}
}

// The focal length that the camera noted is believed: made photos are taken
// with the lens that is assumed where nothing is noted (26 mm), and another
// would change the lengths seen aslant.
func TestNotedFocalLengthIsUsed(t *testing.T) {
	if testing.Short() {
		t.Skip("looks three times")
	}
	s := scene.Make(cloth.Spread, 3, 7101, scene.Options{Long: 1024, Reference: scene.Always}) // the hardest level is the most aslant
	lengths := func(focal float64) (out []float64) {
		pic := opened(t, s.Image, 92)
		pic.Focal35 = focal
		sheet, err := Photo(pic, Options{Seed: 1})
		require.NoError(t, err)
		for _, p := range sheet.Pieces {
			out = append(out, p.LengthIn)
		}
		return out
	}
	unknown := lengths(0)
	require.NotZero(t, unknown[0])
	require.Equal(t, unknown, lengths(26))
	require.NotEqual(t, unknown, lengths(78))
}

// Part of a camera's photo is a camera's photo.
func TestCropKeepsCamera(t *testing.T) {
	p := &cloth.Picture{W: 100, H: 80, Pix: make([]float32, 3*100*80), Shrink: 1, FullW: 100, FullH: 80, Camera: true}
	part, _, notes, err := crop(p, &Window{W: 60, H: 50})
	require.NoError(t, err)
	require.True(t, part.Camera)
	require.Empty(t, notes)
}

// Less than 32 working pixels of a side is too little to look at.
func TestCropOfTooLittle(t *testing.T) {
	p := &cloth.Picture{W: 100, H: 80, Pix: make([]float32, 3*100*80), Shrink: 2, FullW: 200, FullH: 160}
	for w, enough := range map[Window]bool{{0, 0, 64, 64}: true, {0, 0, 62, 64}: false, {40, 90, 64, 62}: false, {40, 90, 64, 64}: true, {150, 0, 90, 64}: false} {
		_, _, _, err := crop(p, &w)
		require.Equal(t, enough, err == nil, w)
	}
}

// A crop that reaches beyond the photo, on one side or several, says what is left of it.
func TestCropBeyondThePhoto(t *testing.T) {
	p := &cloth.Picture{W: 100, H: 80, Pix: make([]float32, 3*100*80), Shrink: 2, FullW: 200, FullH: 160}
	for w, left := range map[Window]string{
		{0, 0, 200, 160}: "", {20, 20, 100, 100}: "",
		{-10, 0, 200, 160}: "0,0,190,160", {0, -20, 100, 100}: "0,0,100,80",
		{60, 0, 200, 100}: "60,0,140,100", {0, 60, 100, 101}: "0,60,100,100",
		{-4, -8, 300, 300}: "0,0,200,160",
	} {
		_, _, notes, err := crop(p, &w)
		require.NoError(t, err, w)
		if left == "" {
			require.Empty(t, notes, w)
			continue
		}
		require.Len(t, notes, 1, w)
		require.True(t, strings.HasSuffix(notes[0], "beyond the photo of 200 × 160 pixels; looked at "+left), notes[0])
	}
}
