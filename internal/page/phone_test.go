package page

import (
	"net"
	"net/http"
	"net/http/cookiejar"
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
	require.NotContains(t, page, `href="/phone"`)
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

	_, page, _ = v.post("/phone", "do", "forget")
	require.Contains(t, page, "no phone is let in any more")
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
