package store

import (
	"database/sql"
	"errors"
	"fmt"
	"syscall"

	"github.com/mattn/go-sqlite3"
)

// Errors to be told apart by the caller.
var (
	// ErrFull: nothing that was acknowledged is lost; what was being written is not kept.
	ErrFull = errors.New("the disk is full: make room and try again; what was acknowledged before is safe")
	// ErrInUse: another process has the data folder open for writing.
	ErrInUse = errors.New("the data folder is in use")
	// ErrDamaged: the data can't be read as it was written. `bucktail check` says more.
	ErrDamaged = errors.New("the data is damaged")
	// ErrNotFound: there is no such thing.
	ErrNotFound = errors.New("not found")
	// ErrNewer: the data was written by a newer version of the program.
	ErrNewer = errors.New("the data was written by a newer version of bucktail: use that version")
	// ErrMismatch: bytes are not those of the hash or length that they were announced with.
	ErrMismatch = errors.New("the bytes are not the ones that were announced")
	// ErrForeign: the folder holds something, and that is no record.
	ErrForeign = errors.New("the folder is not empty and holds no Bucktail record: choose an empty one, or one that is not there yet")
	// ErrReadOnly: the store was opened for reading.
	ErrReadOnly = errors.New("the data folder was opened for reading only")
)

// explain says what was being done and turns the errors of SQLite and of the file system into
// ours where they are to be told apart.
func explain(doing string, err error) error {
	if err == nil {
		return nil
	}
	var se sqlite3.Error
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return fmt.Errorf("%s: %w", doing, ErrNotFound)
	case errors.As(err, &se) && se.Code == sqlite3.ErrFull, errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return fmt.Errorf("%s: %w (%w)", doing, ErrFull, err)
	case errors.As(err, &se) && (se.Code == sqlite3.ErrCorrupt || se.Code == sqlite3.ErrNotADB):
		return fmt.Errorf("%s: %w (%w)", doing, ErrDamaged, err)
	}
	return fmt.Errorf("%s: %w", doing, err)
}
