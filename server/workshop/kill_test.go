package workshop

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"bucktail/qc/history"
)

// The server is killed at random moments while phones send. Whatever got a 2xx is there
// afterwards, and what the phones send again is not doubled. BUCKTAIL_KILLS sets how often.
func TestKilledServerKeepsWhatItAcknowledged(t *testing.T) {
	if testing.Short() {
		t.Skip("takes half a minute")
	}
	kills := 8
	if v, err := strconv.Atoi(os.Getenv("BUCKTAIL_KILLS")); err == nil {
		kills = v
	}
	o := options(t)
	o.TLSAddr = "localhost:" + strings.TrimPrefix(o.TLSAddr, "127.0.0.1:")
	p := startProcess(t, o)
	owner := joined(t, p, p.link)
	project := owner.make(t, history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	if err := owner.push([]history.Entry{project}); err != nil {
		t.Fatal(err)
	}
	type phone struct {
		*member
		outbox []history.Entry // made and not acknowledged yet
		kept   []string        // hashes of acknowledged entries
		photos []string        // acknowledged ones
		sent   uint64
	}
	var phones []*phone
	for range 3 {
		phones = append(phones, &phone{member: owner.invite(t, p)})
	}
	// A kill comes after some acknowledgements and not after a time, in which a busy machine may have
	// done nothing.
	acked := make(chan bool)
	// work sends one photo and some entries after another until the server is gone.
	work := func(i int, ph *phone, enough <-chan bool) {
		told := func() {
			select {
			case acked <- true:
			case <-enough:
			}
		}
		for {
			ph.sent++
			data, hash := photoOf(t, 160, 120, uint64(i)<<32|ph.sent)
			if ph.put(data, hash) != nil {
				return
			}
			ph.photos = append(ph.photos, hash)
			told()
			for n := range 3 {
				ph.outbox = append(ph.outbox, ph.make(t, history.Draft{Kind: history.KindNote, Project: project.ID,
					Data: history.NoteData{Text: fmt.Sprintf("note %d", n), Photos: []string{hash}}}))
			}
			if ph.push(ph.outbox) != nil {
				return
			}
			for _, e := range ph.outbox {
				ph.kept = append(ph.kept, e.Hash().String())
			}
			ph.outbox = nil
			told()
		}
	}
	check := func() {
		t.Helper()
		have := owner.pull(t)
		for i, ph := range phones {
			for _, h := range ph.kept {
				if !have[h] {
					t.Fatalf("phone %d: entry %s was acknowledged and is gone", i, h)
				}
			}
			var v struct{ Missing []string }
			for from := 0; from < len(ph.photos); from += 500 {
				body, _ := json.Marshal(map[string]any{"photos": ph.photos[from:min(from+500, len(ph.photos))]})
				status, answer, err := owner.send("POST", "/api/photos/wanted", "application/json", body)
				if err == nil {
					err = json.Unmarshal(answer, &v)
				}
				if err != nil || status != 200 || len(v.Missing) > 0 {
					t.Fatalf("phone %d: %d %v; photos acknowledged and gone: %v", i, status, err, v.Missing)
				}
			}
		}
	}
	for n := range kills {
		var wg sync.WaitGroup
		enough, gone := make(chan bool), make(chan bool)
		for i, ph := range phones {
			wg.Go(func() { work(i, ph, enough) })
		}
		go func() {
			wg.Wait()
			close(gone)
		}()
		for range 1 + rand.IntN(12) {
			select {
			case <-acked:
			case <-gone:
				t.Fatal("no phone sends any more")
			}
		}
		close(enough)
		time.Sleep(time.Duration(rand.IntN(30)) * time.Millisecond)
		p.kill()
		wg.Wait()
		p = startProcess(t, o)
		for _, ph := range phones {
			ph.CloseIdleConnections()
		}
		owner.CloseIdleConnections()
		if n%4 == 3 {
			check()
		}
	}
	for i, ph := range phones { // what was cut off is sent again
		if len(ph.outbox) > 0 {
			if err := ph.push(ph.outbox); err != nil {
				t.Errorf("phone %d, again: %v", i, err)
			}
			for _, e := range ph.outbox {
				ph.kept = append(ph.kept, e.Hash().String())
			}
			ph.outbox = nil
		}
	}
	check()
	total, photos := 1, 0
	for i, ph := range phones {
		total += len(ph.kept)
		photos += len(ph.photos)
		if n := int64(len(ph.kept)); n != ph.maker.Seq {
			t.Errorf("phone %d made %d entries, %d were acknowledged", i, ph.maker.Seq, n)
		}
		for _, h := range ph.photos[max(0, len(ph.photos)-5):] {
			if status, _ := get(t, ph.Client, ph.base+"/api/photos/"+h); status != 200 {
				t.Errorf("photo %s: %d", h, status)
			}
		}
	}
	if have := owner.pull(t); len(have) != total {
		t.Errorf("%d entries are there, %d were made", len(have), total)
	}
	_, body := get(t, owner.Client, owner.base+"/api/health")
	var health struct {
		OK     bool
		Faults []history.Fault
	}
	if err := json.Unmarshal([]byte(body), &health); err != nil || len(health.Faults) > 0 {
		t.Errorf("%v %s", err, body)
	}
	p.interrupt()
	t.Logf("%d kills: %d entries and %d photos acknowledged, all there", kills, total, photos)
}
