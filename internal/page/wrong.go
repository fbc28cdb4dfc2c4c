package page

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strings"
	"syscall"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/report"
)

// LogTo sets where faults of the program itself are logged, with what a page does not show:
// files and folders of this machine.
func (s *Server) LogTo(w io.Writer) { s.log = log.New(w, "piecebag: page: ", 0) }

// wrong says what went wrong: file, reason and remedy.
func (s *Server) wrong(w http.ResponseWriter, r *http.Request, err error) {
	if errors.Is(err, context.Canceled) && r.Context().Err() != nil {
		return // nobody waits for the answer any more
	}
	code := http.StatusUnprocessableEntity
	f := fault.Of(err)
	if f == nil {
		code, f = s.unforeseen(r, err)
	} else if errors.Is(err, fault.ErrUsage) {
		code = http.StatusBadRequest
	}
	a := answer{document: report.Titled("That did not work", "")}
	a.Wrong, a.Remedy = s.said(f)
	if wantsData(r) {
		writeData(w, code, map[string]string{"wrong": a.Wrong, "remedy": a.Remedy})
		return
	}
	if errors.Is(err, desk.ErrNoStash) && r.Method == http.MethodGet { // nothing is wrong yet
		code, a.document, a.Wrong, a.Remedy = http.StatusOK, report.Titled("Nothing yet", ""), "", ""
		a.Before = s.form(r, "empty.html", s.lends())
	} else if of := (inForm{}); errors.As(err, &of) {
		if form, ok := of.again(s, r, a.Wrong+"; "+a.Remedy); ok {
			form.Wrong, form.Remedy = a.Wrong, a.Remedy
			a = form
		}
	}
	s.frame(&a, r.URL.Path)
	if r.Method == http.MethodPost { // who goes back to it is shown it again, and not asked to send it again
		w.Header().Set("Cache-Control", "private, no-cache")
	}
	write(w, code, a)
}

// survive is deferred by all that answers: after a panic the server goes on, and the
// request is answered, unless its answer has begun already.
func (s *Server) survive(w http.ResponseWriter, r *http.Request) {
	p := recover()
	if p == nil {
		return
	}
	if p == http.ErrAbortHandler {
		panic(p)
	}
	code, f := s.unforeseen(r, panicked(p))
	if w.Header().Get("Content-Type") != "" { // what is sent so far is not to pass for all of it
		panic(http.ErrAbortHandler)
	}
	a := answer{document: report.Titled("That did not work", "")}
	a.Wrong, a.Remedy = s.said(f)
	switch {
	case wantsData(r):
		writeData(w, code, map[string]string{"wrong": a.Wrong, "remedy": a.Remedy})
		return
	case s.letsIn(r):
		s.frame(&a, r.URL.Path)
	}
	write(w, code, a)
}

// panicked returns the error that a panic is, with where it was.
func panicked(p any) error { return fmt.Errorf("panic: %v\n%s", p, debug.Stack()) }

// unforeseen returns plain words for an error that nothing else has words for, and logs it.
func (s *Server) unforeseen(r *http.Request, err error) (code int, f *fault.Error) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return http.StatusRequestEntityTooLarge, fault.New("", "that is more than can be sent at once", "send fewer photos")
	}
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, os.ErrDeadlineExceeded) {
		return http.StatusBadRequest, fault.New("", "what you sent did not come whole", "send it again")
	}
	s.log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	code = http.StatusInternalServerError
	switch {
	case errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT):
		return code, fault.New("", "the disk is full", "make room on it, and do it again")
	case errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS):
		return code, fault.New("", "piecebag may not write where the stash is", "make that folder writable, and do it again")
	}
	return code, fault.New("", "something failed that should not have; what the stash holds is whole", "do it again; if it fails again, report what piecebag serve wrote in its terminal")
}

// said returns a fault in words, without folders of this machine.
func (s *Server) said(f *fault.Error) (wrong, remedy string) {
	f = remedies.Worded(f)
	return s.placeless(f.Error()), s.placeless(f.Remedy)
}

// placeless returns a text without folders of this machine: a file that was sent is named
// without its folder, and the stash is called "the stash".
func (s *Server) placeless(text string) string {
	stash := s.desk.Dir()
	if !strings.Contains(text, "/") || !filepath.IsAbs(stash) {
		return text
	}
	sent := regexp.QuoteMeta(s.waiting.folder) + `/[0-9a-f]+/(?:\d+/)?`
	passing := regexp.QuoteMeta(filepath.Clean(os.TempDir())) + `/piecebag-[a-z]+-\d+-\d+/(?:\d+/)?`
	text = regexp.MustCompile(sent+"|"+passing).ReplaceAllString(text, "")
	return regexp.MustCompile(regexp.QuoteMeta(stash)+`(?:\.[a-z]+)?(?:/[\w.-]+)*`).ReplaceAllString(text, "the stash")
}
