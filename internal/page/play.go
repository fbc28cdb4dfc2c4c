package page

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/shelf"
)

// playRoutes lead into a stash to play in, and out of it.
var playRoutes = []route{{"POST /play", startPlay}, {"POST /play/leave", leavePlay}}

// Loan is what a stash to play in is made of.
type Loan struct {
	Whose  string // as "the Saltmarsh sewing circle"
	Photos fs.FS  // JPEG files
	// As returns the request that stows a photo, by its name without extension.
	As    func(name string) desk.StowRequest
	Floor shelf.Floor
}

// Lend lets you play with a stash of its own, in a folder of its own that goes when the
// server ends: nothing of it is ever in yours.
func (s *Server) Lend(l Loan) { s.play.loan = &l }

// play is the stash to play in. All of it is shared by the servers of both stashes.
type play struct {
	loan *Loan

	mu         sync.Mutex
	in         *Server // that serves it; nil until somebody plays
	on         bool    // it is what is served now
	done, all  int     // photos
	wrong      error
	stop       context.CancelFunc
	folder     string
	workersEnd sync.WaitGroup
}

// here returns the server of the stash that is open now.
func (s *Server) here() *Server {
	s.play.mu.Lock()
	defer s.play.mu.Unlock()
	if s.play.on {
		return s.play.in
	}
	return s
}

// lends returns whose stash may be played with, empty where there is none or it is open
// already.
func (s *Server) lends() string {
	if s.play.loan == nil || s.playing() != "" {
		return ""
	}
	return s.play.loan.Whose
}

// playing says whose stash is played with, and how far it is there; empty for your own.
func (s *Server) playing() string {
	p := s.play
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case !p.on:
		return ""
	case p.wrong != nil:
		why := "what piecebag serve wrote in its terminal says why"
		if f := fault.Of(p.wrong); f != nil {
			why = p.in.placeless(f.Error())
		}
		return fmt.Sprintf("You play with the stash of %s, but not all of it came: %s.", p.loan.Whose, why)
	case p.done < p.all:
		return fmt.Sprintf("You play with the stash of %s. %d of its %d photos are stowed, and the rest follow.", p.loan.Whose, p.done, p.all)
	}
	return "You play with the stash of " + p.loan.Whose + "; nothing of it is in yours."
}

// playPath is where the forms of a page of the stash to play in are sent, so that a page
// that was left open changes no other stash than the one it shows.
const playPath = "/at-play"

// ofPlay marks a request of a page of the stash to play in.
type ofPlay struct{}

// ofThisStash refuses a request that a page of another stash sends than the one now open.
func ofThisStash(r *http.Request, playing bool) error {
	marked := r.Context().Value(ofPlay{}) != nil
	free := strings.HasPrefix(r.URL.Path, "/play") || strings.HasPrefix(r.URL.Path, "/phone")
	if marked == playing || free || !marked && r.Method == http.MethodGet {
		return nil
	}
	if playing {
		return fault.Usage("", "that page was of your own stash, and the one to play in is open now", "go back to your own stash first")
	}
	return fault.Usage("", "that page was of the stash you played with, and your own is open now", "open the page again")
}

func startPlay(s *Server, r *http.Request) (answer, error) {
	p := s.play
	if p.loan == nil {
		return answer{}, errNoPage(r)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.in == nil {
		if err := p.begin(s); err != nil {
			return answer{}, err
		}
	}
	p.on = true
	return answer{to: "/shelf"}, nil
}

func leavePlay(s *Server, _ *http.Request) (answer, error) {
	s.play.mu.Lock()
	defer s.play.mu.Unlock()
	s.play.on = false
	return answer{to: "/shelf"}, nil
}

// begin opens the stash, and has its photos stowed one after another meanwhile.
func (p *play) begin(s *Server) error {
	names, err := fs.Glob(p.loan.Photos, "*.jpg")
	if err != nil {
		return err
	}
	if p.folder, err = passing("play"); err != nil {
		return err
	}
	d := desk.New(filepath.Join(p.folder, "stash"), desk.Options{Now: time.Now})
	own, err := New(d)
	if err != nil {
		return errors.Join(err, os.RemoveAll(p.folder))
	}
	in := *s // the same session, phones and listeners, with another desk
	in.desk, in.cloth, in.waiting, in.alone = own.desk, own.cloth, own.waiting, own.alone
	in.marked = playPath
	in.forms = in.formsFor(&http.Request{})
	ctx, stop := context.WithCancel(context.Background())
	p.in, p.all, p.stop = &in, len(names), stop
	p.workersEnd.Go(func() {
		err := p.fill(ctx, &in, names)
		if err != nil {
			in.log.Printf("the stash to play in: %v", err)
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		p.wrong = err
	})
	return nil
}

func (p *play) fill(ctx context.Context, in *Server, names []string) error {
	for _, name := range names {
		data, err := fs.ReadFile(p.loan.Photos, name)
		if err != nil {
			return err
		}
		file := filepath.Join(p.folder, name)
		if err := os.WriteFile(file, data, 0o600); err != nil {
			return err
		}
		ask := p.loan.As(strings.TrimSuffix(name, path.Ext(name)))
		ask.Files = []string{file}
		if _, err := in.desk.Stow(ctx, ask); err != nil {
			return err
		}
		if err := in.cutAhead(ctx, 1); err != nil {
			return err
		}
		p.mu.Lock()
		p.done++
		p.mu.Unlock()
	}
	_, err := in.desk.SetFloor(ctx, p.loan.Floor, true)
	return err
}

// end takes the stash away.
func (p *play) end() error {
	if p.in == nil {
		return nil
	}
	p.stop()
	p.workersEnd.Wait()
	p.mu.Lock()
	defer p.mu.Unlock()
	in := p.in
	p.in, p.on = nil, false
	return errors.Join(in.alone.end(), in.desk.Close(), os.RemoveAll(p.folder))
}
