package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"bucktail/qc/history"
)

// maxManifestBytes bounds the manifest: a million photos take less.
const maxManifestBytes = 256 << 20

// archive is an opened backup.
type archive struct {
	zip      *zip.Reader
	files    map[string]*zip.File
	manifest Manifest
}

// BackupError names everything that is wrong with a backup.
type BackupError struct{ Wrong []string }

// Error lists what is wrong, one line each.
func (e *BackupError) Error() string {
	return "the backup was damaged or changed:\n  " + strings.Join(e.Wrong, "\n  ")
}

func bad(format string, args ...any) error {
	return &BackupError{[]string{fmt.Sprintf(format, args...)}}
}

// IsBackup says whether a file is a backup of a record, whole or not: no other zip file of ours
// holds a database.
func IsBackup(r io.ReaderAt, size int64) bool {
	z, err := zip.NewReader(r, size)
	return err == nil && slices.ContainsFunc(z.File, func(f *zip.File) bool { return f.Name == dbName })
}

// openArchive reads a backup's table of contents and manifest and holds them against each
// other; what the files hold is not read yet.
func openArchive(r io.ReaderAt, size int64) (*archive, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, bad("it can't be read as a zip file, its end is missing or its table of contents is damaged (%v)", err)
	}
	a := &archive{zip: z, files: map[string]*zip.File{}}
	var wrong []string
	for _, f := range z.File {
		if a.files[f.Name] != nil {
			wrong = append(wrong, fmt.Sprintf("%q is in it twice", f.Name))
		}
		a.files[f.Name] = f
	}
	m := a.files[manifestName]
	if m == nil {
		return nil, bad("it holds no %s: it is not a backup, or its table of contents was changed", manifestName)
	}
	if err := a.readManifest(m); err != nil {
		return nil, bad("%s: %v", manifestName, err)
	}
	listed := map[string]bool{manifestName: true}
	for _, f := range a.manifest.Files {
		if err := saneName(f.Name); err != nil {
			wrong = append(wrong, err.Error())
		}
		if listed[f.Name] {
			wrong = append(wrong, fmt.Sprintf("%q is listed twice", f.Name))
		}
		if listed[f.Name] = true; a.files[f.Name] == nil {
			wrong = append(wrong, fmt.Sprintf("%q is listed and missing", f.Name))
		}
	}
	for name := range a.files {
		if !listed[name] {
			wrong = append(wrong, fmt.Sprintf("%q was added: it is not listed", name))
		}
	}
	if !listed[dbName] {
		wrong = append(wrong, fmt.Sprintf("%q is not listed", dbName))
	}
	if len(wrong) > 0 {
		return nil, &BackupError{wrong}
	}
	return a, nil
}

func (a *archive) readManifest(f *zip.File) error {
	r, err := f.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	b, err := io.ReadAll(io.LimitReader(r, maxManifestBytes+1))
	if err != nil {
		return err
	}
	if len(b) > maxManifestBytes {
		return errors.New("it is too large")
	}
	if err := json.Unmarshal(b, &a.manifest); err != nil {
		return err
	}
	if a.manifest.Format > manifestFormat {
		return ErrNewer
	}
	return nil
}

// saneName lets through the only names that a backup has, so that none can lead out of the
// folder that it is restored to.
func saneName(name string) error {
	if name == dbName {
		return nil
	}
	hash, ok := strings.CutPrefix(name, photosName+"/")
	if !ok || !history.IsPhotoHash(hash) {
		return fmt.Errorf("%.100q is not a name that a backup has", name)
	}
	return nil
}

// extract copies one listed file to w and holds it against the manifest.
func (a *archive) extract(ctx context.Context, m ManifestFile, w io.Writer) error {
	r, err := a.files[m.Name].Open()
	if err != nil {
		return fmt.Errorf("%q: %w", m.Name, err)
	}
	defer r.Close()
	h := sha256.New()
	// One byte more than listed, so that a file that swells is seen and not written on.
	n, err := io.Copy(io.MultiWriter(w, h), io.LimitReader(ctxReader{ctx, r}, m.Bytes+1))
	sum := hex.EncodeToString(h.Sum(nil))
	switch {
	case errors.Is(err, zip.ErrChecksum), errors.Is(err, zip.ErrFormat), errors.Is(err, io.ErrUnexpectedEOF):
		return bad("%q was changed (%v)", m.Name, err)
	case err != nil && strings.HasPrefix(err.Error(), "flate:"):
		return bad("%q was changed (%v)", m.Name, err)
	case err != nil:
		return err
	case n != m.Bytes || sum != m.SHA256:
		return bad("%q was changed: %d bytes with SHA-256 %s, the manifest says %d and %s", m.Name, n, sum, m.Bytes, m.SHA256)
	case strings.HasPrefix(m.Name, photosName+"/") && m.Name != photosName+"/"+sum:
		return bad("%q holds another photo, SHA-256 %s", m.Name, sum)
	}
	return nil
}

// VerifyBackup reads a whole backup and says what is wrong with it; a [BackupError] names it.
func VerifyBackup(ctx context.Context, r io.ReaderAt, size int64, progress Progress) (Manifest, error) {
	sealed, err := sealHolds(ctx, r, size, progress)
	if err != nil {
		return Manifest{}, err
	}
	a, err := openArchive(r, size)
	if err != nil || sealed {
		return manifestOf(a), err
	}
	// Something was changed. Find out what.
	var wrong []string
	for i, m := range a.manifest.Files {
		var be *BackupError
		if err := a.extract(ctx, m, io.Discard); errors.As(err, &be) {
			wrong = append(wrong, be.Wrong...)
		} else if err != nil {
			if ctx.Err() != nil {
				return a.manifest, err
			}
			wrong = append(wrong, err.Error())
		}
		progress.tell("looking for what was changed", int64(i+1), int64(len(a.manifest.Files)))
	}
	if len(wrong) == 0 {
		wrong = []string{"the files in it are whole, but the zip's own headers, table of contents or manifest were changed: its SHA-256 does not agree with its last 64 bytes"}
	}
	return a.manifest, &BackupError{wrong}
}

func manifestOf(a *archive) Manifest {
	if a == nil {
		return Manifest{}
	}
	return a.manifest
}

// sealHolds says whether the last 64 bytes are the SHA-256 of all before them.
func sealHolds(ctx context.Context, r io.ReaderAt, size int64, progress Progress) (bool, error) {
	if size < sealLen {
		return false, nil
	}
	h := sha256.New()
	body := ctxReader{ctx, io.NewSectionReader(r, 0, size-sealLen)}
	for done := int64(0); done < size-sealLen; {
		n, err := io.CopyN(h, body, min(8<<20, size-sealLen-done))
		if err != nil {
			return false, fmt.Errorf("read backup: %w", err)
		}
		done += n
		progress.tell("checking the backup", done, size-sealLen)
	}
	seal := make([]byte, sealLen)
	if _, err := r.ReadAt(seal, size-sealLen); err != nil && !errors.Is(err, io.EOF) {
		return false, fmt.Errorf("read backup: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)) == string(seal), nil
}
