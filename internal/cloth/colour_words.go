package cloth

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"piecebag/internal/colour"
)

// familyWords are other words for the families: everyday names, and those that
// the families' own definitions put in them.
var familyWords = map[string]Family{
	"burgundy": Red, "crimson": Red, "maroon": Red, "wine": Red,
	"fuchsia": Pink, "magenta": Pink, "rose": Pink,
	"apricot": Orange, "coral": Orange, "peach": Orange,
	"gold": Yellow, "lemon": Yellow, "mustard": Yellow,
	"lime": Green, "mint": Green, "olive": Green, "sage": Green,
	"aqua": Teal, "turquoise": Teal,
	"denim": Blue, "navy": Blue,
	"lavender": Purple, "lilac": Purple, "plum": Purple, "violet": Purple,
	"beige": Brown, "chocolate": Brown, "khaki": Brown, "sand": Brown, "tan": Brown, "taupe": Brown,
	"cream": White, "ecru": White, "ivory": White, "offwhite": White,
	"charcoal": Grey, "gray": Grey, "silver": Grey,
	"mixed": Many, "multi": Many, "multicolored": Many, "multicoloured": Many, "various": Many,
}

// wordColours are the colours that are meant by those of familyWords that say more
// than a family: hex, our own picks (common practice, no source).
var wordColours = map[string]string{
	"burgundy": "#5e1a2b", "crimson": "#a5182f", "maroon": "#6b1a20", "wine": "#651f32",
	"fuchsia": "#e0409a", "magenta": "#d8308a", "rose": "#d9788f",
	"apricot": "#f5b585", "coral": "#f5875f", "peach": "#fcd0b0",
	"gold": "#d9a520", "lemon": "#fde74c", "mustard": "#c9982b",
	"lime": "#a3c83a", "mint": "#bfe6cf", "olive": "#68642f", "sage": "#9caf94",
	"aqua": "#8fd3d0", "turquoise": "#2fb3b5",
	"denim": "#4f6385", "navy": "#1f2a4d",
	"lavender": "#cdc5e6", "lilac": "#c3a9dc", "plum": "#632f53", "violet": "#6a3aa0",
	"beige": "#d8c3a0", "chocolate": "#4a2c21", "khaki": "#b0966a", "sand": "#d2bd96", "tan": "#d2b48c", "taupe": "#8f7862",
	"cream": "#fdf3dc", "ecru": "#e8dcc4", "ivory": "#fbf6e6", "offwhite": "#f6f3ec",
	"charcoal": "#3d4043", "silver": "#bfc1c3",
}

// ColourWords are the words that name one colour within a family, in order.
func ColourWords() []string { return slices.Sorted(maps.Keys(wordColours)) }

// ColourOf is the colour that one of ColourWords means, as people write it.
func ColourOf(text string) (colour.Linear, bool) {
	hex, _ := known(strings.Join(letters(text), ""), nil, wordColours)
	c, err := colour.ParseColour(hex)
	return c, err == nil
}

// valueWords are other words for the values.
var valueWords = map[string]Value{
	"l": Light, "pale": Light,
	"ml": MediumLight,
	"m":  Medium, "mid": Medium,
	"md": MediumDark,
	"d":  Dark, "deep": Dark,
}

// letters are the words of a text in small letters, with nothing else in them.
func letters(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) })
}

// known finds a word, or one of its plural, among the names and the other words
// for them.
func known[T ~string](word string, names []T, others map[string]T) (T, bool) {
	for _, w := range []string{word, strings.TrimSuffix(word, "s")} {
		for _, n := range names {
			if w == strings.Join(letters(string(n)), "") {
				return n, true
			}
		}
		if n, ok := others[w]; ok {
			return n, true
		}
	}
	return "", false
}

// ReadValue reads a value as people write it: dark, Medium Light, mediums, ml, pale.
// No word is no value, and no fault.
func ReadValue(text string) (v Value, ok bool) {
	words := letters(text)
	if len(words) == 0 {
		return "", strings.TrimSpace(text) == ""
	}
	return known(strings.Join(words, ""), Values, valueWords)
}

// ReadFamily reads a hue family as people write it, with a value before it where
// they do: blue, Navy, creams, dark blue, medium-light green. No word is no family,
// and no fault.
func ReadFamily(text string) (f Family, v Value, ok bool) {
	words := letters(text)
	if len(words) == 0 {
		return "", "", strings.TrimSpace(text) == ""
	}
	for i := range words {
		f, ok = known(strings.Join(words[i:], ""), Families, familyWords)
		if ok && i > 0 {
			v, ok = known(strings.Join(words[:i], ""), Values, valueWords)
		}
		if ok {
			return f, v, true
		}
	}
	return "", "", false
}
