package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"
)

// What Little CMS 2.14 (through Pillow 9.4, relative colorimetric) makes of inks, 255
// being full, under testdata/inks/inks.icc; make.py beside it printed the rows.
var inkRows = []struct {
	inks [4]byte
	want color.NRGBA
}{
	{[4]byte{0, 200, 180, 20}, color.NRGBA{194, 111, 85, 255}},
	{[4]byte{180, 20, 200, 30}, color.NRGBA{132, 150, 102, 255}},
	{[4]byte{230, 190, 30, 40}, color.NRGBA{77, 79, 113, 255}},
	{[4]byte{20, 40, 200, 10}, color.NRGBA{223, 198, 119, 255}},
	{[4]byte{90, 80, 80, 60}, color.NRGBA{163, 152, 146, 255}},
	{[4]byte{5, 4, 6, 0}, color.NRGBA{251, 250, 249, 255}},
	{[4]byte{0, 0, 0, 0}, color.NRGBA{255, 255, 255, 255}},
	{[4]byte{255, 0, 0, 0}, color.NRGBA{74, 160, 206, 255}},
	{[4]byte{0, 255, 0, 0}, color.NRGBA{197, 69, 123, 255}},
	{[4]byte{0, 0, 255, 0}, color.NRGBA{246, 220, 79, 255}},
	{[4]byte{0, 0, 0, 255}, color.NRGBA{48, 48, 48, 255}},
	{[4]byte{255, 255, 255, 255}, color.NRGBA{4, 1, 1, 255}},
	{[4]byte{40, 90, 17, 128}, color.NRGBA{150, 134, 139, 255}},
	{[4]byte{128, 128, 128, 0}, color.NRGBA{158, 137, 125, 255}},
	{[4]byte{66, 7, 241, 33}, color.NRGBA{196, 184, 81, 255}},
	{[4]byte{201, 150, 99, 201}, color.NRGBA{49, 49, 54, 255}},
}

// The plain formula is up to 148 codes away from these; a step is for our table's
// straight runs.
func TestInksAgainstLittleCMS(t *testing.T) {
	m := image.NewCMYK(image.Rect(0, 0, len(inkRows), 1))
	for i, r := range inkRows {
		copy(m.Pix[4*i:], r.inks[:])
	}
	src, err := newRows(m, jfif)
	require.NoError(t, err)
	p, note := src.honour(testdata(t, "inks", "inks.icc"), m)
	require.Empty(t, note)
	require.Equal(t, "Four inks of a test", p.name)
	got := src.bytes()
	for i, r := range inkRows {
		c := got.NRGBAAt(i, 0)
		require.InDelta(t, r.want.R, c.R, 1.5, "%v", r.inks)
		require.InDelta(t, r.want.G, c.G, 1.5, "%v", r.inks)
		require.InDelta(t, r.want.B, c.B, 1.5, "%v", r.inks)
	}
}

// A JPEG of inks, which holds them upside down, goes by its profile; its patches are
// the first six rows.
func TestJPEGOfInks(t *testing.T) {
	pic, info := open(t, testdata(t, "inks", "patches.jpg"))
	require.Equal(t, Info{Format: formatJPEG, Width: 48, Height: 32, Orientation: 1, Profile: "Four inks of a test"}, info)
	for i := range patchColours {
		want, got := inkRows[i].want, patch(pic, i)
		for k, v := range []uint8{want.R, want.G, want.B} {
			require.InDelta(t, float64(v), got[k], 2.5, "patch %d, channel %d", i, k)
		}
	}
}

// A profile that is damaged, or not for inks, is said to be so, and no more is lost
// than the profile.
func TestInksWithoutAProfileThatServes(t *testing.T) {
	m := image.NewCMYK(image.Rect(0, 0, 1, 1))
	good := testdata(t, "inks", "inks.icc")
	said := func(data []byte) string {
		src, err := newRows(m, jfif)
		require.NoError(t, err)
		p, note := src.honour(data, m)
		if note != "" {
			require.Equal(t, nameSRGB, p.name)
			require.Contains(t, note, "by the plain formula")
		}
		return note
	}
	require.Contains(t, said(nil), "no colour profile")
	require.Contains(t, said([]byte("short")), "unnamed, cannot be used: it is damaged")
	require.Contains(t, said(displayP3ICC()), "Display P3, cannot be used: it is not for printing inks")
	require.Contains(t, said(iccOf("CMYK")), "cannot be used")
	require.Contains(t, said(good[:5000]), "it is damaged")
	for at := 128; at+4 <= 128+4+4*12; at += 4 { // the list of tags
		for _, lie := range []uint32{0xffff_ffff, 0x7fff_ffff, 0x1000_0000} {
			data := bytes.Clone(good)
			binary.BigEndian.PutUint32(data[at:], lie)
			said(data)
		}
	}
	table := bytes.Index(good, []byte("mft2"))
	for at := table; at < table+56; at++ {
		data := bytes.Clone(good)
		data[at] ^= 0xff
		said(data)
	}
}

// A tag lies behind the list of tags and ends within the profile (ICC.1:2022, 7.3).
func TestTagsLieWithinTheProfile(t *testing.T) {
	profile := make([]byte, 160)
	binary.BigEndian.PutUint32(profile[128:], 1)
	tag := func(at, size uint32) bool {
		binary.BigEndian.PutUint32(profile[136:], at)
		binary.BigEndian.PutUint32(profile[140:], size)
		return wellFormed(profile)
	}
	require.True(t, tag(144, 16))
	require.False(t, tag(144, 17), "beyond the end")
	require.False(t, tag(143, 8), "within the list")
	binary.BigEndian.PutUint32(profile[128:], 3)
	require.False(t, wellFormed(profile), "a list beyond the end")
}
