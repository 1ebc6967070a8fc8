package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"

	"bucktail/store"
)

// recordFlags is [parseFlags] for a command that works on the record, in the folder data.
func recordFlags(c console, f *flag.FlagSet, usage string, args []string, files int) (data string, status int, done bool) {
	f.StringVar(&data, "data", "", "`FOLDER` of the record (default: BUCKTAIL_DATA, else the user's data folder)")
	if status, done = parseFlags(c, f, usage, args, files); done {
		return "", status, true
	}
	if data == "" {
		dir, err := defaultDataDir()
		if err != nil {
			return "", fail(c, err), true
		}
		data = dir
	}
	return data, 0, false
}

// fail says what went wrong.
func fail(c console, err error) int {
	fmt.Fprintln(c.err, "bucktail:", err)
	return 1
}

func backup(c console, args []string) int {
	f := newFlags("backup")
	secret := f.Bool("passphrase", false, "ask for a passphrase (or read a line of standard input): without it nobody reads the file")
	data, status, done := recordFlags(c, f, "backup [--data FOLDER] [--passphrase] FILE\n\nSaves the whole record, photos too, into one zip file. The server may run meanwhile. "+
		"With a passphrase the file is encrypted, in the form of age: call it FILE.zip.age, and keep the passphrase elsewhere.", args, 1)
	if done {
		return status
	}
	passphrase := ""
	if *secret {
		var err error
		if passphrase, err = askPassphrase(c, true); err != nil {
			return fail(c, err)
		}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	m, err := backupTo(ctx, c, data, f.Arg(0), passphrase)
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: %s\n", f.Arg(0), amount(m))
	for _, d := range m.Damaged {
		fmt.Fprintf(c.err, "bucktail: the record is damaged: %s\n", d)
	}
	if len(m.Damaged) > 0 {
		fmt.Fprintln(c.err, "bucktail: the backup holds all that is whole and says so; bucktail restore takes it")
	}
	for _, h := range m.LeftOut {
		fmt.Fprintf(c.err, "bucktail: photo %s is damaged or gone and is not in the backup; bucktail check says more\n", h)
	}
	if len(m.LeftOut)+len(m.Damaged) > 0 {
		return 1
	}
	return 0
}

// amount says how much a backup holds: "412 entries, 1 photo".
func amount(m store.Manifest) string {
	entries, photos := "entries", "photos"
	if m.Entries == 1 {
		entries = "entry"
	}
	n := len(m.Files) - 1 // the other one is the database
	if n == 1 {
		photos = "photo"
	}
	return fmt.Sprintf("%d %s, %d %s", m.Entries, entries, n, photos)
}

// backupTo writes under a temporary name beside the file, so that a backup is whole or not there;
// with a passphrase, encrypted.
func backupTo(ctx context.Context, c console, data, name, passphrase string) (m store.Manifest, err error) {
	if _, err := os.Stat(name); err == nil {
		return m, fmt.Errorf("%q is there already: choose another name, a backup is never overwritten", name)
	}
	dir := filepath.Dir(name)
	s, err := store.OpenReadOnly(data, store.Options{})
	if errors.Is(err, store.ErrDamaged) {
		s, _, err = store.OpenDamaged(ctx, data, dir, store.Options{}, nil)
	}
	if err != nil {
		return m, err
	}
	defer s.Close()
	out, err := os.CreateTemp(dir, filepath.Base(name)+".part-")
	if err != nil {
		return m, fmt.Errorf("backup: %w", err)
	}
	defer os.Remove(out.Name()) // gone already when all went well
	defer out.Close()
	progress, wipe := bar(c.err)
	defer wipe()
	to := io.WriteCloser(out)
	if passphrase != "" {
		if to, err = sealing(out, passphrase); err != nil {
			return m, err
		}
	}
	if m, err = s.Backup(ctx, to, dir, progress); err != nil {
		return m, err
	}
	if passphrase != "" {
		if err := to.Close(); err != nil {
			return m, fmt.Errorf("backup: %w", err)
		}
	}
	if err := errors.Join(out.Sync(), out.Close()); err != nil {
		return m, fmt.Errorf("backup: %w", err)
	}
	// Link fails where the name has been taken meanwhile; where there are no links, rename.
	if err := os.Link(out.Name(), name); err != nil {
		if err := os.Rename(out.Name(), name); err != nil {
			return m, fmt.Errorf("backup: %w", err)
		}
	}
	return m, nil
}
