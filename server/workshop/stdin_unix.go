//go:build unix

package workshop

import (
	"os/signal"
	"syscall"
)

// ignoreBackgroundRead: started in the background of a shell, reading from the terminal would
// stop the whole server.
func ignoreBackgroundRead() { signal.Ignore(syscall.SIGTTIN) }
