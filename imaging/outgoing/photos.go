package outgoing

import (
	"context"
	"sync"

	"bucktail/imaging/photo"
	"bucktail/imaging/raster"
)

// keepDecoded bounds the pixels of the decoded photos that are held besides the latest, bytes:
// four of 12 megapixels as phones write them. Several findings are of one photo, and a page
// shows the photos of a location's attempts.
const keepDecoded = 72 << 20

// photos holds decoded photos. Its zero value is empty and ready; it may be used by several
// goroutines, and each photo is then decoded by one of them while the others wait.
type photos struct {
	mu   sync.Mutex
	last []*decodedPhoto // the latest used at the end
}

type decodedPhoto struct {
	hash  string
	ready chan struct{} // closed when the rest is set
	bytes int
	photo *photo.Photo
	err   error
}

// get gives a photo upright.
func (p *photos) get(ctx context.Context, hash string, read func(context.Context, string) ([]byte, error)) (*photo.Photo, error) {
	p.mu.Lock()
	for i, d := range p.last {
		if d.hash == hash {
			p.last = append(append(p.last[:i:i], p.last[i+1:]...), d)
			p.mu.Unlock()
			select {
			case <-d.ready:
				return d.photo, d.err
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}
	}
	p.letGo()
	d := &decodedPhoto{hash: hash, ready: make(chan struct{})}
	p.last = append(p.last, d)
	p.mu.Unlock()

	pic, err := decode(ctx, hash, read)
	p.mu.Lock()
	if d.photo, d.err = pic, err; pic != nil {
		d.bytes = size(pic.Picture)
	}
	p.mu.Unlock()
	close(d.ready)
	return pic, err
}

// letGo drops the oldest before the next takes their room.
func (p *photos) letGo() {
	held := 0
	for i := len(p.last) - 1; i >= 0; i-- {
		if held += p.last[i].bytes; held > keepDecoded {
			p.last = append([]*decodedPhoto(nil), p.last[i+1:]...)
			return
		}
	}
}

func decode(ctx context.Context, hash string, read func(context.Context, string) ([]byte, error)) (*photo.Photo, error) {
	data, err := read(ctx, hash)
	if err != nil {
		return nil, err
	}
	return photo.Decode(data)
}

// size is what a picture takes, bytes.
func size(p *raster.Picture) int {
	n := len(p.Y.Pix)
	for _, g := range []*raster.Grey{p.Cb, p.Cr} {
		if g != nil {
			n += len(g.Pix)
		}
	}
	return n
}
