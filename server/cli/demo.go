package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"bucktail/pwa"
	"bucktail/server/demo"
	"bucktail/server/workshop"
	"bucktail/store"
)

// demoHost is not the name under which a real record is served: what a browser keeps belongs to
// the host, cookies even to the host whatever the port, so that the two never meet.
const (
	demoHost = "127.0.0.1"
	demoAddr = demoHost + ":8452"
)

// showDemo is the subcommand demo.
func showDemo(c console, args []string) int {
	f := newFlags("demo")
	addr := f.String("addr", demoAddr, "`HOST:PORT`: plain http, for this laptop's own browser")
	usage := "demo [--addr HOST:PORT]\n\n" +
		"Serves an invented aircraft's record to look at: the baggage-hatch frame of a\n" +
		"two-seat amphibian, 60 locations at all stages, measured from rendered photos.\n" +
		"It is made anew each time, has nothing to do with a record of your own, and is\n" +
		"thrown away at the end.\n"
	if status, done := parseFlags(c, f, usage, args, 0); done {
		return status
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := runDemo(ctx, c, *addr); err != nil {
		return fail(c, err)
	}
	return 0
}

func runDemo(ctx context.Context, c console, addr string) (err error) {
	dir, err := os.MkdirTemp("", "bucktail-demo-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	fmt.Fprintln(c.out, "A demonstration: nothing of it is real, and it is thrown away when you stop it. Measuring its photos ...")
	data := filepath.Join(dir, "record")
	if err := fillDemo(ctx, data); err != nil {
		return err
	}
	return workshop.Serve(ctx, workshop.Terminal{In: c.in, Out: c.out, Err: c.err},
		workshop.Options{Data: data, Addr: addr, Host: demoHost, NoLAN: true, App: pwa.Files()})
}

func fillDemo(ctx context.Context, data string) (err error) {
	clock := demo.NewClock(time.Now())
	s, err := store.Open(data, store.Options{Now: clock.Now})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	return demo.Fill(ctx, s, clock)
}
