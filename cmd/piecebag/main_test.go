package main

import (
	"errors"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"piecebag": main})
}

// TestScripts runs testdata/*.txtar, one a subject. In a script's folder lie
// the pictures of pictures_test.go, $CORRUPT names the set of spoilt ones, $HEIC that
// of HEIC pictures and $SAMPLES that of the demo, and besides testscript's own commands there are
//
//	exits CODE piecebag …  to run it and hold it to an exit code
//	holds FOLDER NAME…     to say all that is in a folder, hidden names too, but for
//	                       the pictures that lie in every script's folder
//	[root]                 is true where every file may be read
//	[race]                 is true under the race detector
//	sized FILE.png LEAST   to say that a picture is a PNG of so many pixels each way
func TestScripts(t *testing.T) {
	corrupt, err := filepath.Abs(filepath.Join("..", "..", "testdata", "corrupt"))
	if err != nil {
		t.Fatal(err)
	}
	heic, err := filepath.Abs(filepath.Join("..", "..", "testdata", "heic"))
	if err != nil {
		t.Fatal(err)
	}
	samples, err := filepath.Abs(filepath.Join("..", "..", "samples"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("CORRUPT", corrupt)
			e.Setenv("HEIC", heic)
			e.Setenv("SAMPLES", samples)
			for name, data := range pictures() {
				if err := os.WriteFile(filepath.Join(e.WorkDir, name), data, 0o644); err != nil {
					return err
				}
			}
			return nil
		},
		Condition: func(name string) (bool, error) {
			switch name {
			case "root":
				return os.Geteuid() == 0, nil
			case "race":
				return raceDetector, nil
			}
			return false, fmt.Errorf("no condition %q", name)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "holds": holds, "sized": sized,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM [ARG…]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func holds(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: holds FOLDER [NAME…]")
	}
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	ofAll := func(name string) bool { return pictures()[name] != nil }
	got = slices.DeleteFunc(got, ofAll)
	want := slices.DeleteFunc(slices.Sorted(slices.Values(args[1:])), ofAll)
	if !slices.Equal(got, want) {
		ts.Fatalf("%s holds %v, want %v", args[0], got, want)
	}
}

func sized(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: sized FILE LEAST")
	}
	least, err := strconv.Atoi(args[1])
	ts.Check(err)
	f, err := os.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	m, err := png.Decode(f)
	ts.Check(err)
	if s := m.Bounds().Size(); s.X < least || s.Y < least {
		ts.Fatalf("%s is %v, want at least %d each way", args[0], s, least)
	}
}
