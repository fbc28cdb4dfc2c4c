package page

import (
	"context"
	"slices"
	"time"

	"piecebag/internal/desk"
	"piecebag/internal/report"
)

const (
	aheadEvery = 2 * time.Second // the stash is looked at for photos that came in
	mostAhead  = 60              // photos that crops are cut out of ahead, those that came last
)

// workAhead makes the crops of pieces that come into the stash, through the page or a
// command, so that the shelf need not wait for them. It ends when ctx does, and pauses
// while photos are looked at.
func (s *Server) workAhead(ctx context.Context) {
	last := int64(-1)
	clock := time.NewTicker(aheadEvery)
	defer clock.Stop()
	for {
		if n, err := s.desk.Latest(ctx); err == nil && n != last && len(s.photos) == 0 {
			last = n
			if err := s.cutAhead(ctx, mostAhead); err != nil && ctx.Err() == nil {
				s.log.Printf("cutting out ahead: %v", err)
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-clock.C:
		}
	}
}

// cutAhead makes the missing crops of the photos that came last, at most so many photos,
// one at a time.
func (s *Server) cutAhead(ctx context.Context, most int) error {
	p, err := s.desk.Pieces(ctx, desk.PiecesRequest{Outlines: true})
	if err != nil {
		return err
	}
	photos := p.Photos[max(0, len(p.Photos)-most):]
	for _, one := range slices.Backward(photos) {
		if _, err := s.cloth.of(ctx, []desk.PhotoPieces{one}, report.ChipSide); err != nil {
			return err
		}
	}
	return nil
}
