// Strokeledger turns training clips of table tennis into fault rates per player
// and drill. Without a command it opens the window.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// garbage is the percentage for debug.SetGCPercent: below the default of 100, since
// most of the memory is large pictures without pointers, which are cheap to scan.
const garbage = 50

func main() {
	debug.SetGCPercent(garbage)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
