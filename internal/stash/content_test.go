package stash

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// content is what a stash holds, as JSON.
func content(t testing.TB, s *Stash) string {
	t.Helper()
	c, err := s.Content(ctx)
	require.NoError(t, err)
	text, err := json.Marshal(c)
	require.NoError(t, err)
	return string(text)
}

// loaded brings a Content in that is written as JSON.
func loaded(s *Stash, text string) (Loaded, error) {
	var c Content
	if err := json.Unmarshal([]byte(text), &c); err != nil {
		return Loaded{}, err
	}
	return s.Load(ctx, "a.json", Hash([]byte(text)), c)
}

func TestContentGoesBothWaysWithoutLoss(t *testing.T) {
	from := full(t, t.TempDir())
	all := content(t, from)
	to := open(t, t.TempDir())
	got, err := loaded(to, all)
	require.NoError(t, err)
	require.Equal(t, "11 pieces, 2 photos, 13 prints", got.String())
	require.Equal(t, []int{11, 0}, []int{got.Added, got.Skipped})
	require.Equal(t, "a.json: 11 pieces, 2 photos, 13 prints", got.Sum.What)
	require.Equal(t, all, content(t, to))
	a, b := holdings(t, from, Filter{}), holdings(t, to, Filter{})
	require.Len(t, b, len(a))
	for i := range a {
		a[i].ID, b[i].ID = 0, 0
	}
	require.Equal(t, a, b)
	healthy(t, to)
	// All that a later look needs came along.
	_, err = relook(to, Hash([]byte("the bytes of a.jpg")), sheet(squares(9)...))
	require.NoError(t, err)
	require.Equal(t, cloth.Teal, holdings(t, to, Filter{})[0].Family)

	again, err := loaded(to, all)
	require.NoError(t, err)
	require.Equal(t, Loaded{Known: true}, again)
	for range 2 {
		_, err = to.Undo(ctx)
		require.NoError(t, err)
	}
	require.Empty(t, holdings(t, to, Filter{}))
	again, err = loaded(to, all)
	require.NoError(t, err)
	require.False(t, again.Known, "what was taken back can come in again")
	// What the stash knows by its photo does not come in twice.
	again, err = loaded(from, all)
	require.NoError(t, err)
	require.Equal(t, 9, again.Skipped)
}

// Two stashes may each have a print 1.
func TestPrintsOfTwoStashesAreNotMixedUp(t *testing.T) {
	one, two := open(t, t.TempDir()), open(t, t.TempDir())
	stow(t, one, photo("a.jpg", of(t, "a", cream, navy, 3, day, 1), of(t, "b", navy, rust, 5, day, 2)))
	stow(t, two, photo("b.jpg", of(t, "a", cream, sage, 6, dusk, 3), of(t, "b", navy, rust, 5, dusk, 4)))
	_, err := loaded(one, content(t, two))
	require.NoError(t, err)
	require.Equal(t, []string{"print 1", "print 2", "print 3", "print 2"}, printsIn(t, one))
	healthy(t, one)
}

// The new name of one print of a file was once the old name of the next.
func TestANewNameIsNoneThatTheFileHas(t *testing.T) {
	s := open(t, t.TempDir())
	stow(t, s, photo("a.jpg", square(0)))
	_, err := loaded(s, `{"holdings":[
		{"form":"square","count":1,"width_in":2.5,"print":"print 1","mean":[0.9,0.1,0.1],"colours":[[0.9,0.1,0.1,1]]},
		{"form":"square","count":1,"width_in":2.5,"print":"print 2","mean":[0.1,0.9,0.1],"colours":[[0.1,0.9,0.1,1]]}]}`)
	require.NoError(t, err)
	all := holdings(t, s, Filter{})
	require.Equal(t, []string{"print 1", "print 3", "print 2"}, []string{all[0].Print, all[1].Print, all[2].Print})
	healthy(t, s)
}

// The places of photos stay in the photos.
func TestNothingOfThePhotosBytesIsExported(t *testing.T) {
	s := open(t, t.TempDir())
	p := photo("a.jpg", square(0))
	p.Bytes = []byte("GPS 51.5007N 0.1246W")
	stow(t, s, p)
	require.NotContains(t, content(t, s), "51.5007")
	require.NotContains(t, content(t, s), s.Dir())
}

// Weighed cloth from another stash is of the weight, not of the area it had
// there.
func TestAPlanHasANameAndSomethingToMake(t *testing.T) {
	s := open(t, t.TempDir())
	for _, p := range []PlanRecord{{Name: "library"}, {Plan: []byte(`{"blocks":24}`)}, {}} {
		_, err := s.Load(ctx, "a.json", p.Name, Content{Plans: []PlanRecord{p}})
		require.ErrorIs(t, err, ErrRefused)
	}
	_, err := s.Load(ctx, "a.json", "both", Content{Plans: []PlanRecord{{Name: "library", Plan: []byte(`{"blocks":24}`)}}})
	require.NoError(t, err)
}

func TestWeightsAreImported(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := loaded(s, `{"holdings":[{"form":"weighed","count":1,"grams":150,"area_in2":10}]}`)
	require.NoError(t, err)
	require.InDelta(t, 1/squareInch, holdings(t, s, Filter{})[0].AreaIn2, 1e-6)
	healthy(t, s)
}

func TestOutlinesGoByNumber(t *testing.T) {
	s := open(t, t.TempDir())
	_, err := s.Add(ctx, byHand(1, cloth.Red, cloth.Dark, 2.5))
	require.NoError(t, err)
	stow(t, s, photo("a.jpg", squares(3)...))
	_, err = s.Use(ctx, Removal{Filter: Filter{IDs: []int64{3}}, Count: 1})
	require.NoError(t, err)
	got, err := s.Outlines(ctx)
	require.NoError(t, err)
	require.Equal(t, map[int64]geom.Polygon{1: nil, 2: square(0).Polygon, 4: square(2).Polygon}, got)
}
