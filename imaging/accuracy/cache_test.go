//go:build !js

package accuracy

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"bucktail/imaging/synth"
)

// photoOf gives a scene's photo as the phone would have written it: from the cache, or
// rendered.
func photoOf(s *synth.Scene, cache *pictureCache) ([]byte, error) {
	name, err := cache.name(s)
	if err != nil {
		return nil, err
	}
	if photo := cache.get(name); photo != nil {
		return photo, nil
	}
	picture, _ := s.Render()
	var photo bytes.Buffer
	if err := s.Encode(&photo, picture); err != nil {
		return nil, err
	}
	cache.put(name, photo.Bytes())
	return photo.Bytes(), nil
}

// pictureCache keeps rendered photos in the user's cache folder, each named by a hash of all
// that makes it: the scene, the renderer's source, the Go version and the processor.
type pictureCache struct {
	folder string // "" where there is none: everything is rendered
	makers []byte // hash of what makes every picture
}

// keptFor is how long a photo that is no longer asked for stays.
const keptFor = 30 * 24 * time.Hour

func openCache() (*pictureCache, error) {
	h := sha256.New()
	fmt.Fprintln(h, runtime.Version(), runtime.GOARCH)
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if strings.HasPrefix(s.Key, "GOA") { // GOAMD64=v3 and the like
				fmt.Fprintln(h, s.Key, s.Value)
			}
		}
	}
	for _, pattern := range []string{"../synth/*.go", "../geom/*.go", "../card/layout*"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			return nil, fmt.Errorf("no source of the renderer at %s: %v", pattern, err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			source, err := os.ReadFile(f)
			if err != nil {
				return nil, err
			}
			fmt.Fprintln(h, f, len(source))
			h.Write(source)
		}
	}
	c := &pictureCache{makers: h.Sum(nil)}
	if dir, err := os.UserCacheDir(); err == nil {
		c.folder = filepath.Join(dir, "bucktail", "accuracy")
		if err := os.MkdirAll(c.folder, 0o755); err != nil {
			c.folder = ""
		}
	}
	c.dropOld()
	return c, nil
}

func (c *pictureCache) name(s *synth.Scene) (string, error) {
	scene, err := json.Marshal(s)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(append(scene, c.makers...))
	return filepath.Join(c.folder, hex.EncodeToString(sum[:])+".jpg"), nil
}

// get gives a kept photo, nil where there is none.
func (c *pictureCache) get(name string) []byte {
	if c.folder == "" {
		return nil
	}
	photo, err := os.ReadFile(name)
	if err != nil {
		return nil
	}
	now := time.Now()
	os.Chtimes(name, now, now) // an older time only lets it be rendered again sooner
	return photo
}

// put keeps a photo. Where that fails it is rendered again the next time.
func (c *pictureCache) put(name string, photo []byte) {
	if c.folder == "" {
		return
	}
	f, err := os.CreateTemp(c.folder, "new-*.jpg")
	if err != nil {
		return
	}
	_, err = f.Write(photo)
	if cerr := f.Close(); err != nil || cerr != nil || os.Rename(f.Name(), name) != nil {
		os.Remove(f.Name())
	}
}

func (c *pictureCache) dropOld() {
	files, err := filepath.Glob(filepath.Join(c.folder, "*.jpg"))
	if err != nil || c.folder == "" {
		return
	}
	for _, f := range files {
		if info, err := os.Stat(f); err == nil && time.Since(info.ModTime()) > keptFor {
			os.Remove(f)
		}
	}
}
