package page

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// caller is a phone at an address of this computer other than its own.
func (v *visitor) caller(host string) *visitor {
	v.t.Helper()
	l, err := net.Listen("tcp", host+":0")
	if err != nil {
		v.t.Skip("this system has no second address of its own: ", err)
	}
	v.server.LetPhonesIn(l.Addr())
	h := &http.Server{Handler: v.server.Handler(l.Addr())}
	go func() { _ = h.Serve(l) }()
	v.t.Cleanup(func() { require.NoError(v.t, h.Close()) })
	jar, err := cookiejar.New(nil)
	require.NoError(v.t, err)
	return &visitor{t: v.t, at: "http://" + l.Addr().String(), server: v.server, desk: v.desk, client: &http.Client{Jar: jar}}
}

// A phone comes in by the code, once, and by nothing else; no address holds a secret.
func TestAPhoneComesIn(t *testing.T) {
	v := visit(t)
	v.enter()
	_, page, _ := v.get("/phone")
	require.Contains(t, page, "piecebag serve --phone")
	require.Contains(t, page, "Phones are not let in now")
	code, _, _ := v.post("/phone")
	require.Equal(t, http.StatusBadRequest, code)
	code, _, _ = v.get("/pair")
	require.Equal(t, http.StatusForbidden, code, "who sits at the computer is not asked")

	phone := v.caller("127.0.0.2")
	_, page, _ = v.get("/phone")
	require.Contains(t, page, phone.at+"/pair")
	require.Contains(t, page, "not encrypted")
	said := regexp.MustCompile(`<b class="code">(\d{6})</b>`).FindStringSubmatch(page)
	require.NotNil(t, said)

	_, page, at := phone.get("/shelf")
	require.Equal(t, "/pair", at)
	require.NotContains(t, page, said[1])
	code, _, _ = phone.get("/enter?key=" + v.server.key)
	require.NotEqual(t, http.StatusOK, code, "the key is of the computer alone")
	code, _, at = phone.post("/pair", "code", said[1][:3]+" "+said[1][3:])
	require.Equal(t, http.StatusOK, code)
	require.Equal(t, "/", at)
	code, page, _ = phone.get("/phone")
	require.Equal(t, http.StatusOK, code)
	require.NotContains(t, page, "A new code")
	code, _, _ = phone.post("/phone")
	require.Equal(t, http.StatusBadRequest, code, "a phone lets nobody in")

	other := v.caller("127.0.0.3")
	code, _, _ = other.post("/pair", "code", said[1])
	require.Equal(t, http.StatusForbidden, code, "a code is for one phone")
	r, err := http.NewRequest("GET", phone.at+"/pair", nil)
	require.NoError(t, err)
	r.Host = "elsewhere.example"
	code, _, _ = phone.do(r)
	require.Equal(t, http.StatusMisdirectedRequest, code)

	told, err := phone.client.Get(phone.to("/events?of=/shelf"))
	require.NoError(t, err)
	defer told.Body.Close()
	_, page, _ = v.post("/phone", "do", "forget")
	require.Contains(t, page, "no phone is let in any more")
	_, err = io.ReadAll(told.Body) // a page that is open is told no more either
	require.NoError(t, err)
	_, _, at = phone.get("/")
	require.Equal(t, "/pair", at)
}

// Five wrong codes, or five minutes, and another code is needed.
func TestACodeIsNotGuessed(t *testing.T) {
	now := time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC)
	p := &phones{now: func() time.Time { return now }}
	_, err := p.pair("")
	require.ErrorIs(t, err, errNoCode, "before there is one")
	other := func(code string) string { return strings.Map(func(r rune) rune { return '0' + (r-'0'+1)%10 }, code) }
	code := p.renew()
	for range mostWrong {
		_, err := p.pair(other(code))
		require.ErrorIs(t, err, errWrongCode)
	}
	_, err = p.pair(code)
	require.ErrorIs(t, err, errNoCode)

	code = p.renew()
	for range mostWrong - 1 {
		_, err := p.pair(other(code))
		require.ErrorIs(t, err, errWrongCode)
	}
	now = now.Add(codeLasts)
	session, err := p.pair(code)
	require.NoError(t, err)
	require.True(t, p.knows(session))
	require.False(t, p.knows(""))

	code = p.renew()
	now = now.Add(codeLasts + time.Second)
	_, err = p.pair(code)
	require.ErrorIs(t, err, errNoCode)
}

// The QR code holds the address: its three corners are those of the standard, dark on
// white.
func TestTheQRCodeIsDrawn(t *testing.T) {
	drawn, err := QR("http://192.168.1.5:8123/pair")
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(drawn), "\n")
	width := len([]rune(strings.TrimSuffix(strings.TrimPrefix(lines[0], "\x1b[30;107m"), "\x1b[0m")))
	require.Equal(t, (width+1)/2, len(lines))
	require.Contains(t, lines[2], "\x1b[30;107m    █▀▀▀▀▀█ ")
	require.True(t, strings.HasSuffix(lines[2], " █▀▀▀▀▀█    \x1b[0m"))
}

// dated is an answer whose connection is read from, and written to, until a time.
type dated struct {
	*httptest.ResponseRecorder
	until, takes time.Time
	last         time.Time // that was a time
}

func (d *dated) SetWriteDeadline(t time.Time) error {
	d.takes = t
	return nil
}

func (d *dated) SetReadDeadline(t time.Time) error {
	d.until = t
	if !t.IsZero() {
		d.last = t
	}
	return nil
}

// Who is not let in has to send what is sent within seconds, and to take the answer; photos
// may take long, and files. A stranger once held a connection for good with a form that never
// came whole, or an answer that was not read.
func TestStrangersAreNotWaitedFor(t *testing.T) {
	v := visit(t)
	at := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 2), Port: 80}
	until := func(path, session string) time.Time {
		r := httptest.NewRequest("POST", path, strings.NewReader("code=1"))
		r.Host = at.String()
		if session != "" {
			r.AddCookie(&http.Cookie{Name: cookieOf(r.Host), Value: session})
		}
		w := &dated{ResponseRecorder: httptest.NewRecorder(), takes: time.Now()} // of a request before
		v.server.Handler(at).ServeHTTP(w, r)
		require.Equal(t, w.until, w.takes)
		return w.until
	}
	require.NotZero(t, until("/pair", ""))
	require.NotZero(t, until("/look", ""))
	require.NotZero(t, until(v.server.root+"/look", "a guess"))
	require.Zero(t, until(v.server.root+"/look", v.server.session))
}

// Photos may take long, but not for ever where nothing more comes; once they came the answer
// takes as long as it does.
func TestPhotosThatStall(t *testing.T) {
	w := &dated{ResponseRecorder: httptest.NewRecorder()}
	m := moving{io.NopCloser(strings.NewReader("photo")), http.NewResponseController(w)}
	_, err := m.Read(make([]byte, 5))
	require.NoError(t, err)
	require.WithinRange(t, w.until, time.Now(), time.Now().Add(stallTimeout))
	_, err = m.Read(make([]byte, 5))
	require.ErrorIs(t, err, io.EOF)
	require.Zero(t, w.until)

	v := visit(t)
	at := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80}
	r := httptest.NewRequest("POST", v.server.root+"/look", strings.NewReader("--x--"))
	r.Host = at.String()
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	r.AddCookie(&http.Cookie{Name: cookieOf(r.Host), Value: v.server.session})
	w = &dated{ResponseRecorder: httptest.NewRecorder()}
	v.server.Handler(at).ServeHTTP(w, r)
	require.NotZero(t, w.last)
	require.Zero(t, w.until)
}

// Connections beyond the bound are closed at once, and those before are answered.
func TestConnectionsAreBounded(t *testing.T) {
	v := visit(t)
	l, err := net.Listen("tcp", ownHost+":0")
	require.NoError(t, err)
	ctx, end := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- v.server.Serve(ctx, l) }()
	var all []net.Conn
	for range mostOpen + 1 {
		c, err := net.Dial("tcp", l.Addr().String())
		require.NoError(t, err)
		defer c.Close()
		all = append(all, c)
	}
	answer := func(c net.Conn) string {
		_, _ = io.WriteString(c, "GET / HTTP/1.1\r\nHost: "+l.Addr().String()+"\r\nConnection: close\r\n\r\n")
		said, _ := io.ReadAll(c) // one that is closed says nothing
		return string(said)
	}
	require.Empty(t, answer(all[mostOpen]))
	require.Contains(t, answer(all[0]), "HTTP/1.1 403")
	for _, c := range all {
		c.Close()
	}
	end()
	require.ErrorIs(t, <-ended, context.Canceled)
}

// The opener policy goes where browsers take it: to their own machine, and not, without
// encryption, to another (HTML Standard, cross-origin opener policies: secure contexts alone).
func TestTheOpenerPolicyGoesToTheOwnMachine(t *testing.T) {
	v := visit(t)
	for host, want := range map[string]string{ownHost: "same-origin", "192.0.2.7": ""} {
		at := &net.TCPAddr{IP: net.ParseIP(host), Port: 80}
		r := httptest.NewRequest("GET", "/pair", nil)
		r.Host = at.String()
		w := httptest.NewRecorder()
		v.server.Handler(at).ServeHTTP(w, r)
		require.Equal(t, want, w.Header().Get("Cross-Origin-Opener-Policy"), host)
		require.Equal(t, "same-origin", w.Header().Get("Referrer-Policy"), "a form tells where it is from")
	}
}
