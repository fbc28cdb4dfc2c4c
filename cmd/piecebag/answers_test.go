package main

import (
	"net"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/arrange"
	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/desk"
	"piecebag/internal/plan"
	"piecebag/internal/report"
	"piecebag/internal/shelf"
	"piecebag/samples"
)

// The demo tells the photos of each kind together, what is thin, and how the quilt came out.
func TestTheDemosAnswer(t *testing.T) {
	sheet := func(file string, kind cloth.Kind, pieces int) cloth.Sheet {
		return cloth.Sheet{File: "photos/" + file + ".jpg", Kind: kind, Pieces: make([]cloth.Piece, pieces)}
	}
	a := demoAnswers{sheets: []cloth.Sheet{sheet("one", cloth.Board, 3), sheet("two", cloth.Spread, 1), sheet("three", cloth.Board, 4)}}
	a.stash.Stock.Totals.Prints = 1
	short := func(f cloth.Family, cut shelf.Cut, n int) shelf.Short {
		return shelf.Short{Alike: shelf.Alike{Family: f}, Cut: cut, Count: n}
	}
	tin := samples.Floor.Cut
	a.stash.Stock.Short = []shelf.Short{short(cloth.Red, tin, 0), short(cloth.Blue, tin, samples.Floor.Least-1), short(cloth.Teal, shelf.Square(9), 0), short(cloth.Green, tin, 0)}
	a.plan.Pull = &plan.Pull{Wants: []cutting.Want{{Count: 10}}, Cover: cutting.Cover{Covered: []int{7}, Short: []int{3}}}
	a.quilt.Laid = []desk.Variant{{Layout: arrange.Layout{Measures: arrange.Measures{Evenness: 0.914}}}}
	text := a.text("my demo")
	for _, want := range []string{
		"\n  laid apart            1 piece   two\n  squares edge to edge  7 pieces  one, three\n  In all 8 pieces of 1 print.\n",
		"  0 held: red, green\n", "  " + string(rune('0'+samples.Floor.Least-1)) + " held: blue\n",
		"\nThe library quilt takes 10 squares. The stash covers 7 of them.\nLaid out, nothing alike touches, and its lights and darks are 91 % even.\n\nOpen these in my demo\n",
		"piecebag shelf --stash " + quoted(filepath.Join("my demo", demoLedger)) + "\n",
	} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, "teal")
	require.NotContains(t, text, "a heap")

	one := report.Arrangement{}
	one.Laid, one.Empty = []desk.Variant{{Layout: arrange.Layout{Touches: make([]arrange.Touch, 2), Measures: arrange.Measures{Evenness: 0.5}}}}, 1
	require.Equal(t, "Laid out, 2 touches of cloth alike, its lights and darks 50 % even. Cloth is lacking for 1 patch.", laidOut(one))
}

func TestNamesAsTheyFit(t *testing.T) {
	names := []string{"abc", "defg", "hi"}
	for width, want := range map[int]string{13: "abc, defg, hi", 12: "abc and 2 more", 23: "abc, defg, hi", 1: "abc and 2 more"} {
		require.Equal(t, want, someOf(names, width))
	}
	require.Equal(t, "abcdef, ghijkl and 1 more", someOf([]string{"abcdef", "ghijkl", "mnopqrstuvwxyz"}, 25))
	require.Equal(t, "a.b", stem("x/a.b.jpg"))
	require.Equal(t, "/a/b-c", quotedWhereNeeded("/a/b-c"))
	require.Equal(t, quoted("/a b"), quotedWhereNeeded("/a b"))
}

// An address is opened by what the system has for it, and by nothing where there is no desktop.
func TestWhatOpensAnAddress(t *testing.T) {
	of := func(system string, set ...string) []string {
		return opener(system, func(name string) string {
			for _, s := range set {
				if s == name {
					return ":0"
				}
			}
			return ""
		})
	}
	require.Equal(t, []string{"open"}, of("darwin"))
	require.Equal(t, []string{"rundll32", "url.dll,FileProtocolHandler"}, of("windows"))
	require.Nil(t, of("linux"))
	require.Equal(t, []string{"xdg-open"}, of("linux", "DISPLAY"))
	require.Equal(t, []string{"xdg-open"}, of("freebsd", "WAYLAND_DISPLAY"))
}

// Phones come to one address of this machine, by name.
func TestWhereItIsListened(t *testing.T) {
	at, err := listenAt("127.0.0.1", 0)
	require.NoError(t, err)
	defer at.Close()
	port := at.Addr().(*net.TCPAddr).Port
	_, err = listenAt("127.0.0.1", port)
	require.ErrorContains(t, err, "it cannot be listened at")
	home, err := listenAtHome("127.0.0.1", 0)
	require.NoError(t, err)
	require.Len(t, home, 1)
	require.NoError(t, home[0].Close())
	for _, phone := range []string{"0.0.0.0", "::", "here", "300.1.1.1"} {
		_, err = listenAtHome(phone, 0)
		require.ErrorContains(t, err, "--phone "+phone+": this is not one address of this machine")
	}
	_, err = listenAtHome("203.0.113.7", 0) // of no machine: RFC 5737
	require.ErrorContains(t, err, "203.0.113.7: it cannot be listened at")
}

// A background is a colour, a photo with a number of its pieces, or a print by its name.
func TestWhatABackgroundIs(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, name := range []string{"a.jpg", "a.jpg:2", "navy", "x"} {
		require.NoError(t, os.WriteFile(name, nil, 0o644))
	}
	colour := ground("#f0e8d6")
	require.NotNil(t, colour.Colour)
	require.Equal(t, desk.Sample{Name: "a.jpg", Photo: "a.jpg"}, ground("a.jpg"))
	require.Equal(t, desk.Sample{Name: "a.jpg:3", Photo: "a.jpg", Piece: 3}, ground("a.jpg:3"))
	require.Equal(t, desk.Sample{Name: "x:1", Photo: "x", Piece: 1}, ground("x:1"))
	for _, print := range []string{"a.jpg:0", "a.jpg:x", ":3", "linen", "none.jpg:3"} {
		require.Equal(t, desk.Sample{Name: print}, ground(print), print)
	}
}
