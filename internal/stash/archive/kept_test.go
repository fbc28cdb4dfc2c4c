package archive

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"piecebag/internal/fault"
	"piecebag/internal/stash"
	"piecebag/internal/testtable"
)

// Spreadsheets as people write them, and files that are none: what comes in of each, what is noted,
// and why it is refused, as it was kept. Where one line is wrong nothing comes in.
func TestImportsAreAsKept(t *testing.T) {
	all := map[string][]string{}
	asCSV, asJSON := full(t)
	lines := strings.Split(asCSV, "\n")
	files := map[string]string{
		"empty": "", "blank": "\n \n", "no columns": "a,b\n1,2", "header alone": "colour,count\n", "one": "colour,size,count\ndark blue,2½,12\n", "tabs": "Colour\tSize\tHow many\nred\t2 1/2\" square\t3.0\n", "semicolons": "Farbe;Colour;Width;Length\nx;blue;2,5;18\n",
		"each kind": "hue family,light/dark,w,l,qty,shape,box,my bin,fabric\nblue,dark,2½,,4,squares,tin,sea,anchors\nred,,2.5,18,,strips,,,\n,light,3,5,2,bricks,,,\ngreen,,4,7,1,scrap,,,\nteal,,,,6,,,,\npink,,2,2,,,,,\npink,,2,20,,,,,\npink,,20,2,,,,,\n",
		"sizes":     "size\n2½\n2½ x 4½\n2½ strip x 18\nfat quarter\n5 x 5\n12\n5-inch squares\n6cm\n", "trailing": "colour,size,notes\nred,3,,,\n\n,,\nblue,4,x\n", "twice": "colour,color,size\nred,blue,3\n", "quotes": "colour,size\nred,2½\"\n",
		"not a value": "colour,value,size\nred,palish,3\n", "not a family": "colour,size\nsea,3\n", "not a count": "colour,count\nred,2.5\n", "none": "colour,count\nred,0\n", "count of words": "colour,count\nred,many\n", "not a form": "colour,form,size\nred,hexagon,3\n", "a square of two": "colour,form,size\nred,square,3 x 4\n", "a square of less": "colour,form,width,length\nred,square,3,0.5\n", "not a size": "colour,size\nred,large\n", "not a width": "colour,width\nred,x\n", "three sides": "size,width,length\n2 x 3,4,\n", "second line": "colour,size\nred,3\nblue,x\n", "long name": "colour,size,bin\nred,3," + strings.Repeat("x", 201) + "\n",
		"json of another": `{"format":"other"}`, "json of later": `{"format":"piecebag stash","version":99}`, "json broken": `{"format":"piecebag stash","version":1,`, "json of nothing": `{"format":"piecebag stash","version":1}`, "json list": `[]`, "json more": strings.Replace(asJSON, `"version"`, `"colour":3,"version"`, 1), "binary": "\x00\x01\x02", "not utf-8": "colour,size\nr\xffd,3\n",
		"csv": asCSV, "csv without a column": "x" + asCSV, "json": asJSON,
	}
	// Each cell of a line of our own table, written wrong.
	header := strings.Split(lines[0], ",")
	for i := range header {
		for _, bad := range []string{"x", "-1", "1.5", "2e9", "[", "1,2"} {
			cells := make([]string, len(header))
			copy(cells, strings.SplitN(lines[1], ",", len(header)))
			cells[i] = bad
			if strings.Contains(bad, ",") {
				cells[i] = `"` + bad + `"`
			}
			files["cell "+header[i]+" "+bad] = lines[0] + "\n" + strings.Join(cells, ",") + "\n"
		}
	}
	s := open(t)
	for _, name := range sortedKeys(files) {
		in, err := Import(ctx, s, name, []byte(files[name]))
		if err != nil {
			f := fault.Of(err)
			require.NotNil(t, f, name)
			all[name] = []string{f.Error() + " → " + f.Remedy}
			require.Empty(t, holdings(t, s), name)
			continue
		}
		in.Sum = stash.Change{What: in.Sum.What, Difference: in.Sum.Difference}
		answer, err := json.Marshal(in)
		require.NoError(t, err)
		out := []string{string(answer)}
		for _, h := range holdings(t, s) {
			out = append(out, fmt.Sprintf("%d %s %s %s %.4g × %.4g, %.4g g, bin %q print %q basket %q", h.Count, h.Value, h.Family, h.Form, h.WidthIn, h.LengthIn, h.Grams, h.Bin, h.Print, h.Basket))
		}
		if len(out) > 12 {
			out = append(out[:12], fmt.Sprint(len(out)-12, " more"))
		}
		all[name] = out
		_, err = s.Undo(ctx)
		require.NoError(t, err)
	}
	testtable.Kept(t, "imports", all, 1e-6)
	require.ErrorIs(t, func() error { _, err := Import(ctx, open(t), "x", nil); return err }(), stash.ErrRefused)
}
