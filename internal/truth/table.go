package truth

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/raster"
)

// Row sums up some photos. A nil figure was not asked for by any of them.
// Shares and F1 are 0..1, ΔE is CIEDE2000.
type Row struct {
	Name   string `json:"name"`
	Photos int    `json:"photos"`
	Pieces int    `json:"pieces"`
	Said   int    `json:"said"`

	F75    *float64 `json:"f1_75"`
	F50    *float64 `json:"f1_50"`
	Kind   *float64 `json:"kind"`
	DERef  *float64 `json:"de_ref"`  // median, photos with a white reference
	DENone *float64 `json:"de_none"` // median, photos without
	DE90   *float64 `json:"de_p90"`  // 90th percentile of all
	Value  *float64 `json:"value"`
	Family *float64 `json:"family"` // as it is seen
	// Family by the mean and by area alone.
	FamilyMean *float64 `json:"family_mean"`
	// Share of sizes right among all that were said.
	CutRef   *float64 `json:"cut_ref"`
	CutNone  *float64 `json:"cut_none"`
	Answered *float64 `json:"answered"` // share of sizes asked for that were answered
	Print    *float64 `json:"print"`    // pairwise F1 of "same print" within a photo
	Corner   *float64 `json:"corner_in"`
	IoU      *float64 `json:"iou"` // mean, of found pieces
	Split    int      `json:"split"`
	Merged   int      `json:"merged"`
}

// Sum returns the row of some results.
func Sum(name string, rs []Result) Row {
	row := Row{Name: name, Photos: len(rs)}
	var hit75, hit50, kind, named, value, family, familyMean int
	var same Pairs
	var asked, sized int
	var cutN, cutOK [2]int
	var de [2][]float64
	var corner, iou []float64
	for _, r := range rs {
		ref := 0
		if r.HasReference {
			ref = 1
		}
		row.Pieces += r.Pieces
		row.Said += r.Said
		row.Split += r.Split
		row.Merged += r.Merged
		hit75 += r.Hit75
		hit50 += r.Hit50
		if r.KindOK {
			kind++
		}
		named += len(r.DeltaE)
		value += r.ValueOK
		family += r.FamOK
		familyMean += r.FamMeanOK
		asked += r.Measurable
		sized += r.Answered
		cutN[ref] += len(r.Sizes)
		cutOK[ref] += rightOf(r.Sizes)
		same.Both, same.Said, same.True = same.Both+r.Same.Both, same.Said+r.Same.Said, same.True+r.Same.True
		de[ref] = append(de[ref], r.DeltaE...)
		corner = append(corner, r.CornerIn...)
		iou = append(iou, r.IoU...)
	}
	row.F75 = f1(hit75, row.Said-hit75, row.Pieces-hit75)
	row.F50 = f1(hit50, row.Said-hit50, row.Pieces-hit50)
	row.Kind = share(kind, len(rs))
	row.DERef, row.DENone = quantile(de[1], 0.5), quantile(de[0], 0.5)
	row.DE90 = quantile(slices.Concat(de[0], de[1]), 0.9)
	row.Value, row.Family = share(value, named), share(family, named)
	row.FamilyMean = share(familyMean, named)
	row.CutRef, row.CutNone = share(cutOK[1], cutN[1]), share(cutOK[0], cutN[0])
	row.Answered = share(sized, asked)
	row.Print = f1(same.Both, same.Said, same.True)
	row.Corner = quantile(corner, 0.5)
	if len(iou) > 0 {
		mean := raster.Mean(iou)
		row.IoU = &mean
	}
	return row
}

// count returns how many of a list are so.
func count[T any](list []T, so func(T) bool) (n int) {
	for _, v := range list {
		if so(v) {
			n++
		}
	}
	return n
}

func rightOf(claims []Claim) int { return count(claims, func(c Claim) bool { return c.Right }) }

// Rows sums results up by kind, by level, and all together; with each photo
// first, where each is set.
func Rows(rs []Result, each bool) []Row {
	var out []Row
	if each {
		for _, r := range rs {
			out = append(out, Sum(r.Name, []Result{r}))
		}
	}
	group := func(name string, in func(Result) bool) {
		if some := slices.DeleteFunc(slices.Clone(rs), func(r Result) bool { return !in(r) }); len(some) > 0 {
			out = append(out, Sum(name, some))
		}
	}
	for _, k := range []cloth.Kind{cloth.Spread, cloth.Board, cloth.Stack, cloth.Pile} {
		group(string(k), func(r Result) bool { return r.Kind == k })
	}
	for level := 1; level <= 3; level++ {
		group(fmt.Sprintf("level %d", level), func(r Result) bool { return r.Level == level })
	}
	return append(out, Sum("all", rs))
}

func share(n, of int) *float64 {
	if of == 0 {
		return nil
	}
	v := float64(n) / float64(of)
	return &v
}

// f1 returns 2tp / (2tp + fp + fn); nothing asked and nothing said is no answer.
func f1(tp, fp, fn int) *float64 { return share(2*tp, 2*tp+fp+fn) }

// quantile returns the q-quantile, linear between ranks.
func quantile(v []float64, q float64) *float64 {
	if len(v) == 0 {
		return nil
	}
	s := slices.Sorted(slices.Values(v))
	at := q * float64(len(s)-1)
	i := int(math.Floor(at))
	x := s[i]
	if i+1 < len(s) {
		x += (at - float64(i)) * (s[i+1] - s[i])
	}
	return &x
}

// figure writes a figure to so many digits, or a dash for none.
func figure(v *float64, digits int) string {
	if v == nil {
		return "-"
	}
	return strconv.FormatFloat(*v, 'f', digits, 64)
}

// WriteTable prints rows as text, a line a row.
func WriteTable(w io.Writer, rows []Row) error {
	head := []string{"photos", "pieces", "said", "F1@75", "F1@50", "kind", "dE+", "dE-", "dE90", "value", "family", "fam-mean", "cut+", "cut-", "answered", "print", "corner", "IoU", "split", "merged"}
	var b strings.Builder
	fmt.Fprintf(&b, "%-14s", "")
	for _, h := range head {
		fmt.Fprintf(&b, "%9s", h)
	}
	b.WriteByte('\n')
	for _, r := range rows {
		fmt.Fprintf(&b, "%-14s%9d%9d%9d", r.Name, r.Photos, r.Pieces, r.Said)
		for _, v := range []struct {
			v      *float64
			digits int
		}{
			{r.F75, 3}, {r.F50, 3}, {r.Kind, 3}, {r.DERef, 2}, {r.DENone, 2}, {r.DE90, 2}, {r.Value, 3}, {r.Family, 3}, {r.FamilyMean, 3},
			{r.CutRef, 3}, {r.CutNone, 3}, {r.Answered, 3}, {r.Print, 3}, {r.Corner, 3}, {r.IoU, 3},
		} {
			fmt.Fprintf(&b, "%9s", figure(v.v, v.digits))
		}
		fmt.Fprintf(&b, "%9d%9d\n", r.Split, r.Merged)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
