package api

import (
	"bytes"
	"context"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"mime"
	"net/http"

	"github.com/gorilla/mux"

	"bucktail/imaging/photo"
)

// Memory that work on a picture takes for each of its pixels, bytes: a progressive JPEG is
// decoded with 7.5, turning it takes 1.5 more, and a preview averages blocks of it; measuring
// keeps reduced and resampled pictures beside it, 400 MB for 12 megapixels at most.
const (
	previewBytesPerPixel = 12
	measureBytesPerPixel = 33
)

// picture is the file of a photo that waits to be decoded. It is not in memory before its turn.
type picture struct {
	io.ReadSeeker
	length int64
}

// decoded reads a picture when there is memory to decode it, and runs work with it.
func (s *Server) decoded(ctx context.Context, p picture, perPixel int64, work func(data []byte) error) error {
	head := make([]byte, min(p.length, 64<<10))
	if _, err := io.ReadFull(p, head); err != nil {
		return fmt.Errorf("read the photo: %w", err)
	}
	leave, err := s.decode.enter(ctx, decodeNeed(head, p.length, perPixel))
	if err != nil {
		return err
	}
	defer leave()
	data := make([]byte, p.length)
	if _, err := p.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("read the photo: %w", err)
	}
	if _, err := io.ReadFull(p, data); err != nil {
		return fmt.Errorf("read the photo: %w", err)
	}
	return work(data)
}

// decodeNeed says how much memory work on a picture may take, by its header. A header that is
// not whole in its first bytes (a long profile or thumbnail before it) is taken for that of the
// largest picture that is decoded.
func decodeNeed(head []byte, length, perPixel int64) int64 {
	config := jpeg.DecodeConfig
	if bytes.HasPrefix(head, []byte("\x89PNG")) {
		config = png.DecodeConfig
	}
	px := int64(photo.MaxPixels)
	if c, err := config(bytes.NewReader(head)); err == nil && c.Width > 0 && c.Height > 0 {
		px = min(px, int64(c.Width)*int64(c.Height))
	}
	return length + px*perPixel
}

func (s *Server) measureKept(w http.ResponseWriter, r *http.Request) error {
	hash := mux.Vars(r)["hash"]
	f, err := s.Store.OpenPhoto(r.Context(), hash)
	if err != nil {
		return err
	}
	defer f.Close()
	phone, err := s.Store.TakenBy(r.Context(), hash)
	if err != nil {
		return err
	}
	return s.measured(w, r, picture{f, f.Length}, phone)
}

// measure takes a photo that is not kept.
func (s *Server) measure(w http.ResponseWriter, r *http.Request) error {
	media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || media != "image/jpeg" && media != "image/png" {
		return wrongMedia.with("Content-Type is %.60q; a photo is image/jpeg or image/png", r.Header.Get("Content-Type"))
	}
	f, n, gone, err := s.spool(w, r, maxPhotoBytes)
	if err != nil {
		return err
	}
	defer gone()
	head := make([]byte, min(n, 64<<10))
	if _, err := f.ReadAt(head, 0); err != nil {
		return fmt.Errorf("read the photo again: %w", err)
	}
	if n > 0 { // an empty one is refused in words of its own
		if err := checkHead(head, media); err != nil {
			return err
		}
	}
	return s.measured(w, r, picture{f, n}, deviceOf(r).ID)
}

// measured answers with what is measured in the picture that a phone took, when its turn comes.
func (s *Server) measured(w http.ResponseWriter, r *http.Request, p picture, phone string) error {
	if s.Measure == nil {
		return nothingHere.with("this server was started without measuring")
	}
	s.longAnswer(w, maxPhotoBytes) // it may wait for others
	return s.decoded(r.Context(), p, measureBytesPerPixel, func(data []byte) error {
		v, err := s.Measure(r.Context(), data, r.URL.Query(), phone)
		if err != nil {
			return err
		}
		return send(w, http.StatusOK, v)
	})
}
