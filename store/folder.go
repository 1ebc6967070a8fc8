package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// refuseForeign lets through a folder that is not there, an empty one, one that holds a record,
// and one in which making a record broke off before its database was there.
func refuseForeign(dir string) error {
	l, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return explain("open data folder", err)
	}
	strange := ""
	for _, e := range l {
		switch name := e.Name(); {
		case name == dbName, name == halfName:
			return nil
		case name == lockName && e.Type().IsRegular(), (name == photosName || name == previewsName) && noFiles(filepath.Join(dir, name)):
		default:
			strange = name
		}
	}
	if strange != "" {
		return fmt.Errorf("open data folder %q: %w (%q is in it)", dir, ErrForeign, strange)
	}
	return nil
}

// noFiles says whether there is nothing but folders in a folder.
func noFiles(dir string) bool {
	err := filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			err = fs.ErrExist
		}
		return err
	})
	return err == nil
}

// makePrivate makes the folders of a record, and keeps what is in them from other users of the
// machine, whatever permissions were there.
func makePrivate(dir string) error {
	for _, d := range []string{dir, filepath.Join(dir, photosName), filepath.Join(dir, previewsName)} {
		if err := os.MkdirAll(d, 0o700); err != nil {
			return err
		}
		if err := chmod(d, 0o700); err != nil {
			return err
		}
	}
	for _, f := range []string{dbName, dbName + "-wal", dbName + "-shm", lockName, laptopName} {
		if err := chmod(filepath.Join(dir, f), 0o600); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, d := range []string{photosName, previewsName} {
		if err := filepath.WalkDir(filepath.Join(dir, d), privateEntry); err != nil {
			return err
		}
	}
	return nil
}

// privateEntry takes from others what they may do with a file or folder. One that is gone by now is
// another process's, which has the record open and is told of by the lock.
func privateEntry(path string, d fs.DirEntry, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil || d.Type()&fs.ModeSymlink != 0 {
		return err
	}
	info, err := d.Info()
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil || info.Mode().Perm()&0o077 == 0 {
		return err
	}
	return chmod(path, info.Mode().Perm()&0o700)
}

// privateFile makes a file that is not there yet: SQLite would let others read it. The files
// beside it take its permissions.
func privateFile(name string) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// chmod does nothing where the file system has no permissions, as on most memory sticks.
func chmod(name string, mode fs.FileMode) error {
	if err := os.Chmod(name, mode); !errors.Is(err, fs.ErrPermission) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}
