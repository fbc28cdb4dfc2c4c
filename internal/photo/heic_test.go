package photo

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/fault"
)

// The pictures in testdata/heic show the six patches, 64 × 64 pixels each.
func heicPatch(p *cloth.Picture, across, i int) [3]float64 {
	s := pixel(p, 64*(i%across)+32, 64*(i/across)+32).SRGB()
	return [3]float64{255 * s[0], 255 * s[1], 255 * s[2]}
}

func requirePatches(t *testing.T, p *cloth.Picture, want []int, across int, within float64) {
	t.Helper()
	for i, k := range want {
		c := patchColours[k]
		got := heicPatch(p, across, i)
		for n, v := range []uint8{c.R, c.G, c.B} {
			require.InDelta(t, float64(v), got[n], within, "place %d, patch %d, channel %d", i, k, n)
		}
	}
}

var inOrder = []int{0, 1, 2, 3, 4, 5}

// HEVC of quality 90 keeps flat patches within two codes. A picture whose colour
// coding is not honoured is out by 6 to 40 codes.
func TestHEIC(t *testing.T) {
	for _, file := range []string{
		"plain.heic", "colour-444.heic", "deep.heic", "alpha.heic", "thumbnail.heic", "odd.heic", "brand.heic", "studio-709.heic",
	} {
		t.Run(file, func(t *testing.T) {
			pic, info := open(t, testdata(t, "heic", file))
			require.Equal(t, formatHEIC, info.Format)
			require.Equal(t, 1, info.Orientation)
			want := [2]int{192, 128}
			if file == "odd.heic" {
				want = [2]int{187, 125}
			}
			require.Equal(t, want, [2]int{pic.FullW, pic.FullH})
			require.Equal(t, want, [2]int{info.Width, info.Height})
			requirePatches(t, pic, inOrder, 3, 2)
		})
	}
}

func TestGreyHEIC(t *testing.T) {
	pic, _ := open(t, testdata(t, "heic", "grey.heic"))
	for i, c := range patchColours {
		luma := 0.299*float64(c.R) + 0.587*float64(c.G) + 0.114*float64(c.B)
		for _, v := range heicPatch(pic, 3, i) {
			require.InDelta(t, luma, v, 2, "patch %d", i)
		}
	}
}

// Every turn, once: the decoder makes it. irot turns against the clock, imir of
// axis 0 changes top and bottom after it (ISO/IEC 23008-12, 6.5.10 and 6.5.12).
// What is where was read off what Debian's heif-convert makes of the files.
func TestHEICTurns(t *testing.T) {
	for file, c := range map[string]struct {
		across int
		want   []int
	}{
		"turn-0.heic":  {3, []int{0, 1, 2, 3, 4, 5}},
		"turn-1.heic":  {2, []int{2, 5, 1, 4, 0, 3}},
		"turn-2.heic":  {3, []int{5, 4, 3, 2, 1, 0}},
		"turn-3.heic":  {2, []int{3, 0, 4, 1, 5, 2}},
		"turn-0m.heic": {3, []int{3, 4, 5, 0, 1, 2}},
		"turn-1m.heic": {2, []int{0, 3, 1, 4, 2, 5}},
		"turn-2m.heic": {3, []int{2, 1, 0, 5, 4, 3}},
		"turn-3m.heic": {2, []int{5, 2, 4, 1, 3, 0}},
	} {
		t.Run(file, func(t *testing.T) {
			pic, info := open(t, testdata(t, "heic", file))
			require.Equal(t, 64*c.across, pic.FullW)
			require.Equal(t, 64*6/c.across, pic.FullH)
			require.Equal(t, 1, info.Orientation)
			requirePatches(t, pic, c.want, c.across, 2)
		})
	}
}

// The decoder spoils the start of its own answer.
func TestHEICFirstPixels(t *testing.T) {
	for _, file := range []string{"plain.heic", "grey.heic"} {
		pic, _ := open(t, testdata(t, "heic", file))
		for x := range 32 {
			requireLinear(t, pixel(pic, x, 4), pixel(pic, x, 0), 0.01, "%s, pixel %d", file, x)
		}
	}
}

func TestHEICCrop(t *testing.T) {
	pic, info := open(t, testdata(t, "heic", "crop.heic"))
	require.Equal(t, [4]int{128, 64, 128, 64}, [4]int{pic.FullW, pic.FullH, info.Width, info.Height})
	requirePatches(t, pic, []int{4, 5}, 2, 2)
}

// As a phone writes it: tiles, of which the outer ones are cut, a turn that EXIF
// repeats and that must be made once, Display P3, and a thumbnail and a depth
// picture, both white, which are not the photo.
func TestHEICOfAPhone(t *testing.T) {
	pic, info := open(t, testdata(t, "heic", "phone.heic"))
	require.Equal(t, Info{Format: formatHEIC, Width: 120, Height: 180, Orientation: 1, Profile: "Display P3"}, info)
	require.Equal(t, [2]int{120, 180}, [2]int{pic.FullW, pic.FullH})
	require.EqualValues(t, 28, pic.Focal35)
	// A quarter turn with the clock: the lower left patch comes to the upper left,
	// and the right edge, cut by 12, to the lower one.
	for i, k := range []int{3, 0, 4, 1, 5, 2} {
		c := patchColours[k]
		x, y := []int{28, 88}[i%2], 32+64*(i/2)
		want := p3Colour(c.R, c.G, c.B)
		requireLinear(t, want, pixel(pic, x, y), 0.02, "place %d", i)
	}
}

// p3Colour is a Display P3 colour as linear sRGB.
func p3Colour(r, g, b uint8) colour.Linear {
	p := displayP3()
	var d [3]float64
	for i, v := range []uint8{r, g, b} {
		d[i] = colour.DecodeSRGB(float64(v) / 255)
	}
	m := p.toLinear
	var out colour.Linear
	for i := range out {
		out[i] = m[3*i]*d[0] + m[3*i+1]*d[1] + m[3*i+2]*d[2]
	}
	return out
}

func TestHEICProfiles(t *testing.T) {
	for _, file := range []string{"p3-icc.heic", "p3-nclx.heic"} {
		pic, info := open(t, testdata(t, "heic", file))
		require.Equal(t, "Display P3", info.Profile, file)
		require.False(t, info.ProfileAssumed, file)
		require.Empty(t, info.Note, file)
		for i, c := range patchColours {
			requireLinear(t, p3Colour(c.R, c.G, c.B), pixel(pic, 64*(i%3)+32, 64*(i/3)+32), 0.02, "%s, patch %d", file, i)
		}
	}
	_, info := open(t, testdata(t, "heic", "plain.heic"))
	require.True(t, info.ProfileAssumed)
	_, info = open(t, testdata(t, "heic", "studio-709.heic"))
	require.Equal(t, Info{Format: formatHEIC, Width: 192, Height: 128, Orientation: 1, Profile: nameSRGB}, info)
}

func TestUprightHEIC(t *testing.T) {
	for _, name := range []string{"phone.heic", "studio-709.heic", "turn-1m.heic", "crop.heic"} {
		path := filepath.Join("..", "..", "testdata", "heic", name)
		pic, _, err := Open(path, Options{})
		require.NoError(t, err)
		m, err := Upright(path, 0)
		require.NoError(t, err)
		require.Equal(t, pic.FullW, m.Rect.Dx())
		require.Equal(t, pic.FullH, m.Rect.Dy())
		for i := range pic.FullW * pic.FullH {
			x, y := i%pic.FullW, i/pic.FullW
			want, got := pixel(pic, x, y).Bytes(), m.NRGBAAt(x, y)
			for k, v := range []uint8{got.R, got.G, got.B} {
				require.InDelta(t, want[k], v, 1, name)
			}
		}
		m, err = Upright(path, 60)
		require.NoError(t, err)
		require.Equal(t, 60, max(m.Rect.Dx(), m.Rect.Dy()), name)
	}
}

// after gives the place of the n-th box of a kind, its body's first byte.
func after(t *testing.T, data []byte, kind string, n int) int {
	t.Helper()
	at := 0
	for range n {
		i := bytes.Index(data[at:], []byte(kind))
		require.GreaterOrEqual(t, i, 0, kind)
		at += i + 4
	}
	return at
}

// What would take too much memory or time is refused from the header.
func TestHEICLimits(t *testing.T) {
	plain, phone := testdata(t, "heic", "plain.heic"), testdata(t, "heic", "phone.heic")
	edit := func(data []byte, at int, values ...uint32) []byte {
		data = bytes.Clone(data)
		for i, v := range values {
			binary.BigEndian.PutUint32(data[at+4*i:], v)
		}
		return data
	}
	for name, c := range map[string]struct {
		data []byte
		kind error
		why  string
	}{
		"the picture's size": {edit(plain, after(t, plain, "ispe", 1)+4, 60000, 60000), ErrTooLarge, "60000 × 60000"},
		"a side of nothing":  {edit(plain, after(t, plain, "ispe", 1)+4, 192, 0), ErrCorrupt, "1 coded pictures"},
		// The coded picture is far larger than the file's boxes say.
		"the codes' size":                   {edit(plain, after(t, plain, "ispe", 1)+4, 20, 20), ErrCorrupt, "1 coded pictures for 20 × 20"},
		"a grid's size":                     {edit(phone, bytes.Index(phone, []byte{0, 0, 1, 2, 0, 180})+4, 0xffff_ffff), ErrTooLarge, "65535 × 65535"},
		"a grid's tiles":                    {edit(phone, bytes.Index(phone, []byte{0, 0, 1, 2, 0, 180}), 0x0000_ffff), ErrCorrupt, "lacks tiles"},
		"a tile that comes again and again": {tilesAgain(t, phone), ErrCorrupt, "6 coded pictures for 64 × 64"},
	} {
		_, _, err := Decode(name, c.data, Options{})
		requireRefusal(t, err, name, c.kind)
		require.ErrorContains(t, errors.Join(append(fault.Of(err).Causes, err)...), c.why)
	}
	_, _, err := Decode("a.heic", plain, Options{MaxPixels: 192*128 - 1})
	requireRefusal(t, err, "a.heic", ErrTooLarge)
}

// tilesAgain makes the grid ask for its first tile six times over, of a picture
// that one tile would fill.
func tilesAgain(t *testing.T, phone []byte) []byte {
	data := bytes.Clone(phone)
	at := bytes.Index(data, []byte{0, 0, 1, 2, 0, 180})
	copy(data[at+4:], []byte{0, 64, 0, 64})
	for n := 1; n <= 2; n++ {
		at := after(t, data, "ispe", n)
		if binary.BigEndian.Uint32(data[at+4:]) == 180 {
			binary.BigEndian.PutUint32(data[at+4:], 64)
			binary.BigEndian.PutUint32(data[at+8:], 64)
		}
	}
	return data
}

// Kinds of the same container that are not read are named.
func TestOtherHEIF(t *testing.T) {
	plain := testdata(t, "heic", "plain.heic")
	for kind, want := range map[string]string{"av01": "AVIF", "iovl": "rare kind", "unci": "rare kind"} {
		data := bytes.Clone(plain)
		copy(data[after(t, data, "hvc1", 1)-4:], kind)
		_, _, err := Decode("a.heic", data, Options{})
		requireRefusal(t, err, "a.heic", ErrUnsupported)
		require.Contains(t, fault.Of(err).Why, want)
	}
	for _, file := range []string{"deep-grey.heic", "grey-nclx.heic"} {
		_, _, err := Decode(file, testdata(t, "heic", file), Options{})
		requireRefusal(t, err, file, ErrUnsupported)
		require.Equal(t, "rare kinds of grey HEIC pictures cannot be read", fault.Of(err).Why)
	}
	moving := bytes.Clone(plain)
	copy(moving[8:], "hevc\x00\x00\x00\x00msf1hevchevc")
	_, _, err := Decode("a.heic", moving, Options{})
	requireRefusal(t, err, "a.heic", ErrUnsupported)
	require.Contains(t, fault.Of(err).Why, "moving")
}

// A damaged coded picture is refused, or shown as far as it goes, without a word
// of the decoder's.
func TestDamagedHEIC(t *testing.T) {
	data := testdata(t, "heic", "plain.heic")
	for at := 0; at < len(data); at += 4 {
		bad := bytes.Clone(data)
		bad[at] ^= 0xff
		pic, _, err := Decode("a.heic", bad, Options{})
		if err != nil {
			var p panicError
			require.False(t, errors.As(err, &p), "at %d: %v", at, err)
			continue
		}
		require.Len(t, pic.Pix, 3*pic.W*pic.H)
	}
}

// held reads a file and tells whether the decoder was free meanwhile.
type held struct {
	io.Reader
	free bool
}

func (h *held) Read(b []byte) (int, error) {
	if decodingHEIC.TryLock() {
		decodingHEIC.Unlock()
		h.free = true
	}
	return h.Reader.Read(b)
}

func TestOneHEICAtATime(t *testing.T) {
	h := &held{Reader: bytes.NewReader(testdata(t, "heic", "plain.heic"))}
	_, err := decodeHEIC(h)
	require.NoError(t, err)
	require.False(t, h.free)
	require.True(t, decodingHEIC.TryLock(), "it is free again")
	decodingHEIC.Unlock()
}

// Parameter sets of x265 3.5 (Debian 12), of pictures of 192 × 128, with the
// options given; without them a range is 16..235 and the rest unspecified
// (ITU-T H.265, E.3.1).
func TestParameterSets(t *testing.T) {
	for _, c := range []struct {
		options, unit string
		want          sps
	}{
		{"", "42010103700000030090000003000003001ea01820205965654a4c2e0100000303e800000303e808", sps{false, false, 192, 128, false, 2, 2, 2}},
		{"--sar 1", "42010103700000030090000003000003001ea01820205965654a4c2f010100000303e800000303e808", sps{false, false, 192, 128, false, 2, 2, 2}},
		{
			"--range full --colormatrix smpte170m --colorprim bt709 --transfer iec61966-2-1",
			"42010103700000030090000003000003001ea01820205965654a4c2e6e021a0c0800001f4000001f4040",
			sps{false, false, 192, 128, true, 1, 13, 6},
		},
		{
			"--range limited --colormatrix bt709 --colorprim bt709 --transfer bt709",
			"42010103700000030090000003000003001ea01820205965654a4c2e6a0202020800001f4000001f4040",
			sps{false, false, 192, 128, false, 1, 1, 1},
		},
		{
			"--preset medium --range full --colormatrix bt709 --colorprim smpte432 --transfer iec61966-2-1",
			"42010103700000030090000003000003001ea0182020596566924cae6e181a020800001f4000001f4040",
			sps{false, false, 192, 128, true, 12, 13, 1},
		},
		{
			"--preset slow --output-depth 10 --sar 4:3 --overscan show --scaling-list default --range limited " +
				"--colormatrix bt2020nc --colorprim bt2020 --transfer smpte2084 --chromaloc 2",
			"4201010408000003009db800000300001ea01820204d96566924e57875a848804db0800001f400000301f404",
			sps{false, true, 192, 128, false, 9, 16, 9},
		},
	} {
		unit, err := hex.DecodeString(c.unit)
		require.NoError(t, err)
		got, ok := readSPS(unit)
		require.True(t, ok, c.options)
		require.Equal(t, c.want, got, c.options)
		for n := range unit {
			_, _ = readSPS(unit[:n]) // may not panic
		}
		_, ok = readSPS(unit[:20])
		require.False(t, ok, "one that ends early is damaged")
	}
}
