package report

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
)

// tables makes the tables anew from the entries and holds them against those in the bundle,
// so that a table can't be changed along with its sum; and looks whether all photos that the
// entries name are there or named as missing.
func (c *checker) tables() {
	if c.m == nil || !c.trusted || c.state == nil || c.damaged[entriesFile] || !c.v.Whole() {
		return
	}
	for _, e := range c.m.Entries {
		if !e.Came.IsZero() {
			c.state.CameIn(e.ID, e.Came)
		}
	}
	rec, err := Build(c.state, c.m.Scope, c.m.Made)
	if err != nil {
		c.v.add(Broken, manifestFile, "", "the manifest names what is not in the entries: %v", err)
		return
	}
	c.photos(rec)
	if c.m.Tables != tablesVersion {
		c.v.Notes = append(c.v.Notes, "the tables were made by another version and were not compared with the entries")
		return
	}
	for _, t := range []struct {
		name string
		make func(io.Writer) error
	}{
		{csvFile, func(w io.Writer) error { return WriteCSV(w, rec, c.m.Units) }},
		{recordFile, func(w io.Writer) error { return WriteJSON(w, rec) }},
	} {
		var b bytes.Buffer
		have, err := c.read(t.name, maxOneFile)
		if e := t.make(&b); e != nil || err != nil {
			continue // told already
		}
		if !bytes.Equal(have, b.Bytes()) {
			c.v.add(Changed, t.name, "", "%s does not say what the entries say", t.name)
		}
	}
}

// photos holds the copies against what the entries of the scope name, and the manifest's list of
// them against the files.
func (c *checker) photos(rec *Record) {
	wanted, here := map[string]bool{}, map[string]bool{}
	for _, h := range photosOf(c.state.Entries(), rec) {
		wanted[h] = true
	}
	sums := map[string]string{}
	for _, f := range c.m.Files {
		h := photoName(f.Name)
		if sums[f.Name] = f.SHA256; h == "" {
			continue
		}
		switch {
		case !wanted[h]:
			c.v.add(Added, f.Name, "", "%s was added: no entry of what was exported names it", what(f.Name))
		case here[h]:
			c.v.add(Added, f.Name, "", "%s was added: the photo is there twice", what(f.Name))
		}
		here[h] = true
	}
	for _, p := range c.m.Photos {
		if photoName(p.Name) != p.Original || sums[p.Name] != p.SHA256 {
			c.v.add(Changed, p.Name, "", "%s is not as the manifest's list of photos says", what(p.Name))
		}
	}
	c.copies(sums)
	if n := len(c.m.Missing); n > 0 {
		c.v.Notes = append(c.v.Notes, plural(n, "photo was", "photos were")+" not there when the bundle was made")
	}
	const named = 20
	for i, p := range c.m.Missing {
		if here[p.Original] = true; i < named {
			c.v.Notes = append(c.v.Notes, fmt.Sprintf("photo %s: %s", quoted(p.Original), quoted(p.Why)))
		}
	}
	for _, h := range slices.Sorted(maps.Keys(wanted)) {
		if !here[h] {
			c.v.add(LeftOut, photoFolder+h, "", "photo %s is named by the entries and was left out", h)
		}
	}
}

// copies holds the copies against those that the entries name: one put in another's place is found
// so, whatever the lists say.
// sums are those of the files, by name.
func (c *checker) copies(sums map[string]string) {
	names := map[string]string{} // of the copies here, by the original's sum
	for name := range sums {
		if h := photoName(name); h != "" {
			names[h] = name
		}
	}
	told, unnamed := map[string]bool{}, maps.Clone(names)
	for _, e := range c.state.Entries() {
		for original, copied := range e.Copies() {
			delete(unnamed, original)
			name, here := names[original]
			if here && sums[name] != copied && !told[original] {
				told[original] = true
				c.v.add(Changed, name, e.ID, "%s is another picture than the one that entry %s names: it was changed, or put in its place", what(name), e.ID)
			}
		}
	}
	if n := len(unnamed); n > 0 {
		c.v.Notes = append(c.v.Notes, plural(n, "photo's copy is", "photos' copies are")+" unchecked: named in no entry, from before devices named them, and held by the lists of sums alone")
	}
}

// unmade notes what is held by the lists of sums alone.
func (c *checker) unmade() {
	if c.files[reportFile] != nil && !c.damaged[reportFile] {
		c.v.Notes = append(c.v.Notes, "report.pdf is unchecked, it is not made anew here: whoever rewrites it and both lists of sums is found by the SHA-256 of SHA256SUMS alone; what counts stands in the entries")
	}
}

// texts notes where the texts that ship with the program are not this version's.
func (c *checker) texts() {
	for _, t := range []struct {
		name string
		own  []byte
	}{{formatFile, FormatText}, {schemaFile, Schema}} {
		if have, err := c.read(t.name, maxManifest); err == nil && !c.damaged[t.name] && !bytes.Equal(have, t.own) {
			c.v.Notes = append(c.v.Notes, t.name+" is not this program's: the bundle was made by another version, or it was changed together with its sums")
		}
	}
}

// container makes the zip file anew from its files and holds it against the bundle byte by
// byte: what is between the files, and no file's content, is found so.
func (c *checker) container(r io.ReaderAt, size int64) {
	for _, f := range c.zip.File {
		if f.Method != zip.Store {
			c.v.add(Broken, "", "", "the zip file was packed anew by another program; the files in it are whole")
			return
		}
	}
	cw := &compareWriter{r: r}
	z := zip.NewWriter(cw)
	for _, f := range c.zip.File {
		cw.at = f.Name
		rd, err := c.open(f, maxOneFile)
		if err != nil {
			return
		}
		data, err := io.ReadAll(rd)
		rd.Close()
		if err != nil && !errors.Is(err, zip.ErrChecksum) {
			return
		}
		if err := storeFile(z, f.Name, data); err != nil {
			break
		}
		if err := z.Flush(); err != nil {
			break
		}
	}
	cw.at = ""
	if cw.differs == 0 {
		_ = z.Close()
	}
	switch {
	case cw.differs > 0:
		where := "in its list of files"
		if cw.where != "" {
			where = "at the head of " + what(cw.where)
		}
		c.v.add(Changed, "", "", "byte %d of the zip file was changed, %s; the files in it are whole", cw.differs, where)
	case cw.n != size:
		c.v.add(Added, "", "", "%s stand behind the end of the zip file", plural(int(size-cw.n), "byte", "bytes"))
	}
}

// compareWriter holds what is written against what is there.
type compareWriter struct {
	r         io.ReaderAt
	n         int64
	at, where string
	differs   int64 // number of the first other byte, from 1; 0: none
}

var errDiffers = fmt.Errorf("differs")

func (w *compareWriter) Write(p []byte) (int, error) {
	have := make([]byte, len(p))
	n, _ := w.r.ReadAt(have, w.n)
	for i := range p {
		if i >= n || have[i] != p[i] {
			if w.differs == 0 {
				w.differs, w.where = w.n+int64(i)+1, w.at
			}
			return 0, errDiffers
		}
	}
	w.n += int64(len(p))
	return len(p), nil
}
