package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

func htmlOf(t *testing.T, l Looked, p Pictures) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, HTML(&b, l, p))
	return b.String()
}

// The golden page leaves out the embedded pictures and the style sheet, which
// is a file already.
func TestHTMLGolden(t *testing.T) {
	l := someLook()
	got := htmlOf(t, l, paint(l.Sheets))
	got = withoutPictures(got)
	got = regexp.MustCompile(`(?s)<style>.*</style>`).ReplaceAllString(got, "<style>…</style>")
	golden(t, "page.html", []byte(got))
}

// element is a start tag of the page.
type element struct {
	name string
	attr map[string]string
}

// elements parses the page, which is also well-formed XML, and gives its start
// tags in order and all its words.
func elements(t *testing.T, page string) (all []element, words string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	var text strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all, text.String()
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			e := element{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			all = append(all, e)
		case xml.CharData:
			text.Write(token)
		}
	}
}

// everyPage is each sort of page there is.
func everyPage(t *testing.T) map[string]string {
	l := someLook()
	return map[string]string{
		"full":        htmlOf(t, l, paint(l.Sheets)),
		"no pictures": htmlOf(t, l, nil),
		"no pieces":   htmlOf(t, bareLook(), paint(bareLook().Sheets)),
		"no photos":   htmlOf(t, NewLook(nil, []Refused{{File: "a.txt", Error: "not a picture"}}, shelf.Options{}), nil),
	}
}

func TestHTMLStructure(t *testing.T) {
	for name, page := range everyPage(t) {
		all, _ := elements(t, page)
		require.True(t, strings.HasPrefix(page, "<!DOCTYPE html>"), name)
		level, ids, titles := 0, map[string]bool{}, 0
		for _, e := range all {
			if id, ok := e.attr["id"]; ok {
				require.False(t, ids[id], "%s: %s is there twice", name, id)
				ids[id] = true
			}
			if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
				next := int(e.name[1] - '0')
				require.LessOrEqual(t, next, level+1, "%s: a heading is skipped", name)
				level = next
				if next == 1 {
					titles++
				}
			}
			switch e.name {
			case "html":
				require.Equal(t, "en-GB", e.attr["lang"])
			case "svg":
				require.True(t, e.attr["aria-hidden"] == "true" || e.attr["role"] == "img" && e.attr["aria-label"] != "", "%s: a drawing without words: %v", name, e)
			case "th":
				require.Contains(t, []string{"row", "col"}, e.attr["scope"], name)
			case "script", "link", "iframe", "form":
				require.Fail(t, "the page should hold no "+e.name)
			}
		}
		require.Equal(t, 1, titles, name)
		for _, e := range all {
			if e.name == "use" {
				require.True(t, ids[strings.TrimPrefix(e.attr["href"], "#")], "%s: %s leads nowhere", name, e.attr["href"])
			}
		}
	}
}

// The page asks for nothing from anywhere.
func TestHTMLIsSelfContained(t *testing.T) {
	for name, page := range everyPage(t) {
		all, _ := elements(t, page)
		for _, e := range all {
			for _, a := range []string{"src", "href", "srcset", "data", "poster", "action"} {
				if v, ok := e.attr[a]; ok {
					require.Regexp(t, `^(#|data:image/jpeg;base64,)`, v, "%s: %s", name, e.name)
				}
			}
		}
		require.NotRegexp(t, `url\([^#]|@import|https?://`, page, name)
		require.Contains(t, page, `content="default-src 'none'; img-src data:; style-src 'unsafe-inline'"`)
	}
}

func TestHTMLShowsEveryPiece(t *testing.T) {
	l := someLook()
	page := htmlOf(t, l, paint(l.Sheets))
	require.Equal(t, len(l.Shelf.Items)+2*len(l.Sheets), strings.Count(page, "<symbol "), "each cut out once, each photo in colour and in grey")
	left := len(l.Sheets[0].Left)
	require.Equal(t, len(l.Shelf.Items)+left, strings.Count(page, `stroke-opacity="0.75"`), "outlined, dark under light; what was left out, too")
	require.Equal(t, left, len(regexp.MustCompile(`<polygon [^>]*fill="none" stroke="#ffffff" stroke-dasharray`).FindAllString(page, -1)), "dashed")
	inPatterns := len(l.Shelf.Items) + 2*len(l.Sheets)
	require.Equal(t, 2*len(l.Shelf.Items)-len(l.Shelf.Unnamed)+1, strings.Count(page, "<use ")-inPatterns, "in its stack and on its card, and where it is doubted")
	_, words := elements(t, page)
	require.NotContains(t, words, "bag/", "a page does not tell where photos lie")
	for _, want := range []string{
		"9 pieces of cloth in 4 colours", "2½ square", "measured 1½ × 11½", "reads as #263460", "63% #263460", "6.2PB 2.2/6.1",
		"white estimated, with no white thing in view (a guess, 35%)", "bins below the floor of 2: medium pink (1)",
		"none", "torn.jpg: the file ends before the picture does", "look for yourself",
	} {
		require.Contains(t, strings.Join(strings.Fields(words), " "), want)
	}
}

// a photo's name is text, whatever it holds
func TestHTMLEscapesNames(t *testing.T) {
	l := bareLook()
	l.Sheets[0].File = `<script>alert("x")</script>.jpg`
	page := htmlOf(t, l, nil)
	require.NotContains(t, page, "<script")
}

func TestHTMLSaysThatNothingWasFound(t *testing.T) {
	_, words := elements(t, htmlOf(t, bareLook(), paint(bareLook().Sheets)))
	require.Contains(t, words, "No pieces found, from 1 photo.")
	require.Contains(t, words, "bare.jpg: no pieces found, spread")
	require.NotContains(t, words, "Missing altogether")
}

func TestHTMLIsTheSameEveryTime(t *testing.T) {
	l := someLook()
	require.Equal(t, htmlOf(t, l, paint(l.Sheets)), htmlOf(t, l, paint(l.Sheets)))
}

// Nothing is written where a picture cannot be had.
func TestHTMLPassesOnErrors(t *testing.T) {
	var b bytes.Buffer
	err := HTML(&b, someLook(), func(int) (image.Image, error) { return nil, errors.New("the card was pulled out") })
	require.ErrorContains(t, err, "bag/table.jpg: the card was pulled out")
	require.Empty(t, b.Bytes())
}

// The photos are asked for once each and in order.
func TestPicturesAreAskedForOnce(t *testing.T) {
	l := someLook()
	var asked []int
	pictures := func(i int) (image.Image, error) {
		asked = append(asked, i)
		return paint(l.Sheets)(i)
	}
	htmlOf(t, l, pictures)
	require.Equal(t, []int{0, 1, 2}, asked)
	asked = nil
	require.NoError(t, Picture(io.Discard, l, pictures))
	require.Equal(t, []int{0, 1, 2}, asked)
}

// A board of 100 squares in a photo already at the embedded size.
func BenchmarkHTML(b *testing.B) {
	s := cloth.Sheet{File: "board.jpg", Width: 1500, Height: 1500, Kind: cloth.Board}
	for i := range 100 {
		g := box(75+150*float64(i%10), 75+150*float64(i/10), 140, 140, 2)
		s.Pieces = append(s.Pieces, measured(i+1, g, cloth.Families[i%8], hex(uint8(40+i*2), 120, uint8(240-i*2))))
	}
	l := NewLook([]cloth.Sheet{s}, nil, shelf.Options{})
	m, err := paint(l.Sheets)(0)
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, HTML(io.Discard, l, func(int) (image.Image, error) { return m, nil }))
	}
}
