package stash

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/stash/stashtest"
)

func TestMain(m *testing.M) {
	stashtest.Main(m, func(before func(string), words []string) error {
		do, dir := words[0], words[1]
		if do == keepsChanging {
			return child(dir, words[2], words[3], os.Stdout)
		}
		return doomed(do, dir, words[2], before)
	})
}

// keepsChanging has a child change a stash until it is killed, or for so many changes, and
// say each once it is done.
const keepsChanging = "keep changing"

// perPhoto is how many pieces each of the child's photos holds.
const perPhoto = 7

// child's baskets are named by seed and turn, so that each report can be looked
// up on its own: "stow x" means that basket x holds perPhoto pieces, "add x" four
// in one row, "use x" that only one of the four is left, "undo x" none.
func child(dir, seed, most string, report io.Writer) error {
	s, err := Open(dir, Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer s.Close()
	n, err := strconv.Atoi(most)
	if err != nil {
		return err
	}
	for i := 0; n == 0 || i < n; i++ {
		tag := fmt.Sprintf("%s-%d", seed, i)
		h := byHand(4, cloth.Blue, cloth.Dark, 2.5)
		h.Basket = tag
		switch i % 4 {
		case 0:
			p := photo(tag+".jpg", squares(perPhoto)...)
			p.Bytes = []byte(strings.Repeat(tag, 5000))
			p.Basket = tag
			if _, err := s.Stow(ctx, p); err != nil {
				return err
			}
			fmt.Fprintln(report, "stow", tag)
		default:
			if _, err := s.Add(ctx, h); err != nil {
				return err
			}
			fmt.Fprintln(report, "add", tag)
			if i%4 == 2 {
				if _, err := s.Use(ctx, Removal{Filter: Filter{Basket: tag}, Count: 3}); err != nil {
					return err
				}
				fmt.Fprintln(report, "use", tag)
			}
			if i%4 == 3 && n == 0 { // where it is alone, the last change is its own
				if _, err := s.Undo(ctx); err != nil {
					return err
				}
				fmt.Fprintln(report, "undo", tag)
			}
		}
	}
	return nil
}

func startChild(t *testing.T, dir, seed string, most int) (*exec.Cmd, *bufio.Reader) {
	t.Helper()
	cmd := stashtest.Command(stashtest.Never, keepsChanging, dir, seed, strconv.Itoa(most))
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	cmd.Stderr = os.Stderr
	require.NoError(t, cmd.Start())
	return cmd, bufio.NewReader(out)
}

// Killed at any moment, the ledger holds every change that was reported done,
// and none half.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 15
	}
	dir := t.TempDir()
	rng := rand.New(rand.NewPCG(4, 200))
	last := map[string]string{} // what was reported last of each basket
	under := 0
	for k := range kills {
		cmd, out := startChild(t, dir, fmt.Sprint(k), 0)
		// After so many reports, and then after so long: anywhere in a change, or
		// in opening.
		reports := rng.IntN(8)
		var lines []string
		for range reports {
			line, err := out.ReadString('\n')
			require.NoError(t, err)
			lines = append(lines, line)
		}
		time.Sleep(time.Duration(rng.IntN(6000)) * time.Microsecond)
		require.NoError(t, cmd.Process.Kill())
		rest, err := io.ReadAll(out)
		require.NoError(t, err)
		_ = cmd.Wait()
		for _, line := range strings.Split(strings.Join(lines, "")+string(rest), "\n") {
			if verb, tag, ok := strings.Cut(line, " "); ok {
				last[tag] = verb
			}
		}
		s, err := Open(dir, Options{Now: stashtest.Clock()})
		require.NoError(t, err)
		under += checkReports(t, s, fmt.Sprint(k), last)
		require.NoError(t, s.Close())
	}
	s := open(t, dir)
	h, err := s.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, h.Faults)
	for _, name := range h.Leftover { // one that is not whole, and may be under way
		require.True(t, strings.HasPrefix(name, partPrefix), name)
	}
	for _, tag := range sortedKeys(last) {
		checkBasket(t, s, tag, last[tag])
	}
	t.Logf("%d kills, %d baskets reported, %d changes done and not yet reported", kills, len(last), under)
}

// checkReports checks what one child did, and counts what it had done and not
// yet said.
func checkReports(t *testing.T, s *Stash, seed string, last map[string]string) (unsaid int) {
	t.Helper()
	found, err := integrity(ctx, s.r)
	require.NoError(t, err)
	require.Empty(t, found)
	wrong, err := countsWrong(ctx, s.r)
	require.NoError(t, err)
	require.False(t, wrong)
	seen := map[string]bool{}
	for _, h := range holdings(t, s, Filter{}) {
		if strings.HasPrefix(h.Basket, seed+"-") {
			seen[h.Basket] = true
		}
	}
	for _, tag := range sortedKeys(last) {
		if strings.HasPrefix(tag, seed+"-") {
			seen[tag] = true
		}
	}
	for _, tag := range sortedKeys(seen) {
		if last[tag] == "" {
			unsaid++
		}
		checkBasket(t, s, tag, last[tag])
	}
	return unsaid
}

// checkBasket checks that a basket is as it was reported, or as the one change
// after that left it.
func checkBasket(t *testing.T, s *Stash, tag, verb string) {
	t.Helper()
	n, photos := 0, map[string]bool{}
	for _, h := range holdings(t, s, Filter{Basket: tag}) {
		n += h.Count
		photos[h.Photo] = true
	}
	_, turn, _ := strings.Cut(tag, "-")
	i, err := strconv.Atoi(turn)
	require.NoError(t, err)
	after := map[string][]int{"": {4}, "add": {4}, "use": {1}, "undo": {0}, "stow": {perPhoto}}[verb]
	switch { // the next change may be done and not said
	case i%4 == 0:
		after = []int{perPhoto}
	case verb == "add" && i%4 == 2:
		after = []int{4, 1}
	case verb == "add" && i%4 == 3:
		after = []int{4, 0}
	case verb == "" && i%4 == 3:
		after = []int{4}
	}
	require.Contains(t, after, n, "basket %s, reported %q", tag, verb)
	require.LessOrEqual(t, len(photos), 1)
}

// Page and command at once wait for each other: two processes, and several
// goroutines of this one, and none fails with "locked".
func TestManyAtOnceWaitForEachOther(t *testing.T) {
	dir := t.TempDir()
	const each = 40
	children := make([]*exec.Cmd, 3)
	outs := make([]*bufio.Reader, len(children))
	for i := range children {
		children[i], outs[i] = startChild(t, dir, fmt.Sprint(i), each)
	}
	s := open(t, dir)
	var wg sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		wg.Go(func() {
			for k := range 10 {
				h := byHand(1, cloth.Red, cloth.Dark, 2.5)
				h.Basket = fmt.Sprintf("own %d %d", i, k)
				_, err := s.Add(ctx, h)
				_, err2 := s.Counts(ctx)
				errs[i] = errors.Join(errs[i], err, err2)
			}
		})
	}
	wg.Wait()
	require.NoError(t, errors.Join(errs...))
	for i, c := range children {
		_, err := io.ReadAll(outs[i])
		require.NoError(t, err)
		require.NoError(t, c.Wait())
	}
	past, err := s.History(ctx, 0)
	require.NoError(t, err)
	require.Len(t, past, len(children)*(each+each/4)+len(errs)*10)
	healthy(t, s)
}

// A full ledger refuses the change, says so, and is as it was.
func TestAFullLedgerKeepsTheOldState(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", squares(5)...))
	before := dump(t, s)
	// https://www.sqlite.org/pragma.html#pragma_max_page_count: SQLITE_FULL, as a
	// full disk gives it.
	_, err := s.w.ExecContext(ctx, `PRAGMA max_page_count = 1`)
	require.NoError(t, err)
	_, err = s.Stow(ctx, photo("b.jpg", squares(400)...))
	require.ErrorIs(t, err, ErrFull)
	require.ErrorContains(t, err, "the disk is full; nothing was changed")
	require.Equal(t, before, dump(t, s)) // the photo's file is gone too
	_, err = s.w.ExecContext(ctx, `PRAGMA max_page_count = 1000000`)
	require.NoError(t, err)
	require.Equal(t, 400, stow(t, s, photo("b.jpg", squares(400)...)).Added)
	healthy(t, s)
}

func TestAReplacedStashIsNotWrittenTo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "stash")
	s := open(t, dir)
	stow(t, s, photo("a.jpg", square(0)))
	from := filepath.Join(t.TempDir(), "from")
	closed(t, from)
	reader, err := Open(dir, Options{Now: stashtest.Clock(), ReadOnly: true})
	require.NoError(t, err)
	defer reader.Close()
	require.False(t, s.Replaced())
	require.False(t, reader.Replaced())
	_, err = putBack(dir, from)
	require.NoError(t, err)
	require.True(t, s.Replaced())
	require.True(t, reader.Replaced())
	_, err = s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.ErrorIs(t, err, ErrReplaced)
}

// What says why and how to mend it is not said again in other words.
func TestAFaultIsNotExplainedAgain(t *testing.T) {
	f := fault.New("a restore", "was cut short", "rename the folder", ErrReadOnly, fs.ErrNotExist)
	require.Same(t, f, Explain("the ledger", f))
}
