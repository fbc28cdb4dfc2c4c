package page

import (
	"crypto/rand"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"rsc.io/qr"

	"piecebag/internal/fault"
	"piecebag/internal/report"
)

// phoneRoutes say how a phone comes in.
var phoneRoutes = []route{{"GET /phone", phonePage}, {"POST /phone", shownBy(phonePage, phoneAsks)}}

const (
	codeLasts   = 5 * time.Minute
	mostWrong   = 5  // codes, before another one is needed
	mostPhones  = 16 // let in at once; the first goes when another comes
	wrongEnters = 10 // keys of no session in a minute
)

// phones lets phones in by a code of six digits that is shown on the computer: it holds
// for five minutes and for one phone.
type phones struct {
	at  []net.Addr // where they come to; none: phones are not let in
	now func() time.Time

	mu       sync.Mutex
	code     string // empty: used, or tried too often
	until    time.Time
	wrong    int
	sessions []string
}

// renew makes another code, and gives it.
func (p *phones) renew() string {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000))
	if err != nil {
		panic(err) // crypto/rand ends the program rather than fail
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.code, p.until, p.wrong = fmt.Sprintf("%06d", n), p.now().Add(codeLasts), 0
	return p.code
}

// valid returns the code that a phone may use now, empty where there is none.
func (p *phones) valid() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.now().After(p.until) {
		p.code = ""
	}
	return p.code
}

var (
	errWrongCode = fault.Usage("", "this is not the code", "read it from the computer again; after five wrong ones it makes a new one")
	errNoCode    = fault.Usage("", "the code was used, is too old, or was wrong too often", "have the computer show a new one")
)

// pair lets a phone in by the code, and gives its session.
func (p *phones) pair(code string) (session string, err error) {
	valid := p.valid()
	p.mu.Lock()
	defer p.mu.Unlock()
	if valid == "" || p.code != valid {
		return "", errNoCode
	}
	if code = strings.Join(strings.Fields(code), ""); !same(code, p.code) {
		if p.wrong++; p.wrong >= mostWrong {
			p.code = ""
		}
		return "", errWrongCode
	}
	p.code = ""
	session = secret()
	if len(p.sessions) == mostPhones {
		p.sessions = p.sessions[1:]
	}
	p.sessions = append(p.sessions, session)
	return session, nil
}

// knows reports whether a session is a phone's.
func (p *phones) knows(session string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.ContainsFunc(p.sessions, func(s string) bool { return same(s, session) })
}

func (p *phones) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sessions = nil
}

// HomeAddresses are those of this computer on networks at home: private ones of IPv4
// (RFC 1918).
func HomeAddresses() ([]string, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			out = append(out, n.IP.String())
		}
	}
	return out, nil
}

// LetPhonesIn lets the server answer phones, once they are paired, at a place where it
// listens, and returns the address that they open and the code. Call it before Serve.
func (s *Server) LetPhonesIn(at net.Addr) (address, code string) {
	s.phones.at = append(s.phones.at, at)
	return phoneAddress(at), s.phones.renew()
}

// phoneAddress is what a phone opens. It holds no secret.
func phoneAddress(at net.Addr) string { return "http://" + at.String() + "/pair" }

// QR draws a text as a QR code (ISO/IEC 18004) in half blocks, two rows a line, black on
// white whatever the terminal's colours are.
func QR(text string) (string, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", err
	}
	const quiet = 4 // modules round it that stay white, by the standard
	var b strings.Builder
	for y := -quiet; y < c.Size+quiet; y += 2 {
		b.WriteString("\x1b[30;107m")
		for x := -quiet; x < c.Size+quiet; x++ {
			switch above, below := c.Black(x, y), c.Black(x, y+1); {
			case above && below:
				b.WriteString("█")
			case above:
				b.WriteString("▀")
			case below:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	return b.String(), nil
}

// qrPath returns the black modules of a QR code as an SVG path, and the length of a side in
// modules, the white border included.
func qrPath(text string) (path string, side int, err error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", 0, err
	}
	const quiet = 4
	var b strings.Builder
	for y := range c.Size {
		for x := range c.Size {
			if c.Black(x, y) {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	return b.String(), c.Size + 2*quiet, nil
}

// phonePage shows how a phone comes in.
func phonePage(s *Server, r *http.Request) (answer, error) {
	p := s.phones
	a := answer{document: report.Titled("On your phone", "Photograph your cloth, look at the shelf and shop with it.")}
	type place struct {
		Address, Path string
		Side          int
	}
	v := struct {
		Places []place
		Code   string
		Phones int
		Own    bool // it is the computer's own page
	}{Own: s.own(r)}
	for _, at := range p.at {
		path, side, err := qrPath(phoneAddress(at))
		if err != nil {
			return a, err
		}
		v.Places = append(v.Places, place{phoneAddress(at), path, side})
	}
	if v.Own {
		v.Code = p.valid()
	}
	p.mu.Lock()
	v.Phones = len(p.sessions)
	p.mu.Unlock()
	a.Before = s.form(r, "phone.html", v)
	return a, nil
}

// phoneAsks makes a new code, or lets all phones go.
func phoneAsks(s *Server, r *http.Request) (answer, error) {
	if !s.own(r) {
		return answer{}, fault.Usage("", "a phone cannot let others in", "do it on the computer")
	}
	if len(s.phones.at) == 0 {
		return answer{}, errNoPhones
	}
	if r.FormValue("do") == "forget" {
		s.phones.forget()
		return after("/phone", "no phone is let in any more"), nil
	}
	s.phones.renew()
	return answer{to: "/phone"}, nil
}

var errNoPhones = fault.Usage("", "phones are not let in", "start it with piecebag serve --phone")

// own reports whether a request is of the session of the computer itself.
func (s *Server) own(r *http.Request) bool {
	return same(sessionOf(r), s.session)
}

// pairing answers a phone that has no session yet: it asks for the code.
func (s *Server) pairing(w http.ResponseWriter, r *http.Request) {
	a := answer{document: report.Titled("Let this phone in", ""), Frame: report.Frame{Sheet: staticPath("page.css")}}
	code := http.StatusOK
	switch {
	case len(s.phones.at) == 0:
		a.Wrong, a.Remedy, code = errNoPhones.Why, errNoPhones.Remedy, http.StatusNotFound
	case r.Method == http.MethodPost:
		r.Body = http.MaxBytesReader(w, r.Body, mostForm)
		session, err := s.phones.pair(r.FormValue("code"))
		if err == nil {
			s.opened(w, r, session)
			return
		}
		f := fault.Of(err)
		a.Wrong, a.Remedy, code = f.Why, f.Remedy, http.StatusForbidden
		fallthrough
	default:
		a.Before = s.form(r, "pair.html", nil)
	}
	write(w, code, a)
}

// opened gives a browser its session, and leads to the page. Where a file or another
// page led here, a browser would not send the cookie along on the way: it is answered by
// a page, which leads on by itself.
func (s *Server) opened(w http.ResponseWriter, r *http.Request, session string) {
	http.SetCookie(w, &http.Cookie{Name: cookieOf(r.Host), Value: session, Path: s.root + "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	if r.Header.Get("Sec-Fetch-Site") != "cross-site" {
		http.Redirect(w, r, s.root+"/", http.StatusSeeOther)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = fmt.Fprintf(w, `<!DOCTYPE html><html lang="en-GB"><meta http-equiv="refresh" content="0;url=%[1]s/"><title>Piecebag</title><p><a href="%[1]s/">Go on</a></p></html>`, s.root)
}

// tries counts wrong attempts of the last minute.
type tries struct {
	mu  sync.Mutex
	ats []time.Time
}

// tooMany notes another attempt at a time, and reports whether there were more than most in
// the minute before.
func (t *tries) tooMany(now time.Time, most int) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.ats = slices.DeleteFunc(t.ats, func(at time.Time) bool { return now.Sub(at) > time.Minute })
	if len(t.ats) >= most {
		return true
	}
	t.ats = append(t.ats, now)
	return false
}
