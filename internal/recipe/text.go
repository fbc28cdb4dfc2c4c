package recipe

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// The keys of a recipe, as they are written. Lengths are `any`: a number of
// inches, or text as cloth.ParseLength reads it.
type fileText struct {
	Name    string              `toml:"name"`
	About   string              `toml:"about"`
	Width   any                 `toml:"width"`
	Grid    []int               `toml:"grid"`
	Roles   map[string]string   `toml:"roles"`
	Patch   []patchText         `toml:"patch"`
	Part    map[string]partText `toml:"part"`
	Setting settingText         `toml:"setting"`
	Sashing sashingText         `toml:"sashing"`
	Border  []borderText        `toml:"border"`
	Binding bindingText         `toml:"binding"`
	Backing backingText         `toml:"backing"`
}

type partText struct {
	Grid  []int       `toml:"grid"`
	Patch []patchText `toml:"patch"`
}

type patchText struct {
	At      [][]int  `toml:"at"` // row, column from 1; a third is the turn in degrees
	Wide    int      `toml:"wide"`
	High    int      `toml:"high"`
	Make    string   `toml:"make"`
	Part    string   `toml:"part"`
	Role    string   `toml:"role"`
	Roles   []string `toml:"roles"`
	AtATime int      `toml:"at_a_time"`
	Corners []string `toml:"corners"`
	Corner  int      `toml:"corner"`
	Centre  int      `toml:"centre"`
	Log     int      `toml:"log"`
	Rounds  int      `toml:"rounds"`
}

type settingText struct {
	Kind      string  `toml:"kind"`
	Alternate string  `toml:"alternate"`
	Turns     [][]int `toml:"turns"` // degrees
	Fill      string  `toml:"fill"`
	Odd       bool    `toml:"odd"`
}

type sashingText struct {
	Width       any    `toml:"width"`
	Role        string `toml:"role"`
	Cornerstone string `toml:"cornerstone"`
	Edge        bool   `toml:"edge"`
}

type borderText struct {
	Width  any    `toml:"width"`
	Role   string `toml:"role"`
	Mitred bool   `toml:"mitred"`
}

type bindingText struct {
	Cut  any    `toml:"cut"`
	Role string `toml:"role"`
}

type backingText struct {
	Over any    `toml:"over"`
	Role string `toml:"role"`
}

// decode reads the text; keys it does not know are refused, naming the nearest
// that belongs in that place.
func decode(text []byte) (fileText, error) {
	var f fileText
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(&f)
	var strict *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		first := strict.Errors[0]
		return f, unknownKey(first.Key(), line(&first))
	case errors.As(err, &wrong):
		return f, &fault{
			fmt.Sprintf("line %d cannot be read: %s", line(wrong), strings.TrimPrefix(wrong.Error(), "toml: ")),
			"compare it with a built-in recipe",
		}
	case err != nil:
		return f, &fault{"it cannot be read: " + strings.TrimPrefix(err.Error(), "toml: "), "compare it with a built-in recipe"}
	}
	return f, nil
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
			}
			if at == reflect.TypeFor[patchText]() {
				near = shapeOr
			}
			return &fault{reason, near(k, words) + "the keys here are " + strings.Join(words, ", ")}
		}
		at = next
	}
	return &fault{fmt.Sprintf("line %d: %s is no key", line, strings.Join(key, ".")), "compare it with a built-in recipe"}
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

// fieldOf is what a key of a table holds; a list is seen through to its items.
func fieldOf(t reflect.Type, key string) (reflect.Type, bool) {
	switch t.Kind() {
	case reflect.Map:
		return t.Elem(), true
	case reflect.Struct:
		for i := range t.NumField() {
			if t.Field(i).Tag.Get("toml") == key {
				f := t.Field(i).Type
				if f.Kind() == reflect.Slice {
					f = f.Elem()
				}
				return f, true
			}
		}
	}
	return nil, false
}
