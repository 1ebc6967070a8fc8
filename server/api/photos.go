package api

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gorilla/mux"

	"bucktail/imaging/photo"
	"bucktail/qc/history"
	"bucktail/store"
)

// absurdPixels: no camera takes such a picture; a file that claims more is not one.
const absurdPixels = 500_000_000

func (s *Server) wanted(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		Photos []string `json:"photos"`
	}
	if err := s.readJSON(w, r, maxSmallBytes+1000*70, &in); err != nil {
		return err
	}
	if len(in.Photos) > 1000 {
		return badValue.with("%d photos are more than 1000", len(in.Photos))
	}
	for _, h := range in.Photos {
		if !history.IsPhotoHash(h) {
			return badValue.with("%.70q is not a SHA-256 in 64 lower case hex digits", h)
		}
	}
	missing, err := s.Store.PhotosMissing(r.Context(), in.Photos)
	if err != nil {
		return err
	}
	return send(w, http.StatusOK, map[string]any{"missing": list(missing)})
}

// putPhoto takes a photo in as it comes, straight to the disk.
func (s *Server) putPhoto(w http.ResponseWriter, r *http.Request) error {
	media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || media != "image/jpeg" && media != "image/png" {
		return wrongMedia.with("Content-Type is %.60q; a photo is image/jpeg or image/png", r.Header.Get("Content-Type"))
	}
	if r.Header.Get("Content-Encoding") != "" {
		return wrongMedia.with("a photo is sent as it is, without Content-Encoding")
	}
	switch {
	case r.ContentLength < 0:
		return noLength.with("")
	case r.ContentLength == 0:
		return otherBytes.with("the photo is empty")
	}
	if err := s.body(w, r, maxPhotoBytes); err != nil {
		return err
	}
	hash, from := mux.Vars(r)["hash"], deviceOf(r)
	if !s.shares.enter(from.ID) {
		return tooMany.with("this device sends %d things at once already", maxUploads)
	}
	defer s.shares.leave(from.ID)
	// An inspector's device brings photos of its own notes only, so that it can't fill the disk
	// with what nothing names and nobody sees.
	if from.Role == history.Inspector {
		if named, err := s.Store.PhotoNamed(r.Context(), hash); err != nil {
			return err
		} else if !named {
			return unnamed.with("")
		}
	}
	body := bufio.NewReaderSize(r.Body, 64<<10)
	head, err := body.Peek(int(min(r.ContentLength, 64<<10)))
	if errors.Is(err, io.EOF) {
		return otherBytes.with("the transfer broke off")
	} else if err != nil {
		return bodyError(err)
	}
	if err := checkHead(head, media); err != nil {
		return err
	}
	p, isNew, err := s.Store.PutPhoto(r.Context(), body, hash, r.ContentLength)
	if err != nil {
		return bodyError(err)
	}
	status := http.StatusOK
	if isNew {
		status = http.StatusCreated
	}
	return send(w, status, map[string]any{"photo": p.Hash, "bytes": p.Length})
}

// bodyError words a body that broke off.
func bodyError(err error) error {
	if errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, store.ErrMismatch) {
		return otherBytes.with("the transfer broke off")
	}
	return err
}

// checkHead holds a picture's first bytes against what it is said to be. A header that is not
// whole in them is left to whoever decodes the picture.
func checkHead(head []byte, media string) error {
	config, name := jpeg.DecodeConfig, "image/jpeg"
	switch {
	case bytes.HasPrefix(head, []byte("\xff\xd8\xff")):
	case bytes.HasPrefix(head, []byte("\x89PNG\r\n\x1a\n")):
		config, name = png.DecodeConfig, "image/png"
	default:
		return wrongMedia.with("the bytes are neither a JPEG nor a PNG")
	}
	if name != media {
		return wrongMedia.with("the bytes are %s, announced as %s", name, media)
	}
	if c, err := config(bytes.NewReader(head)); err == nil && int64(c.Width)*int64(c.Height) > absurdPixels {
		return tooLarge.with("the picture claims to have %d × %d pixels", c.Width, c.Height)
	}
	return nil
}

// getPhoto sends a photo without location data. The copy is made once and kept in the cache, so
// that slow readers hold no memory; its pixels are the original's, byte for byte.
func (s *Server) getPhoto(w http.ResponseWriter, r *http.Request) error {
	hash := mux.Vars(r)["hash"]
	p, err := s.Store.Photo(r.Context(), hash)
	if err != nil {
		return err
	}
	f, err := s.stripped(r.Context(), p)
	if err != nil {
		return err
	}
	defer f.Close()
	var digest [sha256.Size]byte
	st, err := f.Stat()
	if err == nil {
		// The digest is kept behind the picture.
		_, err = f.ReadAt(digest[:], st.Size()-sha256.Size)
	}
	if err != nil {
		return fmt.Errorf("read the copy of photo %s: %w", hash, err)
	}
	size := st.Size() - sha256.Size
	s.longAnswer(w, size)
	h := w.Header()
	immutable(h, hash+"-s1")
	h.Set("Content-Type", p.Media)
	h.Set("Repr-Digest", "sha-256=:"+base64.StdEncoding.EncodeToString(digest[:])+":")
	to := &rangeWriter{ResponseWriter: w}
	http.ServeContent(to, r, "", time.Time{}, io.NewSectionReader(f, 0, size))
	if to.refused {
		return badRange.with("it has %d bytes", size)
	}
	return nil
}

// rangeWriter holds net/http's own words for a range that is not there back, for a problem in
// ours.
type rangeWriter struct {
	http.ResponseWriter
	refused bool
}

func (w *rangeWriter) WriteHeader(status int) {
	if w.refused = status == http.StatusRequestedRangeNotSatisfiable; !w.refused {
		w.ResponseWriter.WriteHeader(status)
	}
}

func (w *rangeWriter) Write(b []byte) (int, error) {
	if w.refused {
		return len(b), nil
	}
	return w.ResponseWriter.Write(b)
}

// immutable lets the browser keep what never changes. Others on the way may not.
func immutable(h http.Header, tag string) {
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	h.Set("ETag", `"`+tag+`"`)
}

// longAnswer gives the time that a slow but honest phone needs for so many bytes.
func (s *Server) longAnswer(w http.ResponseWriter, size int64) {
	need := 2*time.Minute + time.Duration(size/s.pace.slowest)*time.Second
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(need))
}

// stripped opens the copy of a photo without location data, with its SHA-256 behind it.
func (s *Server) stripped(ctx context.Context, p store.Photo) (*os.File, error) {
	name := filepath.Join(s.CacheDir, p.Hash)
	if f, err := os.Open(name); err == nil {
		return f, nil
	}
	select {
	case s.stripping <- struct{}{}:
		defer func() { <-s.stripping }()
	case <-ctx.Done():
		return nil, stopping.with("")
	}
	if f, err := os.Open(name); err == nil { // made meanwhile
		return f, nil
	}
	orig, err := s.Store.OpenPhoto(ctx, p.Hash)
	if err != nil {
		return nil, err
	}
	defer orig.Close()
	data := make([]byte, orig.Length)
	if _, err := io.ReadFull(orig, data); err != nil {
		return nil, fmt.Errorf("read photo %s: %w", p.Hash, err)
	}
	clean, err := photo.StripLocation(data)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(clean)
	f, err := os.CreateTemp(filepath.Join(s.CacheDir, "in"), "copy-")
	if err != nil {
		return nil, fmt.Errorf("make a copy of photo %s: %w", p.Hash, err)
	}
	_, err = f.Write(clean)
	if err == nil {
		_, err = f.Write(sum[:])
	}
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		f.Close()
		os.Remove(f.Name())
		return nil, fmt.Errorf("make a copy of photo %s: %w", p.Hash, err)
	}
	return f, nil
}

func (s *Server) preview(w http.ResponseWriter, r *http.Request) error {
	hash := mux.Vars(r)["hash"]
	var sides []string
	for _, n := range store.PreviewSizes {
		sides = append(sides, strconv.Itoa(n))
	}
	slices.Reverse(sides)
	sides[0], sides[1] = sides[1], sides[0] // the middle one is the usual one
	v, err := oneOf(r, "side", sides...)
	if err != nil {
		return err
	}
	side, _ := strconv.Atoi(v)
	crop, tag := image.Rectangle{}, hash+"-"+v
	if c := r.URL.Query().Get("crop"); c != "" {
		if crop, err = cropOf(c); err != nil {
			return err
		}
		tag += "-" + strings.ReplaceAll(c, ",", "-")
	}
	p, err := s.Store.Photo(r.Context(), hash)
	if err != nil {
		return err
	}
	h := w.Header()
	if match := r.Header.Get("If-None-Match"); match == `"`+tag+`"` { // before anything is decoded
		immutable(h, tag)
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	var b []byte
	if crop.Empty() {
		b, err = s.Store.Preview(r.Context(), hash, side, func(f io.ReadSeeker, maxPx int) ([]byte, error) {
			return s.small(r.Context(), picture{f, p.Length}, image.Rectangle{}, maxPx)
		})
	} else {
		var f *store.PhotoFile
		if f, err = s.Store.OpenPhoto(r.Context(), hash); err == nil {
			b, err = s.small(r.Context(), picture{f, f.Length}, crop, side)
			f.Close()
		}
	}
	if err != nil {
		return err
	}
	immutable(h, tag)
	h.Set("Content-Type", "image/jpeg")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
	return nil
}

// cropOf reads "x,y,w,h".
func cropOf(v string) (image.Rectangle, error) {
	var n [4]int
	fields := strings.Split(v, ",")
	ok := len(fields) == 4
	for i := 0; ok && i < 4; i++ {
		var err error
		n[i], err = strconv.Atoi(fields[i])
		ok = err == nil && n[i] >= 0 && n[i] < 1_000_000
	}
	if !ok || n[2] < 1 || n[3] < 1 {
		return image.Rectangle{}, badValue.with("crop is %.60q, not x,y,w,h in whole pixels", v)
	}
	return image.Rect(n[0], n[1], n[0]+n[2], n[1]+n[3]), nil
}

// small decodes a photo when its turn comes and makes a small JPEG of it, or of a part.
func (s *Server) small(ctx context.Context, pic picture, crop image.Rectangle, side int) ([]byte, error) {
	var b bytes.Buffer
	err := s.decoded(ctx, pic, previewBytesPerPixel, func(data []byte) error {
		p, err := photo.Decode(data)
		if err != nil {
			return err
		}
		var img image.Image
		if crop.Empty() {
			img = photo.Preview(p.Picture, side)
		} else if img = photo.Crop(p.Picture, crop, side); img.Bounds().Empty() {
			return badValue.with("crop lies outside the photo's %d × %d pixels", p.Width, p.Height)
		}
		return jpeg.Encode(&b, img, &jpeg.Options{Quality: 85})
	})
	return b.Bytes(), err
}
