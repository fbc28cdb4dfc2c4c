package cloth

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
)

// Unprintable reports whether a character is one that a terminal or a reader of text
// would obey and not show: the controls of ASCII and of ISO 6429 (Cc), the ends of
// lines and paragraphs, and those that turn the direction of writing about
// (Bidi_Control): the Unicode Standard, 23.1 and 23.3.
func Unprintable(r rune) bool {
	return unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
}

// Printable returns a text for one line, with a ? for what is unprintable in it: names
// may hold anything.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		if Unprintable(r) {
			return '?'
		}
		return r
	}, s)
}

// PrintableLines is Printable for a text of lines, in place of one.
func PrintableLines(text []byte) []byte {
	return bytes.Map(func(r rune) rune {
		if Unprintable(r) && r != '\n' && r != '\t' {
			return '?'
		}
		return r
	}, text)
}

// Words returns a list of words with commas between.
func Words[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = string(w)
	}
	return strings.Join(words, ", ")
}

// PrintableJSON is JSON with what is unprintable in its strings escaped, which
// means the same. encoding/json does so for the controls of ASCII alone.
func PrintableJSON(text []byte) []byte {
	if !bytes.ContainsFunc(text, escaped) {
		return text
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		if escaped(r) { // all of them lie in the basic plane
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.Bytes()
}

// escaped tells what JSON itself would leave as it is; blanks between values are
// no part of a string.
func escaped(r rune) bool { return r > ' ' && Unprintable(r) }
