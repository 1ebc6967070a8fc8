package store

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"bucktail/qc/history"
)

// sweepPhotos looks for photos that lie in their place and that no row knows: a power cut came
// between the two. A whole one is taken in, since nobody else may have it any more; what is not
// what its name says goes. Files of other names are left alone, [Store.Check] names them.
func (s *Store) sweepPhotos(ctx context.Context) error {
	root := filepath.Join(s.dir, photosName)
	known, err := texts(s.read.QueryContext(ctx, `SELECT hash FROM photo`))
	if err != nil {
		return err
	}
	rows := make(map[string]bool, len(known))
	for _, h := range known {
		rows[h] = true
	}
	return filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		hash := d.Name()
		if err != nil || d.IsDir() || rows[hash] || !history.IsPhotoHash(hash) || path != s.photoPath(hash) {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		if err := s.verify(ctx, hash, info.Size()); errors.Is(err, ErrDamaged) {
			return os.Remove(path)
		} else if err != nil {
			return err
		}
		_, err = s.acknowledge(ctx, Photo{hash, info.Size(), s.mediaOfFile(hash)})
		return err
	})
}
