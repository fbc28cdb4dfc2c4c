package archive

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// fromJSON reads JSON that others may have written: where it is none, or holds
// another thing than is wanted, the error says so in plain words, and where.
func fromJSON(data []byte, into any) error {
	err := json.Unmarshal(data, into)
	at := func(offset int64) string {
		if !bytes.Contains(data, []byte("\n")) {
			return ""
		}
		return fmt.Sprintf("line %d: ", 1+bytes.Count(data[:min(max(offset, 0), int64(len(data)))], []byte("\n")))
	}
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("%sthis is not JSON: %w", at(syntax.Offset), err)
	case errors.As(err, &kind):
		what, found := cmp.Or(kind.Field, "it"), worded(kind.Value)
		if digits, ok := strings.CutPrefix(kind.Value, "number "); ok {
			found = digits
		}
		return fmt.Errorf("%s%s is %s, where %s is wanted", at(kind.Offset), what, found, worded(kind.Type.Kind().String()))
	}
	return err
}

// words are what the values of JSON, by the names that encoding/json and reflect have
// for them, are called where they stand in a file.
var words = map[string]string{
	"string": "text", "bool": "true or false", "number": "a number", "float64": "a number",
	"int": "a whole number", "int64": "a whole number", "array": "a list", "slice": "a list",
}

// worded says what a value of JSON is.
func worded(kind string) string { return cmp.Or(words[kind], "a group in braces") }
