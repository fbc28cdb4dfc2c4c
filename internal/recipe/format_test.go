package recipe

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is written for a person says all that a recipe can: no key, technique,
// setting or corner is left out of it.
func TestFormatSaysEveryWord(t *testing.T) {
	text := Format()
	var keys func(reflect.Type)
	keys = func(of reflect.Type) {
		switch of.Kind() {
		case reflect.Slice, reflect.Map:
			keys(of.Elem())
		case reflect.Struct:
			for i := range of.NumField() {
				word := of.Field(i).Tag.Get("toml")
				require.Regexp(t, `(^|[^a-z_-])`+word+`([^a-z_-]|$)`, format, "the key %s", word)
				keys(of.Field(i).Type)
			}
		}
	}
	keys(reflect.TypeFor[fileText]())
	words := append([]string{plainName, backgroundWord, anyWord}, cornerNames...)
	for _, m := range makes {
		words = append(words, string(m.make))
	}
	words = append(words, settingKinds...)
	for _, v := range tones {
		words = append(words, string(v))
	}
	for _, w := range words {
		require.Contains(t, format, w)
	}
	require.True(t, strings.HasSuffix(text, Example))
	for _, line := range strings.Split(text, "\n") {
		require.LessOrEqual(t, len(line), 84, line)
	}
}

// The fragments under the headings are as they are read.
func TestFormatIsTrue(t *testing.T) {
	r, err := Read("example", []byte(Example))
	require.NoError(t, err)
	require.Equal(t, "marsh gate", r.Name)
	require.Len(t, r.Blocks[0].Units, 4+4+4)
	require.True(t, r.Sashing.Cornerstones)
	head := "name = \"x\"\nwidth = 8\ngrid = [4, 4]\n"
	whole := "[[patch]]\nat = [[1, 1]]\nwide = 4\nhigh = 4\n"
	for _, s := range []string{
		whole + "[setting]\nkind = \"on-point\"\nalternate = \"plain\"\nfill = \"background\"\nturns = [[0, 90], [90, 0]]\nodd = true\n[sashing]\nwidth = 1\nrole = \"medium\"\ncornerstone = \"dark\"",
		whole + "[setting]\nkind = \"straight\"\n[sashing]\nwidth = \"3 cm\"\nedge = true\n[[border]]\nwidth = 3\nmitred = true\n[binding]\ncut = 2.5\n[backing]\nover = 4\nrole = \"any\"",
		whole + "[setting]\nkind = \"shifted\"",
		whole + "role = \"dark blue\"",
		whole + "make = \"half-rectangle\"\nlean = \"left\"\nroles = [\"light\", \"dark\"]",
		whole + "make = \"strip-set\"\nwidths = [1, 3, 1]\nroles = [\"light\", \"dark\", \"any\"]",
		whole + "make = \"strip-set\"\nsegments = [[\"dark\", \"light\"], [\"light\", \"dark\"]]\nsegment_widths = [1, 2]",
		whole + "make = \"flip-corners\"\nroles = [\"light\", \"dark\", \"medium\"]\ncorners = [\"top-left\", \"bottom-right\"]\ncorner = 1",
		"[[patch]]\nat = [[1, 1]]\nmake = \"log-cabin\"\nroles = [\"red\", \"light\", \"dark\"]\ncentre = 2\nlog = 1\nrounds = 1",
		strings.Replace(whole, "wide", "make = \"half-square\"\nat_a_time = 8\nroles = [\"light\", \"dark\"]\nwide", 1),
		strings.Replace(whole, "wide", "make = \"quarter-square\"\nroles = [\"light\", \"dark\", \"red\", \"any\"]\nwide", 1),
		"[[patch]]\nat = [[1, 1], [3, 1]]\nmake = \"flying-geese\"\nat_a_time = 4\nroles = [\"light\", \"dark\"]\nwide = 4\nhigh = 2",
		"[part.four]\ngrid = [2, 2]\n[[part.four.patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\n[[patch]]\nat = [[1, 1], [1, 3, 90], [3, 1], [3, 3]]\npart = \"four\"",
	} {
		_, err := Read("mine", []byte(head+s))
		require.NoError(t, err, s)
	}
}
