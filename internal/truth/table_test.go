package truth

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
	"piecebag/internal/truth/scene"
)

func TestRowsAndTable(t *testing.T) {
	rs := []Result{
		{Name: "board1-0001", Kind: cloth.Board, Level: 1, Pieces: 4, Said: 4, Hit75: 3, Hit50: 4, KindOK: true},
		{Name: "pile3-0002", Kind: cloth.Pile, Level: 3, Pieces: 2, Said: 1},
	}
	rows := Rows(rs, true)
	var names []string
	for _, r := range rows {
		names = append(names, r.Name)
	}
	require.Equal(t, []string{"board1-0001", "pile3-0002", "board", "pile", "level 1", "level 3", "all"}, names)
	var b strings.Builder
	require.NoError(t, WriteTable(&b, rows))
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	require.Len(t, lines, 1+len(rows))
	last := strings.Fields(lines[len(lines)-1])
	require.Len(t, last, 1+len(strings.Fields(lines[0])))
	require.Equal(t, []string{"all", "2", "6", "5", "0.545", "0.727", "0.500", "-"}, last[:8]) // 6/11, 8/11, 1/2
	j, err := json.Marshal(rows[6])
	require.NoError(t, err)
	require.Contains(t, string(j), `"name":"all","photos":2,"pieces":6,"said":5,"f1_75":0.54`)
	require.Contains(t, string(j), `"value":null`)
}

func TestASceneReadsBackAsItIs(t *testing.T) {
	dir := t.TempDir()
	s := scene.Make(cloth.Pile, 2, 5, scene.Options{Long: 320})
	require.NoError(t, s.WriteTo(dir))
	got, err := ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, got, 1)
	c := got[0]
	require.Equal(t, filepath.Join(dir, s.Name+".jpg"), c.File)
	require.Equal(t, s.Mask, c.Mask)
	require.InDelta(t, s.PxPerInch, c.PxPerInch, 1e-3)
	require.Len(t, c.Pieces, len(s.Pieces))
	for i, p := range c.Pieces {
		w := s.Pieces[i]
		require.InDelta(t, w.Mean.Lab().L, p.Lab.L, 0.006)
		require.Equal(t, w.Mean.Bytes(), p.Mean.Bytes())
		require.Len(t, p.Colours, len(w.Colours))
		for k := range p.Colours {
			require.Equal(t, w.Colours[k].Colour.Bytes(), p.Colours[k].Colour.Bytes())
			require.InDelta(t, w.Colours[k].Share, p.Colours[k].Share, 6e-4)
		}
		for k := range p.Corners {
			require.InDelta(t, 0, w.Corners[k].Dist(p.Corners[k]), 0.08)
		}
		require.Equal(t, []any{w.Print, w.WidthIn, w.HeightIn, w.Measurable, w.Ignore, w.CornersVisible},
			[]any{p.Print, p.WidthIn, p.HeightIn, p.Measurable, p.Ignore, p.CornersVisible})
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	_, err := ReadDir(dir)
	require.ErrorIs(t, err, ErrNoTruth)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "notes.json"), []byte(`{"a":1}`), 0o644))
	_, err = ReadDir(dir)
	require.ErrorIs(t, err, ErrNoTruth, "a stray JSON file is passed over")
	bad := `{"id":"x","image":"x.jpg","mask":"x_mask.png","width":4,"height":4,"pieces":[{"id":1,"albedo_mean_hex":"#12345"}]}`
	require.NoError(t, os.WriteFile(filepath.Join(dir, "x.json"), []byte(bad), 0o644))
	_, err = ReadDir(dir)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.ErrorContains(t, err, "x_mask.png")
	s := scene.Make(cloth.Spread, 1, 1, scene.Options{Long: 256})
	require.NoError(t, s.WriteTo(dir))
	require.NoError(t, os.Rename(filepath.Join(dir, s.Name+"_mask.png"), filepath.Join(dir, "x_mask.png")))
	require.NoError(t, os.Remove(filepath.Join(dir, s.Name+".json")))
	_, err = ReadDir(dir)
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
	c, err := Read(name)
	require.NoError(t, err)
	require.Equal(t, []cloth.Family{cloth.Teal, cloth.Blue}, c.Pieces[0].Called)
	require.Equal(t, cloth.Dark, c.Pieces[0].CalledValue)
	require.Empty(t, c.Pieces[1].Called)
}
