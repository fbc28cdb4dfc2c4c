package report

import (
	"bytes"
	"image"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/stash"
)

// The numbers on a photo are those of the stash, white on black over their outlines; a
// photo that is not kept still shows where the pieces lay.
func TestPiecesByNumber(t *testing.T) {
	square := cloth.Holding{ID: 41, Form: cloth.Square, Count: 1, Family: cloth.Red, Value: cloth.Dark, WidthIn: 2.5, LengthIn: 2.5, Basket: "tin"}
	hand := square
	hand.ID, hand.Count, hand.Basket = 43, 5, ""
	photos := []desk.PhotoPieces{
		{PhotoInfo: stash.PhotoInfo{Name: "kept.jpg"}, Pieces: []desk.OutlinedPiece{{Holding: square, Outline: box(60, 50, 40, 40, 0)}}},
		{PhotoInfo: stash.PhotoInfo{Name: "gone.jpg"}, Pieces: []desk.OutlinedPiece{{Holding: square, Outline: box(60, 50, 40, 40, 0)}}},
	}
	var b bytes.Buffer
	require.NoError(t, StashPhotosHTML(&b, photos, []cloth.Holding{hand}, func(i int) (image.Image, error) {
		if i == 1 {
			return nil, nil
		}
		return image.NewRGBA(image.Rect(0, 0, 200, 100)), nil
	}))
	page := b.String()
	require.Equal(t, 1, strings.Count(page, "data:image/jpeg"))
	require.Equal(t, 2, strings.Count(page, `stroke-opacity="0.75"`), "dark under light")
	require.Regexp(t, `<text x="(5|6)\d(\.\d+)?" y="(4|5)\d(\.\d+)?"[^>]* stroke="#000000"[^>]*>41</text>`, page)
	require.Contains(t, page, "The outlines; the photo is not kept.")
	_, words := elements(t, page)
	require.Contains(t, words, "3 numbers. Give them to fix, use and teach.")
	require.Contains(t, words, "dark red, 2½ square, in tin")
	require.Contains(t, words, "5 dark red, 2½ square")
	require.Contains(t, page, `<dl class="facts many">`)
}
