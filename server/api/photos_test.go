package api

import (
	"archive/zip"
	"bytes"
	"compress/zlib"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image/jpeg"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"bucktail/qc/history"
)

func TestPhotoInAndOut(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	data, hash := shot(t, 640, 480)
	url := "/api/photos/" + hash
	b.do("GET", url, nil).want(404, "not-found")
	b.do("PUT", url, data).want(201, "")
	b.do("PUT", url, data).want(200, "") // twice changes nothing
	a := b.do("GET", url, nil)
	a.want(200, "")
	if a.Header.Get("Content-Type") != "image/jpeg" || !strings.Contains(a.Header.Get("Cache-Control"), "immutable") || !strings.HasPrefix(a.Header.Get("Cache-Control"), "private") {
		t.Errorf("%v", a.Header)
	}
	sum := sha256.Sum256(a.body)
	if want := "sha-256=:" + base64.StdEncoding.EncodeToString(sum[:]) + ":"; a.Header.Get("Repr-Digest") != want {
		t.Errorf("Repr-Digest %s, want %s", a.Header.Get("Repr-Digest"), want)
	}
	if got, err := jpeg.Decode(bytes.NewReader(a.body)); err != nil || got.Bounds().Dx() != 640 {
		t.Errorf("%v", err)
	}
	// Again from the cache, by range, and not at all.
	r := b.do("GET", url, nil, func(r *http.Request) { r.Header.Set("Range", "bytes=100-199") })
	r.want(206, "")
	if !bytes.Equal(r.body, a.body[100:200]) {
		t.Error("the range holds other bytes")
	}
	b.do("GET", url, nil, func(r *http.Request) { r.Header.Set("Range", fmt.Sprintf("bytes=%d-", len(a.body))) }).want(416, "bad-range")
	b.do("GET", url, nil, func(r *http.Request) { r.Header.Set("If-None-Match", a.Header.Get("ETag")) }).want(304, "")
	h := b.do("HEAD", url, nil)
	if h.StatusCode != 200 || h.ContentLength != int64(len(a.body)) {
		t.Errorf("HEAD: %d, %d bytes", h.StatusCode, h.ContentLength)
	}
	var v struct{ Missing []string }
	other := strings.Repeat("b", 64)
	b.do("POST", "/api/photos/wanted", map[string]any{"photos": []string{hash, other}}).read(&v)
	if len(v.Missing) != 1 || v.Missing[0] != other {
		t.Errorf("missing %v", v.Missing)
	}
	b.do("POST", "/api/photos/wanted", map[string]any{"photos": []string{"../x"}}).want(400, "bad-value")
}

func TestPhotoThatIsNotWhatItSays(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	data, hash := shot(t, 320, 240)
	png := bomb(t, 64, 64, 8)
	length := func(n int64) func(*http.Request) { return func(r *http.Request) { r.ContentLength = n } }
	for _, c := range []struct {
		what   string
		hash   string
		body   any
		change func(*http.Request)
		status int
		code   string
	}{
		{"other bytes", strings.Repeat("a", 64), data, media("image/jpeg"), 422, "other-bytes"},
		{"one bit off", hash, flipped(data), media("image/jpeg"), 422, "other-bytes"},
		{"cut short", hash, data[:len(data)-1], media("image/jpeg"), 422, "other-bytes"},
		{"something behind", hash, append(bytes.Clone(data), 0), media("image/jpeg"), 422, "other-bytes"},
		{"no length", hash, io.MultiReader(bytes.NewReader(data)), length(-1), 411, "length-missing"},
		{"empty", hash, []byte{}, media("image/jpeg"), 422, "other-bytes"},
		{"PNG said to be JPEG", name(png), png, media("image/jpeg"), 415, "wrong-media"},
		{"JPEG said to be PNG", hash, data, media("image/png"), 415, "wrong-media"},
		{"HTML said to be JPEG", name([]byte("<script>")), []byte("<script>"), media("image/jpeg"), 415, "wrong-media"},
		{"HTML", name([]byte("<script>")), []byte("<script>"), media("text/html"), 415, "wrong-media"},
		{"SVG", name([]byte("<svg/>")), []byte("<svg/>"), media("image/svg+xml"), 415, "wrong-media"},
		{"no type", hash, data, func(r *http.Request) { r.Header.Del("Content-Type") }, 415, "wrong-media"},
		{"packed", hash, data, func(r *http.Request) { r.Header.Set("Content-Encoding", "gzip") }, 415, "wrong-media"},
		{"said to be larger than any", hash, io.MultiReader(bytes.NewReader(data)), length(maxPhotoBytes + 1), 413, "too-large"},
		{"claims 60,000 × 60,000 pixels", "", bomb(t, 60_000, 60_000, 1), media("image/png"), 413, "too-large"},
	} {
		h := c.hash
		if h == "" {
			h = name(c.body.([]byte))
		}
		if c.what == "said to be larger than any" {
			a := raw(t, w, fmt.Sprintf("PUT /api/photos/%s HTTP/1.1\r\nHost: workshop.local\r\nContent-Type: image/jpeg\r\nContent-Length: %d\r\nCookie: %s=%s\r\n\r\nx", h, maxPhotoBytes+1, b.cookie.Name, b.cookie.Value))
			if !strings.HasPrefix(a, "HTTP/1.1 413 ") {
				t.Errorf("%s: %.80q", c.what, a)
			}
			continue
		}
		t.Run(c.what, func(t *testing.T) {
			b.do("PUT", "/api/photos/"+h, c.body, c.change).want(c.status, c.code)
			b.do("GET", "/api/photos/"+h, nil).want(404, "not-found")
		})
	}
	// A connection that ends in the middle leaves nothing.
	c, err := net.Dial("tcp", w.door.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(c, "PUT /api/photos/%s HTTP/1.1\r\nHost: workshop.local\r\nContent-Type: image/jpeg\r\nContent-Length: %d\r\nCookie: %s=%s\r\n\r\n%s", hash, len(data), b.cookie.Name, b.cookie.Value, data[:len(data)/2])
	time.Sleep(100 * time.Millisecond)
	c.Close()
	left, err := filepath.Glob(filepath.Join(w.store.Dir(), "photos", "bucktail-incoming", "*"))
	for range 50 { // the handler of the cut connection may still be ending
		if left, err = filepath.Glob(filepath.Join(w.store.Dir(), "photos", "bucktail-incoming", "*")); len(left) == 0 {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
	b.do("PUT", "/api/photos/"+hash, data).want(201, "")
}

func flipped(b []byte) []byte {
	b = bytes.Clone(b)
	b[len(b)/2] ^= 1
	return b
}

// bomb makes a PNG of w × h grey pixels whose data unpack to rows of zeros: tiny on the wire,
// large in memory.
func bomb(t testing.TB, w, h, bits int) []byte {
	t.Helper()
	var b bytes.Buffer
	b.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		binary.Write(&b, binary.BigEndian, uint32(len(data)))
		b.WriteString(kind)
		b.Write(data)
		binary.Write(&b, binary.BigEndian, crc32.ChecksumIEEE(append([]byte(kind), data...)))
	}
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(w)), uint32(h))
	chunk("IHDR", append(head, byte(bits), 0, 0, 0, 0))
	var z bytes.Buffer
	zw, _ := zlib.NewWriterLevel(&z, zlib.BestCompression)
	row := make([]byte, 1+(w*bits+7)/8)
	for range min(h, 20_000) {
		zw.Write(row)
	}
	zw.Close()
	chunk("IDAT", z.Bytes())
	chunk("IEND", nil)
	return b.Bytes()
}

// Hostile pictures are refused with their reason; the server goes on.
func TestHostilePictures(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	var nested bytes.Buffer
	z := zip.NewWriter(&nested)
	f, _ := z.Create("x")
	f.Write(make([]byte, 1<<20))
	z.Close()
	for _, c := range []struct {
		what, media string
		data        []byte
		status      int
		code        string
	}{
		{"60,000 × 60,000 pixels", "image/png", bomb(t, 60_000, 60_000, 1), 413, "too-large"},
		{"a zip bomb as PNG", "image/png", bomb(t, 20_000, 20_000, 1), 422, "photo-too-many-pixels"},
		{"16 bits of everything", "image/png", bomb(t, 9_000, 9_000, 16), 422, "photo-too-many-pixels"},
		{"an archive", "image/png", nested.Bytes(), 415, "wrong-media"},
		{"nothing", "image/jpeg", []byte{}, 422, "photo-empty"},
	} {
		a := b.do("POST", "/api/measure", c.data, media(c.media))
		a.want(c.status, c.code)
		if len(c.data) > 1<<20 {
			t.Errorf("%s has %d bytes", c.what, len(c.data))
		}
	}
	// Those that can be kept as bytes give no preview.
	big := bomb(t, 20_000, 20_000, 1)
	b.do("PUT", "/api/photos/"+name(big), big, media("image/png")).want(201, "")
	b.do("GET", "/api/photos/"+name(big)+"/preview", nil).want(422, "photo-too-many-pixels")
	b.do("POST", "/api/photos/"+name(big)+"/measure", nil).want(422, "photo-too-many-pixels")

	files, err := filepath.Glob("../../testdata/nasty/*")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d files %v", len(files), err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		m := "image/jpeg"
		if bytes.HasPrefix(data, []byte("\x89PNG")) {
			m = "image/png"
		}
		if a := b.do("POST", "/api/measure", data, media(m)); a.StatusCode != 200 && a.StatusCode != 422 && a.StatusCode != 415 && a.StatusCode != 413 {
			t.Errorf("%s as %s: %d %.200s", f, m, a.StatusCode, a.body)
		}
		h := name(data)
		if a := b.do("PUT", "/api/photos/"+h, data, media(m)); a.StatusCode >= 500 {
			t.Errorf("%s kept as %s: %d", f, m, a.StatusCode)
		} else if a.StatusCode < 300 {
			for _, path := range []string{"", "/preview"} {
				if a := b.do("GET", "/api/photos/"+h+path, nil); a.StatusCode >= 500 {
					t.Errorf("%s%s: %d %.200s", f, path, a.StatusCode, a.body)
				}
			}
		}
	}
	b.do("GET", "/api/me", nil).want(200, "")
}

// What a phone wrote about the place stays in the store and never goes out. exiftool, which is
// not ours, reads both.
func TestServedPhotosCarryNoLocation(t *testing.T) {
	exiftool, err := exec.LookPath("exiftool")
	if err != nil {
		t.Fatal("exiftool is not installed: apt-get install libimage-exiftool-perl")
	}
	plain, _ := shot(t, 640, 480)
	file := filepath.Join(t.TempDir(), "gps.jpg")
	if err := os.WriteFile(file, plain, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(exiftool, "-overwrite_original", "-GPSLatitude=47.5", "-GPSLatitudeRef=N", "-GPSLongitude=9.25", "-GPSLongitudeRef=E",
		"-Orientation#=6", "-FocalLength=4.2", "-XMP:City=Somewhere", "-IPTC:City=Somewhere", "-Comment=my garage", file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v %s", err, out)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	tags := func(b []byte) string {
		t.Helper()
		f := filepath.Join(t.TempDir(), "x.jpg")
		if err := os.WriteFile(f, b, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(exiftool, "-a", "-G", "-s", f).Output()
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	if had := tags(data); !strings.Contains(had, "GPSLatitude") || !strings.Contains(had, "Somewhere") {
		t.Fatalf("the test's photo has no place:\n%s", had)
	}
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	hash := name(data)
	b.do("PUT", "/api/photos/"+hash, data).want(201, "")
	for _, path := range []string{"", "/preview?side=1600", "/preview?crop=10,10,200,200"} {
		a := b.do("GET", "/api/photos/"+hash+path, nil)
		a.want(200, "")
		got := tags(a.body)
		for _, s := range []string{"GPS", "Somewhere", "garage"} {
			if strings.Contains(got, s) {
				t.Errorf("%s still tells the place:\n%s", path, got)
			}
		}
		if path == "" && (!strings.Contains(got, "FocalLength") || !strings.Contains(got, "Orientation")) {
			t.Errorf("what measuring needs is gone:\n%s", got)
		}
	}
	kept, err := os.ReadFile(filepath.Join(w.store.Dir(), "photos", hash[:2], hash[2:4], hash))
	if err != nil || !bytes.Equal(kept, data) {
		t.Errorf("the original was touched: %v", err)
	}
}

func TestPreviews(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	data, hash := shot(t, 1200, 900)
	b.do("PUT", "/api/photos/"+hash, data).want(201, "")
	for q, want := range map[string][2]int{"": {480, 360}, "?side=160": {160, 120}, "?side=1600": {1200, 900}, "?side=160&crop=600,0,300,900": {53, 160}, "?crop=1100,800,500,500": {100, 100}} {
		a := b.do("GET", "/api/photos/"+hash+"/preview"+q, nil)
		a.want(200, "")
		c, err := jpeg.DecodeConfig(bytes.NewReader(a.body))
		if err != nil || c.Width != want[0] || c.Height != want[1] {
			t.Errorf("%s: %d × %d, %v", q, c.Width, c.Height, err)
		}
		b.do("GET", "/api/photos/"+hash+"/preview"+q, nil, func(r *http.Request) { r.Header.Set("If-None-Match", a.Header.Get("ETag")) }).want(304, "")
	}
	for _, q := range []string{"?side=161", "?side=9999999999", "?side=-1", "?crop=1,2,3", "?crop=a,b,c,d", "?crop=0,0,0,10", "?crop=1200,0,10,10", "?crop=-1,0,5,5"} {
		b.do("GET", "/api/photos/"+hash+"/preview"+q, nil).want(400, "bad-value")
	}
	b.do("GET", "/api/photos/"+strings.Repeat("b", 64)+"/preview", nil).want(404, "not-found")
}

func TestMeasure(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	data, hash := shot(t, 320, 240)
	b.do("PUT", "/api/photos/"+hash, data).want(201, "")
	var sent, kept map[string]any
	b.do("POST", "/api/measure?what=shop-head", data).read(&sent)
	b.do("POST", "/api/photos/"+hash+"/measure?what=shop-head", nil).read(&kept)
	for k, want := range map[string]any{"width": 320.0, "height": 240.0, "photo": hash, "what": "shop-head"} {
		if sent[k] != want || kept[k] != want {
			t.Errorf("%s: sent %v, kept %v, want %v", k, sent[k], kept[k], want)
		}
	}
	b.do("POST", "/api/photos/"+strings.Repeat("b", 64)+"/measure", nil).want(404, "not-found")
	if by := sent["camera"]; by != b.id || kept["camera"] != "" { // no entry names it
		t.Errorf("sent by %v, kept of %q", by, kept["camera"])
	}
	left, err := filepath.Glob(filepath.Join(w.api.CacheDir, "in", "*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// As many pictures are decoded at once as there is memory for.
func TestDecodingIsBounded(t *testing.T) {
	var now, most atomic.Int64
	w := newWorkshop(t, func(c *Config) {
		c.DecodeBytes = 2 * (320*240*measureBytesPerPixel + 80_000) // room for two
	})
	w.api.Measure = func(_ context.Context, data []byte, _ url.Values, _ string) (any, error) {
		n := now.Add(1)
		for m := most.Load(); n > m && !most.CompareAndSwap(m, n); m = most.Load() {
		}
		time.Sleep(40 * time.Millisecond)
		now.Add(-1)
		return testMeasure(context.Background(), data, nil, "")
	}
	b := w.pair(history.Builder, true)
	data, _ := shot(t, 320, 240)
	var wg sync.WaitGroup
	for range maxUploads {
		wg.Go(func() { b.do("POST", "/api/measure", data).want(200, "") })
	}
	wg.Wait()
	if most.Load() > 2 {
		t.Errorf("%d were decoded at once, room was for 2", most.Load())
	}
}

// Those that wait are let in one after the other as they came; a small one does not overtake a
// large one, and what needs more than all the room goes alone.
func TestGateKeepsTheOrder(t *testing.T) {
	g := newGate(100)
	leave, err := g.enter(t.Context(), 60)
	if err != nil {
		t.Fatal(err)
	}
	came := make(chan int64, 4)
	for _, need := range []int64{1000, 10, 70, 20} {
		go func() {
			out, err := g.enter(t.Context(), need)
			if err != nil {
				t.Error(err)
				return
			}
			came <- need
			time.Sleep(20 * time.Millisecond) // others that may come in beside it do so now
			out()
		}()
		time.Sleep(100 * time.Millisecond) // it stands in the queue
	}
	if len(came) > 0 {
		t.Fatalf("%d overtook the one that waits for the whole room", <-came)
	}
	leave()
	for i, want := range []int64{1000, 10, 70, 20} {
		got := <-came
		if i == 0 && got != want { // behind it several are let in at once
			t.Errorf("%d came first", got)
		}
	}
	ctx, stop := context.WithCancel(t.Context())
	hold, _ := g.enter(ctx, 100)
	stop()
	if _, err := g.enter(ctx, 1); problemOf(err).Code != "stopping" {
		t.Errorf("a caller that is gone: %v", err)
	}
	hold()
}
