package cloth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestColoursAsPeopleWriteThem(t *testing.T) {
	for text, want := range map[string]struct {
		f Family
		v Value
	}{
		"":  {"", ""},
		" ": {"", ""}, "blue": {Blue, ""}, "Blues": {Blue, ""}, "navy": {Blue, ""}, "Dark navy": {Blue, Dark}, "dark-blue": {Blue, Dark},
		"medium light green": {Green, MediumLight}, "medium-dark tans": {Brown, MediumDark}, "pale cream": {White, Light}, "off-white": {White, ""},
		"multi coloured": {Many, ""}, "gray": {Grey, ""}, "deep turquoise": {Teal, Dark},
		"rust": {Brown, ""}, "forest green": {Green, ""}, "Olive greens": {Green, ""}, "dark olive green": {Green, Dark}, "sky-blue": {Blue, ""}, "slate gray": {Grey, ""},
	} {
		f, v, ok := ReadFamily(text)
		require.True(t, ok, text)
		require.Equal(t, want.f, f, text)
		require.Equal(t, want.v, v, text)
	}
	for _, text := range []string{"dark", "12", "bluey", "sea greens", "olive blue", "green olive", "blue dark", "?"} {
		_, _, ok := ReadFamily(text)
		require.False(t, ok, text)
	}
	for text, want := range map[string]Value{"": "", "Dark": Dark, "medium dark": MediumDark, "Medium-Light": MediumLight, "lights": Light, "mid": Medium, "md": MediumDark} {
		v, ok := ReadValue(text)
		require.True(t, ok, text)
		require.Equal(t, want, v, text)
	}
	for _, text := range []string{"blue", "darker", "-"} {
		_, ok := ReadValue(text)
		require.False(t, ok, text)
	}
}
