package page

import (
	"html"
	"strings"

	"piecebag/internal/recipe"
)

// commandWords are words of the other packages that speak to who types commands, and what
// the page says in their place.
var commandWords = [][2]string{
	{"or give --scale", "or tap two places a known length apart"},
	{"or say with --kind what it shows, or give outlines with --pieces", "or say under “The photo as a whole” how it lies, or draw the pieces"},
	{"; --html and --pdf draw them all", ""},
	{"plan the quilt again with --save and the same name", "plan the quilt again, and keep it by the same name"},
	{", which stand clearer: --html and --json have them all", ", which stand clearer"},
	{"Name its role with --one-way to be told how many.", "Write its role under “Roles whose print has an up” to be told how many."},
	{"by the aims of 'plan --help'", "by the aim that it is cut by"},
	{": --html and --json have them all", ""},
	{"'piecebag check' says what can be mended", "“Check it”, under your data, says what can be mended"},
	{"or run check with --repair to note that it is not kept", "or tick to mend what can be mended: it is noted that it is not kept"},
	{"run check with --repair to move it aside", "tick to mend what can be mended: it is moved aside"},
	{"run check with --repair: it is set again", "tick to mend what can be mended: it is set again"},
	{"run check with --repair: they are counted again", "tick to mend what can be mended: they are counted again"},
	{"put the last backup back with 'piecebag restore FILE'; what is there is kept beside it", "put the last backup back, under your data; what is there is kept beside it"},
	{"see 'piecebag shelf --pieces' for the numbers", "see the page of pieces for the numbers"},
	{"see 'piecebag teach list'", "see the page of teaching for those that were"},
	{"stow a photo first, or name the right folder with --stash", "stow a photo first"},
	{"wait for the other command, or end it, and try again", "wait a little, and try again"},
	// Single flags, by what their fields are called; of two that begin alike the longer first.
	{"--at-a-time", "how units are made"}, {"--back-wof", "the width of the backing"}, {"--background", "the background"}, {"--bed", "the bed"},
	{"--blocks", "how many blocks"}, {"--block", "the block width"}, {"--choose", "the tick to choose for the stash"}, {"--layout", "blocks across and down"},
	{"--matching", "matching prints"}, {"--one-way", "the roles whose print has an up"}, {"--seam", "the seam allowance"}, {"--size", "the size"}, {"--wof", "the width of fabric"},
}

var onPage, inHTML = func() (words, inHTML *strings.Replacer) {
	var plain, escaped []string
	for _, w := range commandWords {
		plain = append(plain, w[0], w[1])
		escaped = append(escaped, html.EscapeString(w[0]), html.EscapeString(w[1]))
	}
	return strings.NewReplacer(plain...), strings.NewReplacer(escaped...)
}()

// format is how a recipe is written, without what is typed to begin.
func format() string {
	before, rest, _ := strings.Cut(recipe.Format(), "To begin, take the example at the end:")
	_, after, _ := strings.Cut(rest, "THE BLOCK")
	return strings.Replace(before+"An example is at the end.\n\nTHE BLOCK"+after, "only where --matching usual asks for it", "only where you ask for it", 1)
}
