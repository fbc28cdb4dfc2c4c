package truth

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/cloth"
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
