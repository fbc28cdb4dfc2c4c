package page

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"piecebag/internal/desk"
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
