package cloth

import (
	"strings"
	"unicode"
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
