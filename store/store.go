// Package store keeps the record on disk: entries in one SQLite file, photos beside it in
// files named by their SHA-256. It adds nothing to what the entries say; what they add up to
// is computed by package history and kept in tables for quick reading, which can be made
// again at any time.
//
// What a call has acknowledged is on the disk: the database is synchronised at every commit,
// a photo is synchronised, renamed and its folder synchronised before its row is written.
// Start with [Open], [Store.PutEntries] and [Store.PutPhoto].
//
// The data folder:
//
//	bucktail.db           entries and what they add up to (and SQLite's -wal and -shm)
//	photos/ab/cd/abcd…    photos, by the SHA-256 of their bytes
//	photos/bucktail-incoming/  photos on their way in; emptied at each start
//	previews/             small pictures, a cache that can be thrown away
//	laptop-key.json       the key with which the laptop signs its own entries
//	lock                  held by the one process that writes
package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofrs/flock"
	"github.com/mattn/go-sqlite3"

	"bucktail/qc/history"
)

// Names in the data folder.
const (
	dbName       = "bucktail.db"
	photosName   = "photos"
	incomingName = "bucktail-incoming"
	previewsName = "previews"
	lockName     = "lock"
	halfName     = "restore-unfinished"
)

// Options set up a store.
type Options struct {
	Now  func() time.Time // nil: time.Now
	Rand io.Reader        // for new ids; nil: crypto/rand
}

// Store is an open data folder. Its methods may be called from several goroutines.
type Store struct {
	dir   string
	file  string   // of the database
	temp  string   // a folder to remove at the end
	wrong []string // with the record that this one was got out of, see OpenDamaged
	now   func() time.Time
	rand  io.Reader
	lock  *flock.Flock // nil when read-only
	write *sql.DB      // one connection; nil when read-only
	read  *sql.DB
	id    atomic.Value // a string: of this copy of the record, see cursor.go

	mu      sync.Mutex // one writer at a time, also for what a transaction must not interleave with
	preview chan struct{}
	laptop  laptop // who enters what the laptop itself says; when open for writing
	latest  string // the greatest id that tells a time: at opening, then of the laptop's own and of what is handed in
	named   bool   // anew since it was opened, see lostItsEnd
	idle    checkpoints

	createTemp func(dir, pattern string) (incomingFile, error) // os.CreateTemp, but in tests of a full disk
}

// incomingFile is what is needed of a file that a photo is written to.
type incomingFile interface {
	io.WriteCloser
	Name() string
	Chmod(fs.FileMode) error
	Sync() error
}

func osCreateTemp(dir, pattern string) (incomingFile, error) { return os.CreateTemp(dir, pattern) }

// Open opens a data folder for reading and writing and makes it if it is not there. A second
// process on the same folder gets [ErrInUse], a folder that holds something else [ErrForeign].
func Open(dir string, o Options) (*Store, error) {
	if err := refuseForeign(dir); err != nil {
		return nil, err
	}
	s := newStore(dir, o)
	if err := makePrivate(dir); err != nil {
		return nil, explain("make data folder", err)
	}
	if err := s.takeLock(); err != nil {
		return nil, err
	}
	if err := s.open(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// OpenReadOnly opens a data folder for reading, also while another process writes to it.
func OpenReadOnly(dir string, o Options) (*Store, error) {
	s := newStore(dir, o)
	if _, err := os.Stat(filepath.Join(dir, dbName)); err != nil {
		return nil, fmt.Errorf("open data folder %q: no %s there: %w", dir, dbName, ErrNotFound)
	}
	err := refuseHalf(dir)
	if err == nil {
		err = s.openRead()
	}
	if err == nil {
		err = s.checkVersion()
	}
	var se sqlite3.Error
	if errors.As(err, &se) && slices.Contains([]sqlite3.ErrNo{sqlite3.ErrCantOpen, sqlite3.ErrReadonly, sqlite3.ErrPerm, sqlite3.ErrIoErr}, se.Code) {
		// SQLite keeps a small file beside a database that it reads; on a disk that can't be written
		// to it reads a copy.
		if err = s.readCopy(); err == nil {
			err = s.checkVersion()
		}
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func newStore(dir string, o Options) *Store {
	s := &Store{dir: dir, file: filepath.Join(dir, dbName), now: o.Now, rand: o.Rand, preview: make(chan struct{}, 1), createTemp: osCreateTemp}
	if s.now == nil {
		s.now = time.Now
	}
	if s.rand == nil {
		s.rand = rand.Reader
	}
	return s
}

// readCopy opens a copy of the database in a temporary folder; photos are read where they are.
func (s *Store) readCopy() error {
	if s.read != nil {
		if err := s.read.Close(); err != nil {
			return err
		}
	}
	tmp, err := os.MkdirTemp("", "bucktail-read-")
	if err != nil {
		return explain("read from a disk that can't be written to", err)
	}
	s.temp = tmp
	for _, end := range []string{"", "-wal"} {
		if err := copyFile(filepath.Join(tmp, dbName)+end, s.file+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return explain("read from a disk that can't be written to", err)
		}
	}
	s.file = filepath.Join(tmp, dbName)
	return s.openRead()
}

// Dir is the data folder.
func (s *Store) Dir() string { return s.dir }

func refuseHalf(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, halfName)); err == nil {
		return fmt.Errorf("open data folder %q: a backup was being restored here and did not finish: empty the folder and restore again: %w", dir, ErrDamaged)
	}
	return nil
}

func (s *Store) takeLock() error {
	name := filepath.Join(s.dir, lockName)
	l := flock.New(name, flock.SetPermissions(0o600))
	ok, err := l.TryLock()
	if err != nil {
		return explain("lock data folder", err)
	}
	if !ok {
		who, _ := os.ReadFile(name) // on some systems a locked file can't be read
		if w := strings.TrimSpace(string(who)); w != "" {
			return fmt.Errorf("%w: process %s has %q open; stop it first, or choose another folder", ErrInUse, w, s.dir)
		}
		return fmt.Errorf("%w: another process has %q open; stop it first, or choose another folder", ErrInUse, s.dir)
	}
	s.lock = l
	// The number only helps to word the error above.
	_ = os.WriteFile(name, fmt.Appendf(nil, "%d\n", os.Getpid()), 0o600)
	return nil
}

func (s *Store) open() error {
	if err := refuseHalf(s.dir); err != nil {
		return err
	}
	incoming := filepath.Join(s.dir, photosName, incomingName)
	if err := os.RemoveAll(incoming); err != nil { // what a power cut left half written
		return explain("clear incoming photos", err)
	}
	if err := os.MkdirAll(incoming, 0o700); err != nil {
		return explain("make data folder", err)
	}
	if err := privateFile(s.file); err != nil {
		return explain("make record", err)
	}
	db, err := openDB(s.file, false)
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	s.write = db
	if err := s.migrate(context.Background()); err != nil {
		return err
	}
	if err := s.openRead(); err != nil {
		return err
	}
	if err := s.openLaptop(); err != nil {
		return err
	}
	if err := s.read.QueryRow(`SELECT coalesce(max(id), '') FROM entry WHERE id < ?`, history.NoTime).Scan(&s.latest); err != nil {
		return explain("read the latest entry", err)
	}
	if err := s.sweepPhotos(context.Background()); err != nil {
		return explain("look through the photos", err)
	}
	s.checkpoint() // what an earlier process left in the log
	return nil
}

func (s *Store) openRead() error {
	db, err := openDB(s.file, true)
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(4)
	s.read = db
	return s.readID(db)
}

func (s *Store) readID(db *sql.DB) error {
	var id string
	if err := db.QueryRow(`SELECT value FROM meta WHERE key = 'record'`).Scan(&id); err != nil {
		return explain("open record", err)
	}
	s.id.Store(id)
	return nil
}

// Close closes the store.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.idle.stop()
	if s.write != nil {
		s.checkpoint() // where another process reads, closing leaves it undone
	}
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	if s.temp != "" {
		errs = append(errs, os.RemoveAll(s.temp))
	}
	if s.lock != nil {
		errs = append(errs, s.lock.Close())
	}
	return errors.Join(errs...)
}

// tx runs f in one write transaction. When it returns nil, what f did is on the disk.
func (s *Store) tx(ctx context.Context, doing string, f func(*sql.Tx) error) error {
	if s.write == nil {
		return fmt.Errorf("%s: %w", doing, ErrReadOnly)
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return explain(doing, err)
	}
	if err := f(tx); err != nil {
		return explain(doing, errors.Join(err, ignoreDone(tx.Rollback())))
	}
	if err := tx.Commit(); err != nil {
		return explain(doing, err)
	}
	s.idle.after(s.checkpoint)
	return nil
}

// ignoreDone: SQLite ends a transaction by itself on some errors, a full disk among them.
func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) || err != nil && strings.Contains(err.Error(), "no transaction is active") {
		return nil
	}
	return err
}

// syncDir makes a rename in a folder last.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, fs.ErrInvalid) || errors.Is(err, fs.ErrPermission) {
		err = nil // some systems can't synchronise a folder and need not
	}
	return errors.Join(err, d.Close())
}
