package photo

import (
	"os"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// likeAnyone has the rest of a test reach files as a user who may not read all of them:
// root gives up its rights to files for this thread.
func likeAnyone(t *testing.T) {
	t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	const nobody = 65534
	runtime.LockOSThread() // never unlocked: the thread ends with the test
	require.NoError(t, syscall.Setfsuid(nobody))
	t.Cleanup(func() { require.NoError(t, syscall.Setfsuid(0)) })
}
