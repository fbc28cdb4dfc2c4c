package main

import (
	"bytes"
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
)

// nasty is a name that a terminal would obey: it would turn red by ESC and by
// U+009B, ring, and write backwards.
const nasty = "a\x1b[31mb\u009b32mc\u0007\u202ed\u007fe\u2028f"

// obeyed is the first character of a text that a terminal or a page would obey.
func obeyed(text []byte) string {
	for i, r := range string(text) {
		if cloth.Unprintable(r) && !strings.ContainsRune("\n\r\t", r) {
			return string(text[max(0, i-40):i]) + " | " + string(r)
		}
	}
	return ""
}

// nastyStash is a stash all of whose names are nasty, as an older version or
// another program may have left it.
func nastyStash(t *testing.T, dir string) {
	photo := filepath.Join(t.TempDir(), "table.png")
	require.NoError(t, os.WriteFile(photo, pictures()["table.png"], 0o644))
	for _, args := range [][]string{
		{"stow", photo, "--basket", "blues"},
		{"add", "40", "--family", "red", "--value", "dark", "--cut", "2½", "--print", "roses", "--bin", "mine", "--basket", "blues"},
		{"add", "9", "strip", "2½", "x", "18", "--family", "green"},
		{"teach", "piece", "mine", "1"},
		{"floor", "set", "60", "--bin", "mine"},
		{"plan", "reading-corner", "--layout", "1x1", "--save", "winter"},
	} {
		var errs bytes.Buffer
		require.Equal(t, exitFine, run(context.Background(), append([]string{"--stash", dir}, args...), streams{out: &errs, err: &errs}), errs.String())
	}
	db, err := sql.Open("sqlite", filepath.Join(dir, "ledger.db"))
	require.NoError(t, err)
	for _, table := range []string{"holding.basket", "holding.bin", "print.name", "photo.name", "photo.basket", "taught.bin", "floor.bin", "plan.name", "change.what"} {
		table, column, _ := strings.Cut(table, ".")
		_, err := db.Exec("UPDATE "+table+" SET "+column+" = ? || CASE WHEN ? = 'change' OR ? = 'print' THEN id ELSE '' END WHERE "+column+" <> ''", nasty, table, table)
		require.NoError(t, err, table)
	}
	require.NoError(t, db.Close())
}

// Whatever a name holds, no command gives it to a terminal, a page or a table to
// be obeyed: a photo's name once turned the terminal red.
func TestNoNameIsObeyed(t *testing.T) {
	if runtime.GOOS == "windows" || raceDetector {
		t.Skip("no file is named so there; it looks at a photo several times")
	}
	dir := t.TempDir()
	held := filepath.Join(dir, "stash")
	nastyStash(t, held)
	out := func(name string) string { return filepath.Join(dir, name) }
	photo, recipe, list := out(nasty+".png"), out(nasty+".toml"), out(nasty+".csv")
	require.NoError(t, os.WriteFile(photo, pictures()["table.png"], 0o644))
	require.NoError(t, os.WriteFile(recipe, []byte("name = \"x\u009b31m\\u001b[31m\"\nabout = \"y\u009by\"\nwidth = 4\ngrid = [1, 1]\n[roles]\n\"q\\u009bq\" = \"dark\"\n[[patch]]\nat = [[1, 1]]\nrole = \"q\\u009bq\"\n"), 0o644))
	require.NoError(t, os.WriteFile(list, []byte("count,colour,"+nasty+"\n3,red,1\n"), 0o644))
	fresh := 0
	for _, args := range [][]string{
		{"look", photo, "--html", out("look.html")}, {"look", photo, "--csv"}, {"look", photo, "--json"},
		{"look", nasty + ".jpg", photo},
		{"--stash", "NEW", "stow", photo, "--basket", nasty}, {"--stash", "NEW", "stow", photo, "--json"},
		{"recount", photo, "--basket", nasty + "x", "--new"}, {"recount", photo, "--basket", "other"},
		{"--stash", "NEW", "import", list}, {"--stash", "NEW", "import", photo}, {"import", list, "--json"}, {"import", list},
		{"--stash", "NEW", "add", "3", "--cut", "2½", "--print", nasty, "--bin", nasty, "--basket", nasty},
		{"add", "3", "--cut", nasty}, {"add", nasty}, {nasty}, {"look", "--" + nasty}, {"shelf", "--family", nasty},
		{"shelf", "--html", out("shelf.html"), "--since", "2020-01-01"}, {"shelf", "--csv"}, {"shelf", "--json"}, {"shelf", "--basket", nasty},
		{"shelf", "--pieces", "--html", out("pieces.html")}, {"shelf", "--pieces", "--json"},
		{"floor", "list"}, {"floor", "list", "--json"}, {"teach", "list"}, {"teach", "list", "--json"}, {"teach", "sort"},
		{"teach", "forget", nasty + "z"}, {"fix", "1", "--bin", nasty + "y"}, {"fix", "1", "--print", nasty + "y", "--json"},
		{"history"}, {"history", "--json"}, {"check"}, {"check", "--json"}, {"export"}, {"export", "--csv"},
		{"export", out("exp.json")}, {"export", "--csv", out("exp.csv")}, {"backup", out(nasty + ".backup")},
		{"card", "--paper", "a4", "-o", out(nasty + ".pdf")},
		{"recipe", "show", recipe, "--html", out("recipe.html"), "--svg", out("recipe.svg")}, {"recipe", "show", recipe, "--json"},
		{"recipe", "show", recipe, "--text"}, {"recipe", "check", recipe}, {"recipe", "check", nasty + ".toml"},
		{"plan", recipe, "--blocks", "2", "--html", out("plan.html"), "--why"}, {"plan", recipe, "--blocks", "2", "--json"},
		{"plan", recipe, "--blocks", "2", "--save", nasty}, {"plan", "ohio-star", "--blocks", "2", "--background", nasty + "1"},
		{"plan", "--forget", nasty + "0"}, {"refill", "--html", out("refill.html")}, {"refill", "--json"},
		{"buy", "--html", out("buy.html")}, {"buy", "--json"}, {"leftovers", "11x42", "--html", out("left.html")},
		{"contrast", "--html", out("contrast.html")}, {"contrast", "--json"}, {"contrast", photo, "--background", "#fff"}, {"contrast", "--background", nasty},
		{"name", nasty}, {"undo"}, {"undo", "--json"}, {"restore", out(nasty + ".backup")},
	} {
		if args[0] == "--stash" {
			fresh++
			args[1] = out("new" + string(rune('a'+fresh)))
		} else {
			args = append([]string{"--stash", held}, args...)
		}
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), args, streams{out: &stdout, err: &stderr})
		t.Logf("%q: %d", args, code)
		assert.Empty(t, obeyed(stdout.Bytes()), "the answer of %q", args)
		assert.Empty(t, obeyed(stderr.Bytes()), "the messages of %q", args)
		assert.NotContains(t, stderr.String(), "this is a fault of piecebag", "%q", args)
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	seen := 0
	for _, e := range entries {
		if ext := filepath.Ext(e.Name()); strings.Contains(e.Name(), nasty) || ext != ".html" && ext != ".svg" && ext != ".csv" && ext != ".json" {
			continue
		}
		seen++
		data, err := os.ReadFile(out(e.Name()))
		require.NoError(t, err)
		require.True(t, utf8.Valid(data))
		assert.Empty(t, obeyed(data), e.Name())
	}
	require.Equal(t, 12, seen)
}
