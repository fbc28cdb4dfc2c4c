package stash

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
	"piecebag/internal/stash/stashtest"
)

func version1(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	script, err := os.ReadFile("testdata/version1.sql")
	require.NoError(t, err)
	db, err := connect(filepath.Join(dir, LedgerName), false)
	require.NoError(t, err)
	_, err = db.ExecContext(ctx, string(script))
	require.NoError(t, err)
	require.NoError(t, db.Close())
	return dir
}

func TestAnOlderLedgerIsMigratedAfterACopy(t *testing.T) {
	dir := version1(t)
	s := open(t, dir)
	counts, err := s.Counts(ctx)
	require.NoError(t, err)
	require.Equal(t, []shelf.Count{
		{Alike: shelf.Alike{Family: cloth.Blue, Value: cloth.Dark}, Cut: shelf.Square(5), Count: 12},
		{Alike: shelf.Alike{Family: cloth.Purple, Value: cloth.MediumDark}, Cut: shelf.Square(2.5), Count: 1, Prints: 1},
	}, counts)
	v, err := s.Settings(ctx)
	require.NoError(t, err)
	require.Equal(t, 140.5, v.GSM)
	healthy(t, s)

	// What was done before can still be undone, as far as it could be.
	for _, left := range []int{1, 2} {
		_, err := s.Undo(ctx)
		require.NoError(t, err)
		n := 0
		for _, h := range holdings(t, s, Filter{}) {
			n += h.Count
		}
		require.Equal(t, left, n)
		healthy(t, s)
	}
	_, err = s.Undo(ctx)
	require.ErrorIs(t, err, ErrUnknown)

	copies, err := filepath.Glob(filepath.Join(dir, "ledger-version-1-*.db"))
	require.NoError(t, err)
	require.Len(t, copies, 1)
	db, err := dial(copies[0], 1, asItIs)
	require.NoError(t, err)
	defer db.Close()
	var old, n int
	require.NoError(t, db.QueryRow(`SELECT user_version, (SELECT sum(count) FROM holding) FROM pragma_user_version`).Scan(&old, &n))
	require.Equal(t, 1, old)
	require.Equal(t, 13, n)
}

// An older ledger was once refused by commands that only look.
func TestAnOlderLedgerIsReadAndNotChanged(t *testing.T) {
	dir := version1(t)
	before, err := os.ReadFile(filepath.Join(dir, LedgerName))
	require.NoError(t, err)
	for range 2 { // two copies at once are two
		s, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
		require.NoError(t, err)
		defer s.Close()
		require.False(t, s.Replaced())
		counts, err := s.Counts(ctx)
		require.NoError(t, err)
		require.Equal(t, []int{12, 1, 1}, []int{counts[0].Count, counts[1].Count, counts[1].Prints})
		require.Len(t, holdings(t, s, Filter{}), 2)
		content(t, s)
		h, err := s.Check(ctx)
		require.NoError(t, err)
		require.Empty(t, h.Faults)
		require.Equal(t, []string{"basket.jpg"}, h.NotKept)
		_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
		require.ErrorIs(t, err, ErrReadOnly)
	}
	after, err := os.ReadFile(filepath.Join(dir, LedgerName))
	require.NoError(t, err)
	require.Equal(t, before, after)
	copies, err := filepath.Glob(filepath.Join(dir, "ledger-version-1-*.db"))
	require.NoError(t, err)
	require.Empty(t, copies)
}

// A migration that fails half way leaves the old ledger.
func TestAMigrationThatFailsChangesNothing(t *testing.T) {
	dir := version1(t)
	db, err := connect(filepath.Join(dir, LedgerName), false)
	require.NoError(t, err)
	_, err = db.ExecContext(ctx, `CREATE TABLE plan (in_the_way)`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	_, err = Open(dir, Options{Now: stashtest.Clock()})
	require.ErrorContains(t, err, "table plan already exists")
	db, err = connect(filepath.Join(dir, LedgerName), false)
	require.NoError(t, err)
	defer db.Close()
	var v, tally int
	require.NoError(t, db.QueryRow(`SELECT user_version, (SELECT count(*) FROM sqlite_schema WHERE name = 'tally') FROM pragma_user_version`).Scan(&v, &tally))
	require.Equal(t, [2]int{1, 0}, [2]int{v, tally})
}

// An old ledger brought up to date is the same as a new one, to the table.
func TestMigratedIsMade(t *testing.T) {
	space := regexp.MustCompile(`(--[^\n]*)?\s+`)
	gap := regexp.MustCompile(`\s*([,)])\s*`) // ADD COLUMN writes it elsewhere
	shape := func(dir string) []string {
		s := open(t, dir)
		defer s.Close()
		all, err := rowsOf(ctx, s.r, itself[string], `SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name`)
		require.NoError(t, err)
		for i := range all {
			all[i] = strings.TrimSpace(space.ReplaceAllString(all[i], " "))
			all[i] = gap.ReplaceAllString(all[i], "$1")
		}
		return all
	}
	require.Equal(t, shape(t.TempDir()), shape(version1(t)))
}

// Cloth weighed before its weight was kept has the weight of its area, by what
// your cloth weighed then.
func TestWeighedClothOfAnOlderLedgerHasItsWeight(t *testing.T) {
	dir := version1(t)
	db, err := connect(filepath.Join(dir, LedgerName), false)
	require.NoError(t, err)
	_, err = db.ExecContext(ctx, `INSERT INTO holding (form, count, width_in, length_in, cut_width_in, cut_length_in, area_in2, family, value, bin, basket, measured,
		mean_r, mean_g, mean_b, reads_r, reads_g, reads_b, colours, lightness, motif_in, piece, outline, trust)
		VALUES ('weighed', 1, 0, 0, 0, 0, ?, 'brown', '', '', '', 0, 0, 0, 0, 0, 0, 0, '[]', 0, 0, 0, '[]', 1)`, Settings{GSM: 140.5}.AreaIn2(300))
	require.NoError(t, err)
	require.NoError(t, db.Close())
	s := open(t, dir)
	require.InDelta(t, 300, holdings(t, s, Filter{Form: cloth.Weighed})[0].Grams, 1e-9)
	healthy(t, s)
	_, err = s.Undo(ctx) // of the last change before: the migration is none of yours
	require.NoError(t, err)
	require.InDelta(t, 300, holdings(t, s, Filter{Form: cloth.Weighed})[0].Grams, 1e-9)
}
