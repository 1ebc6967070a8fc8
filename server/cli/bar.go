package cli

import (
	"io"
	"os"

	"bucktail/store"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// bar shows the progress of long work on a terminal; anywhere else it shows nothing, so that
// logs and pipes stay clean. The returned function wipes it.
func bar(w io.Writer) (store.Progress, func()) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, func() {}
	}
	var b *progressbar.ProgressBar
	var now string
	done := func() {
		if b != nil {
			b.Clear()
		}
	}
	return func(step string, n, of int64) {
		if step != now || b == nil {
			done()
			now, b = step, progressbar.NewOptions64(of, progressbar.OptionSetWriter(w), progressbar.OptionSetDescription(step),
				progressbar.OptionShowCount(), progressbar.OptionSetWidth(30), progressbar.OptionThrottle(100e6), progressbar.OptionClearOnFinish())
		}
		b.ChangeMax64(of)
		b.Set64(n)
	}, done
}
