package outgoing

import (
	"context"
	"errors"
	"sync"

	"bucktail/imaging/photo"
	"bucktail/qc/report"
)

// keepOpen bounds the photos that are held besides the latest, bytes: of 12 megapixels as phones
// write them, four; one of those that must be decoded as a whole. Several findings are of one
// photo, and a page shows the photos of a location's attempts.
const keepOpen = 32 << 20

// photos holds photos that were opened. Its zero value is empty and ready; it may be used by
// several goroutines, and each photo is then opened by one of them while the others wait.
type photos struct {
	mu   sync.Mutex
	last []*openPhoto // the latest used at the end
}

type openPhoto struct {
	hash  string
	ready chan struct{} // closed when the rest is set
	bytes int
	shown
	err error
}

// shown is what there is to show of a photo.
type shown struct {
	*photo.Source
	smaller bool // it is a preview of the photo
}

// shown gives a photo, or its preview.
func (m *Maker) shown(ctx context.Context, hash string) (shown, error) {
	return m.photos.get(ctx, hash, func() (shown, error) {
		data, err := m.Photo(ctx, hash)
		smaller := false
		if errors.Is(err, report.ErrNoPhoto) && m.Preview != nil {
			if small, no := m.Preview(ctx, hash); no == nil {
				data, err, smaller = small, nil, true
			}
		}
		if err != nil {
			return shown{}, err
		}
		p, err := photo.Open(data)
		return shown{p, smaller}, err
	})
}

// get gives what open gives for this photo.
func (p *photos) get(ctx context.Context, hash string, open func() (shown, error)) (shown, error) {
	p.mu.Lock()
	for i, d := range p.last {
		if d.hash == hash {
			p.last = append(append(p.last[:i:i], p.last[i+1:]...), d)
			p.mu.Unlock()
			select {
			case <-d.ready:
				return d.shown, d.err
			case <-ctx.Done():
				return shown{}, ctx.Err()
			}
		}
	}
	p.letGo()
	d := &openPhoto{hash: hash, ready: make(chan struct{})}
	p.last = append(p.last, d)
	p.mu.Unlock()

	pic, err := open()
	p.mu.Lock()
	if d.shown, d.err = pic, err; err == nil {
		d.bytes = pic.Bytes()
	}
	p.mu.Unlock()
	close(d.ready)
	return pic, err
}

// letGo drops the oldest before the next takes their room.
func (p *photos) letGo() {
	held := 0
	for i := len(p.last) - 1; i >= 0; i-- {
		if held += p.last[i].bytes; held > keepOpen {
			p.last = append([]*openPhoto(nil), p.last[i+1:]...)
			return
		}
	}
}
