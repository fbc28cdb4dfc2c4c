package main

import (
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

// shellWords parts a command line as a shell does, up to a redirection or a comment.
func shellWords(line string) (words []string) {
	for _, m := range regexp.MustCompile(`(?:'[^']*'|"[^"]*"|[^\s'"])+`).FindAllString(line, -1) {
		if m == ">" || m == "#" || m == "|" {
			break
		}
		words = append(words, strings.NewReplacer("'", "", `"`, "").Replace(m))
	}
	return words
}

// parseExample holds a command line to the commands and flags that there are; whole is
// that its words are all there, and not only its flags.
func parseExample(t *testing.T, line string, whole bool) {
	t.Helper()
	root := newRoot(streams{})
	args := joinMeasures(root, shellWords(line))
	cmd, rest, err := root.Find(args)
	require.NoError(t, err, line)
	require.NotEqual(t, root, cmd, line)
	if err := cmd.ParseFlags(rest); !errors.Is(err, pflag.ErrHelp) {
		require.NoError(t, err, line)
	}
	if whole {
		require.NoError(t, cmd.ValidateArgs(cmd.Flags().Args()), line)
	}
	if cmd.PreRunE != nil {
		require.NoError(t, cmd.PreRunE(cmd, nil), line)
	}
}

// What help and the README show can be written so: each command, its flags and their
// values are read as they would be.
func TestExamplesCanBeWritten(t *testing.T) {
	seen := 0
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		for line := range strings.Lines(cmd.Example) {
			line, ok := strings.CutPrefix(strings.TrimSpace(line), "piecebag ")
			require.True(t, ok, "%s: %s", cmd.CommandPath(), line)
			parseExample(t, line, true)
			seen++
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	root := newRoot(streams{})
	walk(root)
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	for _, m := range regexp.MustCompile(`(?m)^ +(?:\$ )?(?:piecebag|go run \./cmd/piecebag) (\w.*)$`).FindAllStringSubmatch(string(readme), -1) {
		parseExample(t, m[1], true)
		seen++
	}
	for _, m := range regexp.MustCompile("`(?:piecebag )?([a-z]+ [^`]+|[a-z]+)`").FindAllStringSubmatch(string(readme), -1) {
		if cmd, _, err := root.Find(shellWords(m[1])); err == nil && cmd != root {
			parseExample(t, m[1], false)
			seen++
		}
	}
	require.Greater(t, seen, 90)
}
