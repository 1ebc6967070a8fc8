package store

import (
	"sync"
	"time"
)

// idleTime is how long nothing is written before what lies in the write-ahead log is brought
// into the database file, so that the file alone is the record for nearly all of the time.
const idleTime = 2 * time.Second

// checkpoints begins one when nothing was written for a while.
type checkpoints struct {
	mu    sync.Mutex
	wait  time.Duration // 0: idleTime
	timer *time.Timer
	ended bool
}

// after begins to wait anew.
func (c *checkpoints) after(do func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch {
	case c.ended:
	case c.timer != nil:
		c.timer.Reset(max(c.wait, 0))
	default:
		if c.wait == 0 {
			c.wait = idleTime
		}
		c.timer = time.AfterFunc(c.wait, do)
	}
}

func (c *checkpoints) stop() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.ended = true; c.timer != nil {
		c.timer.Stop()
	}
}

// checkpoint brings into the database file what no reader holds back, and waits again for the
// rest. It waits for nobody. What fails here is tried again after the next writing and at the
// end; the log keeps it until then.
func (s *Store) checkpoint() {
	var busy, inLog, done int
	err := s.write.QueryRow(`PRAGMA wal_checkpoint(PASSIVE)`).Scan(&busy, &inLog, &done)
	if err == nil && done < inLog {
		s.idle.after(s.checkpoint)
	}
}
