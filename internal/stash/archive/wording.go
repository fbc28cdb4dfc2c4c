package archive

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
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
		what := "it"
		if kind.Field != "" {
			what = kind.Field
		}
		return fmt.Errorf("%s%s is %s, where %s is wanted", at(kind.Offset), what, valueWords(kind.Value), kindWords(kind.Type))
	}
	return err
}

// What the values of JSON are called where they stand in a file.
const (
	textValue  = "text"
	listValue  = "a list"
	groupValue = "a group in braces"
	truthValue = "true or false"
)

// valueWords says what encoding/json found.
func valueWords(found string) string {
	switch found {
	case "string":
		return textValue
	case "array":
		return listValue
	case "object":
		return groupValue
	case "bool":
		return truthValue
	case "number":
		return "a number"
	}
	return strings.TrimPrefix(found, "number ")
}

// kindWords says what was wanted.
func kindWords(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Float64:
		return "a number"
	case reflect.String:
		return textValue
	case reflect.Bool:
		return truthValue
	case reflect.Slice, reflect.Array:
		return listValue
	}
	return groupValue
}
