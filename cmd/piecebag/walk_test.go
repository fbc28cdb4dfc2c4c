package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/testtable"
)

// The commands of a file are given one after another on one stash, and what each says is
// kept: its exit code, the answer, and after > the messages. Of an answer longer than a
// screen its head is, since package report keeps the whole of it.
func TestCommandsAreKept(t *testing.T) {
	steps, err := os.ReadFile("../../testdata/commands/walk.txt")
	require.NoError(t, err)
	held, err := os.ReadFile("../../testdata/commands/walk.json")
	require.NoError(t, err)
	file, err := filepath.Abs("../../testdata/commands/walked.txt")
	require.NoError(t, err)
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.WriteFile("held.json", held, 0o644))
	require.NoError(t, os.WriteFile("block.toml", []byte("name = \"b\"\nwidth = 4\ngrid = [2, 2]\n[[patch]]\nat = [[1, 1], [1, 2], [2, 1], [2, 2]]\nrole = \"any\"\n"), 0o644))
	require.NoError(t, os.WriteFile("text.jpg", []byte("no photo"), 0o644))
	var said strings.Builder
	for line := range strings.Lines(string(steps)) {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		var out, errs bytes.Buffer
		code := run(context.Background(), words(line), streams{out: &out, err: &errs, environ: []string{"PIECEBAG_STASH=" + filepath.Join(dir, "stash"), "COLUMNS=100"}})
		fmt.Fprintf(&said, "\n$ piecebag %s\n%d\n%s", line, code, head(out.String()))
		for message := range strings.Lines(errs.String()) {
			said.WriteString("> " + message)
		}
	}
	got := ofTheMoment.ReplaceAllString(strings.ReplaceAll(said.String(), dir, "DIR"), "…")
	if *testtable.Update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err, "run the test with -update once")
	require.Equal(t, string(want), got)
}

// ofTheMoment is what is another at every run or on every machine.
var ofTheMoment = regexp.MustCompile(`\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\dZ)?|\b\d+-[0-9a-f]{8}\b|go1\.[0-9.]+|\(devel\)`)

// words are those of a command, as a shell takes them: what stands in ' is one.
func words(line string) (out []string) {
	for _, m := range regexp.MustCompile(`(?:[^\s']|'[^']*')+`).FindAllString(line, -1) {
		out = append(out, strings.ReplaceAll(m, "'", ""))
	}
	return out
}

// head is an answer as far as it is kept.
func head(answer string) string {
	const mostLines, mostLetters = 14, 600
	lines := strings.SplitAfter(answer, "\n")
	if n := len(lines) - 1 - mostLines; n > 0 {
		lines = append(lines[:mostLines], fmt.Sprintf("… and %d lines more\n", n))
	}
	for i, l := range lines {
		if r := []rune(l); len(r) > mostLetters {
			lines[i] = string(r[:mostLetters]) + "…\n"
		}
	}
	return strings.Join(lines, "")
}
