package find

// words is how many colours a picture is written in.
const words = 40

// ground word
const noWord = 255

// wordL is the weight of lightness against chroma when colours are told apart:
// folds and shade move lightness and leave chroma.
const wordL = 0.7

type wordBook struct {
	n      int
	centre [words][3]float32     // wordL·L, a, b
	kernel [words][words]float32 // likeness of two words, rows sum to 1
	like   [words][]int32        // the words that kernel makes like each, itself too
	pale   [words][words]float32 // likewise, of the back of cloth whose face is that word
}

type colourBin struct {
	v [3]float32
	n float32
}

// nameColours writes every cloth pixel as one of a few colours: k-means over a
// colour histogram, seeded by the farthest-first rule (Gonzalez 1985) weighted
// by count.
func (c *cluster) nameColours() *wordBook {
	const q = 50 // bins an OKLab unit
	const na, nl = 48, 40
	idx := make([]int32, nl*na*na)
	for i := range idx {
		idx[i] = -1
	}
	var bins []colourBin
	key := func(i int) int {
		l := clamp(int(c.l[i]*wordL*q), 0, nl-1)
		a := clamp(int((c.a[i]+0.48)*q), 0, na-1)
		b := clamp(int((c.b[i]+0.48)*q), 0, na-1)
		return (l*na+a)*na + b
	}
	for i, in := range c.seen {
		if !in {
			continue
		}
		k := key(i)
		if idx[k] < 0 {
			idx[k] = int32(len(bins))
			bins = append(bins, colourBin{})
		}
		e := &bins[idx[k]]
		e.n++
		e.v[0] += c.l[i] * wordL
		e.v[1] += c.a[i]
		e.v[2] += c.b[i]
	}
	for i := range bins {
		for j := range 3 {
			bins[i].v[j] /= bins[i].n
		}
	}
	book := &wordBook{}
	// farthest-first, weighted
	d := make([]float32, len(bins))
	for i := range d {
		d[i] = 1
	}
	for book.n < words {
		best, at := float32(0), -1
		for i := range bins {
			if s := d[i] * sqrt32(bins[i].n); s > best {
				best, at = s, i
			}
		}
		if at < 0 {
			break
		}
		v := bins[at].v
		book.centre[book.n] = v
		book.n++
		for i := range bins {
			d[i] = min(d[i], dist3(&bins[i].v, &v))
		}
	}
	own := make([]uint8, len(bins))
	for range 8 {
		var sum [words][4]float32
		for i := range bins {
			own[i] = book.nearest(&bins[i].v)
			s := &sum[own[i]]
			for j := range 3 {
				s[j] += bins[i].v[j] * bins[i].n
			}
			s[3] += bins[i].n
		}
		for k := range book.n {
			if sum[k][3] > 0 {
				for j := range 3 {
					book.centre[k][j] = sum[k][j] / sum[k][3]
				}
			}
		}
	}
	c.word = make([]uint8, len(c.seen))
	for i, in := range c.seen {
		c.word[i] = noWord
		if in {
			c.word[i] = own[idx[key(i)]]
		}
	}
	book.fillKernel(0.05)
	return book
}

func (b *wordBook) nearest(v *[3]float32) uint8 {
	best, at := float32(1e9), 0
	for k := range b.n {
		if d := dist3(&b.centre[k], v); d < best {
			best, at = d, k
		}
	}
	return uint8(at)
}

// fillKernel sets the likeness of words, a Gaussian of colour distance, and of
// the words that the back of each would show: woven cloth printed on its face
// shows the print through its back about half way to plain cloth.
func (b *wordBook) fillKernel(sigma float32) {
	const through = 0.45
	plain := [3]float32{0.75 * wordL, 0, 0.01}
	for i := range b.n {
		b.kernel[i] = b.likeness(b.centre[i], sigma)
		for j, k := range b.kernel[i] {
			if k > 0 {
				b.like[i] = append(b.like[i], int32(j))
			}
		}
		back := b.centre[i]
		for c := range back {
			back[c] = plain[c] + through*(back[c]-plain[c])
		}
		b.pale[i] = b.likeness(back, 1.5*sigma)
	}
}

// likeness shares 1 out among the words near v; the nearest gets some always.
func (b *wordBook) likeness(v [3]float32, sigma float32) (out [words]float32) {
	s := float32(0)
	near := b.nearest(&v)
	least := dist3(&b.centre[near], &v)
	for j := range b.n {
		if d := (dist3(&b.centre[j], &v) - least) / (2 * sigma * sigma); d < 4 {
			out[j] = exp32(-d)
			s += out[j]
		}
	}
	for j := range b.n {
		out[j] /= s
	}
	return out
}

func dist3(a, b *[3]float32) float32 {
	x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return x*x + y*y + z*z
}
