package page

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"errors"
	"fmt"
	"image/jpeg"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/desk"
	"piecebag/internal/fault"
	"piecebag/internal/photo"
	"piecebag/internal/report"
	"piecebag/internal/stash"
)

// cropRoutes show pieces of the stash as the cloth that they are, and their photos.
var cropRoutes = []route{{"GET /cloth/{piece}/{key}", clothPicture}, {"GET /photo/{key}", photoPicture}}

const (
	largeSide    = 3 * report.ChipSide // longer side of a crop that is looked at by itself, pixels
	photoShown   = 1600                // longer side of a photo of the stash as it is shown, pixels
	photoQuality = 84                  // of JPEG, 1..100
	mostCrops    = 256 << 20           // bytes of crops on the disk; the longest unused go
	leastCrops   = mostCrops / 4 * 3   // what is left when some go
)

// cropStore keeps crops of pieces, and photos made smaller, as files. The name of each is a
// hash of all that it depends on, so that a file never becomes stale; a photo is decoded
// again only for crops that were never made. Nothing is held in memory.
type cropStore struct {
	folder  string
	cutting sync.Mutex // one photo is decoded at a time
}

// cropKey names the crop of a piece: its photo, its outline, what shapes a crop, its side.
func cropKey(x desk.OutlinedPiece, side int) string {
	return sumOf("crop 1", x.Photo, x.Outline, x.Form, x.WidthIn, x.LengthIn, side)
}

func sumOf(parts ...any) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%q", parts))
	return hex.EncodeToString(sum[:16])
}

// read returns the crop that is kept under a key, and marks it as just used.
func (c *cropStore) read(key string) (*report.Crop, bool) {
	if !isKey(key) { // a key from outside must not be used as a path
		return nil, false
	}
	name := filepath.Join(c.folder, key)
	f, err := os.Open(name)
	if err != nil {
		return nil, false
	}
	defer f.Close()
	var out report.Crop
	if gob.NewDecoder(f).Decode(&out) != nil { // torn: it is cut out anew
		return nil, false
	}
	now := time.Now()
	_ = os.Chtimes(name, now, now)
	return &out, true
}

// write keeps a crop; an empty one says that there is nothing to cut out.
func (c *cropStore) write(key string, crop report.Crop) error {
	if err := os.MkdirAll(c.folder, 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(c.folder, "new-")
	if err != nil {
		return err
	}
	err = errors.Join(gob.NewEncoder(f).Encode(crop), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), filepath.Join(c.folder, key))
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// prune removes the crops that were used longest ago: where there are more than most bytes,
// until left bytes remain.
func (c *cropStore) prune(most, left int64) error {
	entries, err := os.ReadDir(c.folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	var all []fs.FileInfo
	total := int64(0)
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			all, total = append(all, info), total+info.Size()
		}
	}
	if total <= most {
		return err
	}
	slices.SortFunc(all, func(a, b fs.FileInfo) int { return a.ModTime().Compare(b.ModTime()) })
	for _, info := range all {
		if total <= left {
			break
		}
		err = cmp.Or(err, os.Remove(filepath.Join(c.folder, info.Name())))
		total -= info.Size()
	}
	return err
}

// of returns the crops of pieces, and cuts out those that are not kept yet. What cannot be
// cut out, since its photo is lost, is left out.
func (c *cropStore) of(ctx context.Context, photos []desk.PhotoPieces, side int) (report.Crops, error) {
	out := report.Crops{}
	for _, p := range photos {
		if p.Path == "" {
			continue
		}
		if missing := c.known(p, side, out); missing.Pieces != nil {
			if err := c.cut(ctx, missing, side, out); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// known adds those crops of a photo that are kept to out, and returns the photo with the
// pieces that have none.
func (c *cropStore) known(p desk.PhotoPieces, side int, out report.Crops) desk.PhotoPieces {
	missing := desk.PhotoPieces{PhotoInfo: p.PhotoInfo}
	for _, x := range p.Pieces {
		crop, ok := c.read(cropKey(x, side))
		switch {
		case !ok:
			missing.Pieces = append(missing.Pieces, x)
		case crop.W > 0:
			out[x.ID] = crop
		}
	}
	return missing
}

// cut cuts pieces out of one photo.
func (c *cropStore) cut(ctx context.Context, p desk.PhotoPieces, side int, out report.Crops) error {
	c.cutting.Lock()
	defer c.cutting.Unlock()
	if p = c.known(p, side, out); p.Pieces == nil { // somebody cut them out meanwhile
		return nil
	}
	photos := []desk.PhotoPieces{p}
	crops, err := report.CropsOf(photos, desk.Pictures(ctx, desk.Paths(photos), 0), side)
	if fault.Of(err) != nil {
		return nil // the photo is lost or damaged, which 'check' says
	}
	if err != nil {
		return err
	}
	for _, x := range p.Pieces {
		crop := crops[x.ID]
		if crop == nil {
			crop = &report.Crop{}
		} else {
			out[x.ID] = crop
		}
		if err := c.write(cropKey(x, side), *crop); err != nil {
			return err
		}
	}
	return nil
}

// crops cuts pieces of the stash out of its photos, one for each name that as gives, as a
// document shows them.
func (s *Server) crops(ctx context.Context, as func(cloth.Holding) string) (report.Crops, error) {
	photos, err := s.desk.OneOfEach(ctx, as)
	if err != nil {
		return nil, err
	}
	return s.cloth.of(ctx, photos, report.ChipSide)
}

// clothAt returns the address of a piece's crop, empty where it has none.
func clothAt(x desk.OutlinedPiece, side int) string {
	if len(x.Outline) < 3 {
		return ""
	}
	at := "/cloth/" + strconv.FormatInt(x.ID, 10) + "/" + cropKey(x, side)
	if side == largeSide {
		at += "?large=1"
	}
	return at
}

// clothPicture is the crop of a piece. Where it is not kept yet, all pieces of its photo
// are cut out, since the next request will be for another of them.
func clothPicture(s *Server, r *http.Request) (answer, error) {
	key, side := r.PathValue("key"), report.ChipSide
	if r.FormValue("large") != "" {
		side = largeSide
	}
	n, err := desk.ReadNumbers(r.PathValue("piece"))
	if err != nil || len(n.All) != 1 || !isKey(key) {
		return answer{}, errNoPage(r)
	}
	shown := func(crop *report.Crop) (answer, error) {
		return answer{file: &file{kind: "image/jpeg", data: crop.JPEG, kept: true}}, nil
	}
	if crop, ok := s.cloth.read(key); ok && crop.W > 0 {
		return shown(crop)
	}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{IDs: n.All}, Outlines: true})
	if err == nil && len(p.Photos) == 1 && side == report.ChipSide {
		p, err = s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{Photo: p.Photos[0].Hash}, Outlines: true})
	}
	if err != nil {
		return answer{}, err
	}
	crops, err := s.cloth.of(r.Context(), p.Photos, side)
	if err != nil {
		return answer{}, err
	}
	for _, p := range p.Photos {
		for _, x := range p.Pieces {
			if crop := crops[x.ID]; crop != nil && cropKey(x, side) == key {
				return shown(crop)
			}
		}
	}
	return answer{}, errNoPage(r)
}

// isKey reports whether a text has the form of a name that sumOf makes; such a text holds
// no path.
func isKey(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == 16
}

// photoPicture is a photo of the stash, made smaller.
func photoPicture(s *Server, r *http.Request) (answer, error) {
	hash := r.PathValue("key")
	key := sumOf("photo 1", hash, photoShown)
	if kept, ok := s.cloth.read(key); ok {
		return answer{file: &file{kind: "image/jpeg", data: kept.JPEG, kept: true}}, nil
	}
	p, err := s.desk.Pieces(r.Context(), desk.PiecesRequest{Which: stash.Filter{Photo: hash}, Outlines: true})
	if err != nil {
		return answer{}, err
	}
	if len(p.Photos) != 1 || p.Photos[0].Path == "" {
		return answer{}, errNoPage(r)
	}
	s.cloth.cutting.Lock()
	defer s.cloth.cutting.Unlock()
	m, err := photo.Upright(p.Photos[0].Path, photoShown)
	if err != nil {
		return answer{}, err
	}
	var b bytes.Buffer
	err = jpeg.Encode(&b, m, &jpeg.Options{Quality: photoQuality})
	if err == nil {
		err = s.cloth.write(key, report.Crop{W: m.Rect.Dx(), H: m.Rect.Dy(), JPEG: b.Bytes()})
	}
	return answer{file: &file{kind: "image/jpeg", data: b.Bytes(), kept: true}}, err
}
