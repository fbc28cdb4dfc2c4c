package page

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a killed process left among temporary files goes at the next start; what another
// that runs has there stays, and so does what is not ours.
func TestWhatKilledProcessesLeftGoes(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	ended := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, ended.Run())
	folder := func(name string) string {
		t.Helper()
		dir := filepath.Join(tmp, name)
		require.NoError(t, os.MkdirAll(filepath.Join(dir, "stash", "photos"), 0o700))
		return dir
	}
	left := folder(fmt.Sprintf("piecebag-play-%d-123", ended.Process.Pid))
	sent := folder(fmt.Sprintf("piecebag-sent-%d-123", ended.Process.Pid))
	parent := folder(fmt.Sprintf("piecebag-play-%d-123", os.Getppid()))
	other := folder(fmt.Sprintf("quilts-%d-123", ended.Process.Pid))
	file := filepath.Join(tmp, fmt.Sprintf("piecebag-sent-%d-456", ended.Process.Pid))
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	own, err := passing("play")
	require.NoError(t, err)
	visit(t)
	require.NoDirExists(t, left)
	require.NoDirExists(t, sent)
	require.FileExists(t, file)
	for _, dir := range []string{parent, other, own} {
		require.DirExists(t, dir)
	}
}
