package find

import (
	"math"
	"slices"

	"piecebag/internal/geom"
)

// A cast shadow takes away one light: everywhere in it the ground is darker by
// one ratio and its chroma off by one shift.
type shadowTone struct {
	drop float32 // lightness in the shadow over lightness out of it, 0..1
	a, b float32 // shift of the chroma over lightness
}

const (
	// Half the width of what counts as one tone: the light that is left differs a
	// little from place to place.
	toneDrop, toneChroma = 0.06, 0.03
	// deepest is the lowest ratio looked for: a room lights every shadow.
	deepest = 0.2
	// mostShift is how far a shadow's chroma over lightness may be off: the light
	// that is left may be a window's where a lamp's is taken away.
	mostShift = 0.11
	// softEnough is the share of a shadow's outline that is soft. True shadows show
	// it all; the figure of a marbled print up to 0.8.
	softEnough = 0.9
	// mostTones is how many tones are tried.
	mostTones = 4
	// softEdge is the width, in working pixels, in which most of a shadow's depth
	// comes on; the edge of cloth takes two, in a blurred photo four.
	softEdge = 5
)

// toneAt is how pixel i differs from the ground at its place.
func (r *ground) toneAt(s *grid, i int) shadowTone {
	l, gl := max(s.L[i], 0.02), max(r.L[i], 0.08)
	return shadowTone{l / gl, s.A[i]/l - r.A[i]/gl, s.B[i]/l - r.B[i]/gl}
}

// isThing says whether pixel i is no ground, where ground may be.
func (r *ground) isThing(i int) bool {
	return r.mask[i] == 0 && (r.region == nil || r.region[i] != 0)
}

// near says whether two tones are one.
func (t shadowTone) near(o shadowTone) bool {
	return abs32(t.drop-o.drop) < toneDrop && abs32(t.a-o.a) < toneChroma && abs32(t.b-o.b) < toneChroma
}

// part is how far a tone lies on the way from bare ground to t, 0..1; ok where
// it lies on it at all.
func (t shadowTone) part(o shadowTone) (float32, bool) {
	k := (1 - o.drop) / (1 - t.drop)
	if k < -0.1 || k > 1.2 {
		return 0, false
	}
	k = max(0, min(1, k))
	// Chroma over lightness does not go with depth evenly: the darker half turns
	// faster. Any shift between the two ends will do.
	within := func(v, end float32) bool {
		return v > min(0, end)-toneChroma && v < max(0, end)+toneChroma
	}
	return k, within(o.a, t.a) && within(o.b, t.b)
}

// castShadows gives the ground the colour it has in hard shadows: those of the
// photographer, of a hand, of a window's frame. Cloth of their colour has sharp
// edges where they have soft ones; they also run out of the photo, or have a shape
// that cloth is not cut to. What is soft and square is a shadow where another is.
func (r *ground) castShadows(s *grid) {
	// A dark print may have the commonest tone, or the next.
	var tried []shadowTone
	for range mostTones {
		tone, ok := r.commonTone(s, tried)
		if !ok || r.castIn(s, tone) {
			return
		}
		tried = append(tried, tone)
	}
}

// castIn gives the ground the colour it has in shadows of a tone; false where
// there are none.
func (r *ground) castIn(s *grid, tone shadowTone) bool {
	w, h := r.W, r.H
	in := make([]uint8, len(r.mask))
	for i := range r.mask {
		if r.isThing(i) && tone.near(r.toneAt(s, i)) {
			in[i] = 255
		}
	}
	const line = 2 // a mat's grid does not part a shadow
	in = open(erode(dilate(in, w, h, line), w, h, line), w, h, 2)
	lab, blobs := labelBlobs(in, w, h)
	cast := make([]bool, len(blobs))
	var doubtful []int
	any := false
	for k, b := range blobs {
		if b.area < leastArea(w, h) {
			continue
		}
		ring := traceBlob(lab, w, h, b)
		if r.softShare(s, tone, ring) < softEnough {
			continue
		}
		framed := b.box.x0 <= 2 || b.box.y0 <= 2 || b.box.x1 >= w-2 || b.box.y1 >= h-2
		if !framed && squareness(simplify(ring, 0.75)) >= wholeEnough {
			doubtful = append(doubtful, k) // in a blurred photo a piece's edges are soft too
			continue
		}
		cast[k], any = true, true
	}
	if !any {
		return false
	}
	for _, k := range doubtful {
		cast[k] = true
	}
	for i, l := range lab {
		in[i] = 0
		if l > 0 && cast[l-1] {
			in[i] = 255
		}
	}
	r.darken(s, tone, in)
	return true
}

// commonTone is the tone that most of what is darker than the ground has, but
// for those tried.
func (r *ground) commonTone(s *grid, tried []shadowTone) (shadowTone, bool) {
	const nd, nc = 40, 20
	var count [nd * nc * nc]int32
	cell := func(t shadowTone) int {
		d, a, b := int(t.drop*nd), int((t.a+0.2)*nc/0.4), int((t.b+0.2)*nc/0.4)
		if math.Hypot(float64(t.a), float64(t.b)) > mostShift {
			return -1
		}
		if d < int(deepest*nd) || t.drop > 0.9 || a < 0 || a >= nc || b < 0 || b >= nc {
			return -1
		}
		return (d*nc+a)*nc + b
	}
	for i := range r.mask {
		if r.isThing(i) {
			t := r.toneAt(s, i)
			if c := cell(t); c >= 0 && !slices.ContainsFunc(tried, t.near) {
				count[c]++
			}
		}
	}
	// Neighbouring cells count together, lest a tone on their border be halved.
	best, top := -1, int32(2*leastArea(r.W, r.H))
	for d := 1; d < nd-1; d++ {
		for a := 1; a < nc-1; a++ {
			for b := 1; b < nc-1; b++ {
				n := int32(0)
				for _, o := range [7][3]int{{}, {1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
					n += count[((d+o[0])*nc+a+o[1])*nc+b+o[2]]
				}
				if n > top {
					best, top = (d*nc+a)*nc+b, n
				}
			}
		}
	}
	if best < 0 {
		return shadowTone{}, false
	}
	mid := shadowTone{
		(float32(best/nc/nc) + 0.5) / nd,
		(float32(best/nc%nc)+0.5)*0.4/nc - 0.2, (float32(best%nc)+0.5)*0.4/nc - 0.2,
	}
	var sum [3]float64
	n := 0.0
	for i := range r.mask {
		if t := r.toneAt(s, i); r.isThing(i) && t.near(mid) {
			sum[0] += float64(t.drop)
			sum[1] += float64(t.a)
			sum[2] += float64(t.b)
			n++
		}
	}
	return shadowTone{float32(sum[0] / n), float32(sum[1] / n), float32(sum[2] / n)}, n > 0
}

// softShare is how much of an outline, where it meets bare ground, is as soft as
// a shadow's edge, 0..1; 0 where it hardly meets any.
func (r *ground) softShare(s *grid, tone shadowTone, ring geom.Polygon) float64 {
	outline := resample(simplify(ring, 2), 3)
	if outline.SignedArea() < 0 {
		slices.Reverse(outline)
	}
	soft, all := 0, 0
	n := len(outline)
	for i, p := range outline {
		d := outline[(i+1)%n].Sub(outline[(i+n-1)%n])
		if l := d.Len(); l > 1e-6 {
			if wide, ok := r.edgeWidth(s, tone, p, geom.Point{X: d.Y / l, Y: -d.X / l}); ok {
				all++
				if wide >= softEdge {
					soft++
				}
			}
		}
	}
	if all < 12 {
		return 0
	}
	return float64(soft) / float64(all)
}

// edgeWidth is the way, in pixels, on which a shadow's depth goes from four
// fifths to one fifth, from p outwards along u; ok is false where no bare ground
// follows.
func (r *ground) edgeWidth(s *grid, tone shadowTone, p, u geom.Point) (float64, bool) {
	const step = 0.5
	from, wide := 0.0, -1.0
	reach := float64(max(r.W, r.H)) / 35
	for t := -4.0; t < reach; t += step {
		q := p.Add(u.Mul(t))
		x, y := int(math.Floor(q.X)), int(math.Floor(q.Y))
		if x < 0 || y < 0 || x >= r.W || y >= r.H {
			return 0, false
		}
		i := y*r.W + x
		if wide >= 0 && r.mask[i] != 0 {
			return wide, true
		}
		k, ok := tone.part(r.toneAt(s, i))
		switch {
		case !ok:
			return 0, false
		case k > 0.8:
			from = t
		case k < 0.2 && wide < 0:
			wide = t - from
		}
	}
	return 0, false
}

// darken carries a shadow, whose full depth is known in some places, on to its
// soft edges and under what lies in it, and gives the ground its colour there.
func (r *ground) darken(s *grid, tone shadowTone, full []uint8) {
	w, h := r.W, r.H
	reach := max(w, h) / 40
	edge := dilate(full, w, h, reach)
	depth, known := make([]float32, len(full)), make([]float32, len(full))
	for i := range full {
		switch {
		case full[i] != 0:
			depth[i], known[i] = 1, 1
			r.mask[i] = 255
		case edge[i] != 0:
			if k, ok := tone.part(r.toneAt(s, i)); ok && (k < 1 || r.mask[i] != 0) {
				depth[i], known[i] = k, 1
				if k < 0.9 {
					r.mask[i] = 255
				}
			}
		case r.mask[i] != 0 || r.dist[i] < groundNear:
			known[i] = 1
		}
	}
	wideDepth, wideKnown := blur(depth, w, h, reach), blur(known, w, h, reach)
	for i := range depth {
		k := depth[i]
		if known[i] == 0 {
			k = wideDepth[i] / max(wideKnown[i], 1e-6)
			if wideKnown[i] < 1e-4 {
				k = 0
			}
		}
		l := r.L[i]
		dark := l * (1 - k*(1-tone.drop))
		r.A[i], r.B[i] = (r.A[i]/max(l, 0.08)+k*tone.a)*dark, (r.B[i]/max(l, 0.08)+k*tone.b)*dark
		r.L[i] = dark
	}
	r.measure(s)
	// What a shadow and the lines of a mat close in is ground as well.
	var rim []int32
	for i := range full {
		if edge[i] != 0 && r.mask[i] != 0 {
			rim = append(rim, int32(i))
		}
	}
	r.soak(rim, func(i int32) bool { return r.dist[i] < groundNear })
}
