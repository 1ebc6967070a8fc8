package workshop

import (
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"time"
)

// A second program of the same user asks a running server for a link for the laptop's own
// browser by a socket in the record's folder: who may open files there may use it, nobody else.

func linkSocket(data string) string { return filepath.Join(data, "link.sock") }

// openLinks answers each connection with a new link, until the listener is closed.
func (s *serving) openLinks() (io.Closer, error) {
	name := linkSocket(s.o.Data)
	// The record is held by this server alone: what lies there is left of one that was killed.
	if err := os.Remove(name); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	l, err := net.Listen("unix", name)
	if err != nil {
		return nil, err
	}
	if err := os.Chmod(name, 0o600); err != nil {
		l.Close()
		return nil, err
	}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			link, err := s.api.OwnerLink()
			if err != nil {
				s.log.Error("no new link", "error", err)
			}
			_ = c.SetDeadline(time.Now().Add(5 * time.Second))
			_, _ = io.WriteString(c, link)
			c.Close()
		}
	}()
	return l, nil
}

// AskLink asks the server that runs on the record in data for a link that lets one browser in,
// within five minutes.
func AskLink(data string) (string, error) {
	c, err := net.DialTimeout("unix", linkSocket(data), 5*time.Second)
	if err != nil {
		return "", fmt.Errorf("no server of this user runs on the record in %s: start bucktail serve, or say --data", data)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(5 * time.Second))
	b, err := io.ReadAll(io.LimitReader(c, 4096))
	if err != nil {
		return "", fmt.Errorf("ask the server: %w", err)
	}
	if len(b) == 0 {
		return "", errors.New("the server made no link; its log says why")
	}
	return string(b), nil
}
