package cloth

import (
	"strconv"
	"strings"
)

const printWord = "print "

// NumberedPrint names a print that nobody has named: "print 12".
func NumberedPrint(n int64) string { return printWord + strconv.FormatInt(n, 10) }

// ShortPrint returns the name of a print as it stands where the word print is said already:
// the number alone of one that nobody has named, and any other name whole.
func ShortPrint(name string) string {
	if n, ok := strings.CutPrefix(name, printWord); ok && n != "" && digits(n) == len(n) {
		return n
	}
	return name
}
