package recipe

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"piecebag/internal/fault"
)

// The keys of a recipe, as they are written. Lengths are `any`: a number of
// inches, or text as cloth.ParseLength reads it.
type fileText struct {
	Name    string               `toml:"name"`
	About   string               `toml:"about"`
	Width   any                  `toml:"width"`
	Grid    []int                `toml:"grid"`
	Roles   map[string]string    `toml:"roles"`
	Patch   []patchText          `toml:"patch"`
	Part    map[string]partText  `toml:"part"`
	Block   []blockText          `toml:"block"`
	Row     []rowText            `toml:"row"`
	Setting settingText          `toml:"setting"`
	Sashing sashingText          `toml:"sashing"`
	Border  []borderText         `toml:"border"`
	Binding bindingText          `toml:"binding"`
	Backing backingText          `toml:"backing"`
	File    map[string]otherText `toml:"file"` // other recipes, as Bundle writes them
	// The roles of which all patches in a block come from one print: always, or where
	// that is asked for.
	Matching []string `toml:"matching"`
	MayMatch []string `toml:"may_match"`
}

type blockText struct {
	Recipe string `toml:"recipe"`
	Part   string `toml:"part"`
	Width  any    `toml:"width"`
	Frame  string `toml:"frame"`
}

type rowText struct {
	Height any      `toml:"height"`
	Block  string   `toml:"block"`
	Blocks []string `toml:"blocks"`
	Turns  []int    `toml:"turns"` // degrees
	Role   string   `toml:"role"`
	// Spacers is where they are; ends where left out.
	Spacers string `toml:"spacers"`
}

type otherText struct {
	Text string `toml:"text"`
}

type partText struct {
	Grid     []int       `toml:"grid"`
	Patch    []patchText `toml:"patch"`
	Matching []string    `toml:"matching"`
}

type patchText struct {
	At            [][]int    `toml:"at"` // row, column from 1; a third is the turn in degrees
	Wide          int        `toml:"wide"`
	High          int        `toml:"high"`
	Make          string     `toml:"make"`
	Part          string     `toml:"part"`
	Role          string     `toml:"role"`
	Roles         []string   `toml:"roles"`
	AtATime       int        `toml:"at_a_time"`
	Corners       []string   `toml:"corners"`
	Corner        int        `toml:"corner"`
	Lean          string     `toml:"lean"`
	Widths        []int      `toml:"widths"`
	Segments      [][]string `toml:"segments"`
	SegmentWidths []int      `toml:"segment_widths"`
	Centre        int        `toml:"centre"`
	Log           int        `toml:"log"`
	Rounds        int        `toml:"rounds"`
}

type settingText struct {
	Kind      string     `toml:"kind"`
	Alternate any        `toml:"alternate"` // a name or several
	Plan      [][]string `toml:"plan"`
	Layout    []int      `toml:"layout"` // columns, rows
	Turns     [][]int    `toml:"turns"`  // degrees
	Fill      string     `toml:"fill"`
	Odd       bool       `toml:"odd"`
}

type sashingText struct {
	Width       any    `toml:"width"`
	Role        string `toml:"role"`
	Cornerstone string `toml:"cornerstone"`
	Edge        bool   `toml:"edge"`
}

type borderText struct {
	Width       any      `toml:"width"`
	Role        string   `toml:"role"`
	Mitred      bool     `toml:"mitred"`
	Corner      string   `toml:"corner"`
	CornerBlock string   `toml:"corner_block"`
	Block       string   `toml:"block"`
	Blocks      []string `toml:"blocks"`
	Keys        any      `toml:"keys"` // a length or several
	Roles       []string `toml:"roles"`
	Spacer      string   `toml:"spacer"`
	From        string   `toml:"from"`
}

type bindingText struct {
	Cut  any    `toml:"cut"`
	Role string `toml:"role"`
	From string `toml:"from"`
}

type backingText struct {
	Over    any    `toml:"over"`
	AsYouGo bool   `toml:"as_you_go"`
	Role    string `toml:"role"`
}

// decode reads the text; keys it does not know are refused, naming the nearest
// that belongs in that place.
func decode(text []byte) (fileText, error) {
	var f fileText
	text = bytes.TrimPrefix(text, []byte("\uFEFF")) // as some editors begin a file
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(&f)
	var strict *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		first := strict.Errors[0]
		return f, unknownKey(first.Key(), line(&first))
	case errors.As(err, &wrong) && len(wrong.Key()) > 0 && toml.Unmarshal(text, &map[string]any{}) == nil: // it is TOML
		return f, wrongKind(wrong.Key(), line(wrong))
	case errors.As(err, &wrong):
		return f, unreadable(text, wrong)
	case err != nil:
		return f, fault.New("", "it cannot be read: "+bareTOML(err), asWritten, ErrForm)
	}
	return f, nil
}

// asWritten is the remedy where no better one is known.
const asWritten = "write it as recipes are written"

// bareTOML returns what the reader of TOML says, without its own name before it.
func bareTOML(err error) string { return strings.TrimPrefix(err.Error(), "toml: ") }

// unreadable returns an error that says, for a line that is no TOML, what people most often
// do wrong in such a line.
func unreadable(text []byte, e *toml.DecodeError) error {
	n, written := line(e), ""
	if lines := strings.Split(string(text), "\n"); n <= len(lines) {
		written = strings.TrimSpace(lines[n-1])
	}
	key, value, assigned := strings.Cut(written, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	first, _ := utf8.DecodeRuneInString(value)
	switch {
	case strings.ContainsAny(written, "“”„‘’«»"):
		return fault.New("", fmt.Sprintf("line %d has curly quotes", n), `write straight ones, like role = "light"`)
	case assigned && unicode.IsLetter(first) && !strings.ContainsAny(value, `"=`):
		return fault.New("", fmt.Sprintf("line %d: a word stands without quotes", n), fmt.Sprintf("write %s = %q", key, value))
	case assigned && unicode.IsNumber(first) && !strings.Contains(value, "="):
		return fault.New("", fmt.Sprintf("line %d: %s cannot be read", n, value), `write a number in plain figures, like 7.5, or a length in quotes, like "7½" or "20 cm"`, ErrForm)
	}
	return fault.New("", fmt.Sprintf("line %d cannot be read: %s", n, bareTOML(e)), asWritten, ErrForm)
}

func line(e *toml.DecodeError) int {
	row, _ := e.Position()
	return row
}

func unknownKey(key toml.Key, line int) error {
	at := reflect.TypeFor[fileText]()
	for i, k := range key {
		words := keysOf(at)
		next, known := fieldOf(at, k)
		if !known {
			reason, near := fmt.Sprintf("line %d: there is no key %q", line, k), meant
			if i > 0 {
				reason += " in " + strings.Join(key[:i], ".")
				// A heading holds all that follows it.
				if t, above := fieldOf(reflect.TypeFor[fileText](), k); above && t.Kind() != reflect.Struct && t.Kind() != reflect.Map {
					return fault.New("", reason, "if it is of the whole recipe, write it above the first line in brackets")
				}
			}
			if namesShape(k) {
				near = shapeOr
			}
			return fault.New("", reason, near(k, words)+"the keys here are "+strings.Join(words, ", "), ErrForm)
		}
		at = next
	}
	return fault.New("", fmt.Sprintf("line %d: %s is no key", line, strings.Join(key, ".")), asWritten, ErrForm)
}

// wrongKind returns an error that says which kind of value a key takes, where it holds
// another.
func wrongKind(key toml.Key, line int) error {
	t := reflect.TypeFor[fileText]()
	for _, k := range key {
		declared, known := declaredOf(seenThrough(t), k)
		if !known { // it is inside a value
			break
		}
		t = declared
	}
	where := strings.Join(key, ".")
	return fault.New("", fmt.Sprintf("line %d: %s cannot hold this", line, where), "write it in the form "+formOf(where, t))
}

// formOf shows how a key of a type is written.
func formOf(key string, t reflect.Type) string {
	switch {
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct:
		return "[[" + key + "]], its keys on the lines below"
	case t.Kind() == reflect.Struct || t.Kind() == reflect.Map:
		return "[" + key + "], its keys on the lines below"
	}
	form := key[strings.LastIndex(key, ".")+1:] + " = " + valueForm(t)
	for t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() == reflect.Int {
		form += ", in whole numbers"
	}
	return form
}

func valueForm(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Slice:
		each := valueForm(t.Elem())
		return "[" + each + ", " + each + "]"
	case reflect.Int:
		return "1"
	case reflect.Bool:
		return "true"
	}
	return `"…"`
}

// keysOf lists the keys of a table, in the order of its struct.
func keysOf(t reflect.Type) []string {
	if t.Kind() != reflect.Struct {
		return nil
	}
	words := make([]string, t.NumField())
	for i := range words {
		words[i] = t.Field(i).Tag.Get("toml")
	}
	return words
}

// fieldOf returns the type of what a key of a table holds, of a list that of its items.
func fieldOf(t reflect.Type, key string) (reflect.Type, bool) {
	f, known := declaredOf(t, key)
	if !known {
		return nil, false
	}
	return seenThrough(f), true
}

func seenThrough(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Slice {
		return t.Elem()
	}
	return t
}

// declaredOf returns the type of a key of a table.
func declaredOf(t reflect.Type, key string) (reflect.Type, bool) {
	switch t.Kind() {
	case reflect.Map:
		return t.Elem(), true
	case reflect.Struct:
		for i := range t.NumField() {
			if t.Field(i).Tag.Get("toml") == key {
				return t.Field(i).Type, true
			}
		}
	}
	return nil, false
}
