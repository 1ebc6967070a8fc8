package store

import (
	"bytes"
	"database/sql"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

var benchFindings = flag.Int("findings", 0, "size of the largest record in the benchmarks; 0: 10,000, or what make bench says")

// A record of n findings: three for each location, a hundred locations on each part, one small
// photo for each location. 60,000 findings are 200 parts, 20,000 locations, 20,000 photos.
const (
	findingsEach  = 3
	locationsEach = 100
)

type benchRecord struct {
	s      *Store
	dir    string
	d      *histtest.Device
	author *writer
	places []histtest.Place
}

var benchRecords struct {
	sync.Mutex
	made map[int]*benchRecord
}

func recordOf(b *testing.B, findings int) *benchRecord {
	benchRecords.Lock()
	defer benchRecords.Unlock()
	if r := benchRecords.made[findings]; r != nil {
		return r
	}
	dir, err := makeBenchDir()
	if err != nil {
		b.Fatal(err)
	}
	s, err := Open(dir, options())
	if err != nil {
		b.Fatal(err)
	}
	r := &benchRecord{s: s, dir: dir, d: histtest.NewDevice(1, "Ines K.", history.Builder)}
	r.author = newWriter(s, 2)
	r.fill(b, findings)
	if benchRecords.made == nil {
		benchRecords.made = map[int]*benchRecord{}
	}
	benchRecords.made[findings] = r
	return r
}

func (r *benchRecord) fill(b *testing.B, findings int) {
	var pending []history.Entry
	var photos [][]byte
	flush := func(least int) {
		if len(pending) >= least {
			// Straight into the tables: these were parsed a moment ago.
			if err := r.s.tx(ctx, "fill", func(tx *sql.Tx) error { return r.s.put(ctx, tx, pending, make([]Result, len(pending))) }); err != nil {
				b.Fatal(err)
			}
			pending = pending[:0]
		}
	}
	write := func(d history.Draft) history.Entry {
		e := r.d.Put(d)
		r.d.Wrote = r.d.Wrote[:0]
		pending = append(pending, e)
		return e
	}
	at := histtest.Place{}
	at.Project = write(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}}).ID
	spec := histtest.ShopHead()
	for n := 0; n < findings; n += findingsEach {
		loc := n / findingsEach
		if loc%locationsEach == 0 {
			at = histtest.Place{Project: at.Project}
			at.Part = write(at.Draft(history.KindPart, history.PartData{Name: fmt.Sprintf("Gusset %d", loc/locationsEach+1), Spec: &spec})).ID
		}
		at.Location = ""
		at.Location = write(at.Draft(history.KindLocation, history.LocationData{Tag: fmt.Sprintf("R%d", loc%locationsEach+1), Pin: &history.Pin{X: 0.5, Y: 0.5}})).ID
		r.places = append(r.places, at)
		photo := fmt.Appendf(nil, "\xff\xd8\xff small photo %d", loc)
		hash := histtest.PhotoHash(photo)
		photos = append(photos, photo)
		shot := write(at.Draft(history.KindShot, histtest.Shot(photo, "", at.Location))).ID
		// A hole, a first rivet that is out for one location in ten, a rivet that is within.
		write(at.Draft(history.KindFinding, histtest.HoleFinding(shot, hash, 4.86)))
		width := 7.4
		if loc%10 == 0 {
			width = 6.0
		}
		write(at.Draft(history.KindFinding, histtest.HeadFinding(shot, hash, width, 12)))
		write(at.Draft(history.KindFinding, histtest.HeadFinding(shot, hash, width, 12)))
		flush(500)
	}
	flush(1)
	r.placePhotos(b, photos)
}

// placePhotos puts photos in place without synchronising each, which for 20,000 takes long and
// shows nothing; BenchmarkPutPhoto100kB does it as it is done.
func (r *benchRecord) placePhotos(b *testing.B, photos [][]byte) {
	tx := must(r.s.write.Begin())
	for _, p := range photos {
		h := histtest.PhotoHash(p)
		if err := os.MkdirAll(filepath.Dir(r.s.photoPath(h)), 0o700); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(r.s.photoPath(h), p, 0o400); err != nil {
			b.Fatal(err)
		}
		must(tx.Exec(`INSERT INTO photo (hash, length, media, received_ms) VALUES (?, ?, 'image/jpeg', 0)`, h, len(p)))
		must(tx.Exec(`DELETE FROM wanted_photo WHERE hash = ?`, h))
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
}

func benchSizes() []int {
	most := *benchFindings
	if most == 0 {
		most = 10_000
	}
	var out []int
	for _, n := range []int{1000, 10_000, 60_000} {
		if n <= most {
			out = append(out, n)
		}
	}
	return out
}

func eachSize(b *testing.B, do func(b *testing.B, r *benchRecord, i int)) {
	for _, n := range benchSizes() {
		r := recordOf(b, n)
		b.Run(fmt.Sprintf("findings=%d", n), func(b *testing.B) {
			i := 0
			for b.Loop() {
				do(b, r, i)
				i++
			}
		})
	}
}

// somewhere jumps about in the record, so that no answer is the last one again.
func (r *benchRecord) somewhere(i int) histtest.Place { return r.places[(i*7919)%len(r.places)] }

func BenchmarkOpen(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		s, err := OpenReadOnly(r.dir, options())
		if err != nil {
			b.Fatal(err)
		}
		must(s.Projects(ctx))
		s.Close()
	})
}

// A part's view: the part, its counts, its hundred locations.
func BenchmarkPartView(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		p := r.somewhere(i).Part
		must(r.s.Part(ctx, p))
		if n := len(must(r.s.Locations(ctx, p))); n == 0 {
			b.Fatal("no locations")
		}
	})
}

func BenchmarkPartsList(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) { must(r.s.Parts(ctx, "")) })
}

func BenchmarkLocationHistory(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		if n := len(must(r.s.History(ctx, history.Subject{Of: history.OfLocation, ID: r.somewhere(i).Location}))); n < 5 {
			b.Fatalf("%d entries", n)
		}
	})
}

// The first screen of the work list.
func BenchmarkWorkList50(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		if n := len(must(r.s.WorkList(ctx, WorkFilter{Limit: 50}))); n < 30 {
			b.Fatalf("%d items", n)
		}
	})
}

func BenchmarkSignOffs(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) { must(r.s.Concerning(ctx, r.somewhere(i).Part)) })
}

// One entry, synchronised to the disk before it is acknowledged.
func BenchmarkAppendNote(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		must(r.author.put(r.somewhere(i).Draft(history.KindNote, history.NoteData{Text: "looked at"})))
	})
}

// newLocation makes a location that nothing was found at yet, so that the benchmarks of writing
// do not pile a thousand findings onto one.
func (r *benchRecord) newLocation(i int) histtest.Place {
	at := r.somewhere(i)
	at.Location = ""
	at.Location = must(r.author.put(at.Draft(history.KindLocation, history.LocationData{Tag: "X"}))).ID
	return at
}

func BenchmarkAppendFinding(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		b.StopTimer()
		at := r.newLocation(i)
		b.StartTimer()
		must(r.author.put(at.Draft(history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 12))))
	})
}

// A hundred findings from a phone, at ten locations, in one transaction; the figure is for all
// of them.
func BenchmarkPut100Findings(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		b.StopTimer()
		raws := make([][]byte, 100)
		var at histtest.Place
		for j := range raws {
			if j%10 == 0 {
				at = r.newLocation(i*10 + j/10)
			}
			raws[j] = r.d.Put(at.Draft(history.KindFinding, histtest.HeadFinding("", histtest.PhotoHash(nil), 7.4, 12))).Bytes()
		}
		b.StartTimer()
		must(r.s.PutEntries(ctx, all, raws))
	})
}

func BenchmarkPutPhoto100kB(b *testing.B) {
	eachSize(b, func(b *testing.B, r *benchRecord, i int) {
		b.StopTimer()
		p := picture(uint64(i)<<4|uint64(len(r.places)&15), 100_000)
		p = append(p, fmt.Sprint(i, len(r.places))...)
		h := histtest.PhotoHash(p)
		b.StartTimer()
		if _, _, err := r.s.PutPhoto(ctx, bytes.NewReader(p), h, int64(len(p))); err != nil {
			b.Fatal(err)
		}
	})
}
