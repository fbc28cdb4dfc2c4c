package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var updateLicences = flag.Bool("update-licences", false, "write licences.txt anew")

// systems are those whose modules are listed; a test sees only those of its own.
var systems = []string{"darwin", "freebsd", "linux", "windows"}

// heldData is all data that the program embeds, each with the files it lies in, and
// what their heads say of them.
var heldData = []struct{ files, text string }{
	{"internal/colour/renotation.txt", `Munsell renotation data.
Source: Newhall, Nickerson and Judd, J. Opt. Soc. Am. 33 (1943), 385-418; Judd and
Wyszecki, J. Opt. Soc. Am. 46 (1956), 281-284; taken from the npm package munsell 1.1.6
(src/MRD.ts), copyright Hugo Sansaqua.
Licence: MPL-2.0, https://mozilla.org/MPL/2.0/. The file is in Piecebag's source.`},
	{"internal/family/charts.txt", `Hue families as charts in Munsell hue, value and chroma.
Source: our own, drawn where people change names in the colour survey of R. Munroe
(xkcd, 2010), which is not in the program. White, grey and black after Kelly and Judd,
NBS Special Publication 440 (1976).
Licence: MIT, as Piecebag.`},
	{"internal/eye/eye.weights", `Weights of the net that sees cloth.
Source: our own, trained on scenes that Piecebag made, with 109 photographs of prints
that are CC0 among their cloth; no photograph is in the program.
Licence: MIT, as Piecebag.`},
	{"internal/find/trust.json internal/find/join.json", `How likely an outline is right, and which parts are of one piece.
Source: our own, fitted by internal/eye/train on made scenes, on composites of CC0
photographs of prints, and on real photos that were labelled by hand.
Licence: MIT, as Piecebag.`},
	{"internal/palette/prints.json", `How much each kind of evidence for one print counts.
Source: our own, fitted by internal/palette/fit.py, which says on what.
Licence: MIT, as Piecebag.`},
	{"internal/recipe", `Quilt blocks, and the text on how one is written.
Source: traditional structures, which are public; written for Piecebag.
Licence: MIT, as Piecebag.`},
	{"samples", `Photos of the demo.
Source: renders made for Piecebag; see samples/SOURCES.md.
Licence: MIT, as Piecebag.`},
	{"internal/report/template internal/page internal/stash cmd/piecebag/licences.txt", `Templates, the forms of the page, the schema of the ledger, this list.
Source: written for Piecebag.
Licence: MIT, as Piecebag; the licences of others are theirs.`},
}

// linked is a package that the program is linked with.
type linked struct {
	ImportPath string
	EmbedFiles []string
	Standard   bool
	Module     *struct{ Path, Version, Dir string }
}

func linkedFor(t *testing.T, system string) (all []linked) {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,EmbedFiles,Standard,Module", ".")
	cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
	out, err := cmd.Output()
	require.NoError(t, err)
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p linked
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else {
			require.NoError(t, err)
		}
		all = append(all, p)
	}
}

// licenceNames tell a licence by words of its text: the first that has them all.
var licenceNames = []struct {
	name  string
	words []string
}{
	{"Apache-2.0", []string{"Apache License", "Version 2.0"}},
	{"LGPL-3.0", []string{"GNU LESSER GENERAL PUBLIC LICENSE"}},
	{"MIT", []string{"Permission is hereby granted, free of charge"}},
	{"BSD-3-Clause", []string{"Redistribution and use in source and binary forms", "Neither the name"}},
	{"BSD-3-Clause", []string{"Redistribution and use in source and binary forms", "names of its contributors"}},
	{"BSD-2-Clause", []string{"Redistribution and use in source and binary forms"}},
	{"ISC", []string{"Permission to use, copy, modify, and/or distribute"}},
	{"ISC", []string{"Permission to use, copy, modify, and distribute"}},
	{"public domain", []string{"ublic domain"}},
}

func licenceName(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	for _, l := range licenceNames {
		if !slices.ContainsFunc(l.words, func(w string) bool { return !strings.Contains(text, w) }) {
			return l.name
		}
	}
	return ""
}

var (
	licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|unlicense)`)
	blankEnd    = regexp.MustCompile(`[ \t\r]+\n`)
)

// sections are what others made and the program is linked with for a system, by their
// heads: module, version and the licence's name.
func sections(t *testing.T, system string) map[string]string {
	t.Helper()
	out := map[string]string{}
	add := func(head, dir string, files []string) {
		text := ""
		var names []string
		for _, f := range files {
			data, err := os.ReadFile(filepath.Join(dir, f))
			require.NoError(t, err)
			if name := licenceName(string(data)); name != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
			text += "-- " + f + " --\n" + blankEnd.ReplaceAllString(strings.TrimSpace(strings.ReplaceAll(string(data), "\r\n", "\n"))+"\n", "\n")
		}
		require.NotEmpty(t, names, "%s: no licence that is known", head)
		out[head+": "+strings.Join(names, ", ")] = text
	}
	for _, p := range linkedFor(t, system) {
		if p.Standard || p.Module == nil || p.Module.Version == "" || out[p.Module.Path] != "" {
			continue
		}
		out[p.Module.Path] = "seen"
		var files []string
		require.NoError(t, fs.WalkDir(os.DirFS(p.Module.Dir), ".", func(name string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && d.Name() == "testdata":
				return fs.SkipDir
			case !d.IsDir() && (licenceFile.MatchString(d.Name()) || name == "font/gofont/ttfs/README"):
				files = append(files, name)
			}
			return nil
		}))
		// That of the module itself first.
		slices.SortStableFunc(files, func(a, b string) int { return strings.Count(a, "/") - strings.Count(b, "/") })
		add(p.Module.Path+" "+p.Module.Version, p.Module.Dir, files)
	}
	maps.DeleteFunc(out, func(_, text string) bool { return text == "seen" })
	return out
}

const licencesHead = `What others made and this program holds, with its licence; then the licences in full.
Piecebag itself is under the MIT licence, copyright 2026 The Piecebag authors.
`

// The licences that the program prints are those of the modules it is linked with, in
// the versions it is linked with, and of all data that it embeds.
func TestLicencesOfAllThatIsLinked(t *testing.T) {
	if *updateLicences {
		writeLicences(t)
	}
	held := licences
	if *updateLicences {
		data, err := os.ReadFile("licences.txt")
		require.NoError(t, err)
		held = string(data)
	}
	linkedHere := sections(t, "")
	require.Greater(t, len(linkedHere), 20)
	for head, text := range linkedHere {
		require.Contains(t, held, "\n== "+head+" ==\n"+text, "%s; to make the list anew, run 'go generate ./cmd/piecebag'", head)
	}
	require.Contains(t, held, "\n== The Go standard library: BSD-3-Clause ==\n")
	mod, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	require.NoError(t, err)
	for _, head := range regexp.MustCompile(`(?m)^== (\S+ v\S+): .* ==$`).FindAllStringSubmatch(held, -1) {
		require.Contains(t, string(mod), "\t"+head[1], "a module that is no longer linked")
	}
	for _, p := range linkedFor(t, "") {
		dir, ours := strings.CutPrefix(p.ImportPath, "piecebag/")
		for _, f := range p.EmbedFiles {
			named := func(file string) bool {
				return slices.ContainsFunc(heldData, func(d struct{ files, text string }) bool {
					return slices.Contains(strings.Fields(d.files), file) && strings.Contains(held, "\n"+d.text+"\n")
				})
			}
			file := path.Join(dir, f)
			for ours && file != "." && !named(file) {
				file = path.Dir(file)
			}
			require.NotEqual(t, ".", file, "%s/%s is embedded and not on the list of data", dir, f)
		}
	}
}

func writeLicences(t *testing.T) {
	all := map[string]string{}
	for _, system := range systems {
		maps.Copy(all, sections(t, system))
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "LICENSE"))
	require.NoError(t, err)
	all["The Go standard library: BSD-3-Clause"] = "-- LICENSE --\n" + strings.TrimSpace(string(text)) + "\n"
	heads := slices.Sorted(maps.Keys(all))
	var b strings.Builder
	b.WriteString(licencesHead + "\nModules\n")
	for _, h := range heads {
		b.WriteString("  " + h + "\n")
	}
	b.WriteString("\nData\n")
	for _, d := range heldData {
		fmt.Fprintf(&b, "\n%s\n", d.text)
	}
	for _, h := range heads {
		fmt.Fprintf(&b, "\n== %s ==\n%s", h, all[h])
	}
	require.NoError(t, os.WriteFile("licences.txt", []byte(b.String()), 0o644))
}
