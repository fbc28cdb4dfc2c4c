package report

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

func textOf(t *testing.T, l Looked, width int, environ ...string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Text(&b, l, TextOptions{Width: width, Environ: environ}))
	return b.String()
}

// colourful is the environment of a terminal with all colours; CLICOLOR_FORCE
// stands in for the terminal that a buffer is not.
var colourful = []string{"TERM=xterm-256color", "COLORTERM=truecolor", "CLICOLOR_FORCE=1"}

func TestTextGolden(t *testing.T) {
	golden(t, "pipe.txt", []byte(textOf(t, someLook(), 0)))
	golden(t, "wide80.txt", []byte(textOf(t, someLook(), 80)))
	golden(t, "narrow40.txt", []byte(textOf(t, someLook(), 40)))
	golden(t, "colour100.txt", []byte(textOf(t, someLook(), 100, colourful...)))
}

func TestTextDrawsColoursOnATerminal(t *testing.T) {
	got := textOf(t, someLook(), 100, colourful...)
	require.Contains(t, got, "\x1b[48;2;38;52;96m", "the navy of piece 1 as a background in true colour")
	require.NotContains(t, got, "#263460", "its hex code is for where colours cannot be drawn")
}

// A terminal of 256 colours, as many still are, is given the nearest of its own.
func TestTextOn256Colours(t *testing.T) {
	got := textOf(t, someLook(), 100, "TERM=xterm-256color", "CLICOLOR_FORCE=1")
	require.Contains(t, got, "\x1b[48;5;")
	require.NotContains(t, got, "\x1b[48;2;")
}

// A letter of Chinese takes two columns of a terminal, an accent none, a code none.
func TestTextBreaksByColumns(t *testing.T) {
	for _, word := range []string{"布布", "e\u0301e\u0301ee", ansi.NewStyle().Bold().Styled("four")} {
		require.Len(t, wrap(word+" "+word, 9), 1, "%q", word)
		require.Len(t, wrap(word+" "+word, 8), 2, "%q", word)
	}
}

// Colour codes never reach a pipe, nor a terminal whose owner set NO_COLOR to
// anything at all (no-color.org).
func TestTextWithoutColours(t *testing.T) {
	for _, environ := range [][]string{
		nil,
		{"TERM=xterm-256color", "COLORTERM=truecolor"}, // a pipe
		append([]string{"NO_COLOR=1"}, colourful...),
		append([]string{"NO_COLOR=yes"}, colourful...),
		{"TERM=dumb"},
	} {
		got := textOf(t, someLook(), 100, environ...)
		require.NotContains(t, got, "\x1b[38", "%v", environ)
		require.NotContains(t, got, "\x1b[48", "%v", environ)
		require.Contains(t, got, "#263460", "%v", environ)
	}
	require.Contains(t, textOf(t, someLook(), 100, append([]string{"NO_COLOR="}, colourful...)...), "\x1b[48", "an empty NO_COLOR asks for nothing")
}

func TestTextInAPipeHasNoControlCharacters(t *testing.T) {
	for _, r := range textOf(t, someLook(), 0) {
		require.True(t, r == '\n' || r >= ' ' && r != 0x7f, "%q", r)
	}
}

// a photo named with an escape sequence must not recolour the terminal
func TestTextDisarmsFileNames(t *testing.T) {
	got := textOf(t, someLook(), 100, colourful...)
	require.NotContains(t, got, "\x1b[31m")
	require.Contains(t, got, "bare?[31m.jpg")
}

// Every row fits, down to the narrowest that can hold number, colour and
// value; only single words may stick out.
func TestTextFitsNarrowPlaces(t *testing.T) {
	for _, environ := range [][]string{nil, colourful} {
		for width := 20; width <= 130; width++ {
			for _, line := range strings.Split(textOf(t, someLook(), width, environ...), "\n") {
				if len(strings.Fields(line)) > 1 {
					require.LessOrEqual(t, ansi.StringWidth(line), width, "%d: %q", width, line)
				}
				require.True(t, utf8.ValidString(line))
			}
		}
	}
}

// What matters most stays longest.
func TestTextKeepsNumberColourAndValue(t *testing.T) {
	got := textOf(t, someLook(), 20)
	require.Contains(t, got, "no.  colour  val.\n A1  blue    D\n A2  white   L\n")
}

func TestTextSaysThatNothingWasFound(t *testing.T) {
	got := textOf(t, bareLook(), 80)
	require.Equal(t, "bare.jpg: no pieces found, spread\n", got)
}

func TestTextNamesThinAndMissing(t *testing.T) {
	got := textOf(t, someLook(), 0)
	require.Contains(t, got, "bins below the floor of 2: medium pink (1), medium-light green (1), medium many (1)\n")
	require.Contains(t, got, "colours: red, orange, yellow, teal, purple, brown, grey, black\n")
	require.Contains(t, got, "in no stack, since their colour is not known: B2\n")
}

func TestApportionGivesAllSeats(t *testing.T) {
	swatches := func(shares ...float64) (s []cloth.Ink) {
		for _, x := range shares {
			s = append(s, cloth.Ink{Share: x})
		}
		return s
	}
	require.Equal(t, []int{10}, apportion(swatches(1), 10))
	require.Equal(t, []int{3, 4, 3}, apportion(swatches(1, 1, 1), 10))
	require.Equal(t, []int{6, 4, 0}, apportion(swatches(0.6, 0.37, 0.03), 10))
	require.Equal(t, []int{0, 0}, apportion(swatches(0, 0), 10))
	require.Empty(t, apportion(nil, 10))
}

func TestLettersOfPhotos(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		require.Equal(t, want, letter(i))
	}
	l := someLook()
	require.Equal(t, "B2", l.label(l.Shelf.Items[8]))
	l.Sheets = l.Sheets[:1]
	require.Equal(t, "1", l.label(shelf.Item{Piece: cloth.Piece{ID: 1}}))
}

func TestPercentIsHonestAtTheEnds(t *testing.T) {
	for share, want := range map[float64]string{0: "0%", 0.004: "under 1%", 0.01: "1%", 0.995: "99%", 0.9999: "99%", 1: "100%", 0.256: "26%"} {
		require.Equal(t, want, percent(share))
	}
}

// A name with two spaces in it is a name of its own, and is not mended where
// there is room for it.
func TestTextKeepsTheSpacesOfAName(t *testing.T) {
	l := NewLook([]cloth.Sheet{{File: "two  spaces.jpg"}}, nil, shelf.Options{})
	require.Contains(t, textOf(t, l, 80), "two  spaces.jpg: no pieces found")
}

// A second colour is said, and the other name of a toss-up, in the table, on the page,
// in JSON and in CSV; where the width is short the first names stay.
func TestASecondColourAndTossUpsAreNamed(t *testing.T) {
	with := measured(1, box(50, 50, 40, 40, 0), cloth.Blue, hex(38, 52, 96), hex(240, 232, 214))
	with.With, with.FamilyTrust, with.ValueTrust = cloth.White, 0.93, 0.9
	doubt := measured(2, box(150, 50, 40, 40, 0), cloth.Teal, hex(31, 110, 130))
	doubt.FamilyTrust, doubt.FamilyOr, doubt.ValueTrust, doubt.ValueOr = 0.6, cloth.Blue, 0.55, cloth.Medium
	both := doubt // what is said second anyway is no doubt
	both.ID, both.With, both.ValueOr = 3, cloth.Blue, ""
	l := NewLook([]cloth.Sheet{{File: "a.jpg", Kind: cloth.Spread, Pieces: []cloth.Piece{with, doubt, both}}}, nil, shelf.Options{})

	wide := textOf(t, l, 0)
	require.Regexp(t, `(?m)^ *1 .*  blue with white  dark `, wide)
	require.Regexp(t, `(?m)^ *2 .*  teal or blue  +medium-dark or medium `, wide)
	require.Regexp(t, `(?m)^ *3 .*  teal with blue  +medium-dark `, wide)
	require.Regexp(t, `(?m)^ *2 .*  teal or blue  +MD/M `, textOf(t, l, 60))
	require.Regexp(t, `(?m)^ *2 .*  teal +MD/M `, textOf(t, l, 40))

	var b bytes.Buffer
	require.NoError(t, JSON(&b, l))
	require.Contains(t, b.String(), `"family":"blue","with":"white","family_trust":0.93,"value":"dark","value_trust":0.9,"lightness"`)
	require.Contains(t, b.String(), `"family":"teal","family_trust":0.6,"family_or":"blue","value":"medium-dark","value_trust":0.55,"value_or":"medium"`)
	b.Reset()
	require.NoError(t, CSV(&b, l))
	require.Contains(t, b.String(), ",white,0.93,,0.9,,\r\n")
	require.Contains(t, b.String(), ",,0.6,blue,0.55,medium,\r\n")
	b.Reset()
	require.NoError(t, HTML(&b, l, nil))
	require.Contains(t, b.String(), `<p class="strong">blue with white, dark</p>`)
	require.Contains(t, b.String(), `<p class="strong">teal or blue, medium-dark or medium</p>`)
}
