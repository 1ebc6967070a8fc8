package store

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"bucktail/qc"
)

// PreviewSizes are the sizes that previews come in: the longest side in pixels.
var PreviewSizes = []int{160, 480, 1600}

// PreviewMaker makes a small upright JPEG, without any EXIF data, whose longest side is at
// most maxPx. This package never looks into a photo.
type PreviewMaker func(photo io.ReadSeeker, maxPx int) ([]byte, error)

// Preview gives a small JPEG of a photo, from the cache if it is there. One is made at a time,
// because decoding a large photo takes much memory.
func (s *Store) Preview(ctx context.Context, hash string, maxPx int, maker PreviewMaker) ([]byte, error) {
	if !slices.Contains(PreviewSizes, maxPx) {
		return nil, &qc.Refusal{Code: "preview-size", Text: fmt.Sprintf("there is no preview of %d pixels", maxPx), Do: fmt.Sprintf("ask for one of %v", PreviewSizes)}
	}
	if _, err := s.Photo(ctx, hash); err != nil { // also keeps strange names out of the path
		return nil, err
	}
	name := filepath.Join(s.dir, previewsName, fmt.Sprintf("%s-%d.jpg", hash, maxPx))
	if b, err := os.ReadFile(name); err == nil && whole(b) {
		return b, nil
	}
	select {
	case s.preview <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { <-s.preview }()
	if b, err := os.ReadFile(name); err == nil && whole(b) { // somebody else made it meanwhile
		return b, nil
	}
	f, err := s.OpenPhoto(ctx, hash)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := maker(f, maxPx)
	if err != nil {
		return nil, fmt.Errorf("make preview of photo %s: %w", hash, err)
	}
	s.cachePreview(name, b)
	return b, nil
}

// cachePreview keeps a preview if it can: without room on the disk there is no cache, and that
// is all.
func (s *Store) cachePreview(name string, b []byte) {
	f, err := os.CreateTemp(filepath.Dir(name), "preview-")
	if err != nil {
		return
	}
	_, err = f.Write(b)
	if cerr := f.Close(); err != nil || cerr != nil || os.Rename(f.Name(), name) != nil {
		os.Remove(f.Name())
	}
}

// whole says whether a cached JPEG has its beginning and its end: the cache is not
// synchronised, and a power cut can leave a part.
func whole(b []byte) bool {
	return bytes.HasPrefix(b, []byte{0xff, 0xd8}) && bytes.HasSuffix(b, []byte{0xff, 0xd9})
}
