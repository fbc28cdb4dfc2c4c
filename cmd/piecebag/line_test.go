package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// The data folder: XDG Base Directory Specification 0.8 (freedesktop.org, 8 May
// 2021): $HOME/.local/share where XDG_DATA_HOME is empty or relative.
func TestDataFolderOfEachSystem(t *testing.T) {
	for _, c := range []struct {
		system, environ, want string
	}{
		{"linux", "HOME=/home/ann", "/home/ann/.local/share"},
		{"linux", "HOME=/home/ann XDG_DATA_HOME=/data", "/data"},
		{"freebsd", "HOME=/home/ann XDG_DATA_HOME=data", "/home/ann/.local/share"},
		{"linux", "HOME=/home/ann XDG_DATA_HOME=", "/home/ann/.local/share"},
		{"darwin", "HOME=/Users/ann XDG_DATA_HOME=/data", "/Users/ann/Library/Application Support"},
		{"windows", "LocalAppData=/ann/local", "/ann/local"},
		{"linux", "", ""},
		{"windows", "HOME=/ann", ""},
	} {
		got, ok := streams{environ: strings.Fields(c.environ)}.dataFolder(c.system)
		require.Equal(t, c.want != "", ok, "%v", c)
		if ok {
			require.Equal(t, filepath.FromSlash(c.want), got, "%v", c)
		}
	}
}

// Quilters write what they add in many ways; 12 is a count and 2 1/2 no count
// of 2. What is not said is 0, for package desk to fill in.
func TestAddIsReadAsYouWriteIt(t *testing.T) {
	for line, want := range map[string]string{
		"12":                       "12  0 × 0",
		"12 square 2½":             "12 square 2.5 × 2.5",
		"12 squares 2 1/2":         "12 square 2.5 × 2.5",
		"12 2½":                    "12  2.5 × 0",
		"2½":                       "0  2.5 × 0",
		"2 1/2":                    "0  2.5 × 0",
		"5 x 10":                   "0  5 × 10",
		"2 5 x 10":                 "2  5 × 10",
		"strip 2½ x 18":            "0 strip 2.5 × 18",
		"3 strips 2½x18":           "3 strip 2.5 × 18",
		"3 strips 2 1/2 × 18":      "3 strip 2.5 × 18",
		"strip 2½":                 "0 strip 2.5 × 0",
		"2 rectangles 4½ x 2½":     "2 rectangle 4.5 × 2.5",
		"odd 7 x 3":                "0 irregular 7 × 3",
		"3 fat quarters":           "3 rectangle 18 × 21",
		"40 precut 2½-inch strips": "40 strip 2.5 × 42",
		"5 inch squares":           "0 square 5 × 5",
		"4 bands":                  "4 band 0 × 0",
		"square 5 x 5":             "0 square 5 × 5",
		"strip 40 x 2":             "0 strip 40 × 2",
		"hexagon 3":                "hexagon: this is not a number of pieces, a form or a size",
		"12 13 14":                 "12 13 14: this is not a size",
		"square 2½ x 5":            "0 square 2.5 × 5",
		"rectangle 4":              "0 rectangle 4 × 0",
		"strip 2 x 3 x 4":          "strip 2 x 3 x 4: this is not a size",
		"weighed":                  "0 weighed 0 × 0",
		"0":                        "0: this is not a number of pieces",
	} {
		h, _, err := readHolding(strings.Fields(line), &whichFlags{})
		got := fmt.Sprintf("%d %s %v × %v", h.Count, h.Form, h.WidthIn, h.LengthIn)
		if err != nil {
			got = err.Error()
		}
		require.Equal(t, want, got, line)
	}
	var f whichFlags
	cmd := &cobra.Command{}
	f.define(cmd)
	require.NoError(t, cmd.ParseFlags([]string{"--cut", "6cm", "--family", "Blue", "--value", "Medium Dark"}))
	h, _, err := readHolding([]string{"12"}, &f)
	require.NoError(t, err)
	require.Equal(t, cloth.MediumDark, h.Value)
	require.Equal(t, cloth.Blue, h.Family)
	require.InDelta(t, 6/2.54, h.WidthIn, 1e-12)
}
