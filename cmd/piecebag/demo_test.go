package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// demoOf runs the demo on one small photo.
func demoOf(t *testing.T, dir string, asJSON bool) (stdout, stderr string, code int) {
	t.Helper()
	photos := fstest.MapFS{"table.jpg": &fstest.MapFile{Data: pictures()["table.jpg"]}}
	var out, errs bytes.Buffer
	l := &line{streams: streams{out: &out, err: &errs}, json: asJSON}
	code = l.finish(l.demo(context.Background(), photos, dir))
	return out.String(), errs.String(), code
}

// Running the demo again replaces every report of the last and adds nothing; a
// system that puts a hidden file into the folder is no stranger.
func TestDemoRunsAgain(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "demo")
	first, _, code := demoOf(t, dir, false)
	require.Equal(t, exitFine, code)
	require.Contains(t, first, "\n  In all 6 pieces of 6 prints.\n")
	require.Contains(t, first, "\nOpen these in "+dir+"\n")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	before := map[string]os.FileInfo{}
	for _, e := range entries {
		if before[e.Name()], err = e.Info(); e.IsDir() {
			delete(before, e.Name())
		}
		require.NoError(t, err)
	}
	require.Len(t, before, 10)
	require.NoError(t, os.WriteFile(filepath.Join(dir, ".DS_Store"), nil, 0o644))

	again, errs, code := demoOf(t, dir, false)
	require.Equal(t, exitFine, code, errs)
	require.Equal(t, first, again)
	for name, info := range before {
		now, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		require.False(t, os.SameFile(info, now), "%s was not written anew", name)
	}
	entries, err = os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 13, "photos, the stash, the ten outputs and the hidden file")
}

// In JSON the place of the report is a message, not part of the answer.
func TestDemoInJSON(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	out, errs, code := demoOf(t, dir, true)
	require.Equal(t, exitFine, code)
	written, err := os.ReadFile(filepath.Join(dir, "pieces.json"))
	require.NoError(t, err)
	require.Equal(t, string(written), out)
	require.Equal(t, "piecebag: note: the report is "+filepath.Join(dir, "report.html")+"\n", errs)
}

// A folder of the user's own is left alone, and so is a photo of theirs in it that
// bears the name of a sample.
func TestDemoTouchesNothingElse(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o644))
	out, errs, code := demoOf(t, dir, false)
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Equal(t, "piecebag: error: "+dir+": the folder holds mine.txt, which is not the demo's\npiecebag: hint: choose a new folder with --dir\n", errs)
	require.NoFileExists(t, filepath.Join(dir, "report.html"))

	dir = t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "photos"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "photos", "theirs.jpg"), nil, 0o644))
	_, _, code = demoOf(t, dir, false)
	require.Equal(t, exitFailed, code)

	// What bears the name of a report, or of a sample, may be somebody's own too.
	for name, data := range map[string][]byte{
		"report.html": []byte("<html>my own</html>"), "plan.pdf": []byte("%PDF-1.7 my own"), "pieces.png": []byte("\x89PNG my own"),
		"pieces.csv": []byte("a,b\n"), "pieces.json": []byte("{}"), "photos/table.jpg": pictures()["board.jpg"],
	} {
		dir := t.TempDir()
		mine := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(mine), 0o755))
		require.NoError(t, os.WriteFile(mine, data, 0o644))
		_, errs, code := demoOf(t, dir, false)
		require.Equal(t, exitFailed, code, name)
		require.Contains(t, errs, "piecebag: error: "+mine+": it is there already, and ")
		require.Contains(t, errs, "piecebag: hint: choose a new folder with --dir\n")
		require.NoDirExists(t, filepath.Join(dir, demoLedger), "it is known before the work")
		left, err := os.ReadFile(mine)
		require.NoError(t, err)
		require.Equal(t, data, left)
	}

	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	_, errs, code = demoOf(t, file, false)
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "piecebag: hint: choose another with --dir\n")
}
