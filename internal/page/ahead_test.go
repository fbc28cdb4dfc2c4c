package page

import (
	"context"
	"net"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
	"piecebag/internal/report"
)

// ready tells whether every piece of the photos has its crop.
func (v *visitor) ready() bool { return !slices.Contains(v.cutOut(), false) }

// cutOut tells of each photo whether every piece of it has its crop.
func (v *visitor) cutOut() (out []bool) {
	p, err := v.server.desk.Pieces(v.t.Context(), desk.PiecesRequest{Outlines: true})
	require.NoError(v.t, err)
	require.NotEmpty(v.t, p.Photos)
	for _, photo := range p.Photos {
		out = append(out, v.server.cloth.known(photo, report.ChipSide, report.Crops{}).Pieces == nil)
	}
	return out
}

// What was stowed is cut out before anybody asks for it, also what a command stowed
// meanwhile; the work ends with the server.
func TestCropsAreCutAhead(t *testing.T) {
	v := stocked(t)
	require.False(t, v.ready())
	gone, stop := context.WithCancel(t.Context())
	stop()
	require.ErrorIs(t, v.server.cutAhead(gone, mostAhead), context.Canceled)
	require.False(t, v.ready(), "nothing is begun once the server ends")

	l, err := net.Listen("tcp", ownHost+":0")
	require.NoError(t, err)
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- v.server.Serve(ctx, l) }()
	require.Eventually(t, v.ready, time.Minute, 5*time.Millisecond)
	file := filepath.Join(t.TempDir(), "more.jpg")
	require.NoError(t, os.WriteFile(file, spread(t, 9), 0o600))
	_, err = v.server.desk.Stow(t.Context(), desk.StowRequest{Files: []string{file}})
	require.NoError(t, err)
	require.Eventually(t, v.ready, time.Minute, 5*time.Millisecond)
	end()
	require.ErrorIs(t, <-ended, context.Canceled)

	require.NoError(t, os.RemoveAll(v.server.cloth.folder))
	require.NoError(t, v.server.cutAhead(t.Context(), 1))
	require.Equal(t, []bool{false, true}, v.cutOut(), "those that came last, and no more")
}
