package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// standardInput is the file name that means what is piped in.
const standardInput = "-"

// openZip opens a zip file, whose end is read first; what is piped in is written to a file that
// is gone when done is called.
func openZip(c console, name string) (r io.ReaderAt, size int64, done func(), err error) {
	if name != standardInput {
		return openFile(name)
	}
	f, err := os.CreateTemp("", "bucktail-")
	if err != nil {
		return nil, 0, nil, err
	}
	done = func() {
		f.Close()
		os.Remove(f.Name())
	}
	if size, err = io.Copy(f, c.in); err != nil {
		done()
		return nil, 0, nil, fmt.Errorf("read standard input: %w", err)
	}
	return f, size, done, nil
}

func openFile(name string) (r io.ReaderAt, size int64, done func(), err error) {
	f, err := os.Open(name)
	if errors.Is(err, os.ErrNotExist) {
		return nil, 0, nil, fmt.Errorf("there is no file %q: check the name", name)
	}
	if err != nil {
		return nil, 0, nil, err
	}
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		err = fmt.Errorf("%q is a folder: name the zip file", name)
	}
	if err != nil {
		return nil, 0, nil, errors.Join(err, f.Close())
	}
	return f, info.Size(), func() { f.Close() }, nil
}
