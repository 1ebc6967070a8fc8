package cli

import (
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"

	"bucktail/imaging/annotate"
	"bucktail/imaging/answer"
	"bucktail/imaging/photo"
)

// annotateTo tells where each photo's annotated copy goes; empty where none is wanted.
type annotateTo []string

// annotateTargets decides on the files. With one photo out may be a file; with several it is
// a folder. Folders must be there: one that is not is taken for a slip of the pen. No photo is ever written over, and no two
// photos may share a file.
func annotateTargets(out string, photos []string) (annotateTo, error) {
	if out == "" {
		return nil, nil
	}
	info, err := os.Stat(out)
	folder := err == nil && info.IsDir() || strings.HasSuffix(out, string(filepath.Separator))
	known := pictureWriter(out) != nil
	switch {
	case folder:
	case len(photos) == 1 && known:
		return annotateTo{out}, errors.Join(isFolder(filepath.Dir(out)), notAPhoto(out, photos))
	case len(photos) == 1 && filepath.Ext(out) != "":
		return nil, fmt.Errorf("--annotate %q: give a name that ends in .jpg or .png, or a folder", out)
	case known || err == nil:
		return nil, fmt.Errorf("--annotate %q: give a folder for %d photos", out, len(photos))
	}
	if err := isFolder(out); err != nil {
		return nil, err
	}
	var to annotateTo
	from := map[string]string{}
	for _, p := range photos {
		base := filepath.Base(p)
		if p == standardInput {
			base = "standard-input"
		}
		file := filepath.Join(out, strings.TrimSuffix(base, filepath.Ext(base))+"-annotated.jpg")
		if other, double := from[file]; double {
			return nil, fmt.Errorf("--annotate: %s and %s would both be written to %s: measure them one by one", other, p, file)
		}
		from[file] = p
		to = append(to, file)
		if err := notAPhoto(file, photos); err != nil {
			return nil, err
		}
	}
	return to, nil
}

// isFolder refuses a folder that is not there.
func isFolder(dir string) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return fmt.Errorf("--annotate: there is no folder %q: make it first, or check the name", dir)
	}
	return nil
}

// notAPhoto refuses to write over what is to be measured.
func notAPhoto(file string, photos []string) error {
	a, err := os.Stat(file)
	if err != nil {
		return nil
	}
	for _, p := range photos {
		if b, err := os.Stat(p); err == nil && os.SameFile(a, b) {
			return fmt.Errorf("--annotate %q is the photo itself: give another name", file)
		}
	}
	return nil
}

// writeAnnotated draws the answer on its photo and writes the file whole or not at all.
func writeAnnotated(file string, data []byte, doc *answer.Document, opt annotate.Options) error {
	ph, err := photo.Decode(data)
	if err != nil {
		return err
	}
	pic, err := annotate.Draw(doc, ph.Picture, opt)
	if err != nil {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(file), ".annotated-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name()) // after the renaming it is not there any more
	defer tmp.Close()
	if err := pictureWriter(file)(tmp, pic); err != nil {
		return err
	}
	// CreateTemp makes files for the user alone; a picture is like any other file.
	if err := tmp.Chmod(0o644); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), file)
}

// pictureWriter gives what writes a picture into a file of that name, nil for unknown ends.
func pictureWriter(file string) func(io.Writer, image.Image) error {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".jpg", ".jpeg":
		return func(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, &jpeg.Options{Quality: 90}) }
	case ".png":
		return png.Encode
	}
	return nil
}
