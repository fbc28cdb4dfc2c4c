package cloth

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"piecebag/internal/colour"
)

// wordsFor are other words for the families: everyday names, and those that the
// families' own definitions put in them. The colour that is meant by a word that says
// more than a family is our own pick, as hex (common practice, no source).
var wordsFor = map[Family]map[string]string{
	Red: {
		"brick": "#8f3b2e", "burgundy": "#5e1a2b", "cherry": "#b3202f", "crimson": "#a5182f", "maroon": "#6b1a20",
		"ruby": "#9b1b3b", "scarlet": "#c8281e", "wine": "#651f32",
	},
	Pink: {"blush": "#eec6c4", "fuchsia": "#e0409a", "magenta": "#d8308a", "rose": "#d9788f", "salmon": "#f29a85"},
	Orange: {
		"amber": "#e3a03a", "apricot": "#f5b585", "coral": "#f5875f", "ochre": "#c48a2e", "peach": "#fcd0b0",
		"pumpkin": "#dd7a2b", "tangerine": "#f08a3c",
	},
	Yellow: {"butter": "#f8e7a3", "gold": "#d9a520", "honey": "#d9a441", "lemon": "#fde74c", "mustard": "#c9982b"},
	Green: {
		"emerald": "#1f8a5b", "forest": "#2a4a33", "hunter": "#24432f", "jade": "#3f9a78", "lime": "#a3c83a",
		"mint": "#bfe6cf", "moss": "#7a7f45", "olive": "#68642f", "sage": "#9caf94",
	},
	Teal: {"aqua": "#8fd3d0", "turquoise": "#2fb3b5"},
	Blue: {
		"cobalt": "#2a4aa0", "denim": "#4f6385", "indigo": "#2c2f62", "navy": "#1f2a4d", "periwinkle": "#97a3dc",
		"royal": "#2f4fae", "sky": "#a3cbe8",
	},
	Purple: {
		"aubergine": "#452238", "eggplant": "#452238", "lavender": "#cdc5e6", "lilac": "#c3a9dc", "mauve": "#a8829f",
		"orchid": "#c68ac6", "plum": "#632f53", "violet": "#6a3aa0",
	},
	Brown: {
		"beige": "#d8c3a0", "camel": "#b98c58", "caramel": "#a8703c", "chocolate": "#4a2c21", "cinnamon": "#8f5636",
		"coffee": "#4f382b", "khaki": "#b0966a", "rust": "#9c4f2c", "sand": "#d2bd96", "tan": "#d2b48c",
		"taupe": "#8f7862", "terracotta": "#b8603f",
	},
	White: {"cream": "#fdf3dc", "ecru": "#e8dcc4", "ivory": "#fbf6e6", "natural": "#ece2cd", "offwhite": "#f6f3ec"},
	Grey:  {"charcoal": "#3d4043", "gray": "", "silver": "#bfc1c3", "slate": "#6f767c"},
	Many:  {"mixed": "", "multi": "", "multicolored": "", "multicoloured": "", "various": ""},
}

// familyWords are the families of all of wordsFor, wordColours the colours of those
// that have one.
var familyWords, wordColours = func() (families map[string]Family, colours map[string]string) {
	families, colours = map[string]Family{}, map[string]string{}
	for f, words := range wordsFor {
		for w, hex := range words {
			if families[w] = f; hex != "" {
				colours[w] = hex
			}
		}
	}
	return families, colours
}()

// ColourWords returns the words that name one colour within a family, in order.
func ColourWords() []string { return slices.Sorted(maps.Keys(wordColours)) }

// ColourOf returns the colour that one of ColourWords means, as people write it.
func ColourOf(text string) (colour.Linear, bool) {
	hex, _ := known(colourWord(letters(text)), nil, wordColours)
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

// letters returns the words of a text in small letters, with nothing else in them.
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

// colourWord returns the one word that words come to: offwhite; and, as it names the same
// colour, olive for olive green.
func colourWord(words []string) string {
	whole, last := strings.Join(words, ""), len(words)-1
	if last < 1 {
		return whole
	}
	of, _ := known(words[last], Families, familyWords)
	if first := strings.Join(words[:last], ""); of != "" && of == familyWords[first] {
		return first
	}
	return whole
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
// they do: blue, Navy, creams, olive green, dark blue, medium-light green. No word is
// no family, and no fault.
func ReadFamily(text string) (f Family, v Value, ok bool) {
	words := letters(text)
	if len(words) == 0 {
		return "", "", strings.TrimSpace(text) == ""
	}
	for i := range words {
		f, ok = known(colourWord(words[i:]), Families, familyWords)
		if ok && i > 0 {
			v, ok = known(strings.Join(words[:i], ""), Values, valueWords)
		}
		if ok {
			return f, v, true
		}
	}
	return "", "", false
}
