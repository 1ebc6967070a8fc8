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
	f := newFlags("serve")
	f.StringVar(&o.Addr, "addr", workshop.UsualAddr, "`HOST:PORT`: plain http, for this laptop's own browser")
	f.StringVar(&o.TLSAddr, "tls-addr", workshop.UsualTLSAddr, "`HOST:PORT`: https, for phones in the workshop's network")
	f.StringVar(&o.TrustAddr, "trust-addr", workshop.UsualTrustAddr, "`HOST:PORT`: plain http for the trust page alone")
	f.BoolVar(&o.NoLAN, "no-lan", false, "this laptop alone, nothing on the network")
	f.BoolVar(&o.Verbose, "verbose", false, "log each request")
	data, status, done := recordFlags(c, f, "serve [FLAGS]\n\nStarts the workshop's server and prints how to reach it.", args, 0)
	if done {
		return status
	}
	o.Data = data
	warnRoot(c, f)
	debug.SetMemoryLimit(softMemory)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := workshop.Serve(ctx, workshop.Terminal{In: c.in, Out: c.out, Err: c.err}, o); err != nil {
		if errors.Is(err, workshop.ErrAddress) {
			return misused(c, "serve", err)
		}
		return fail(c, err)
	}
	return 0
}

// warnRoot says so where the record would come to lie in root's home: installing what is needed
// takes root, serving does not.
func warnRoot(c console, f *flag.FlagSet) {
	named := os.Getenv("BUCKTAIL_DATA") != ""
	f.Visit(func(l *flag.Flag) { named = named || l.Name == "data" })
	if os.Geteuid() == 0 && !named {
		fmt.Fprint(c.err, "bucktail: you are root, so that the record is kept in root's own folder. "+
			"Serve as\nyourself, or say with --data where it is to be kept.\n")
	}
}
