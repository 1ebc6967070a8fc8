package store

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bucktail/qc"
	"bucktail/qc/history"
)

// MaxPhotoBytes bounds one photo: a PNG of 50 megapixels stays below it.
const MaxPhotoBytes = 256 << 20

// Photo is what is known of a kept photo.
type Photo struct {
	Hash   string `json:"hash"` // SHA-256, hex
	Length int64  `json:"length"`
	Media  string `json:"media"` // by its first bytes: image/jpeg, image/png, or application/octet-stream
}

// photoPath is where a photo lies; the hash must have been checked.
func (s *Store) photoPath(hash string) string {
	return filepath.Join(s.dir, photosName, hash[:2], hash[2:4], hash)
}

// PutPhoto keeps a photo that is announced with its hash and length. It is streamed to the
// disk, never whole in memory. When there is no error the photo is on the disk under that
// hash. [ErrMismatch] means that other bytes came. A photo that is here already is not
// read from r again, unless the copy here is damaged: then it is replaced by the good one.
func (s *Store) PutPhoto(ctx context.Context, r io.Reader, hash string, length int64) (p Photo, isNew bool, err error) {
	if !history.IsPhotoHash(hash) {
		return p, false, &qc.Refusal{Code: "bad-hash", Text: fmt.Sprintf("%.70q is not a SHA-256 in 64 lower case hex digits", hash), Do: "send the photo under its hash"}
	}
	if length <= 0 || length > MaxPhotoBytes {
		return p, false, &qc.Refusal{Code: "photo-size", Text: fmt.Sprintf("a photo of %d bytes is not between 1 and %d", length, MaxPhotoBytes), Do: "send a smaller photo"}
	}
	if s.write == nil {
		return p, false, fmt.Errorf("keep photo: %w", ErrReadOnly)
	}
	if p, err = s.Photo(ctx, hash); err == nil && p.Length == length && s.verify(ctx, hash, length) == nil {
		return p, false, nil
	}
	if p, err = s.writePhoto(ctx, r, hash, length); err != nil {
		return p, false, explain("keep photo", err)
	}
	isNew, err = s.acknowledge(ctx, p)
	return p, isNew, err
}

// acknowledge writes the row of a photo that lies in its place.
func (s *Store) acknowledge(ctx context.Context, p Photo) (isNew bool, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err = s.tx(ctx, "keep photo", func(tx *sql.Tx) error {
		res, err := tx.Exec(`INSERT INTO photo (hash, length, media, received_ms) SELECT ?1, ?2, ?3, ?4 WHERE NOT EXISTS (SELECT 1 FROM photo WHERE hash = ?1)`, p.Hash, p.Length, p.Media, s.now().UnixMilli())
		if err != nil {
			return err
		}
		n, err := res.RowsAffected()
		isNew = n > 0
		if err == nil {
			_, err = tx.Exec(`DELETE FROM wanted_photo WHERE hash = ?`, p.Hash)
		}
		return err
	})
	return isNew, err
}

// writePhoto brings the bytes to their place: a temporary name, synchronised, renamed, the
// folders synchronised. After a power cut there is the whole photo or none.
func (s *Store) writePhoto(ctx context.Context, r io.Reader, hash string, length int64) (Photo, error) {
	f, err := s.createTemp(filepath.Join(s.dir, photosName, incomingName), "photo-")
	if err != nil {
		return Photo{}, err
	}
	defer os.Remove(f.Name()) // gone already when all went well
	defer f.Close()
	br := bufio.NewReader(io.LimitReader(ctxReader{ctx, r}, length+1))
	first, err := br.Peek(8)
	if err != nil && !errors.Is(err, io.EOF) {
		return Photo{}, err
	}
	p := Photo{Hash: hash, Length: length, Media: mediaOf(first)}
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(f, h), br)
	switch got := hex.EncodeToString(h.Sum(nil)); {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return Photo{}, fmt.Errorf("%w: the transfer broke off after %d of %d bytes", ErrMismatch, n, length)
	case err != nil:
		return Photo{}, err
	case n > length:
		return Photo{}, fmt.Errorf("%w: more than the %d bytes announced", ErrMismatch, length)
	case n < length:
		return Photo{}, fmt.Errorf("%w: %d bytes instead of %d", ErrMismatch, n, length)
	case got != hash:
		return Photo{}, fmt.Errorf("%w: they have SHA-256 %s instead of %s", ErrMismatch, got, hash)
	}
	if err := errors.Join(f.Chmod(0o400), f.Sync(), f.Close()); err != nil {
		return Photo{}, err
	}
	to := s.photoPath(hash)
	if err := makePhotoDirs(filepath.Join(s.dir, photosName), hash); err != nil {
		return Photo{}, err
	}
	if err := os.Rename(f.Name(), to); err != nil {
		return Photo{}, err
	}
	return p, syncDir(filepath.Dir(to))
}

// makePhotoDirs makes the two folders of a photo so that they last.
func makePhotoDirs(root, hash string) error {
	for _, d := range []string{filepath.Join(root, hash[:2]), filepath.Join(root, hash[:2], hash[2:4])} {
		if err := os.Mkdir(d, 0o700); errors.Is(err, os.ErrExist) {
			continue
		} else if err != nil {
			return err
		}
		if err := syncDir(filepath.Dir(d)); err != nil {
			return err
		}
	}
	return nil
}

func mediaOf(first []byte) string {
	switch {
	case bytes.HasPrefix(first, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case bytes.HasPrefix(first, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	}
	return "application/octet-stream"
}

// mediaOfFile looks at the first bytes of a photo's file.
func (s *Store) mediaOfFile(hash string) string {
	f, err := os.Open(s.photoPath(hash))
	if err != nil {
		return ""
	}
	defer f.Close()
	var first [8]byte
	n, _ := io.ReadFull(f, first[:])
	return mediaOf(first[:n])
}

// Photo says what is known of a photo without reading it; [ErrNotFound] when it is not here.
func (s *Store) Photo(ctx context.Context, hash string) (Photo, error) {
	p := Photo{Hash: hash}
	err := s.read.QueryRowContext(ctx, `SELECT length, media FROM photo WHERE hash = ?`, hash).Scan(&p.Length, &p.Media)
	return p, explain("find photo", err)
}

// PhotoNamed says whether an entry names a photo that has not come, or whether it is here already.
func (s *Store) PhotoNamed(ctx context.Context, hash string) (named bool, err error) {
	err = s.read.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM wanted_photo WHERE hash = ?1) OR EXISTS (SELECT 1 FROM photo WHERE hash = ?1)`, hash).Scan(&named)
	return named, explain("look for a photo", err)
}

// PhotoFile is an open photo; it must be closed.
type PhotoFile struct {
	*os.File
	Photo
}

// PhotoError says why a photo that is in the record can't be had.
type PhotoError struct {
	Hash string
	Why  error
}

// Error names the photo too.
func (e *PhotoError) Error() string { return fmt.Sprintf("open photo %s: %v", e.Hash, e.Why) }

// Unwrap gives the reason alone.
func (e *PhotoError) Unwrap() error { return e.Why }

// OpenPhoto opens a photo whose bytes have been held against its hash. [ErrNotFound]: it is not
// here. [ErrDamaged], in a [PhotoError]: it is, but its file is gone or was changed.
func (s *Store) OpenPhoto(ctx context.Context, hash string) (*PhotoFile, error) {
	p, err := s.Photo(ctx, hash)
	if err != nil {
		return nil, err
	}
	f, err := os.Open(s.photoPath(p.Hash))
	if errors.Is(err, os.ErrNotExist) { // no word of this machine's folders: a bundle says why a photo is missing
		return nil, &PhotoError{hash, fmt.Errorf("%w: the file is gone", ErrDamaged)}
	} else if err != nil {
		return nil, &PhotoError{hash, fmt.Errorf("%w: %w", ErrDamaged, err)}
	}
	if err := sameBytes(ctx, f, hash, p.Length); err != nil {
		f.Close()
		return nil, &PhotoError{hash, err}
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		f.Close()
		return nil, explain("open photo", err)
	}
	return &PhotoFile{f, p}, nil
}

// verify holds a photo's file against its hash.
func (s *Store) verify(ctx context.Context, hash string, length int64) error {
	f, err := os.Open(s.photoPath(hash))
	if errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("%w: the file is gone", ErrDamaged)
	} else if err != nil {
		return err
	}
	defer f.Close()
	return sameBytes(ctx, f, hash, length)
}

func sameBytes(ctx context.Context, r io.Reader, hash string, length int64) error {
	h := sha256.New()
	n, err := io.Copy(h, ctxReader{ctx, r})
	if err != nil {
		return err
	}
	if n != length {
		return fmt.Errorf("%w: the file has %d bytes instead of %d", ErrDamaged, n, length)
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != hash {
		return fmt.Errorf("%w: the file was changed, its SHA-256 is %s", ErrDamaged, got)
	}
	return nil
}

// ctxReader ends reading with the context.
type ctxReader struct {
	ctx context.Context
	r   io.Reader
}

func (c ctxReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(b)
}
