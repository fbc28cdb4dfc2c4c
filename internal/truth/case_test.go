package truth_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/truth"
	"piecebag/internal/truth/scene"
)

func TestASceneReadsBackAsItIs(t *testing.T) {
	dir := t.TempDir()
	s := scene.Make(cloth.Pile, 2, 5, scene.Options{Long: 320})
	require.NoError(t, s.WriteTo(dir))
	got, err := truth.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, got, 1)
	c := got[0]
	require.Equal(t, filepath.Join(dir, s.Name+".jpg"), c.File)
	require.Equal(t, s.Mask, c.Mask)
	require.Equal(t, s.Scale, c.Scale)
	require.Len(t, c.Pieces, len(s.Pieces))
	for i, p := range c.Pieces {
		w := s.Pieces[i]
		require.Equal(t, w.Lab, p.Lab)
		require.Equal(t, w.PhotoMean, p.PhotoMean)
		require.Equal(t, w.Mean.Bytes(), p.Mean.Bytes())
		require.Len(t, p.Colours, len(w.Colours))
		for k := range p.Colours {
			require.Equal(t, w.Colours[k].Colour.Bytes(), p.Colours[k].Colour.Bytes())
			require.Equal(t, w.Colours[k].Share, p.Colours[k].Share)
		}
		require.Equal(t, w.Corners, p.Corners)
		require.Equal(t, []any{w.Print, w.WidthIn, w.HeightIn, w.Measurable, w.Ignore, w.CornersVisible},
			[]any{p.Print, p.WidthIn, p.HeightIn, p.Measurable, p.Ignore, p.CornersVisible})
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	_, err := truth.ReadDir(dir)
	require.ErrorIs(t, err, truth.ErrNoTruth)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.json"), []byte(`{"a":1}`), 0o644))
	_, err = truth.ReadDir(dir)
	require.ErrorIs(t, err, truth.ErrNoTruth, "a stray JSON file is passed over")
	bad := `{"id":"x","image":"x.jpg","mask":"x_mask.png","width":4,"height":4,"pieces":[{"id":1,"albedo_mean_hex":"#12345"}]}`
	require.NoError(t, os.WriteFile(filepath.Join(dir, "x.json"), []byte(bad), 0o644))
	_, err = truth.ReadDir(dir)
	require.ErrorContains(t, err, "#12345")
	require.NotErrorIs(t, err, truth.ErrNoTruth)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "x.json"), []byte(strings.Replace(bad, "#12345", "#123456", 1)), 0o644))
	_, err = truth.ReadDir(dir)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.ErrorContains(t, err, "x_mask.png")
	s := scene.Make(cloth.Spread, 1, 1, scene.Options{Long: 256})
	require.NoError(t, s.WriteTo(dir))
	require.NoError(t, os.Rename(filepath.Join(dir, s.Name+"_mask.png"), filepath.Join(dir, "x_mask.png")))
	require.NoError(t, os.Remove(filepath.Join(dir, s.Name+".json")))
	_, err = truth.ReadDir(dir)
	require.ErrorContains(t, err, "its photo 4 × 4")
}

// What people called a piece is read beside what was measured.
func TestCalledIsRead(t *testing.T) {
	dir := t.TempDir()
	s := scene.Make(cloth.Board, 1, 5, scene.Options{Long: 320})
	require.NoError(t, s.WriteTo(dir))
	name := filepath.Join(dir, s.Name+".json")
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	said := strings.Replace(string(b), `"print_id"`, `"called": ["teal", "blue"], "called_value": "dark", "print_id"`, 1)
	require.NoError(t, os.WriteFile(name, []byte(said), 0o644))
	c, err := truth.Read(name)
	require.NoError(t, err)
	require.Equal(t, []cloth.Family{cloth.Teal, cloth.Blue}, c.Pieces[0].Called)
	require.Equal(t, cloth.Dark, c.Pieces[0].CalledValue)
	require.Empty(t, c.Pieces[1].Called)
}
