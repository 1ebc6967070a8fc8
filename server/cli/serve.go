package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"bucktail/pwa"
	"bucktail/server/localca"
	"bucktail/server/workshop"
)

// softMemory is where the garbage collector begins to work harder. Photos are decoded within a
// room of their own (api.Config.DecodeBytes), so this is never near in ordinary work.
const softMemory = 512 << 20

// serve is the subcommand serve.
func serve(c console, args []string) int {
	o := workshop.Options{App: pwa.Files(), Names: localca.Current}
	f := flag.NewFlagSet("serve", flag.ContinueOnError)
	f.SetOutput(c.err)
	f.StringVar(&o.Data, "data", "", "folder of the record (BUCKTAIL_DATA; default: the user's data folder)")
	f.StringVar(&o.Addr, "addr", workshop.UsualAddr, "plain http, for this laptop's own browser")
	f.StringVar(&o.TLSAddr, "tls-addr", workshop.UsualTLSAddr, "https, for phones in the workshop's network")
	f.StringVar(&o.TrustAddr, "trust-addr", workshop.UsualTrustAddr, "plain http for the trust page alone")
	f.BoolVar(&o.NoLAN, "no-lan", false, "this laptop alone, nothing on the network")
	f.BoolVar(&o.Verbose, "verbose", false, "log each request")
	f.Usage = func() {
		fmt.Fprint(c.err, "usage: bucktail serve [FLAGS]\n\nStarts the workshop's server and prints how to reach it.\n\n")
		f.PrintDefaults()
	}
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	if f.NArg() > 0 {
		fmt.Fprintf(c.err, "bucktail: serve takes no arguments, not %q\n", f.Args())
		return 2
	}
	if o.Data == "" {
		dir, err := defaultDataDir()
		if err != nil {
			return fail(c, err)
		}
		o.Data = dir
	}
	debug.SetMemoryLimit(softMemory)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := workshop.Serve(ctx, workshop.Terminal{In: c.in, Out: c.out, Err: c.err}, o); err != nil {
		return fail(c, err)
	}
	return 0
}
