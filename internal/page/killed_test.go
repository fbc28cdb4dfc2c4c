package page

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/color"
	"io"
	"maps"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/geom"
	"piecebag/internal/stash"
	"piecebag/internal/stash/stashtest"
)

// serveHere is the variable of the environment that has this program serve a stash and
// test nothing, to be killed.
const serveHere = "PIECEBAG_TEST_SERVES"

// serveForTests serves the stash in a folder, and writes where.
func serveForTests(dir string) {
	l, err := net.Listen("tcp", ownHost+":0")
	if err != nil {
		panic(err)
	}
	s, err := New(desk.New(dir, desk.Options{Now: time.Now}))
	if err != nil {
		panic(err)
	}
	address, err := s.Announce(l.Addr())
	if err != nil {
		panic(err)
	}
	fmt.Println(address)
	panic(s.Serve(context.Background(), l))
}

// A server that is killed while a photo comes in leaves the stash whole, and the next
// starts with nothing of the half photo.
func TestKilledInMidUpload(t *testing.T) {
	v := filled(t)
	v.enter()
	_, before, _ := v.get("/history")
	v.stop()
	v.stop = func() {}
	server := exec.Command(os.Args[0])
	server.Env = append(os.Environ(), serveHere+"="+v.stash)
	out, err := server.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, server.Start())
	lines := bufio.NewScanner(out)
	require.True(t, lines.Scan())
	address := lines.Text()
	_, err = New(desk.New(v.stash, desk.Options{Now: time.Now}))
	require.ErrorContains(t, err, "another piecebag serves this stash, at "+address)

	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	client := &http.Client{Jar: jar}
	a, err := client.Get(address)
	require.NoError(t, err)
	require.NoError(t, a.Body.Close())
	at := strings.TrimSuffix(a.Request.URL.String(), "/")
	photo := table(t)
	body, sending := io.Pipe()
	form := multipart.NewWriter(sending)
	sent := make(chan error)
	go func() {
		w, err := form.CreateFormFile("photo", "half.jpg")
		if err == nil {
			_, err = w.Write(photo[:len(photo)/2])
		}
		sent <- err
	}()
	answered := make(chan error)
	go func() {
		a, err := client.Post(at+"/look", form.FormDataContentType(), body)
		if err == nil {
			a.Body.Close()
		}
		answered <- err
	}()
	require.NoError(t, <-sent)
	require.Eventually(t, func() bool {
		found, err := filepath.Glob(filepath.Join(v.desk.Beside("waiting"), "*", "*", "half.jpg"))
		return err == nil && len(found) == 1
	}, time.Minute, 5*time.Millisecond, "the half is on the disk")
	require.NoError(t, server.Process.Kill())
	require.NoError(t, sending.Close())
	require.Error(t, <-answered)
	_ = server.Wait()

	v.restart()
	v.enter()
	code, page, _ := v.get("/")
	require.Equal(t, http.StatusOK, code)
	require.NotContains(t, page, "half.jpg")
	_, after, _ := v.get("/history")
	require.Equal(t, before, after)
	_, page, sentTo := v.send([]string{"whole.jpg"}, photo)
	require.Regexp(t, `^/look/`, sentTo)
	require.Contains(t, page, "whole.jpg")
}

// small is a photo, the smallest there is, of two pieces that nobody has to look for: what
// matters is where it is.
func small(t testing.TB, shade uint8) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, imaging.Encode(&b, imaging.New(64, 64, color.Gray{shade}), imaging.PNG))
	return b.Bytes()
}

// lookedAt makes what waits looked at.
func (s *Server) lookedAt() {
	for _, b := range s.waiting.all() {
		for _, p := range b.photos {
			p.seen, p.looked = true, desk.Looked{Hashes: [4]string{p.Name}, Sheet: cloth.Sheet{Kind: cloth.Spread, Width: 64, Height: 64}}
			for i := range 2 {
				x := float64(32 * i)
				p.looked.Sheet.Pieces = append(p.looked.Sheet.Pieces, cloth.Piece{
					ID: i + 1, Trust: 1, Family: cloth.Blue, Value: cloth.Dark, WidthIn: 2, LengthIn: 2, Cut: "2 square", Print: string(rune('a' + i)),
					Polygon: geom.Polygon{{X: x, Y: 0}, {X: x + 30, Y: 0}, {X: x + 30, Y: 30}, {X: x, Y: 30}},
				})
			}
		}
	}
}

// arrive has photos wait, of which it is said that the first piece is of a print.
func (s *Server) arrive(t testing.TB, print string, photos map[string][]byte) {
	t.Helper()
	in, err := s.waiting.begin()
	require.NoError(t, err)
	for _, name := range slices.Sorted(maps.Keys(photos)) {
		require.NoError(t, in.add(name, bytes.NewReader(photos[name])))
	}
	_, err = s.waiting.join(in, nil)
	require.NoError(t, err)
	require.NoError(t, s.waiting.show(in, mostBatches))
	in.mu.Unlock()
	s.lookedAt()
	for _, p := range in.photos {
		m := desk.Mend{}
		m.Say(stash.Correction{Print: &print}, false, p.looked.Sheet.Pieces[0].Polygon)
		p.Mends = []*desk.Mend{{}, &m}
	}
	require.NoError(t, in.keep())
}

// does is one press of a button.
func (s *Server) does(ctx context.Context, press string) (err error) {
	s.lookedAt()
	switch press {
	case "undo":
		_, _, err = s.takeBack(ctx)
	case "redo":
		_, _, err = s.doAgain(ctx)
	case "stow", "recount":
		for _, b := range s.waiting.all() {
			r := httptest.NewRequest("POST", "/", strings.NewReader(url.Values{"alike": {"1"}, "basket": {"chest"}, "recount": {strings.TrimPrefix(press, "stow")}}.Encode()))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			r.SetPathValue("batch", b.id)
			_, wrong := stow(s, r.WithContext(ctx))
			err = errors.Join(err, wrong)
		}
	}
	return err
}

// opened is a server of the stash in a folder.
func opened(dir string, before func(string)) (*Server, error) {
	return New(desk.New(dir, desk.Options{Now: time.Now, Before: before}))
}

// doomed presses a button of the page of a stash, and is killed meanwhile.
func doomed(before func(string), words []string) error {
	s, err := opened(words[1], before)
	if err != nil {
		return err
	}
	return errors.Join(s.does(context.Background(), words[0]), s.Close(), s.desk.Close())
}

// where says of a photo whether it waits, how often, how many pieces of it the stash counts,
// and which prints it was said to be of.
func (s *Server) where(t testing.TB, name string) string {
	t.Helper()
	waits, says := 0, ""
	for _, b := range s.waiting.all() {
		for i, p := range b.photos {
			if p.Name == name {
				require.FileExists(t, b.file(i))
				waits++
				says += *p.mend().Said[0].Print
			}
		}
		require.Len(t, b.now.Load().names, len(b.photos))
	}
	held, count := map[string]bool{}, 0
	all, err := s.desk.Photos(t.Context())
	require.NoError(t, err)
	for _, p := range all {
		if p.Name != name {
			continue
		}
		is, err := s.desk.Pieces(t.Context(), desk.PiecesRequest{Which: stash.Filter{Photo: p.Hash}})
		require.NoError(t, err)
		for _, h := range is.Held {
			count += h.Count
			held[h.Print] = h.Print == "dots" || h.Print == "stripes"
		}
	}
	maps.DeleteFunc(held, func(_ string, named bool) bool { return !named })
	return fmt.Sprintf("waits %d %s, counts %d %s", waits, says, count, slices.Sorted(maps.Keys(held)))
}

// A server that is killed at any step of a press of a button, or of the start after that,
// leaves every photo where it was before or where it is after, whole, when it starts again;
// and what was to be done can be done then, taken back, and done again.
func TestKilledWhilePhotosMove(t *testing.T) {
	const before, after, both = "waits 1 dots, counts 0 []", "waits 0 , counts 2 [dots]", "waits 1 stripes, counts 2 [dots]"
	const told = "waits 0 , counts 2 [stripes]"
	for _, c := range []struct {
		press  string
		first  []string // presses before
		states []string // of a photo, before and after
	}{
		{"stow", nil, []string{before, after}},
		{"undo", []string{"stow"}, []string{after, before}},
		{"recount", nil, []string{before, after}},
		{"undo", []string{"recount"}, []string{after, before}},
		{"stow", []string{"stow", "arrive"}, []string{both, told}},
		{"undo", []string{"stow", "arrive", "stow"}, []string{told, both}},
		{"redo", []string{"stow", "arrive", "stow", "undo"}, []string{both, told}},
		{"recount", []string{"stow", "arrive"}, []string{both, told}},
		{"undo", []string{"stow", "arrive", "recount"}, []string{told, both}},
		{"redo", []string{"stow", "arrive", "recount", "undo"}, []string{both, told}},
	} {
		t.Run(c.press+" after "+strings.Join(c.first, ", "), func(t *testing.T) {
			t.Parallel() // most of it is waiting for the disk
			photos := map[string][]byte{"one.png": small(t, 20), "two.png": small(t, 200)}
			from := t.TempDir()
			s, err := opened(filepath.Join(from, "stash"), nil)
			require.NoError(t, err)
			s.arrive(t, "dots", photos)
			for _, press := range c.first {
				if press == "arrive" {
					s.arrive(t, "stripes", photos)
				} else {
					require.NoError(t, s.does(t.Context(), press))
				}
			}
			for name := range photos {
				require.Equal(t, c.states[0], s.where(t, name))
			}
			require.NoError(t, errors.Join(s.Close(), s.desk.Close()))
			steps := 0
			for n, done := 0, false; !done; n++ {
				top := filepath.Join(t.TempDir(), "top")
				require.NoError(t, os.CopyFS(top, os.DirFS(from)))
				dir := filepath.Join(top, "stash")
				done = stashtest.KilledAt(t, n, c.press, dir)
				for k, up := 0, false; !up && k < 3; k++ { // the start after that is killed too
					up = stashtest.KilledAt(t, k, "start", dir)
				}
				s, err := opened(dir, nil)
				require.NoError(t, err)
				left := 0
				for name := range photos {
					is := s.where(t, name)
					require.Contains(t, c.states, is, "%s, killed at step %d", name, n)
					if is == c.states[0] {
						left++
					}
				}
				if left > 0 { // what is left of it is done
					require.NoError(t, s.does(t.Context(), c.press))
				}
				for name := range photos {
					is := s.where(t, name)
					require.Equal(t, c.states[1], is, "%s, killed at step %d and gone on with", name, n)
				}
				require.NoError(t, errors.Join(s.Close(), s.desk.Close()))
				steps = n
			}
			require.Greater(t, steps, 8)
		})
	}
}
