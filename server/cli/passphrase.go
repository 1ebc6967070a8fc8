package cli

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"filippo.io/age"
	"golang.org/x/term"
)

// A backup with a passphrase is the same zip file within an age file, so that a copy may lie in a
// folder that others keep: the passphrase goes through scrypt, and any program that reads
// age-encryption.org/v1 opens it.
var sealedHead = []byte("age-encryption.org/v1\n")

// askPassphrase reads one line: unseen from a terminal, or what is piped in.
func askPassphrase(c console, again bool) (string, error) {
	in, ok := c.in.(*os.File)
	if !ok || !term.IsTerminal(int(in.Fd())) {
		line, err := bufio.NewReader(c.in).ReadString('\n')
		if line = strings.TrimRight(line, "\r\n"); line == "" {
			return "", errors.Join(errors.New("no passphrase: type it at the terminal, or pipe one line in"), ignoreEOF(err))
		}
		return line, nil
	}
	ask := func(what string) (string, error) {
		fmt.Fprint(c.err, what)
		b, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(c.err)
		return string(b), err
	}
	first, err := ask("Passphrase: ")
	if err != nil {
		return "", fmt.Errorf("read the passphrase: %w", err)
	}
	if first == "" {
		return "", errors.New("an empty passphrase keeps nobody out")
	}
	if again {
		second, err := ask("The same again: ")
		if err != nil {
			return "", fmt.Errorf("read the passphrase: %w", err)
		}
		if second != first {
			return "", errors.New("these were two different passphrases")
		}
	}
	return first, nil
}

func ignoreEOF(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// scryptLogN is how much work a passphrase costs whoever guesses one: a second, as the format's own
// program takes. The tests guess less dearly.
var scryptLogN = 18

// sealing encrypts what is written to it; it has to be closed.
func sealing(w io.Writer, passphrase string) (io.WriteCloser, error) {
	to, err := age.NewScryptRecipient(passphrase)
	if err != nil {
		return nil, err
	}
	to.SetWorkFactor(scryptLogN)
	return age.Encrypt(w, to)
}

// opened gives a zip file as it is, or decrypted into a file that is gone when done is called.
func opened(c console, name string) (r io.ReaderAt, size int64, done func(), err error) {
	if r, size, done, err = openZip(c, name); err != nil {
		return nil, 0, nil, err
	}
	head := make([]byte, len(sealedHead))
	if n, _ := r.ReadAt(head, 0); !bytes.Equal(head[:n], sealedHead) {
		return r, size, done, nil
	}
	defer done()
	if name == standardInput {
		return nil, 0, nil, errors.New("a backup with a passphrase has to be a file: the passphrase is read where it would be piped in")
	}
	passphrase, err := askPassphrase(c, false)
	if err != nil {
		return nil, 0, nil, err
	}
	id, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return nil, 0, nil, err
	}
	plain, err := age.Decrypt(io.NewSectionReader(r, 0, size), id)
	if err != nil {
		return nil, 0, nil, fmt.Errorf("%s does not open: another passphrase, or it was changed: %w", name, err)
	}
	f, err := os.CreateTemp("", "bucktail-")
	if err != nil {
		return nil, 0, nil, err
	}
	gone := func() {
		f.Close()
		os.Remove(f.Name())
	}
	if size, err = io.Copy(f, plain); err != nil {
		gone()
		return nil, 0, nil, fmt.Errorf("%s was changed or is cut off: %w", name, err)
	}
	return f, size, gone, nil
}
