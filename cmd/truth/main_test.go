package main

import (
	"bytes"
	"context"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"truth": main})
}

// TestScripts runs testdata/*.txtar. In a script's folder lies linen.png, a picture of
// plain cloth.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata", RequireExplicitExec: true, RequireUniqueNames: true,
		Setup: func(e *testscript.Env) error {
			cloth := imaging.New(240, 180, image.White)
			return imaging.Save(imaging.AdjustBrightness(cloth, -20), filepath.Join(e.WorkDir, "linen.png"))
		},
	})
}

func TestExitCodes(t *testing.T) {
	dir := t.TempDir()
	done, cancel := context.WithCancel(context.Background())
	cancel()
	for _, c := range []struct {
		ctx  context.Context
		code int
		args []string
	}{
		{context.Background(), 0, []string{"--help"}},
		{context.Background(), 1, []string{dir}},
		{context.Background(), 2, nil},
		{context.Background(), 2, []string{"sizes"}},
		{context.Background(), 2, []string{"make"}},
		{context.Background(), 2, []string{"make", dir, dir}},
		{context.Background(), 2, []string{"make", dir, "--per", "0"}},
		{context.Background(), 2, []string{"make", dir, "--long", "100"}},
		{context.Background(), 2, []string{"make", dir, "--nosuch"}},
		{done, 130, []string{"make", filepath.Join(dir, "set")}},
	} {
		var out, errs bytes.Buffer
		require.Equal(t, c.code, run(c.ctx, c.args, program{&out, &errs}), "%v: %s", c.args, errs.String())
		require.Equal(t, c.code == 1 || c.code == 2, errs.Len() > 0, "what is wrong is said, but not of an interrupt")
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, entries)
}
