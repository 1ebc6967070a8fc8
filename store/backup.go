package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/mattn/go-sqlite3"
)

// A backup is a zip file:
//
//	bucktail.db       the database as it stood at one moment
//	photos/HASH       every photo, named by its SHA-256
//	manifest.json     Manifest: what is in it, with hashes
//
// Its comment, the last 64 bytes, is the SHA-256 in hex of all bytes before it, so that any
// change shows, also one in the zip's own headers.

const (
	manifestName   = "manifest.json"
	manifestFormat = 1
	sealLen        = 2 * sha256.Size
)

// Manifest lists what a backup holds.
type Manifest struct {
	Format  int            `json:"format"`
	Record  string         `json:"record"` // which copy of the record it was taken from
	MadeAt  time.Time      `json:"made_at"`
	Entries int64          `json:"entries"`
	Files   []ManifestFile `json:"files"`
	// LeftOut names photos whose files were damaged or gone when the backup was made.
	LeftOut []string `json:"left_out,omitempty"`
	// Damaged says what was wrong with the record when the backup was made: it then holds all
	// entries that were whole, and no others.
	Damaged []string `json:"damaged,omitempty"`
}

// ManifestFile is one file of a backup.
type ManifestFile struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Backup writes a backup of the record as it stands now, while others may go on writing. The
// copy of the database lies in tempDir meanwhile. Photos that are damaged are left out and
// named in the manifest; of a damaged database the whole entries are saved, and the manifest says
// what was wrong.
func (s *Store) Backup(ctx context.Context, w io.Writer, tempDir string, progress Progress) (Manifest, error) {
	m := Manifest{Format: manifestFormat, Record: s.ID(), MadeAt: s.now().UTC()}
	tmp, err := os.MkdirTemp(tempDir, "bucktail-backup-")
	if err != nil {
		return m, explain("back up", err)
	}
	defer os.RemoveAll(tmp)
	copyName := filepath.Join(tmp, dbName)
	if m.Damaged, err = s.soundCopy(ctx, copyName, progress); err != nil {
		return m, explain("back up database", err)
	}
	m.Damaged = append(m.Damaged, s.wrong...)
	db, err := openDB(copyName, true)
	if err != nil {
		return m, err
	}
	defer db.Close()
	if err := db.QueryRow(`SELECT count(*) FROM entry`).Scan(&m.Entries); err != nil {
		return m, explain("back up database", err)
	}
	seal := newSealer(w)
	z := zip.NewWriter(seal)
	if err := z.SetComment(string(make([]byte, sealLen))); err != nil {
		return m, err
	}
	b := backup{Store: s, ctx: ctx, zip: z, manifest: &m, progress: progress}
	if err := b.database(copyName); err != nil {
		return m, explain("back up database", err)
	}
	if err := b.photos(db); err != nil {
		return m, explain("back up photos", err)
	}
	if err := b.finish(); err != nil {
		return m, explain("back up", err)
	}
	return m, explain("back up", seal.finish())
}

type backup struct {
	*Store
	ctx      context.Context
	zip      *zip.Writer
	manifest *Manifest
	progress Progress
}

// copyDB takes a copy of the database by SQLite's online backup. The source holds one read
// transaction, so that the copy is of one moment and does not start again when others write.
func (s *Store) copyDB(ctx context.Context, name string, progress Progress) error {
	to, err := sql.Open(driverName, "file:"+filepath.ToSlash(name))
	if err != nil {
		return err
	}
	defer to.Close()
	dst, err := to.Conn(ctx)
	if err != nil {
		return err
	}
	defer dst.Close()
	src, err := s.read.Conn(ctx)
	if err != nil {
		return err
	}
	defer src.Close()
	if _, err := src.ExecContext(ctx, `BEGIN`); err != nil {
		return err
	}
	defer src.ExecContext(context.WithoutCancel(ctx), `ROLLBACK`)
	var one int
	if err := src.QueryRowContext(ctx, `SELECT count(*) FROM meta`).Scan(&one); err != nil {
		return err
	}
	return dst.Raw(func(d any) error {
		return src.Raw(func(r any) error {
			b, err := d.(*sqlite3.SQLiteConn).Backup("main", r.(*sqlite3.SQLiteConn), "main")
			if err != nil {
				return err
			}
			for {
				done, err := b.Step(1024)
				if err == nil {
					err = ctx.Err()
				}
				if done || err != nil {
					return errors.Join(err, b.Finish())
				}
				progress.tell("database", int64(b.PageCount()-b.Remaining()), int64(b.PageCount()))
			}
		})
	})
}

func (b *backup) database(name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	return b.add(dbName, zip.Deflate, f, "")
}

// photos adds every photo that the copied database knows.
func (b *backup) photos(db *sql.DB) error {
	var of, done int64
	if err := db.QueryRow(`SELECT coalesce(sum(length), 0) FROM photo`).Scan(&of); err != nil {
		return err
	}
	rows, err := db.Query(`SELECT hash, length FROM photo ORDER BY hash`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var hash string
		var length int64
		if err := rows.Scan(&hash, &length); err != nil {
			return err
		}
		if err := b.photo(hash, length); err != nil {
			return err
		}
		done += length
		b.progress.tell("photos", done, of)
	}
	return rows.Err()
}

func (b *backup) photo(hash string, length int64) error {
	if err := b.verify(b.ctx, hash, length); err != nil {
		if ctxErr := b.ctx.Err(); ctxErr != nil {
			return ctxErr
		}
		b.manifest.LeftOut = append(b.manifest.LeftOut, hash)
		return nil
	}
	f, err := os.Open(b.photoPath(hash))
	if err != nil {
		return err
	}
	defer f.Close()
	return b.add(photosName+"/"+hash, zip.Store, f, hash)
}

// add streams one file into the zip and lists it; want is its hash where it is known.
func (b *backup) add(name string, method uint16, r io.Reader, want string) error {
	w, err := b.zip.CreateHeader(&zip.FileHeader{Name: name, Method: method, Modified: b.manifest.MadeAt})
	if err != nil {
		return err
	}
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(w, h), ctxReader{b.ctx, r})
	if err != nil {
		return err
	}
	sum := hex.EncodeToString(h.Sum(nil))
	if want != "" && sum != want {
		return fmt.Errorf("photo %s changed while it was read: %w", want, ErrDamaged)
	}
	b.manifest.Files = append(b.manifest.Files, ManifestFile{name, n, sum})
	return nil
}

func (b *backup) finish() error {
	w, err := b.zip.CreateHeader(&zip.FileHeader{Name: manifestName, Method: zip.Deflate, Modified: b.manifest.MadeAt})
	if err != nil {
		return err
	}
	j, err := json.MarshalIndent(b.manifest, "", " ")
	if err != nil {
		return err
	}
	if _, err := w.Write(append(j, '\n')); err != nil {
		return err
	}
	return b.zip.Close()
}

// sealer passes bytes on and puts their SHA-256 in place of the last 64 of them.
type sealer struct {
	w    io.Writer
	h    hash.Hash
	tail []byte
}

func newSealer(w io.Writer) *sealer { return &sealer{w: w, h: sha256.New()} }

func (s *sealer) Write(p []byte) (int, error) {
	s.tail = append(s.tail, p...)
	if n := len(s.tail) - sealLen; n > 0 {
		s.h.Write(s.tail[:n])
		if _, err := s.w.Write(s.tail[:n]); err != nil {
			return 0, err
		}
		s.tail = append(s.tail[:0], s.tail[n:]...)
	}
	return len(p), nil
}

func (s *sealer) finish() error {
	_, err := io.WriteString(s.w, hex.EncodeToString(s.h.Sum(nil)))
	return err
}
