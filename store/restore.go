package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Restore puts a backup into an empty folder, or one that is not there yet, and checks all of
// it. A damaged or changed backup is refused with a [BackupError] that names what is wrong, and
// leaves the folder empty. The restored record counts as another copy: devices that were in
// step with the old one send again what it lacks. The problems are those that the record itself
// had when it was backed up, such as a forked chain; they are kept as they were.
func Restore(ctx context.Context, r io.ReaderAt, size int64, dir string, o Options, progress Progress) (Manifest, []Problem, error) {
	if err := emptyDir(dir); err != nil {
		return Manifest{}, nil, err
	}
	m, err := VerifyBackup(ctx, r, size, progress)
	if err != nil {
		return m, nil, err
	}
	a, err := openArchive(r, size)
	if err != nil {
		return m, nil, err
	}
	if err := os.MkdirAll(filepath.Join(dir, photosName), 0o700); err != nil {
		return m, nil, explain("restore", err)
	}
	half := filepath.Join(dir, halfName)
	if err := os.WriteFile(half, nil, 0o600); err != nil {
		return m, nil, explain("restore", err)
	}
	var problems []Problem
	err = a.restoreTo(ctx, dir, progress)
	if err == nil {
		problems, err = a.settleRestored(ctx, dir, o, progress)
	}
	if err != nil {
		return m, nil, errors.Join(explain("restore", err), clearDir(dir))
	}
	if err := os.Remove(half); err != nil {
		return m, nil, explain("restore", err)
	}
	return m, problems, explain("restore", syncDir(dir))
}

func emptyDir(dir string) error {
	l, err := os.ReadDir(dir)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return explain("restore", err)
	}
	if len(l) > 0 {
		return fmt.Errorf("restore: the folder %q is not empty (%q is in it): choose an empty one, nothing there is overwritten", dir, l[0].Name())
	}
	return nil
}

func clearDir(dir string) error {
	l, err := os.ReadDir(dir)
	for _, e := range l {
		err = errors.Join(err, os.RemoveAll(filepath.Join(dir, e.Name())))
	}
	return err
}

func (a *archive) restoreTo(ctx context.Context, dir string, progress Progress) error {
	for i, m := range a.manifest.Files {
		to := filepath.Join(dir, dbName)
		mode := os.FileMode(0o600)
		if hash, ok := strings.CutPrefix(m.Name, photosName+"/"); ok {
			if err := makePhotoDirs(filepath.Join(dir, photosName), hash); err != nil {
				return err
			}
			to, mode = filepath.Join(dir, photosName, hash[:2], hash[2:4], hash), 0o400
		}
		if err := a.restoreFile(ctx, m, to, mode); err != nil {
			return err
		}
		progress.tell("restoring", int64(i+1), int64(len(a.manifest.Files)))
	}
	return nil
}

func (a *archive) restoreFile(ctx context.Context, m ManifestFile, to string, mode os.FileMode) error {
	f, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, mode)
	if err != nil {
		return err
	}
	if err := errors.Join(a.extract(ctx, m, f), f.Sync(), f.Close()); err != nil {
		return err
	}
	return syncDir(filepath.Dir(to))
}

// settleRestored checks the restored record from within and gives it a new id.
func (a *archive) settleRestored(ctx context.Context, dir string, o Options, progress Progress) ([]Problem, error) {
	s := newStore(dir, o)
	if err := s.takeLock(); err != nil {
		return nil, err
	}
	defer s.Close()
	db, err := openDB(filepath.Join(dir, dbName), false)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	s.write = db
	if err := s.migrate(ctx); err != nil {
		return nil, err
	}
	if err := s.openRead(); err != nil {
		return nil, err
	}
	problems, err := s.Check(ctx, progress)
	if err != nil {
		return nil, err
	}
	var wrong []string
	var standing []Problem
	for _, p := range problems {
		switch {
		case p.Wrong && !p.standing && !slices.Contains(a.manifest.LeftOut, p.photo):
			wrong = append(wrong, p.Text)
		default:
			standing = append(standing, p)
		}
	}
	if len(wrong) > 0 {
		return nil, &BackupError{wrong}
	}
	return standing, s.tx(ctx, "name the restored record", func(tx *sql.Tx) error {
		// A backup may have been read by others, and who has it could come in with the devices' names:
		// each is let in again by hand.
		if _, err := tx.Exec(`UPDATE device SET revoked_ms = coalesce(revoked_ms, ?)`, s.now().UnixMilli()); err != nil {
			return err
		}
		return nameAnew(tx, s.rand)
	})
}

// nameAnew makes this another copy of the record, so that phones send again what it lacks.
func nameAnew(tx *sql.Tx, rand io.Reader) error {
	id, err := newRecordID(rand)
	if err == nil {
		_, err = tx.Exec(`UPDATE meta SET value = ? WHERE key = 'record'`, id)
	}
	return err
}
