package store

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// childEnv makes this test binary a process that writes into the data folder it names until it
// is killed.
const childEnv = "BUCKTAIL_TEST_CHILD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childEnv); dir != "" {
		writeForEver(dir)
	}
	status := m.Run()
	os.RemoveAll(benchRoot)
	os.Exit(status)
}

var benchRoot string

// makeBenchDir makes a folder that outlives one benchmark.
func makeBenchDir() (string, error) {
	var err error
	if benchRoot == "" {
		benchRoot, err = os.MkdirTemp("", "bucktail-bench-")
	}
	if err != nil {
		return "", err
	}
	return os.MkdirTemp(benchRoot, "record-")
}

// writeForEver acknowledges on standard output what it has been told is kept: entries by id and
// photos by hash.
func writeForEver(dir string) {
	die := func(err error) {
		if err != nil {
			fmt.Println("error", err)
			os.Exit(3)
		}
	}
	s, err := Open(dir, options())
	die(err)
	me := newWriter(s, 1)
	projects, err := s.Projects(ctx)
	die(err)
	var project string
	if len(projects) > 0 {
		project = projects[0].ID
	}
	for i := 0; ; i++ {
		var e history.Entry
		switch {
		case project == "":
			e, err = me.put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
			project = e.ID
		case i%3 == 0:
			b := picture(rand.Uint64(), 1000+rand.IntN(100_000))
			h := histtest.PhotoHash(b)
			_, _, err = s.PutPhoto(ctx, bytes.NewReader(b), h, int64(len(b)))
			die(err)
			fmt.Println("photo", h)
			e, err = me.put(history.Draft{Kind: history.KindNote, Project: project, Data: history.NoteData{Photos: []string{h}}})
		default:
			// A part whose locations are counted: the sums must hold too.
			e, err = me.put(history.Draft{Kind: history.KindPart, Project: project, Data: history.PartData{Name: "Gusset"}})
			die(err)
			fmt.Println("entry", e.ID)
			e, err = me.put(history.Draft{Kind: history.KindLocation, Project: project, Part: e.ID, Data: history.LocationData{Tag: "R1"}})
		}
		die(err)
		fmt.Println("entry", e.ID)
	}
}

// thorough gives many where BUCKTAIL_THOROUGH=1 asks for it (make thorough), else few.
func thorough(few, many int) int {
	if os.Getenv("BUCKTAIL_THOROUGH") == "1" {
		return many
	}
	return few
}

func TestNothingAcknowledgedIsLostWhenTheProcessIsKilled(t *testing.T) {
	dir := t.TempDir()
	exe := must(os.Executable())
	kills := thorough(40, 210)
	ever := map[string]bool{} // all that was ever acknowledged
	short := 0                // rounds that ended before anything was
	for round := range kills {
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), childEnv+"="+dir)
		out := must(cmd.StdoutPipe())
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// Every fourth dies at any moment from its start, the others while they write.
		kill := func(within int) {
			time.AfterFunc(time.Duration(rand.IntN(within))*time.Millisecond, func() { cmd.Process.Kill() })
		}
		var begun func()
		if round%4 == 0 {
			kill(50)
		} else {
			begun = func() { kill(40) }
		}
		acked := readAcks(t, out, begun)
		cmd.Wait()
		if cmd.ProcessState.Exited() {
			t.Fatalf("round %d: the writer ended by itself: %v", round, cmd.ProcessState)
		}
		if len(acked) == 0 {
			short++
		}
		s, err := Open(dir, options())
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		for _, a := range acked {
			ever[a] = true
		}
		check := acked
		if round%20 == 19 || round == kills-1 { // now and then everything, and the whole record
			sound(t, s)
			check = check[:0:0]
			for a := range ever {
				check = append(check, a)
			}
		}
		for _, a := range check {
			if err := stillThere(s, a); err != nil {
				t.Errorf("round %d: %s was acknowledged: %v", round, a, err)
			}
		}
		if f := must(s.allFaults(ctx)); len(f) > 0 {
			t.Errorf("round %d: faults %v", round, f)
		}
		if left := must(os.ReadDir(dir + "/" + photosName + "/" + incomingName)); len(left) > 0 {
			t.Errorf("round %d: %d half photos left", round, len(left))
		}
		s.Close()
		if t.Failed() {
			return
		}
	}
	t.Logf("%d kills, %d acknowledgements, %d rounds without one", kills, len(ever), short)
	if short > kills/2 || len(ever) < kills {
		t.Errorf("most rounds ended before anything was written: the test showed little")
	}
}

// readAcks reads what the writer acknowledged; a line that it did not finish counts for nothing.
// At the first line it calls begun, which may be nil.
func readAcks(t *testing.T, r io.Reader, begun func()) []string {
	var acked []string
	br := bufio.NewReader(r)
	for {
		line, err := br.ReadString('\n')
		if err != nil {
			return acked
		}
		if line = strings.TrimSpace(line); strings.HasPrefix(line, "error") {
			t.Errorf("the writer says: %s", line)
		}
		if acked = append(acked, line); len(acked) == 1 && begun != nil {
			begun()
		}
	}
}

func stillThere(s *Store, ack string) error {
	kind, id, _ := strings.Cut(ack, " ")
	if kind == "photo" {
		f, err := s.OpenPhoto(ctx, id)
		if err == nil {
			f.Close()
		}
		return err
	}
	l, err := entriesOf(s, id)
	if err == nil && len(l) == 0 {
		err = ErrNotFound
	}
	return err
}
