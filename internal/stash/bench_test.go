package stash

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// The size that a stash must bear: 5,000 photos of 40 pieces, of 3,000 prints.
const (
	manyPhotos   = 5000
	piecesAPhoto = 40
	manyPrints   = 3000
)

// printLook is how a print looks: its mean, four inks and a mark. Hardly two are alike.
type printLook struct {
	name string
	mean colour.Lab
	inks []cloth.Ink
	mark string
}

var printLooks = sync.OnceValue(func() []printLook {
	out := make([]printLook, manyPrints)
	for i := range out {
		own := rand.New(rand.NewPCG(uint64(i), 7))
		lab := func() colour.Lab {
			return colour.Lab{L: 20 + 70*own.Float64(), A: 80*own.Float64() - 40, B: 80*own.Float64() - 40}
		}
		l := printLook{name: fmt.Sprint("print ", i), mean: lab()}
		for k := range 4 {
			l.inks = append(l.inks, cloth.Ink{Colour: lab().Linear(), Share: [4]float64{.4, .3, .2, .1}[k]})
		}
		l.mark = of(&testing.B{}, "", lab(), lab(), 2+6*own.Float64(), day, uint64(i)).Mark
		out[i] = l
	}
	return out
})

// randomPhoto is of pieces of random prints: squares, rectangles and strips.
func randomPhoto(rng *rand.Rand, name string) Photo {
	p := Photo{Name: name + ".jpg", Bytes: []byte(name), Basket: fmt.Sprint("basket ", rng.IntN(40)), Sheet: sheet()}
	for i := range piecesAPhoto {
		c := square(i)
		print := rng.IntN(manyPrints)
		l := printLooks()[print]
		c.Mean, c.Colours, c.Mark = l.mean.Linear(), l.inks, l.mark
		c.ReadsAs, c.Lightness = c.Mean, l.mean.L
		c.Family, c.Value = cloth.Families[print%13], cloth.ValueOf(c.Lightness)
		c.Print = l.name
		switch rng.IntN(3) {
		case 0:
			c.WidthIn = []float64{1.5, 2, 2.5, 3.5, 5}[rng.IntN(5)]
			c.LengthIn, c.Cut = c.WidthIn, "square"
		case 1:
			c.WidthIn, c.LengthIn, c.Cut = 2.5, 3+float64(rng.IntN(16))/8, "rectangle"
		case 2:
			c.WidthIn, c.LengthIn, c.Cut = 1.5+float64(rng.IntN(3))/2, 8+float64(rng.IntN(280))/8, "strip"
		}
		for k := range c.Polygon {
			c.Polygon[k].X += rng.Float64()
			c.Polygon[k].Y += rng.Float64()
		}
		p.Sheet.Pieces = append(p.Sheet.Pieces, c)
	}
	return p
}

// fill puts photos into an empty stash as if each had been stowed, all in one
// transaction: what the triggers would have kept is counted at its end.
func fill(b *testing.B, s *Stash, photos int, rng *rand.Rand) {
	b.Helper()
	raw, err := s.begin(ctx)
	require.NoError(b, err)
	defer raw.Rollback()
	t := &tx{Tx: raw, ctx: ctx, s: s}
	require.NoError(b, dropTriggers(ctx, raw))
	for _, l := range printLooks() {
		require.NoError(b, t.exec(`INSERT INTO print (name, l, a, b) VALUES (?, ?, ?, ?)`, l.name, l.mean.L, l.mean.A, l.mean.B))
	}
	for n := range photos {
		p := randomPhoto(rng, fmt.Sprint("photo ", n))
		t.at = s.o.Now().UnixMilli()
		require.NoError(b, t.exec(`INSERT INTO change (at, verb, what, undoable) VALUES (?, 'stow', ?, 0)`, t.at, p.Name))
		id, err := t.loadPhoto("", PhotoRecord{Hash: Hash(p.Bytes), Name: p.Name})
		require.NoError(b, err)
		rows, err := t.read(p, id)
		require.NoError(b, err)
		for i := range rows {
			rows[i].Print = strings.TrimPrefix(rows[i].Print, labelMark)
			require.NoError(b, t.put(&rows[i]))
		}
	}
	require.NoError(b, countAgain(ctx, raw))
	// A change has the number of its photo.
	require.NoError(b, t.exec(`INSERT INTO delta SELECT photo, family, value, bin, form, cut_width_in, cut_length_in, sum(count), 0 FROM holding GROUP BY 1, 2, 3, 4, 5, 6, 7`))
	require.NoError(b, setTriggers(ctx, raw))
	require.NoError(b, raw.Commit())
}

func size(b *testing.B, s *Stash) int64 {
	b.Helper()
	_, err := s.w.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
	require.NoError(b, err)
	info, err := os.Stat(filepath.Join(s.dir, LedgerName))
	require.NoError(b, err)
	return info.Size()
}

// benchStow stows and reports the growth of the ledger a photo; its files are
// written, flushed and renamed as ever.
func benchStow(b *testing.B, s *Stash, rng *rand.Rand) {
	before, n := size(b, s), 0
	for b.Loop() {
		b.StopTimer()
		p := randomPhoto(rng, fmt.Sprint("new ", rng.Uint64()))
		b.StartTimer()
		got, err := s.Stow(ctx, p)
		require.NoError(b, err)
		require.Equal(b, piecesAPhoto, got.Added)
		n++
	}
	b.ReportMetric(float64(size(b, s)-before)/float64(n), "B/photo")
}

func BenchmarkStowIntoNothing(b *testing.B) {
	benchStow(b, open(b, b.TempDir()), rand.New(rand.NewPCG(1, 1)))
}

func BenchmarkLarge(b *testing.B) {
	if testing.Short() {
		b.Skip("fills a ledger with 200,000 pieces")
	}
	s := open(b, b.TempDir())
	rng := rand.New(rand.NewPCG(2, 1))
	fill(b, s, manyPhotos, rng)
	b.Run("size", func(b *testing.B) {
		for b.Loop() {
			n := size(b, s)
			b.ReportMetric(float64(n)/(manyPhotos*piecesAPhoto), "B/piece")
		}
	})
	b.Run("counts", func(b *testing.B) {
		for b.Loop() {
			c, err := s.Counts(ctx)
			require.NoError(b, err)
			b.ReportMetric(float64(len(c)), "rows")
		}
	})
	// What the triggers save: the same counts from an index that covers them.
	_, err := s.w.ExecContext(ctx, `CREATE INDEX covering ON holding (family, value, bin, form, cut_width_in, cut_length_in, print, count, area_in2) WHERE count > 0`)
	require.NoError(b, err)
	b.Run("counts by an index", func(b *testing.B) {
		for b.Loop() {
			c, err := countsOf(ctx, s.r, tallies[2].rows)
			require.NoError(b, err)
			b.ReportMetric(float64(len(c)), "rows")
		}
	})
	// The shelf asks for the lengths of strips beside the counts.
	_, err = s.w.ExecContext(ctx, `CREATE INDEX lengths ON holding (family, value, bin, form, cut_width_in, cut_length_in, width_in, length_in, count, area_in2) WHERE count > 0`)
	require.NoError(b, err)
	b.Run("stock by an index", func(b *testing.B) {
		for b.Loop() {
			rows, err := s.r.QueryContext(ctx, tallies[0].rows)
			require.NoError(b, err)
			n := 0
			for rows.Next() {
				n++
			}
			require.NoError(b, errors.Join(rows.Err(), rows.Close()))
			b.ReportMetric(float64(n), "rows")
		}
	})
	_, err = s.w.ExecContext(ctx, `DROP INDEX covering; DROP INDEX lengths`)
	require.NoError(b, err)
	b.Run("stock", func(b *testing.B) {
		for b.Loop() {
			h, err := s.Stock(ctx)
			require.NoError(b, err)
			b.ReportMetric(float64(len(h)), "rows")
		}
	})
	b.Run("changed", func(b *testing.B) {
		past, err := s.History(ctx, 50)
		require.NoError(b, err)
		for b.Loop() {
			_, err := s.ChangedSince(ctx, past[len(past)-1].At)
			require.NoError(b, err)
		}
	})
	b.Run("stow", func(b *testing.B) { benchStow(b, s, rng) })
	b.Run("use", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Use(ctx, Removal{Filter: Filter{Family: cloth.Blue, Form: cloth.Square, Cut: 2.5}, Count: 1})
			require.NoError(b, err)
		}
	})
	b.Run("undo", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			_, err := s.Add(ctx, byHand(1, cloth.Blue, cloth.Dark, 2.5))
			require.NoError(b, err)
			b.StartTimer()
			_, err = s.Undo(ctx)
			require.NoError(b, err)
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			_, err := integrity(ctx, s.r)
			require.NoError(b, err)
			_, err = countsWrong(ctx, s.r)
			require.NoError(b, err)
		}
	})
	b.Run("holdings", func(b *testing.B) {
		for b.Loop() {
			h, err := s.Holdings(ctx, Filter{})
			require.NoError(b, err)
			b.ReportMetric(float64(len(h)), "rows")
		}
	})
}
